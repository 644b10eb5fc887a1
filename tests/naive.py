"""The slow, obvious model against which the fast one is held.

It shares no code with the four rooms and has its own reading of what things mean: boards are strings, rules
are lists of cells, house rules are found out by trying real byte strings, and claims are checked by plain
recursion.  It is for games of marks, which always come to an end.

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
                found = _ended(self.worth(result))
            else:
                after = [_one_ply_more(self.value(child)) for child in self.next(state).values()]
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


def _ended(worth):
    return worth, None if worth == DRAW else 0


def _one_ply_more(value):
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


# The rules of a sheet -------------------------------------------------------------------------------------


class Seen(NamedTuple):
    """A board as the machine sees it: lists of cells."""

    game: Game
    board: str
    seat: int
    mine: list
    theirs: list
    free: list


def seen(game, board, seat):
    def held(player):
        return [cell for cell in game.cells if board[cell] == SIGNS[player]]

    return Seen(game, board, seat, held(seat), held(1 - seat), free_cells(board))


def threats(game, own, free):
    """The lines that lack one own move."""
    missing = [[cell for cell in line if cell not in own] for line in game.lines]
    return [cells[0] for cells in missing if len(cells) == 1 and cells[0] in free]


def almost_threats(game, own, free):
    """The pairs of free cells that lines which are one move short of a threat still lack."""
    missing = [[cell for cell in line if cell not in own] for line in game.lines]
    return [cells for cells in missing if len(cells) == 2 and all(cell in free for cell in cells)]


def double_threats(game, own, free):
    pairs = almost_threats(game, own, free)
    return [cell for cell in free if sum(cell in pair for pair in pairs) >= 2]


def _forced_answers(see, cell):
    return [
        next(c for c in pair if c != cell)
        for pair in almost_threats(see.game, see.mine, see.free)
        if cell in pair
    ]


def _is_safe_threat(see, cell):
    answers = _forced_answers(see, cell)
    for answer in answers:
        left = [c for c in see.free if c not in (cell, answer)]
        if len(threats(see.game, [*see.theirs, answer], left)) >= 2:
            return False
    return answers != []


def _is_clearing(see, cell):
    return not double_threats(see.game, see.theirs, [c for c in see.free if c != cell])


def _ways(see):
    """Each way to stop a double threat, with the cells that it allows."""
    theirs = double_threats(see.game, see.theirs, see.free)
    threatening = [cell for cell in see.free if _forced_answers(see, cell)]
    return {
        "occupying it": theirs,
        "occupying the only one": theirs if len(theirs) == 1 else [],
        "clearing it": [cell for cell in see.free if _is_clearing(see, cell)],
        "any threat": threatening,
        "a safe threat": [cell for cell in see.free if _is_safe_threat(see, cell)],
        "a clearing threat": [cell for cell in threatening if _is_clearing(see, cell)],
        "an occupying threat": [cell for cell in threatening if cell in theirs],
    }


def _stop_double_threat(see, said):
    if not double_threats(see.game, see.theirs, see.free):
        return []
    ways = _ways(see)
    for group in (said or "clearing it or a safe threat, else occupying it").split(", else "):
        cells = [cell for way in group.split(" or ") for cell in ways[way]]
        if cells:
            return cells
    return []


def _corners(game):
    squares = [0, game.columns - 1, game.columns * (game.rows - 1), game.columns * game.rows - 1]
    return [cell for cell in game.cells if game.squares[cell] in squares]


def _edges(game):
    def is_rim(cell):
        x, y = game.place(cell)
        return x in (0, game.columns - 1) or y in (0, game.rows - 1)

    return [cell for cell in game.cells if is_rim(cell) and cell not in _corners(game)]


def _centre(game):
    """The cells nearest to the middle point, measured in half cells along columns and rows."""

    def is_central(cell):
        x, y = game.place(cell)
        return abs(2 * x - game.columns + 1) <= 1 and abs(2 * y - game.rows + 1) <= 1

    return [cell for cell in game.cells if is_central(cell)]


def _opposite_pairs(game):
    """Each corner with the one on the other side of the rectangle, where there are both."""
    last = game.columns * game.rows - 1
    return [(a, b) for a, b in product(_corners(game), repeat=2) if game.squares[a] + game.squares[b] == last]


def _opposite_corners(see):
    return [corner for corner, other in _opposite_pairs(see.game) if other in see.theirs]


def _picture(see, rows, turns):
    signs = "".join(see.game.unwritten(rows))
    found = []
    for turn in turns:
        image = see.game.turned(turn, signs)
        fits = {"M": see.mine, "V": see.theirs, "_": see.free, "!": see.free, "-": see.game.cells}
        if all(cell in fits[sign] for cell, sign in enumerate(image)):
            found.append(image.index("!"))
    return found


def _heaviest(see, rows):
    """The cells that can be marked and than which none of those is heavier."""
    cells = see.game.open_cells(see.board).values()
    weights = {cell: sum(_weight(see, row, cell) for row in rows) for cell in cells}
    return [cell for cell in cells if weights[cell] == max(weights.values())]


def _weight(see, row, cell):
    """What one row adds to the weight of a free cell: ``-2 for a corner``, ``3 for a line with 2 of mine``."""
    number, what = row.split(" for ")
    if " with " not in what:
        return int(number) * (cell in _weighed_cells(see.game, what))
    kind, marks = what.split(" with ")
    mine, theirs = _marks(marks)
    return int(number) * sum(
        cell in line
        and len([c for c in line if c in see.mine]) == mine
        and len([c for c in line if c in see.theirs]) == theirs
        for line in weighed_lines(see.game, kind)
    )


def _weighed_cells(game, what):
    groups = {"the centre": _centre, "a corner": _corners, "an edge": _edges}
    if what in groups:
        return groups[what](game)
    if what.startswith("a cell like "):
        cell = game.names.index(what.removeprefix("a cell like "))
        return [turn[cell] for turn in game.turns]
    return [game.names.index(name) for name in what.replace(" or ", ", ").split(", ")]


def weighed_lines(game, kind):
    """The lines that are meant: ``a line``, ``a straight line``, ``a diagonal line``, ``a line like 1, 2 and 3``."""
    if kind.startswith("a line like "):
        names = kind.removeprefix("a line like ").replace(" and ", ", ").split(", ")
        cells = [game.names.index(name) for name in names]
        images = [{turn[cell] for cell in cells} for turn in game.turns]
        return [line for line in game.lines if line in images]
    return [line for line in game.lines if kind in ("a line", f"a {_shape_of(game, line)} line")]


def _shape_of(game, line):
    """How a line lies: ``straight`` within a row or column, ``diagonal`` as a bishop goes, or ``bent``."""
    (x, y), *rest = [game.place(cell) for cell in line]
    steps = [(a - x, b - y) for a, b in rest]
    if all(right == 0 for right, _ in steps) or all(down == 0 for _, down in steps):
        return "straight"
    if all(right == down for right, down in steps) or all(right == -down for right, down in steps):
        return "diagonal"
    return "bent"


def _marks(said):
    """How many marks of the machine's and of the visitor's are meant."""
    words = said.replace("'s", "").split()
    return tuple(
        next((int(words[at - 2]) for at, word in enumerate(words) if word == whose), 0)
        for whose in ("mine", "the")
    )


def _looked_ahead(see, plies):
    """The least of the best moves by plain minimax, `plies` deep; an unfinished line counts as a draw."""
    housed = Housed(see.game, House(), see.seat)

    @cache
    def promise(state, left):
        result = housed.result(state)
        if result is not None:
            return _ended(housed.worth(result))
        if left == 0:
            return DRAW, None
        after = [_one_ply_more(promise(child, left - 1)) for child in housed.next(state).values()]
        return (max if state.turn == see.seat else min)(after, key=liking)

    after = housed.next(State(see.board, see.seat))
    likings = {move: liking(promise(child, plies - 1)) for move, child in after.items()}
    return [min(move for move in likings if likings[move] == max(likings.values()))]


def board_of(game, text, seat):
    """A board from a table's text (``M__/_V_/___``) as the machine in `seat` means it."""
    return "".join(
        {"M": SIGNS[seat], "V": SIGNS[1 - seat], "_": FREE}[sign] for sign in game.unwritten(text.split("/"))
    )


def _looked_up(see, rows, turned):
    game = see.game
    for text, name in rows:
        board, move = board_of(game, text, see.seat), game.move_names.index(name)
        if not turned and board == see.board:
            return [move]
        if turned:
            image, there = game.least_image(board)
            mine, here = game.least_image(see.board)
            if image == mine:
                return [game.turned_back(here, game.turned_move(there, move))]
    return []


def moves_of(see, rule):
    """The moves that a rule allows, in order; those of a table may be illegal.

    A rule is its text, or (``table``, rows, turned), or (``picture``, rows), or (``picture fixed``, rows), or
    (``take the heaviest cell``, rows).
    """
    if isinstance(rule, tuple) and rule[0] == "table":
        return _looked_up(see, rule[1], rule[2])
    if isinstance(rule, str) and rule.startswith("look ahead "):
        return _looked_ahead(see, int(rule.split()[2]))
    cells = _cells_of(see, rule)
    return sorted(move for move, cell in see.game.open_cells(see.board).items() if cell in cells)


def _cells_of(see, rule):
    """The cells that a rule would like to see marked."""
    if isinstance(rule, tuple) and rule[0] == "take the heaviest cell":
        return _heaviest(see, rule[1])
    if isinstance(rule, tuple):
        return _picture(see, rule[1], see.game.turns if rule[0] == "picture" else see.game.turns[:1])
    for words, cells in {
        "complete a line": lambda _: threats(see.game, see.mine, see.free),
        "block a line": lambda _: threats(see.game, see.theirs, see.free),
        "make a double threat": lambda _: double_threats(see.game, see.mine, see.free),
        "stop a double threat by ": lambda said: _stop_double_threat(see, said),
        "stop a double threat": lambda _: _stop_double_threat(see, ""),
        "take any free cell": lambda _: see.free,
        "take the centre": lambda _: _centre(see.game),
        "take a corner": lambda _: _corners(see.game),
        "take an edge": lambda _: _edges(see.game),
        "take the opposite corner": lambda _: _opposite_corners(see),
        "take the first free of ": lambda said: _named(see, said)[:1],
        "take ": lambda said: _named(see, said),
    }.items():
        if rule.startswith(words):
            return cells(rule.removeprefix(words))
    raise ValueError(rule)


def _named(see, said):
    cells = [see.game.names.index(name) for name in said.replace(" or ", ", ").split(", ")]
    return [cell for cell in cells if cell in see.game.open_cells(see.board).values()]


class Strategy:
    """Rules in order; `choice` says how several allowed cells are settled: open, plain or turned."""

    def __init__(self, game, seat, rules, choice="open"):
        self.game, self.seat, self.rules, self.choice = game, seat, rules, choice
        self._known = {}

    def answer(self, board):
        """Which rule answers (None if none does), and the moves that it allows, in order."""
        if board not in self._known:
            self._known[board] = self._answer(board)
        return self._known[board]

    def _answer(self, board):
        if self.choice == "turned":
            least, turn = self.game.least_image(board)
            rule, moves = self._open(least)
            return rule, [self.game.turned_back(turn, moves[0])] if moves else []
        rule, moves = self._open(board)
        return rule, moves if self.choice == "open" else moves[:1]

    def _open(self, board):
        see = seen(self.game, board, self.seat)
        for number, rule in enumerate(self.rules):
            moves = moves_of(see, rule)
            if moves:
                return number, moves
        return None, []


# Claims ---------------------------------------------------------------------------------------------------


class Checked:
    """A strategy walked through everything that can happen, and what its claims come to."""

    def __init__(self, housed, strategy):
        self.housed, self.strategy = housed, strategy
        self.plies = every_state(housed, self.follow)
        self.unfinished = [state for state in self.plies if housed.result(state) is None]
        self.machine = [state for state in self.unfinished if state.turn == housed.seat]
        self._sure = {}

    def follow(self, state):
        """The moves that can happen: all of the visitor's, and those that the strategy allows."""
        moves = self.housed.next(state)
        if state.turn != self.housed.seat:
            return moves
        return {move: moves[move] for move in self.strategy.answer(state.board)[1] if move in moves}

    @property
    def unanswered(self):
        return [state for state in self.machine if self.strategy.answer(state.board)[0] is None]

    @property
    def illegal(self):
        """Positions and moves that the strategy allows there and the game does not."""
        return [
            (state, move)
            for state in self.machine
            for move in self.strategy.answer(state.board)[1]
            if move not in self.housed.game.open_cells(state.board)
        ]

    def sure(self, state):
        """The value that the machine is sure of when the visitor also settles its choices.

        Where play breaks off for want of a legal answer nothing is lost yet: best play still stands.
        """
        if state not in self._sure:
            result = self.housed.result(state)
            after = [] if result is not None else [self.sure(child) for child in self.follow(state).values()]
            if result is None and not after:
                self._sure[state] = self.housed.value(state)
            else:
                worst = (
                    min(map(_one_ply_more, after), key=liking) if after else _ended(self.housed.worth(result))
                )
                self._sure[state] = worst
        return self._sure[state]

    def fails(self, claim):
        """Whether some line breaks the claim."""
        if claim == "never-loses":
            return any(self.is_loss(state) for state in self.plies)
        for state in self.unfinished:
            value, sure = self.housed.value(state), self.sure(state)
            short = sure[0] < value[0] if claim == "best-value" else liking(sure) < liking(value)
            if value[0] != LOSS and short:
                return True
        return False

    def is_loss(self, state):
        result = self.housed.result(state)
        return result is not None and self.housed.worth(result) == LOSS

    def verdict(self, claim):
        if self.fails(claim):
            return "refuted"
        return "illegal-answer" if self.illegal else "no-answer" if self.unanswered else "proved"

    def plies_to(self, targets, fair):
        """Plies of the shortest line to any of some positions, without wrong input if `fair`."""

        def follow(state):
            moves = self.follow(state)
            return {move: child for move, child in moves.items() if not fair or isinstance(move, int)}

        found = every_state(self.housed, follow)
        return min((found[state] for state in targets if state in found), default=None)

    def longest_line(self):
        @cache
        def longest(state):
            if self.housed.result(state) is not None:
                return 0
            return max((1 + longest(child) for child in self.follow(state).values()), default=0)

        return longest(self.housed.start)

    def times_used(self):
        answered = [self.strategy.answer(state.board)[0] for state in self.machine]
        return [answered.count(number) for number in range(len(self.strategy.rules))]

    def boards_to_store(self):
        """The boards that no computing rule answers: tables and want of a rule need a stored answer."""

        def is_stored(rule):
            return rule is None or self.strategy.rules[rule][0] == "table"

        return {state.board for state in self.machine if is_stored(self.strategy.answer(state.board)[0])}

    def said(self):
        """Every message that can be said, by name, tried out input by input."""
        names = {
            "ask": any(state.turn != self.housed.seat for state in self.unfinished),
            "machine-moves": bool(self.machine),
        }
        results = {self.housed.worth(result) for state in self.plies if (result := self.housed.result(state))}
        names |= {"machine-wins": WIN in results, "visitor-wins": LOSS in results, "draw": DRAW in results}
        said = {name for name, happens in names.items() if happens}
        for state in self.plies:
            over = self.housed.result(state) is not None
            if over or state.turn != self.housed.seat:
                classes = {"after-end"} if over else self._possible(state) - {"legal"}
                said |= {self._message(state, each) for each in classes}
        return said

    def _possible(self, state):
        return possible_classes(self.housed.game, self.housed.house, self.housed.seat, state.board)

    def _message(self, state, input_class):
        number = self.housed.rule_for(input_class)
        if number is None:
            return "the usual rule"
        mild = state.forgiven[number] < self.housed.house.rules[number].forgive
        return f"rule {number + 1} forgiven" if mild else f"rule {number + 1}"
