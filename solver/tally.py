"""Counts of a solved game: by ply, up to symmetry, endings by result, and the lines of play."""

from collections.abc import Iterator
from typing import NamedTuple, TypeVar

import numpy as np
import numpy.typing as npt

from games.codes import DRAW, FIRST_WINS, RESULTS, SECOND_WINS, UNFINISHED, Codes, distinct
from games.game import Game, least_images
from solver.layers import PART
from solver.loops import Loops
from solver.scores import SolvedScores
from solver.solved import Solved

ENDINGS = (FIRST_WINS, SECOND_WINS, DRAW)
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


def tally(solved: Solved | SolvedScores) -> Tally:
    """Count a solved game's positions and lines."""
    by_ply, one_of_each = [], []
    endings = np.zeros(len(RESULTS), dtype=np.int64)
    for codes in solved.plies():
        by_ply.append(len(codes))
        one_of_each.append(int((least_images(solved.game, codes)[0] == codes).sum()))
        endings += np.bincount(solved.game.ending(codes), minlength=len(RESULTS))
    by_result = {RESULTS[result]: int(endings[result]) for result in ENDINGS}
    return Tally(by_ply, one_of_each, by_result, _lines(solved))


def _lines(solved: Solved | SolvedScores) -> dict[str, int] | None:
    if solved.game.can_repeat or isinstance(solved, Loops):
        return lines_in_rounds(solved)
    return lines_by_result(solved.game, solved.start)


def lines_in_rounds(solved: Solved | SolvedScores) -> dict[str, int] | None:
    """How many lines of play end in each result, exactly; None where play can be endless.

    A position's turn comes when all that lead to it have had theirs: so its ways are complete then.
    """
    game, codes = solved.game, np.sort(np.concatenate(list(solved.plies())))
    waiting = _ways_in(game, codes)
    ready = np.searchsorted(codes, np.array([solved.start], dtype=np.uint64))
    ways: npt.NDArray[np.int64] | npt.NDArray[np.object_] = np.zeros(len(codes), dtype=np.int64)
    ways[ready] = 1
    most, had_turn = 1.0, 0
    while len(ready) and not waiting[ready].any():
        had_turn += len(ready)
        most += float(ways[ready].astype(np.float64).sum()) * len(game.move_names)
        if most >= _SAFE and ways.dtype != object:
            ways = ways.astype(object)
        new = []
        for at in parts(ready[game.ending(codes[ready]) == UNFINISHED]):
            moves = game.moves(codes[at])
            child = np.searchsorted(codes, moves.child)
            np.add.at(ways, child, ways[at[moves.parent]])
            np.subtract.at(waiting, child, np.uint32(1))
            new.append(child)
        children = distinct(np.concatenate(new)) if new else ready[:0]
        ready = children[waiting[children] == 0]
    if had_turn < len(codes):
        return None
    ending = game.ending(codes)
    return {RESULTS[result]: int(ways[ending == result].sum()) for result in ENDINGS}


def _ways_in(game: Game, codes: Codes) -> npt.NDArray[np.uint32]:
    """How many moves lead to each of some positions, which are all that can arise, (n,)."""
    count = np.zeros(len(codes), dtype=np.uint32)
    for part in parts(codes):
        child = game.moves(part[game.ending(part) == UNFINISHED]).child
        np.add.at(count, np.searchsorted(codes, child), np.uint32(1))
    return count


def lines_by_result(game: Game, start: int) -> dict[str, int]:
    """How many lines of play end in each result, exactly, in a game that cannot repeat."""
    codes = np.array([start], dtype=np.uint64)
    ways: npt.NDArray[np.int64] | npt.NDArray[np.object_] = np.ones(1, dtype=np.int64)
    lines = dict.fromkeys((RESULTS[result] for result in ENDINGS), 0)
    while len(codes):
        ending = game.ending(codes)
        for result in ENDINGS:
            lines[RESULTS[result]] += int(ways[ending == result].sum())
        codes, ways = _one_ply_on(game, codes[ending == UNFINISHED], ways[ending == UNFINISHED])
    return lines


def _one_ply_on(
    game: Game, codes: Codes, ways: npt.NDArray[np.int64] | npt.NDArray[np.object_]
) -> tuple[Codes, npt.NDArray[np.int64] | npt.NDArray[np.object_]]:
    """The positions one ply later, and in how many ways each is reached."""
    moves = game.moves(codes)
    children, place = np.unique(moves.child, return_inverse=True)
    is_safe = float(ways.astype(np.float64).sum()) * len(game.move_names) < _SAFE
    following = np.zeros(len(children), dtype=ways.dtype if is_safe else object)
    np.add.at(following, place.reshape(-1), ways[moves.parent].astype(following.dtype))
    return children, following


def parts(values: npt.NDArray[_T]) -> Iterator[npt.NDArray[_T]]:
    """An array in parts of at most PART."""
    return (values[begin : begin + PART] for begin in range(0, len(values), PART))
