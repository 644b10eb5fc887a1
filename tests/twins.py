"""Everything made twice: once for the four rooms and once for the naive model, drawn at random or given."""

from itertools import product
from typing import NamedTuple

import numpy as np
from hypothesis import settings
from hypothesis import strategies as st

from games.board import Board
from games.house import HouseRules, parse_house_rules
from games.housed import HousedGame
from games.load import load_game
from games.marks.gravity import Gravity
from games.marks.marks import Marks
from solver.sheet.reader import SheetReader
from solver.strategy import Strategy
from solver.table import TableReader, TableRule
from tests import naive, naive_sheet

LETTERS = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"
ORDER = (
    "after-end",
    "too-long",
    "empty",
    "not-understood",
    "off-board",
    "taken-by-machine",
    "taken-by-visitor",
)
"""The classes of wrong input in the design's order."""
FALLING_ORDER = (*ORDER[:5], "column-full", *ORDER[5:])
"""The same where marks fall."""
FEWER = settings(max_examples=max(8, settings().max_examples // 3))
"""For property tests whose single example takes a second."""


class Twins(NamedTuple):
    """A game and its naive twin."""

    game: Marks | Gravity
    naive: naive.Game


class HouseTwins(NamedTuple):
    """House rules and their naive twin."""

    rules: HouseRules
    naive: naive.House


# Games ----------------------------------------------------------------------------------------------------


def game_twins(columns, rows, lines, names=(), *, misere=False, holes=(), falls=False):
    board = Board(columns, rows, tuple(names), holes)
    lines = [tuple(line) for line in lines]
    fast, slow = (Gravity, naive.Falling) if falls else (Marks, naive.Game)
    return Twins(
        fast("drawn", board, lines, misere=misere),
        slow(columns, rows, lines, board.names, misere, holes),
    )


def twins_in_a_row(columns, rows, length, *, misere=False, falls=False):
    lines = naive.in_a_row(columns, rows, length)
    return game_twins(columns, rows, lines, misere=misere, falls=falls)


def catalogue_twins(name):
    """A game of the catalogue; its naive twin is told only what the game's file says in so many words."""
    game = load_game(name)
    board = game.board
    lines = [[cell for cell in range(board.size) if line >> cell & 1] for line in game.lines]
    holes = set(range(board.columns * board.rows)) - set(board.squares)
    slow = naive.Falling if falls(game) else naive.Game
    return Twins(game, slow(board.columns, board.rows, lines, board.names, game.misere, holes))


@st.composite
def games(draw, most_cells=6):
    """Any rectangle with few cells, with lines in a row or lines of one's own; some with holes."""
    columns = draw(st.integers(1, 4))
    rows = draw(st.integers(1, max(1, most_cells // columns)))
    squares = columns * rows
    holes = draw(st.just(()) | st.sets(st.integers(0, squares - 1), max_size=squares - 1).map(sorted))
    cells = squares - len(holes)
    if cells > 1 and not holes and draw(st.booleans()):
        lines = draw(lines_in_a_row(columns, rows))
    else:
        lines = draw(lines_of_its_own(cells))
    names = draw(st.sampled_from([(), tuple(str(cell) for cell in range(cells)), tuple("bcdefgh"[:cells])]))
    names = names if len(names) == cells else ()
    return game_twins(columns, rows, lines, names, misere=draw(st.booleans()), holes=holes)


def lines_in_a_row(columns, rows):
    return st.integers(2, max(2, min(3, columns, rows))).map(lambda n: naive.in_a_row(columns, rows, n))


def lines_of_its_own(cells):
    line = st.lists(st.integers(0, cells - 1), min_size=min(2, cells), max_size=min(4, cells), unique=True)
    return st.lists(line.map(sorted), min_size=1, max_size=5, unique_by=tuple)


@st.composite
def falling_games(draw, most_cells=6):
    """Any rectangle with few cells on which marks fall, with lines in a row or lines of its own."""
    columns = draw(st.integers(1, 4))
    rows = draw(st.integers(1, max(1, most_cells // columns)))
    lines = draw(lines_in_a_row(columns, rows) | lines_of_its_own(columns * rows))
    return game_twins(columns, rows, lines, misere=draw(st.booleans()), falls=True)


def boards(pair):
    """Any board, whoever has more marks; where marks fall, none hangs in the air."""
    size = pair.game.board.size
    signs = st.lists(st.sampled_from("FS.."), min_size=size, max_size=size).map("".join)
    return signs.map(lambda board: settled(pair.game.board.columns, board)) if falls(pair.game) else signs


def settled(columns, board):
    """The board when every mark has fallen as far as it can."""
    found = list(board)
    for column in range(columns):
        cells = range(column, len(board), columns)
        marks = [board[cell] for cell in cells if board[cell] != naive.FREE]
        for cell, sign in zip(cells, [naive.FREE] * (len(cells) - len(marks)) + marks, strict=True):
            found[cell] = sign
    return "".join(found)


def falls(game):
    return isinstance(game, Gravity)


def codes_of(pair, boards, mover):
    """The codes of some boards, all with the same player to move."""
    held = [
        [sum(1 << cell for cell, s in enumerate(board) if s == sign) for sign in "FS"] for board in boards
    ]
    return np.array([pair.game.code_of(*sets, mover) for sets in held], dtype=np.uint64)


# House rules ----------------------------------------------------------------------------------------------


def house_twins(game, rules, kind="line", longest=8):
    """House rules from (classes, cost, forgiven) in order; written as a file and read back."""
    text = ['kind = "house-rules"', f'input = "{kind}"']
    if kind == "line":
        text.append(f"longest = {longest}")
    for number, (when, cost, forgive) in enumerate(rules):
        text += [
            "[[rule]]",
            f"when = {list(when)}".replace("'", '"'),
            f'say = "SAY {number}"',
            f'cost = "{cost}"',
        ]
        text += [f"forgive = {forgive}", f'say-forgiven = "MILD {number}"'] if forgive else []
    written = tuple(
        naive.HouseRule(order_of(game) if when == ["any"] else tuple(when), cost, n)
        for when, cost, n in rules
    )
    return HouseTwins(
        parse_house_rules("\n".join(text), "drawn.toml", game), naive.House(kind, longest, written)
    )


def order_of(game):
    return FALLING_ORDER if falls(game) else ORDER


@st.composite
def house_rules(draw, game, most_forgiven=2):
    """Random house rules: any order, classes, costs and counts, by line or by key."""
    longest_name = max(map(len, game.move_names))
    kind = draw(st.sampled_from(["line", "key"] if longest_name == 1 else ["line"]))
    longest = draw(st.integers(longest_name, longest_name + 2))
    rules = []
    left = most_forgiven
    for _ in range(draw(st.integers(0, 3))):
        classes = st.sampled_from(order_of(game))
        when = draw(st.lists(classes, min_size=1, max_size=3, unique=True) | st.just(["any"]))
        charged = when != ["after-end"]
        cost = draw(st.sampled_from(("nothing", "turn", "game"))) if charged else "nothing"
        forgive = draw(st.integers(0, left)) if charged else 0
        left -= forgive
        rules.append((when, cost, forgive))
    return house_twins(game, rules, kind, longest)


# Positions ------------------------------------------------------------------------------------------------


def code_of(housed: HousedGame, state: naive.State) -> int:
    """The code that the rooms should give to a naive position, put together bit by bit."""
    [code] = codes_of(Twins(housed.fair, None), [state.board], 0).tolist()
    bit = housed.fair.bits
    for rule, count in zip(housed.house.rules, (*state.forgiven, 0), strict=False):
        code |= count << bit
        bit += rule.forgive.bit_length()
    return code | state.thrown_out << bit | state.turn << 63


def state_of(housed: HousedGame, code: int) -> naive.State:
    """The naive position that a code stands for."""
    first, second = (int(held[0]) for held in housed.fair.holdings(housed.fair_codes(one(code))))
    board = "".join(
        ".FS?"[(first >> cell & 1) + 2 * (second >> cell & 1)] for cell in range(housed.fair.board.size)
    )
    bit, forgiven = housed.fair.bits, []
    written = [rule for rule in housed.house.rules if rule.name != "the usual rule"]
    for rule in written:
        width = rule.forgive.bit_length()
        forgiven.append(code >> bit & ((1 << width) - 1))
        bit += width
    return naive.State(board, code >> 63, tuple(forgiven), bool(code >> bit & 1 and bit < 63))


def one(code: int) -> np.ndarray:
    return np.array([code], dtype=np.uint64)


def naive_move(housed: HousedGame, move: int):
    """A move as the naive model calls it: the cell, or what a wrong input brings about."""
    return int(move) if move < housed.fair_moves else housed.move_names[move].strip("()")


# Strategies -----------------------------------------------------------------------------------------------

WAYS = (
    "occupying it", "occupying the only one", "clearing it", "any threat",
    "a safe threat", "a clearing threat", "an occupying threat",
)  # fmt: skip
WHOLE_RULES = (
    "complete a line", "block a line", "make a double threat", "stop a double threat", "take any free cell",
    "take the centre", "take a corner", "take an edge", "take the opposite corner",
)  # fmt: skip


@st.composite
def stop_rules(draw):
    """*Stop a double threat* with ways of its own."""
    group = st.lists(st.sampled_from(WAYS), min_size=1, max_size=2, unique=True).map(" or ".join)
    return "stop a double threat by " + ", else ".join(draw(st.lists(group, min_size=1, max_size=3)))


@st.composite
def cell_rules(draw, game):
    cells = draw(st.lists(st.sampled_from(game.names), min_size=1, max_size=3, unique=True))
    return draw(st.sampled_from(["take ", "take the first free of "])) + ", ".join(cells)


@st.composite
def pictures(draw, game):
    signs = draw(st.lists(st.sampled_from("MV_---"), min_size=len(game.cells), max_size=len(game.cells)))
    signs[draw(st.sampled_from(list(game.cells)))] = "!"
    return draw(st.sampled_from(["picture", "picture fixed"])), tuple(game.written(signs))


@st.composite
def weights(draw, game):
    """*Take the heaviest cell* with a few weights for cells and lines that there are in the game."""
    groups = {
        "the centre": naive_sheet._centre,
        "a corner": naive_sheet._corners,
        "an edge": naive_sheet._edges,
    }
    name = draw(st.sampled_from(game.names))
    kinds = ["a line", "a straight line", "a diagonal line"]
    if game.lines:
        line = [game.names[cell] for cell in draw(st.sampled_from(game.lines))]
        kinds.append(f"a line like {draw(st.permutations(line).map(', '.join))}")
    whats = [what for what, cells in groups.items() if cells(game)] + [f"a cell like {name}", name]
    for kind in kinds:
        most = max((len(line) for line in naive_sheet.weighed_lines(game, kind)), default=0) - 1
        whats += [f"{kind} with {marks}" for marks in _counts_of_marks(most)]
    rows = draw(st.lists(st.sampled_from(whats), min_size=1, max_size=8, unique=True))
    return "take the heaviest cell", tuple(f"{draw(st.integers(-3, 9))} for {what}" for what in rows)


def _counts_of_marks(most):
    """How many marks a line may hold, in words, if it may hold `most` at most."""
    for mine, theirs in product(range(most + 1), repeat=2):
        said = [f"{mine} of mine"] * (mine > 0) + [f"{theirs} of the visitor's"] * (theirs > 0)
        if mine + theirs <= most:
            yield " and ".join(said) or "no marks"


@st.composite
def tables(draw, game):
    """A table of a few positions (written as text) and moves, some of them illegal; plain or turned."""
    turned = draw(st.booleans())
    rows = {}
    for _ in range(draw(st.integers(0, 6))):
        marks = draw(st.lists(st.sampled_from("MV___"), min_size=len(game.cells), max_size=len(game.cells)))
        if isinstance(game, naive.Falling):
            marks = settled(game.columns, "".join(marks).replace("_", naive.FREE)).replace(naive.FREE, "_")
        text = "/".join(game.written(marks))
        board = naive_sheet.board_of(game, text, 0)
        rows[game.least_image(board)[0] if turned else board] = (text, draw(st.sampled_from(game.move_names)))
    return "table", tuple(rows.values()), turned


def rules(game):
    """Any one rule that makes sense on the board of a naive game."""
    groups = {
        "take the centre": naive_sheet._centre,
        "take a corner": naive_sheet._corners,
        "take an edge": naive_sheet._edges,
        "take the opposite corner": naive_sheet._opposite_pairs,
    }
    fitting = [rule for rule in WHOLE_RULES if rule not in groups or groups[rule](game)]
    search = st.integers(1, 3).map(lambda plies: f"look ahead {plies} {'ply' if plies == 1 else 'plies'}")
    whole = st.sampled_from(fitting)
    return (
        whole
        | whole
        | stop_rules()
        | cell_rules(game)
        | pictures(game)
        | weights(game)
        | search
        | tables(game)
    )


def sheets(game):
    """A whole sheet: some rules in some order."""
    return st.lists(rules(game), min_size=1, max_size=6)


def sheet_lines(rule):
    """A rule as it stands in a sheet."""
    return [rule] if isinstance(rule, str) else [rule[0], *rule[1]]


def read_rules(game, sheet):
    """The rules of a sheet as the solver reads them; tables are put between by hand."""
    read = []
    for rule in sheet:
        if isinstance(rule, tuple) and rule[0] == "table":
            lines = ["position,move", *(f"{position},{move}" for position, move in rule[1])]
            rows = TableReader("drawn.csv", lines, game).read(0, turned=rule[2])
            read.append(TableRule("drawn", 1, game, rows, turned=rule[2]))
        else:
            read += SheetReader("drawn.rules", sheet_lines(rule), game).read(0)
    return read


def strategy_twins(twins, seat, sheet, choice="open"):
    """A strategy and its naive twin."""
    return (
        Strategy("drawn", "drawn.rules", twins.game, seat, read_rules(twins.game, sheet), choice),
        naive_sheet.Strategy(twins.naive, seat, list(sheet), choice),
    )
