"""Counts of a solved game: by ply, up to symmetry, endings by result, and the lines of play."""

from collections.abc import Iterator
from typing import NamedTuple, TypeVar

import numpy as np
import numpy.typing as npt

from games.codes import DRAW, FIRST_WINS, RESULTS, SECOND_WINS, UNFINISHED, Codes, Indices, distinct
from games.game import Game, least_images
from solver.forward import Gathered
from solver.loops import Loops
from solver.progress import Stage
from solver.run import Run
from solver.scores import SolvedScores
from solver.solved import Solved

Ways = npt.NDArray[np.int64] | npt.NDArray[np.object_]
"""In how many ways positions are reached: whole numbers of any size where they need it."""
ENDINGS = (FIRST_WINS, SECOND_WINS, DRAW)
ALIKE = Stage("counting up to symmetry")
LINES = Stage("counting lines of play", is_last=True)
PART = 1 << 13
"""So many positions are counted at a time."""
BYTES_BY_PLY, BYTES_IN_ROUNDS = 60, 36
"""For each position of the largest ply; for each position where lines are counted over all of them together."""
BYTES_AT_A_TIME = 1000
"""For each position that is counted at a time: its moves and its images."""
_SAFE = float(1 << 62)
_T = TypeVar("_T", bound=np.generic)


class Tally(NamedTuple):
    """Positions by the ply on which they are first reached, final positions by result, and lines of play by result.

    lines: None where play can be endless.
    """

    by_ply: list[int]
    by_ply_up_to_symmetry: list[int]
    endings: dict[str, int]
    lines: dict[str, int] | None


def tally(solved: Solved | SolvedScores, run: Run | None = None) -> Tally:
    """Count a solved game's positions and lines.  Raises TooMuchMemory where the run may not use what it takes."""
    run = run or Run()
    run.plan(bytes_needed(solved))
    by_ply, one_of_each = [], []
    endings = np.zeros(len(RESULTS), dtype=np.int64)
    for codes in solved.plies():
        by_ply.append(len(codes))
        one_of_each.append(0)
        for part in parts(codes):
            run.tell(ALIKE, sum(by_ply[:-1]), solved.positions, solved.positions)
            one_of_each[-1] += int((least_images(solved.game, part)[0] == part).sum())
            endings += np.bincount(solved.game.ending(part), minlength=len(RESULTS))
    by_result = {RESULTS[result]: int(endings[result]) for result in ENDINGS}
    return Tally(by_ply, one_of_each, by_result, _lines(solved, run))


def bytes_needed(solved: Solved | SolvedScores) -> int:
    """How many bytes counting takes at its greatest, besides what is counted."""
    together = solved.positions if _in_rounds(solved) else solved.largest_ply
    each = BYTES_IN_ROUNDS if _in_rounds(solved) else BYTES_BY_PLY
    return each * together + BYTES_AT_A_TIME * min(together, PART)


def _in_rounds(solved: Solved | SolvedScores) -> bool:
    """Whether lines are counted over all positions together, and not ply by ply."""
    return solved.game.can_repeat or isinstance(solved, Loops)


def _lines(solved: Solved | SolvedScores, run: Run) -> dict[str, int] | None:
    if _in_rounds(solved):
        return lines_in_rounds(solved, run)
    return lines_by_result(solved.game, solved.start, run, solved.positions)


def lines_in_rounds(solved: Solved | SolvedScores, run: Run) -> dict[str, int] | None:
    """How many lines of play end in each result, exactly; None where play can be endless.

    A position's turn comes when all that lead to it have had theirs: so its ways are complete then.
    """
    game, codes = solved.game, np.concatenate(list(solved.plies()))
    codes.sort(kind="stable")
    waiting = _ways_in(game, codes)
    ready = np.searchsorted(codes, np.array([solved.start], dtype=np.uint64))
    ways: Ways = np.zeros(len(codes), dtype=np.int64)
    ways[ready] = 1
    most, had_turn = 1.0, 0
    while len(ready) and not waiting[ready].any():
        run.tell(LINES, had_turn, len(codes), len(codes))
        had_turn += len(ready)
        most += float(ways[ready].astype(np.float64).sum()) * len(game.move_names)
        if most >= _SAFE:
            ways = ways.astype(object)
        ready = _next_round(game, codes, ready, ways, waiting)
    if had_turn < len(codes):
        return None
    ending = game.ending(codes)
    return {RESULTS[result]: int(ways[ending == result].sum()) for result in ENDINGS}


def _next_round(
    game: Game, codes: Codes, ready: Indices, ways: Ways, waiting: npt.NDArray[np.uint32]
) -> Indices:
    """Pass on the ways of those whose turn it is; whose turn comes next."""
    new = [ready[:0]]
    for at in parts(ready):
        open_ = at[game.ending(codes[at]) == UNFINISHED]
        if len(open_):
            moves = game.moves(codes[open_])
            child = np.searchsorted(codes, moves.child)
            np.add.at(ways, child, ways[open_[moves.parent]])
            np.subtract.at(waiting, child, np.uint32(1))
            children = distinct(child)
            new.append(children[waiting[children] == 0])
    return distinct(np.concatenate(new))


def _ways_in(game: Game, codes: Codes) -> npt.NDArray[np.uint32]:
    """How many moves lead to each of some positions, which are all that can arise, (n,)."""
    count = np.zeros(len(codes), dtype=np.uint32)
    for part in parts(codes):
        child = game.moves(part[game.ending(part) == UNFINISHED]).child
        np.add.at(count, np.searchsorted(codes, child), np.uint32(1))
    return count


def lines_by_result(game: Game, start: int, run: Run | None = None, positions: int = 0) -> dict[str, int]:
    """How many lines of play end in each result, exactly, in a game that cannot repeat and has so many positions."""
    run = run or Run()
    codes = np.array([start], dtype=np.uint64)
    ways: Ways = np.ones(1, dtype=np.int64)
    lines = dict.fromkeys((RESULTS[result] for result in ENDINGS), 0)
    done = 0
    while len(codes):
        run.tell(LINES, min(done, positions), positions, positions)
        done += len(codes)
        ending = np.concatenate([game.ending(part) for part in parts(codes)])
        for result in ENDINGS:
            lines[RESULTS[result]] += int(ways[ending == result].sum())
        codes, ways = _one_ply_on(game, codes[ending == UNFINISHED], ways[ending == UNFINISHED])
    return lines


def _one_ply_on(game: Game, codes: Codes, ways: Ways) -> tuple[Codes, Ways]:
    """The positions one ply later, and in how many ways each is reached."""
    gathered = Gathered()
    for part in parts(codes):
        gathered.add(distinct(game.moves(part).child))
    following = gathered.all()
    is_safe = float(ways.astype(np.float64).sum()) * len(game.move_names) < _SAFE
    reached: Ways = np.zeros(len(following), dtype=ways.dtype if is_safe else object)
    for begin in range(0, len(codes), PART):
        moves = game.moves(codes[begin : begin + PART])
        from_here = ways[begin : begin + PART].astype(reached.dtype)
        np.add.at(reached, np.searchsorted(following, moves.child), from_here[moves.parent])
    return following, reached


def parts(values: npt.NDArray[_T]) -> Iterator[npt.NDArray[_T]]:
    """An array in parts of at most PART."""
    return (values[begin : begin + PART] for begin in range(0, len(values), PART))
