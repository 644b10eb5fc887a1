"""The slow, obvious model against which the fast one is held.

It shares no code with the four rooms and has its own reading of what things mean: boards are strings, rules
are lists of cells, and house rules are found out by trying real byte strings.  It is for games of marks, which
always come to an end.  `naive_sheet` goes on with rules, strategies and claims.

A board is a string with a sign for each cell in reading order: ``F`` the first player's, ``S`` the second's,
``.`` free.  A move is the number of a cell (where marks fall: of a column), or what a wrong input brings about
(`TURN_LOST`, ...).
"""

from collections import deque
from functools import cache
from itertools import product
from typing import NamedTuple

SIGNS = "FS"
FREE = "."
TURN_LOST, GAME_LOST = "turn lost", "game lost"
WIN, DRAW, LOSS = 2, 1, 0
"""What an ending is worth to the machine."""


# The game -------------------------------------------------------------------------------------------------


class Game:
    """Marks on a rectangle: who fills a line wins, or loses if the game is misere.

    Squares that are holes, by their number in the rectangle, are no cells.
    """

    def __init__(self, columns, rows, lines, names, misere=False, holes=()):
        self.columns, self.rows, self.misere = columns, rows, misere
        self.lines = [frozenset(line) for line in lines]
        self.names = list(names)
        self.squares = [square for square in range(columns * rows) if square not in holes]
        self.cells = range(len(self.squares))
        self.turns = [turn for turn in self._turns() if self._keeps_lines(turn)]
        self._results = {}

    def place(self, cell):
        """The column and the row of a cell."""
        return self.squares[cell] % self.columns, self.squares[cell] // self.columns

    def _turns(self):
        """Where each cell goes in each turn of the rectangle; identity first, none twice."""
        last_x, last_y = self.columns - 1, self.rows - 1
        ways = [
            lambda x, y: (x, y),
            lambda x, y: (last_y - y, x),
            lambda x, y: (last_x - x, last_y - y),
            lambda x, y: (y, last_x - x),
            lambda x, y: (last_x - x, y),
            lambda x, y: (x, last_y - y),
            lambda x, y: (y, x),
            lambda x, y: (last_y - y, last_x - x),
        ]
        rectangle = list(product(range(self.columns), range(self.rows)))
        places = [self.place(cell) for cell in self.cells]
        found = []
        for way in ways:
            images = [way(*place) for place in places]
            if sorted(way(*place) for place in rectangle) == rectangle and set(images) == set(places):
                turn = [places.index(image) for image in images]
                if turn not in found:
                    found.append(turn)
        return found

    def _keeps_lines(self, turn):
        return {frozenset(turn[cell] for cell in line) for line in self.lines} == set(self.lines)

    def result(self, board):
        """``first``, ``second`` or ``draw`` if the game is over, else None."""
        if board not in self._results:
            self._results[board] = self._result(board)
        return self._results[board]

    def _result(self, board):
        for player, sign in enumerate(SIGNS):
            if any(all(board[cell] == sign for cell in line) for line in self.lines):
                return ("first", "second")[1 - player if self.misere else player]
        return None if FREE in board else "draw"

    def turned(self, turn, board):
        image = [FREE] * len(board)
        for cell in self.cells:
            image[turn[cell]] = board[cell]
        return "".join(image)

    def least_image(self, board):
        """The least image by its number, and the first turn to it."""
        images = [self.turned(turn, board) for turn in self.turns]
        least = min(images, key=self.number)
        return least, self.turns[images.index(least)]

    def number(self, board):
        """The board as a number: a bit for each of the first player's cells, then one for each of the second's."""
        return sum(1 << cell for cell in self.cells if board[cell] == "F") + sum(
            1 << len(self.cells) + cell for cell in self.cells if board[cell] == "S"
        )

    @property
    def move_names(self):
        return self.names

    def open_cells(self, board):
        """Every move on this board, and the cell that it marks."""
        return {cell: cell for cell in free_cells(board)}

    def refusal(self, board, move, seat):
        """The class of an input that names this move, which is not legal."""
        return "taken-by-machine" if board[move] == SIGNS[seat] else "taken-by-visitor"

    def turned_move(self, turn, move):
        return turn[move]

    def turned_back(self, turn, move):
        """The move that is called `move` on the turned board."""
        return next(m for m in range(len(self.move_names)) if self.turned_move(turn, m) == move)

    def written(self, signs, hole="."):
        """A sign for each cell, as the rows of the rectangle."""
        whole = [hole] * (self.columns * self.rows)
        for cell, sign in enumerate(signs):
            whole[self.squares[cell]] = sign
        return ["".join(whole[at : at + self.columns]) for at in range(0, len(whole), self.columns)]

    def unwritten(self, rows):
        """The signs of the cells in rows of the rectangle."""
        whole = "".join(rows).replace(" ", "")
        return [whole[square] for square in self.squares]


class Falling(Game):
    """The same where a mark falls to the lowest free cell of its column, and a move is a column."""

    def _turns(self):
        def keeps_rows(turn):
            return all(self.place(turn[cell])[1] == self.place(cell)[1] for cell in self.cells)

        return [turn for turn in super()._turns() if keeps_rows(turn)]

    def number(self, board):
        """Column by column from the left: a bit for each mark from the bottom up, 1 the second player's; then a 1."""
        number = 0
        for column in reversed(range(self.columns)):
            marks = [
                board[cell]
                for cell in reversed(range(column, len(board), self.columns))
                if board[cell] != FREE
            ]
            bits = "1" + "".join("1" if sign == "S" else "0" for sign in reversed(marks))
            number = number << self.rows + 1 | int(bits, 2)
        return number

    @property
    def move_names(self):
        return list("abcdefghijklmnopqrstuvwxyz"[: self.columns])

    def open_cells(self, board):
        free = {
            column: [c for c in free_cells(board) if self.place(c)[0] == column]
            for column in range(self.columns)
        }
        return {column: max(cells) for column, cells in free.items() if cells}

    def refusal(self, board, move, seat):
        return "column-full"

    def turned_move(self, turn, move):
        return self.place(turn[move])[0]


def put(board, cell, sign):
    return board[:cell] + sign + board[cell + 1 :]


def free_cells(board):
    return [cell for cell, sign in enumerate(board) if sign == FREE]


def in_a_row(columns, rows, length):
    """Every straight line of `length` cells, found by walking from each cell in four directions."""
    lines = []
    for x, y, (right, down) in product(range(columns), range(rows), ((1, 0), (0, 1), (1, 1), (-1, 1))):
        walked = [(x + right * step, y + down * step) for step in range(length)]
        if all(0 <= a < columns and 0 <= b < rows for a, b in walked):
            lines.append([b * columns + a for a, b in walked])
    return lines


# Input and house rules ------------------------------------------------------------------------------------


class HouseRule(NamedTuple):
    when: tuple
    cost: str
    forgive: int = 0


class House(NamedTuple):
    """House rules in order; a class that none names is asked again at no cost."""

    kind: str = "line"
    longest: int = 8
    rules: tuple = ()


def class_of(game, house, seat, board, over, text):
    """The class of an input (bytes): the first that fits."""
    if over:
        return "after-end"
    if len(text) > (1 if house.kind == "key" else house.longest):
        return "too-long"
    if text == b"":
        return "empty"
    names = [name.lower().encode() for name in game.move_names]
    if text.lower() not in names:
        shapes = {_shape(name) for name in names}
        return "off-board" if _shape(text.lower()) in shapes else "not-understood"
    move = names.index(text.lower())
    return "legal" if move in game.open_cells(board) else game.refusal(board, move, seat)


def _shape(text):
    """What a name looks like: letters one for one, digits however many there are in a run."""
    kinds = ""
    for byte in text:
        if chr(byte) in "0123456789":
            kinds += "" if kinds.endswith("9") else "9"
        else:
            kinds += "a" if chr(byte) in "abcdefghijklmnopqrstuvwxyz" else chr(byte)
    return kinds


def inputs_to_try(names, kind, longest):
    """Real inputs: every single byte, telling pairs, the names with their neighbours, one too long."""
    single = {bytes([byte]) for byte in range(256)}
    if kind == "key":
        return single
    tried = {b""} | single | {bytes(pair) for pair in product(b"059azAZ-? \t\r\n\0\xff", repeat=2)}
    for name in names:
        text = name.encode()
        tried |= {text, text.upper(), text + b"0"}
        tried |= {
            text[:at] + bytes([byte]) + text[at + 1 :] for at in range(len(text)) for byte in range(32, 127)
        }
    return tried | {b"1" * (longest + 1)}


@cache
def _classes_anywhere(names, kind, longest):
    """The classes of the inputs that name no cell: the same in every unfinished position."""
    game = Game(len(names), 1, [range(len(names))], names)
    house, board = House(kind, longest), FREE * len(names)
    tried = inputs_to_try(names, kind, longest)
    return {class_of(game, house, 0, board, False, text) for text in tried} - {"legal"}


def possible_classes(game, house, seat, board):
    """The classes into which some input falls in this unfinished position."""
    named = {class_of(game, house, seat, board, False, name.encode()) for name in game.move_names}
    return _classes_anywhere(tuple(game.move_names), house.kind, house.longest) | named


# Positions of a game with its house rules -----------------------------------------------------------------


class State(NamedTuple):
    board: str
    turn: int = 0
    forgiven: tuple = ()
    thrown_out: bool = False


class Housed:
    """A game under house rules with the machine in one seat."""

    def __init__(self, game, house, seat):
        self.game, self.house, self.seat = game, house, seat
        self.start = State(FREE * len(game.cells), 0, (0,) * len(house.rules))
        self._next, self._value = {}, {}

    def result(self, state):
        return ("first", "second")[self.seat] if state.thrown_out else self.game.result(state.board)

    def rule_for(self, input_class):
        return next((n for n, rule in enumerate(self.house.rules) if input_class in rule.when), None)

    def next(self, state):
        """All moves of an unfinished position: what is played or brought about, and the position after it."""
        if state not in self._next:
            self._next[state] = self._moves(state)
        return self._next[state]

    def _moves(self, state):
        sign = SIGNS[state.turn]
        found = {
            move: state._replace(board=put(state.board, cell, sign), turn=1 - state.turn)
            for move, cell in self.game.open_cells(state.board).items()
        }
        if state.turn != self.seat:
            for input_class in possible_classes(self.game, self.house, self.seat, state.board) - {"legal"}:
                effect = self.effect(state, input_class)
                if effect is not None:
                    found[effect] = self._after(state, effect)
        return found

    def effect(self, state, input_class):
        """What a wrong input of this class brings about; None where nothing changes."""
        number = self.rule_for(input_class)
        if number is None:
            return None
        rule = self.house.rules[number]
        if state.forgiven[number] < rule.forgive:
            return f"forgiven by rule {number + 1}"
        return {"nothing": None, "turn": TURN_LOST, "game": GAME_LOST}[rule.cost]

    def _after(self, state, effect):
        if effect == TURN_LOST:
            return state._replace(turn=1 - state.turn)
        if effect == GAME_LOST:
            return state._replace(thrown_out=True)
        number = int(effect.split()[-1]) - 1
        forgiven = list(state.forgiven)
        forgiven[number] += 1
        return state._replace(forgiven=tuple(forgiven))

    def worth(self, result):
        return {"draw": DRAW, ("first", "second")[self.seat]: WIN}.get(result, LOSS)

    def value(self, state):
        """What best play is worth to the machine, and the plies to the end (None for a draw)."""
        if state not in self._value:
            result = self.result(state)
            if result is not None:
                found = ended(self.worth(result))
            else:
                after = [one_ply_more(self.value(child)) for child in self.next(state).values()]
                found = (max if state.turn == self.seat else min)(after, key=liking)
            self._value[state] = found
        return self._value[state]

    def keeps(self, claim, before, after):
        """Whether the claim can still hold after a machine move (given that it could before)."""
        old, new = self.value(before), self.value(after)
        if claim == "never-loses":
            return new[0] != LOSS or old[0] == LOSS
        if claim == "quickest" and old[0] == WIN:
            return new[0] == WIN and new[1] == old[1] - 1
        return new[0] >= old[0]


def ended(worth):
    return worth, None if worth == DRAW else 0


def one_ply_more(value):
    worth, plies = value
    return worth, None if plies is None else plies + 1


def liking(value):
    """How the machine likes values: nearer wins, then draws, then farther losses."""
    worth, plies = value
    return worth, 0 if plies is None else -plies if worth == WIN else plies


def every_state(housed, follow):
    """All positions that can be reached when `follow` gives the moves, each with its first ply."""
    plies = {housed.start: 0}
    waiting = deque(plies)
    while waiting:
        state = waiting.popleft()
        if housed.result(state) is None:
            for child in follow(state).values():
                if child not in plies:
                    plies[child] = plies[state] + 1
                    waiting.append(child)
    return plies


def lines_by_result(housed):
    """How many lines of play end in each result, all of them counted one by one up to equal positions."""

    @cache
    def count(state):
        result = housed.result(state)
        if result is not None:
            return tuple(int(result == each) for each in ("first", "second", "draw"))
        return tuple(map(sum, zip(*(count(child) for child in housed.next(state).values()), strict=True)))

    return count(housed.start)
