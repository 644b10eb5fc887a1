"""What is said to be needed is what is needed: measured by Python's own account of numpy's arrays."""

import tracemalloc
from functools import cache
from itertools import pairwise
from typing import NamedTuple

import pytest

from games.house import load_house_rules
from games.housed import HousedGame
from games.load import load_game, parse_game
from solver.engines import solve_any, solve_plainly
from solver.loops import solve_loops
from solver.progress import COUNTING, PLANNED
from solver.run import MEGABYTE, MEMORY, Run, TooMuchMemory, megabytes

MARKS = 'kind = "game"\nfamily = "marks"\ncolumns = {}\nrows = {}\nin-a-row = {}\n'
SLIDES = 'kind = "game"\nfamily = "steps"\ncolumns = {}\nrows = {}\nmen = {}\nin-a-row = {}\n'
BOXES = 'kind = "game"\nfamily = "fill"\nplay = "boxes"\ncolumns = {}\nrows = {}\n'


def drawn(text, *numbers):
    return parse_game(text.format(*numbers), "drawn.toml")


def housed(game, house, seat=1):
    return HousedGame(game, load_house_rules(house, game), seat)


def by_loops(game, report=None, memory=MEMORY):
    return solve_loops(game, run=Run(memory, report))


MIDDLING = {
    "layers, marks": (solve_plainly, lambda: drawn(MARKS, 4, 3, 3)),
    "layers, falling marks": (solve_plainly, lambda: drawn(MARKS + "gravity = true\n", 5, 3, 4)),
    "layers, under house rules": (solve_any, lambda: housed(load_game("four-by-three"), "lost-turn")),
    "layers, dominoes": (solve_any, lambda: load_game("domineering-five")),
    "loops, men that slide": (solve_plainly, lambda: drawn(SLIDES, 4, 4, 3, 3)),
    "loops, under house rules": (solve_any, lambda: housed(drawn(SLIDES, 4, 3, 3, 3), "lost-turn")),
    "loops, though nothing repeats": (by_loops, lambda: load_game("two-rows")),
    "scores": (solve_any, lambda: load_game("boxes-three-by-two")),
    "scores, a longer row": (solve_any, lambda: drawn(BOXES, 5, 1)),
    "halves": (solve_any, lambda: drawn(MARKS, 5, 3, 4)),
    "halves, a board with holes": (solve_any, lambda: load_game("round-the-basin")),
    "halves, falling marks": (solve_any, lambda: drawn(MARKS + "gravity = true\n", 5, 4, 4)),
    "slides": (solve_any, lambda: drawn(SLIDES, 4, 4, 4, 4)),
    "slides, few men": (solve_any, lambda: drawn(SLIDES, 5, 5, 3, 3)),
}


class Watched(NamedTuple):
    """A run that was watched: what it reported, how much memory it took, and how much its result takes."""

    told: list
    peak: int
    held: int
    solved: object

    @property
    def planned(self):
        [planned] = [progress.memory for progress in self.told if progress.stage == PLANNED]
        return planned


@cache
def watched(case):
    solve, make = MIDDLING[case]
    game, told = make(), []
    tracemalloc.start()
    try:
        solved = solve(game, report=told.append)
        held, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    return Watched(told, peak, held, solved)


@pytest.mark.parametrize("case", MIDDLING)
def test_the_plan_is_enough_and_not_twice_too_much(case):
    run = watched(case)
    print(f"{case}: {run.solved.positions:,} positions, {run.peak:,} bytes of {run.planned:,}")
    assert run.peak <= run.planned <= 2 * run.peak
    assert run.solved.held <= run.held * 1.01


@pytest.mark.parametrize("case", MIDDLING)
def test_a_little_less_than_the_plan_is_refused_with_the_figure(case):
    planned = watched(case).planned
    solve, make = MIDDLING[case]
    with pytest.raises(TooMuchMemory) as refused:
        solve(make(), memory=planned - 1)
    found, figure = refused.value.found_so_far, f"{megabytes(planned):,} MB of memory"
    takes = (
        f"{figure};"
        if found is None
        else f"at least {figure}, for {found:,} positions that were met before stopping;"
    )
    assert (
        str(refused.value) == f"this takes {takes} no more than {(planned - 1) // MEGABYTE:,} MB may be used"
    )
    assert refused.value.needed == planned


@pytest.mark.parametrize("case", MIDDLING)
def test_what_is_said_while_positions_are_counted_grows_to_the_plan(case):
    """Counting may begin once more, where another engine turns out to be the better one."""
    run = watched(case)
    counted = [progress for progress in run.told if progress.stage == COUNTING]
    for before, after in pairwise(counted):
        assert before.memory <= after.memory or after.positions == 1
    assert not counted or counted[-1].memory <= run.planned


TOO_MANY = (
    r"^this takes at least \d+ MB of memory, for [\d,]+ positions that were met before stopping; "
    r"no more than 80 MB may be used$"
)


def test_counting_stops_long_before_the_end_when_there_are_too_many():
    game = drawn(MARKS, 5, 5, 4)
    with pytest.raises(TooMuchMemory, match=TOO_MANY) as refused:
        solve_plainly(game, memory=80 << 20)
    assert 100_000 < refused.value.found_so_far < 4_000_000


def test_before_work_starts_what_is_too_large_is_refused():
    """A table of 260 GB is not even begun."""
    with pytest.raises(
        TooMuchMemory, match=r"^this takes \d{3},\d{3} MB of memory; no more than 2,048 MB may be used$"
    ):
        solve_any(drawn(MARKS, 5, 5, 4))
