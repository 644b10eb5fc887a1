"""Counts of a solved game: by ply, up to symmetry, endings by result, and the lines of play."""

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from games.codes import DRAW, FIRST_WINS, RESULTS, SECOND_WINS, UNFINISHED, Codes
from games.game import Game, least_images
from solver.counts import lines_of_play
from solver.graph import explore
from solver.loops import Loops
from solver.scores import SolvedScores
from solver.solved import Solved

ENDINGS = (FIRST_WINS, SECOND_WINS, DRAW)
_SAFE = float(1 << 62)


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
    if isinstance(solved, Loops):
        lines = lines_of_play(solved.graph)
        return None if lines is None else {RESULTS[result]: lines[RESULTS[result]] for result in ENDINGS}
    if solved.game.can_repeat:  # a kept result has no moves at hand
        return _lines(Loops(explore(solved.game, start=solved.start)))
    return lines_by_result(solved.game, solved.start)


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
