"""Rules of a sheet, strategies and their claims: the slow, obvious model of them, on the games of `naive`.

A rule is said in the words of a sheet and found out cell by cell; a claim is checked by plain recursion.
"""

from functools import cache
from itertools import product
from typing import NamedTuple

from tests.naive import (
    DRAW,
    FREE,
    LOSS,
    SIGNS,
    WIN,
    Game,
    House,
    Housed,
    State,
    ended,
    every_state,
    free_cells,
    liking,
    one_ply_more,
    possible_classes,
)

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
            return ended(housed.worth(result))
        if left == 0:
            return DRAW, None
        after = [one_ply_more(promise(child, left - 1)) for child in housed.next(state).values()]
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
                    min(map(one_ply_more, after), key=liking) if after else ended(self.housed.worth(result))
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
