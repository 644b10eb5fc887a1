"""Men that step, on other boards and by other rules: figures known by heart, and figures of the plainest program."""

from itertools import permutations, product

import pytest

from games.load import load_game
from solver.engines import solve_game
from solver.solved import start_values
from tests.published import figures, plainly
from tests.published.figures import OURS, Published, found


def beside(columns, rows, pattern):
    """The points beside each point of a grid, with the diagonals that a pattern has."""
    middle = (columns - 1, rows - 1)

    def joined(x, y, right, down):
        through_middle = (2 * x - middle[0]) * down == (2 * y - middle[1]) * right
        return not (right and down) or pattern == "all-neighbours" or (
            pattern == "centre-diagonals" and through_middle
        )  # fmt: skip

    if pattern == "anywhere":
        return [set(range(columns * rows)) - {point} for point in range(columns * rows)]
    ways = [way for way in product((-1, 0, 1), repeat=2) if way != (0, 0)]
    return [
        {
            (y + down) * columns + x + right
            for right, down in ways
            if 0 <= x + right < columns and 0 <= y + down < rows and joined(x, y, right, down)
        }
        for y, x in product(range(rows), range(columns))
    ]


# Three men's morris and its relatives ---------------------------------------------------------------------

GRIDS = [
    (3, 3, 3, men, pattern)
    for men in (3, 4)
    for pattern in ("orthogonal", "centre-diagonals", "all-neighbours", "anywhere")
] + [(3, 3, 2, 2, "orthogonal"), (3, 2, 2, 2, "all-neighbours"), (4, 2, 3, 3, "all-neighbours")]


@pytest.mark.parametrize(("columns", "rows", "length", "men", "pattern"), GRIDS)
def test_what_the_plain_program_finds(columns, rows, length, men, pattern):
    lines = plainly.straight_lines(columns, rows, length)
    wanted = plainly.solve(plainly.placed_men(beside(columns, rows, pattern), lines, men))
    game = figures.read(
        "steps", columns=columns, rows=rows, in_a_row=length, men=men, pattern=pattern
    )  # fmt: skip
    assert found(game) == wanted


@pytest.mark.parametrize("blocked", ["draws", "wins"])
@pytest.mark.parametrize("men", [3, 4])
def test_what_the_plain_program_finds_where_being_blocked_is_no_loss(men, blocked):
    lines = plainly.straight_lines(3, 3, 3)
    wanted = plainly.solve(plainly.placed_men(beside(3, 3, "orthogonal"), lines, men, blocked=blocked))
    assert found(figures.read("steps", columns=3, rows=3, in_a_row=3, men=men, blocked=blocked)) == wanted


@pytest.mark.parametrize("pattern", ["orthogonal", "centre-diagonals", "all-neighbours", "anywhere"])
@pytest.mark.parametrize("start", ["SSS___FFF", "SFS_FSF__", "FS_SF__FS"])
def test_men_that_begin_on_their_home_rows(pattern, start):
    """As in tant fant of India, of which this is close: a row that stands from the start is worth nothing."""
    rows = [start[:3], start[3:6], start[6:]]
    lines = plainly.straight_lines(3, 3, 3)
    wanted = plainly.solve(plainly.lines_made_by_steps(beside(3, 3, pattern), start.replace("_", "."), lines))
    game = figures.read(
        "steps", columns=3, rows=3, in_a_row=3, pattern=pattern, start=rows, lines_while_placing="never"
    )  # fmt: skip
    assert found(game) == wanted


FOUR_BY_THREE = {(4, 3): plainly.Found("first", 11, 46_303), (4, 4): plainly.Found("first", 5, 363_129)}
"""Three men a side, three in a row, on larger boards; found by the plain program too, which takes half a minute."""


@pytest.mark.parametrize("size", FOUR_BY_THREE)
def test_three_men_on_larger_boards(size):
    columns, rows = size
    assert found(figures.read("steps", columns=columns, rows=rows, in_a_row=3, men=3)) == FOUR_BY_THREE[size]


TEEKO = Published(
    ("draw", 171_875_046),
    "J. Scarne's game of 1945 on 5 x 5: four men a side are placed and then go one step in any direction, and four in "
    "a row or in a square win; G. Steele, 1998: under the usual rules neither player can force a win (from memory). "
    f"The positions are {OURS}",
)


@pytest.mark.long
def test_four_in_a_row_or_in_a_square():
    corners = product(range(4), range(4))
    squares = [(5 * y + x, 5 * y + x + 1, 5 * y + x + 5, 5 * y + x + 6) for x, y in corners]
    names = [f"{'abcde'[point % 5]}{point // 5 + 1}" for point in range(25)]
    lines = [[names[point] for point in line] for line in (*plainly.straight_lines(5, 5, 4), *squares)]
    assert len(lines) == 44
    game = figures.read("steps", columns=5, rows=5, pattern="all-neighbours", men=4, lines=lines)
    solved = solve_game(game, memory=6 << 30)
    assert (start_values(solved)[0], solved.positions) == TEEKO.value


# Wheels: mu torere, and shisima ---------------------------------------------------------------------------


def on_a_wheel(spokes, **keys):
    """A game on a rim of so many points, laid out in a row, with the hub behind them."""
    rim = [f"p{point}" for point in range(spokes)]
    steps = [[a, b] for a, b in zip(rim, [*rim[1:], rim[0]], strict=True)] if spokes > 2 else [rim]
    return figures.read(
        "steps", columns=spokes + 1, rows=1, cells=[*rim, "hub"], steps=[*steps, *([p, "hub"] for p in rim)], **keys
    )  # fmt: skip


STARTS = ["FS.", "FFSS.", "FSFS.", "FFFSSS.", "FFSFSS.", "FFFFSSSS.", "FSFSFSFS.", "FFSSFFSS.", "FFFSSFSS."]


@pytest.mark.parametrize("start", STARTS)
def test_mu_torere_with_other_numbers_of_men_and_other_starts_without_any_rule_of_entry(start):
    wanted = plainly.solve(plainly.standing_men(plainly.wheel(len(start) - 1), start))
    assert found(on_a_wheel(len(start) - 1, start=[start.replace(".", "_")])) == wanted


ENTRY = {
    (3, 0): ("draw", None), (3, 1): ("draw", None), (3, 2): ("draw", None), (3, 3): ("draw", None),
    (4, 0): ("draw", None), (4, 1): ("second", 4), (4, 2): ("draw", None), (4, 3): ("draw", None),
    (5, 0): ("draw", None), (5, 1): ("second", 4), (5, 2): ("first", 9), (5, 3): ("first", 9),
}  # fmt: skip
"""Men a side, and in how many of each side's first moves the hub may only be entered from beside the others (0: all).

Ours only; a plain program found the same."""


@pytest.mark.parametrize(("men", "moves"), ENTRY)
def test_mu_torere_with_other_rules_of_entry(men, moves):
    start = "F" * men + "S" * men + "_"
    keys = {"guarded_moves": moves} if moves else {}
    solution = found(on_a_wheel(2 * men, start=[start], guarded=["hub"], **keys))
    assert (solution.value, solution.plies) == ENTRY[men, moves]


DIAMETERS = [(point, 8, point + 4) for point in range(4)]


@pytest.mark.parametrize("start", ["FFF.SSS..", "FFFSSS...", "FFF..SSS."])
def test_shisima_is_a_draw(start):
    """Three men a side on an octagon, of Kenya: three in a row through the hub win (C. Zaslavsky; from memory)."""
    lines = [[f"p{a}", "hub", f"p{b}"] for a, _, b in DIAMETERS]
    wanted = plainly.solve(plainly.standing_men(plainly.wheel(8), start, DIAMETERS))
    assert found(on_a_wheel(8, start=[start.replace(".", "_")], lines=lines)) == wanted
    assert wanted.value == "draw"


def test_a_wheel_on_which_men_are_placed():
    lines = [[f"p{a}", "hub", f"p{b}"] for a, _, b in DIAMETERS]
    wanted = plainly.solve(plainly.placed_men(plainly.wheel(8), DIAMETERS, 3))
    assert found(on_a_wheel(8, men=3, lines=lines)) == wanted


# Pong hau k'i from every start ----------------------------------------------------------------------------

BRIDGE = [{2, 3}, {2, 4}, {0, 1, 3, 4}, {0, 2, 4}, {1, 2, 3}]
"""The points beside each of the five: two above, the middle one, two below; the side above is open."""
EVERY_START = sorted(set(map("".join, permutations("FFSS."))))


def pong_hau_ki(start, begins):
    signs = start.replace(".", "_")
    rows = [f"{signs[0]}.{signs[1]}", f".{signs[2]}.", f"{signs[3]}.{signs[4]}"]
    return figures.read(
        "steps", columns=3, rows=3, holes=["2", "4", "6", "8"], cells=list("12345"), begins=begins, start=rows,
        steps=[["1", "4", "5", "2"], ["1", "3", "2"], ["4", "3", "5"]],
    )  # fmt: skip


@pytest.mark.parametrize("start", EVERY_START)
def test_pong_hau_ki_from_every_start(start):
    for begins, player in enumerate(plainly.PLAYERS):
        rules = plainly.standing_men(BRIDGE, start, begins=begins)
        if not rules.result(rules.start):
            assert found(pong_hau_ki(start, player)) == plainly.solve(rules)


STUCK_OR_LOST = Published(
    8,
    "of 60 starts those that can be won, at once, by blocking; ours only, and by hand: all others are draws",
)


def test_pong_hau_ki_can_only_be_won_at_once():
    starts = [(start, begins) for start in EVERY_START for begins in (0, 1)]
    rules = [plainly.standing_men(BRIDGE, start, begins=begins) for start, begins in starts]
    solutions = [plainly.solve(each) for each in rules if not each.result(each.start)]
    assert len(solutions) == 56
    assert [found.plies for found in solutions if found.value != "draw"] == [1] * STUCK_OR_LOST.value


def test_the_catalogues_bridge_is_this_one():
    """The start of the catalogue is one of these sixty: both men of a side above, the others below."""
    assert found(load_game("pong-hau-ki")) == found(pong_hau_ki("FF.SS", "first"))
