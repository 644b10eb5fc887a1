"""Everything made twice: once for the four rooms and once for the naive model, drawn at random or given."""

from typing import NamedTuple

import numpy as np
from hypothesis import settings
from hypothesis import strategies as st

from games.board import Board
from games.house import HouseRules, parse_house_rules
from games.housed import HousedGame
from games.load import load_game
from games.marks import Marks
from solver.sheet.reader import SheetReader
from solver.strategy import Strategy
from solver.table import TableReader, TableRule
from tests import naive

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
FEWER = settings(max_examples=max(8, settings().max_examples // 3))
"""For property tests whose single example takes a second."""


class Twins(NamedTuple):
    """A game and its naive twin."""

    game: Marks
    naive: naive.Game


class HouseTwins(NamedTuple):
    """House rules and their naive twin."""

    rules: HouseRules
    naive: naive.House


# Games ----------------------------------------------------------------------------------------------------


def game_twins(columns, rows, lines, names=(), *, misere=False):
    board = Board(columns, rows, tuple(names))
    lines = [tuple(line) for line in lines]
    return Twins(
        Marks("drawn", board, lines, misere=misere),
        naive.Game(columns, rows, lines, board.names, misere),
    )


def twins_in_a_row(columns, rows, length, *, misere=False):
    return game_twins(columns, rows, naive.in_a_row(columns, rows, length), misere=misere)


def catalogue_twins(name):
    """A game of the catalogue; its naive twin is told only what the game's file says in so many words."""
    game = load_game(name)
    board = game.board
    lines = [[cell for cell in range(board.size) if line >> cell & 1] for line in game.lines]
    return Twins(game, naive.Game(board.columns, board.rows, lines, board.names, game.misere))


@st.composite
def games(draw, most_cells=6):
    """Any rectangle with few cells, with lines in a row or lines of one's own."""
    columns = draw(st.integers(1, 4))
    rows = draw(st.integers(1, max(1, most_cells // columns)))
    cells = columns * rows
    misere = draw(st.booleans())
    if cells > 1 and draw(st.booleans()):
        lines = naive.in_a_row(columns, rows, draw(st.integers(2, max(2, min(3, columns, rows)))))
    else:
        line = st.lists(
            st.integers(0, cells - 1), min_size=min(2, cells), max_size=min(4, cells), unique=True
        )
        lines = draw(st.lists(line.map(sorted), min_size=1, max_size=5, unique_by=tuple))
    names = draw(st.sampled_from([(), tuple(str(cell) for cell in range(cells)), tuple("bcdefgh"[:cells])]))
    return game_twins(columns, rows, lines, names if len(names) == cells else (), misere=misere)


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
        naive.HouseRule(ORDER if when == ["any"] else tuple(when), cost, n) for when, cost, n in rules
    )
    return HouseTwins(
        parse_house_rules("\n".join(text), "drawn.toml", game), naive.House(kind, longest, written)
    )


@st.composite
def house_rules(draw, game, most_forgiven=2):
    """Random house rules: any order, classes, costs and counts, by line or by key."""
    longest_name = max(map(len, game.move_names))
    kind = draw(st.sampled_from(["line", "key"] if longest_name == 1 else ["line"]))
    longest = draw(st.integers(longest_name, longest_name + 2))
    rules = []
    left = most_forgiven
    for _ in range(draw(st.integers(0, 3))):
        when = draw(st.lists(st.sampled_from(ORDER), min_size=1, max_size=3, unique=True) | st.just(["any"]))
        charged = when != ["after-end"]
        cost = draw(st.sampled_from(("nothing", "turn", "game"))) if charged else "nothing"
        forgive = draw(st.integers(0, left)) if charged else 0
        left -= forgive
        rules.append((when, cost, forgive))
    return house_twins(game, rules, kind, longest)


# Positions ------------------------------------------------------------------------------------------------


def code_of(housed: HousedGame, state: naive.State) -> int:
    """The code that the rooms should give to a naive position, put together bit by bit."""
    size = len(state.board)
    code = sum(1 << cell for cell, sign in enumerate(state.board) if sign == "F")
    code |= sum(1 << size + cell for cell, sign in enumerate(state.board) if sign == "S")
    bit = 2 * size
    for rule, count in zip(housed.house.rules, (*state.forgiven, 0), strict=False):
        code |= count << bit
        bit += rule.forgive.bit_length()
    return code | state.thrown_out << bit | state.turn << 63


def state_of(housed: HousedGame, code: int) -> naive.State:
    """The naive position that a code stands for."""
    size = housed.fair.board.size
    board = "".join(".FS?"[(code >> cell & 1) + 2 * (code >> size + cell & 1)] for cell in range(size))
    bit, forgiven = 2 * size, []
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
    width = game.columns
    rows = ["".join(signs[at : at + width]) for at in range(0, len(signs), width)]
    return draw(st.sampled_from(["picture", "picture fixed"])), tuple(rows)


@st.composite
def tables(draw, game):
    """A table of a few positions (written as text) and moves, some of them illegal; plain or turned."""
    turned = draw(st.booleans())
    rows = {}
    for _ in range(draw(st.integers(0, 6))):
        marks = draw(st.lists(st.sampled_from("MV___"), min_size=len(game.cells), max_size=len(game.cells)))
        text = "/".join("".join(marks[at : at + game.columns]) for at in range(0, len(marks), game.columns))
        board = naive.board_of(game, text, 0)
        rows[game.least_image(board)[0] if turned else board] = (text, draw(st.sampled_from(game.names)))
    return "table", tuple(rows.values()), turned


def rules(game):
    """Any one rule that makes sense on the board of a naive game."""
    fitting = [rule for rule in WHOLE_RULES if rule != "take an edge" or naive._edges(game)]
    search = st.integers(1, 3).map(lambda plies: f"look ahead {plies} {'ply' if plies == 1 else 'plies'}")
    whole = st.sampled_from(fitting)
    return whole | whole | stop_rules() | cell_rules(game) | pictures(game) | search | tables(game)


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
        naive.Strategy(twins.naive, seat, list(sheet), choice),
    )
