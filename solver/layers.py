"""Solve a game that cannot repeat, ply by ply: forward over whole frontiers, then backward with the values.

Only the positions of each ply and one small number for each are kept; moves are made again on the way back,
since making them costs less than keeping them.  A position that can be reached on several plies stands in
each of their layers, so that every move leads from one layer to the next; at the end it is counted once.

A *score* says value and distance in one signed number, seen by the first player: 0 a draw, ``WON - d`` a win
of the first player's in d plies, ``d - WON`` one of the second's.
"""

from collections.abc import Callable, Iterator
from functools import partial

import numpy as np
import numpy.typing as npt

from games.codes import DRAW, FIRST, FIRST_WINS, SECOND_WINS, UNFINISHED, Bytes, Codes, Flags, Indices
from games.game import Game
from solver.forward import MOST_PLIES, PART, TOGETHER, Plies, forward
from solver.places import places, places_of_children
from solver.progress import Stage
from solver.run import NoJournal, Run, bytes_held
from solver.values import NO_DISTANCE, Values

Scores = npt.NDArray[np.int16]
WON = MOST_PLIES
"""The score of a game that the first player has just won."""
WORKING_BACK = Stage("working back", is_last=True)

ScorePart = Callable[[Codes, Scores, Codes], Scores]
"""Given the positions of the next layer and their scores, the scores of some positions of a layer."""


class Layers:
    """The positions of each ply, sorted, and their scores.

    codes[p]: (n_p,) the positions that can be reached after p plies; scores[p]: (n_p,) Scores.
    """

    def __init__(
        self, game: Game, start: int, codes: list[Codes], scores: list[Scores], positions: int | None = None
    ) -> None:
        self.game = game
        self.start = start
        self.codes = codes
        self.scores = scores
        self.positions = _count_different(codes) if positions is None else positions

    @property
    def held(self) -> int:
        """How many bytes the result takes; what is mapped from a file takes none."""
        return bytes_held(self.codes) + bytes_held(self.scores)

    @property
    def largest_ply(self) -> int:
        """How many positions are first reached on one ply, at most."""
        return max(map(len, self.codes))

    def look_up(self, codes: Codes) -> Values:
        """The values of positions that can arise; KeyError if one of them cannot."""
        score = np.zeros(len(codes), dtype=np.int16)
        missing = np.arange(len(codes))
        for layer, scores in zip(self.codes, self.scores, strict=True):
            at, found = places(layer, codes[missing])
            score[missing[found]] = scores[at[found]]
            missing = missing[~found]
            if not len(missing):
                return values_of(score)
        raise KeyError(f"position {int(codes[missing[0]]):#x} cannot arise")

    def plies(self) -> Iterator[Codes]:
        """For each ply the positions that are first reached on it."""
        if self.positions == sum(map(len, self.codes)):  # no position stands in two layers
            yield from self.codes
            return
        for layer, is_first in zip(self.codes, _first_reached(self.codes), strict=True):
            if is_first.any():
                yield layer[is_first]


def _side_by_side(layers: list[Codes]) -> Iterator[list[slice]]:
    """Ranges of codes, each as the slice of every layer that lies in it: about `TOGETHER` positions in all."""
    every = 1 << 12
    samples = np.sort(np.concatenate([layer[::every] for layer in layers]))
    bounds = samples[TOGETHER // every :: TOGETHER // every]
    edges = [[0, *np.searchsorted(layer, bounds).tolist(), len(layer)] for layer in layers]
    for place in range(len(bounds) + 1):
        yield [slice(edge[place], edge[place + 1]) for edge in edges]


def _count_different(layers: list[Codes]) -> int:
    """How many positions there are when those that stand in several layers are counted once."""
    different = 0
    for slices in _side_by_side(layers):
        codes = np.concatenate([layer[at] for layer, at in zip(layers, slices, strict=True)])
        codes.sort(kind="stable")  # the layers are sorted runs, which this sort takes as they are
        different += int(len(codes) > 0) + int(np.count_nonzero(codes[1:] != codes[:-1]))
    return different


def _first_reached(layers: list[Codes]) -> list[Flags]:
    """For each position of each layer whether it stands in no earlier one."""
    first = [np.ones(len(layer), dtype=bool) for layer in layers]
    for slices in _side_by_side(layers):
        codes = np.concatenate([layer[at] for layer, at in zip(layers, slices, strict=True)])
        order = np.argsort(codes, kind="stable")  # of equal ones the earliest comes first
        again = order[1:][codes[order[1:]] == codes[order[:-1]]]
        is_first = np.ones(len(codes), dtype=bool)
        is_first[again] = False
        begin = 0
        for flags, at in zip(first, slices, strict=True):
            flags[at] = is_first[begin : begin + at.stop - at.start]
            begin += at.stop - at.start
    return first


def values_of(scores: Scores) -> Values:
    """Value and distance out of scores."""
    value = np.where(scores > 0, FIRST_WINS, np.where(scores < 0, SECOND_WINS, DRAW)).astype(np.uint8)
    distance = np.where(scores == 0, NO_DISTANCE, WON - np.abs(scores.astype(np.intp)))
    return Values(value, distance)


def solve_by_layers(
    game: Game, start: int | None = None, run: Run | None = None, *, levels_only: bool = False
) -> Layers:
    """Solve a game that cannot repeat.  Raises TooMuchMemory where the run may not use what it takes.

    With `levels_only` it raises Tangled where positions stand in many layers, so that another engine would do better.
    """
    run = run or Run()
    first = game.start if start is None else start

    plies = forward(game, first, run, levels_only=levels_only)
    counting = sum(map(len, plies.codes)) // 2
    return Layers(game, first, plies.codes, work_back(plies, partial(_score, game), run, counting))


# Backward: scores ----------------------------------------------------------------------------------------------


def work_back(plies: Plies, score: ScorePart, run: Run, work_after: int = 0) -> list[Scores]:
    """The scores of every ply, worked out from the last to the first; `score` knows how for a part of one.

    A position takes about as long as a move, and that is what work is counted in; so much of it follows afterwards.
    """
    work = [len(codes) + moves for codes, moves in zip(plies.codes, plies.moves, strict=True)]
    total, positions = sum(work) + work_after, sum(map(len, plies.codes))
    scores: list[Scores] = []
    following: Codes = np.zeros(0, dtype=np.uint64)
    found: Scores = np.zeros(0, dtype=np.int16)
    for ply in range(len(work) - 1, -1, -1):
        kept = run.journal.read("score", ply)
        if kept is None:
            before, each = sum(work[ply + 1 :]), work[ply] / len(plies.codes[ply])

            def tell(at: int, before: int = before, each: float = each) -> None:
                run.tell(WORKING_BACK, before + int(each * at), total, positions)

            found = _score_layer(plies.codes[ply], partial(score, following, found), ply, run.journal, tell)
        else:
            found = kept[0]
        run.journal.write("score", ply, found)
        following = plies.codes[ply]
        scores.append(found)
    return scores[::-1]


def _score_layer(
    layer: Codes,
    score: Callable[[Codes], Scores],
    ply: int,
    journal: NoJournal,
    tell: Callable[[int], None],
) -> Scores:
    """The scores of a layer, part by part; `tell` is told how many there are."""
    found = np.empty(len(layer), dtype=np.int16)
    begin = 0
    kept = journal.read("half-score")
    if kept is not None and kept[0][0] == ply:
        begin = len(kept[1])
        found[:begin] = kept[1]
    for at in range(begin, len(layer), PART):
        tell(at)
        if journal.is_due:
            journal.save("half-score", np.array([ply]), found[:at])
        found[at : at + PART] = score(layer[at : at + PART])
    return found


def _score(game: Game, following: Codes, scores: Scores, codes: Codes) -> Scores:
    """The scores of some positions from those of the layer that their moves lead to."""
    ending = game.ending(codes)
    found = _of_endings(ending)
    at = np.flatnonzero(ending == UNFINISHED)
    if len(at):
        parent, _, child = game.moves(codes[at])
        found[at] = _best(game.mover(codes[at]), parent, scores[places_of_children(following, child)])
    return found


def _best(mover: Bytes, parent: Indices, scores: Scores) -> Scores:
    """The scores of positions from those of their children, of which `parent` names the positions."""
    if (mover == mover[0]).all():  # as nearly always within a layer; then nothing need be turned round
        best = np.full(len(mover), -WON - 1 if mover[0] == FIRST else WON + 1, dtype=np.int16)
        (np.maximum if mover[0] == FIRST else np.minimum).at(best, parent, scores)
        return best - np.sign(best)  # one ply farther away
    sign = np.where(mover == FIRST, 1, -1).astype(np.int16)
    best = np.full(len(mover), -WON - 1, dtype=np.int16)
    np.maximum.at(best, parent, scores * sign[parent])
    return (best - np.sign(best)) * sign


def _of_endings(ending: Bytes) -> Scores:
    scores = np.zeros(len(ending), dtype=np.int16)
    scores[ending == FIRST_WINS] = WON
    scores[ending == SECOND_WINS] = -WON
    return scores
