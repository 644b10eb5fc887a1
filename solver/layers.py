"""Solve a game that cannot repeat, ply by ply: forward over whole frontiers, then backward with the values.

Only the positions of each ply and one small number for each are kept; moves are made again on the way back,
since making them costs less than keeping them.  A position that can be reached on several plies stands in
each of their layers, so that every move leads from one layer to the next; at the end it is counted once.

A *score* says value and distance in one signed number, seen by the first player: 0 a draw, ``WON - d`` a win
of the first player's in d plies, ``d - WON`` one of the second's.
"""

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from games.codes import (
    DRAW,
    FIRST,
    FIRST_WINS,
    SECOND_WINS,
    UNFINISHED,
    Bytes,
    Codes,
    Flags,
    Indices,
    distinct,
)
from games.game import Game
from solver.graph import TooLarge
from solver.places import places, places_of_children
from solver.progress import Stage
from solver.run import Run
from solver.values import NO_DISTANCE, Values

Scores = npt.NDArray[np.int16]
WON = 30_000
"""The score of a game that the first player has just won; longer games are refused."""
WORTH_A_LOOK = 500
"""Positions in a layer from which on it matters whether they stand in others too."""
PART = 1 << 16
"""So many positions are worked on at a time: their moves then stay near the processor."""
TOGETHER = 1 << 20
"""About so many positions of different layers are laid side by side at a time."""
BYTES_KEPT = 10
"""For each position: its code and its score."""
BYTES_GATHERED = 24
"""For each position of the next layer, while it is gathered: it and half as many new ones, and all of them again."""
BYTES_A_MOVE = 48
"""For each move of the positions that are worked on at a time, as measured (tests/solver/test_memory.py)."""
WORKING_BACK = Stage("working back", is_last=True)

ScorePart = Callable[[Codes, Scores, Codes], Scores]
"""Given the positions of the next layer and their scores, the scores of some positions of a layer."""


class Tangled(Exception):
    """Positions can be reached on several plies, so that they would stand in many layers."""


class EndlessPlay(Exception):
    """Play can go on for ever in a game that says that no position comes back."""


class TooLong(TooLarge):
    """A line of play has more plies than a score can tell."""

    def __init__(self) -> None:
        Exception.__init__(self, f"play can take {WON:,} plies and more, which is too long to be solved")


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

    codes = forward(game, first, run, levels_only=levels_only)
    return Layers(game, first, codes, work_back(codes, partial(_score, game), run))


def bytes_held(columns: Sequence[npt.NDArray[Any]]) -> int:
    """How many bytes some arrays take; what is mapped from a file takes none."""
    return sum(column.nbytes for column in columns if not isinstance(column, np.memmap))


# Forward: positions --------------------------------------------------------------------------------------------


def forward(
    game: Game, start: int, run: Run, bytes_a_move: int = BYTES_A_MOVE, *, levels_only: bool = False
) -> list[Codes]:
    """The positions that can be reached after each ply, sorted; then the memory of all the work is planned.

    Raises TooMuchMemory, EndlessPlay where the game does repeat, and with `levels_only` Tangled where positions are
    reached after two plies more as well.
    """
    layers = _Layers(np.array([start], dtype=np.uint64), bytes_a_move)
    while layers.add_next(game, run):
        if levels_only and layers.are_tangled():
            raise Tangled
    run.plan(layers.bytes_needed())
    return layers.codes


class _Layers:
    """The layers found so far.

    widest: the most moves that were made at a time, each of which takes so many bytes on the way back.
    """

    def __init__(self, start: Codes, bytes_a_move: int) -> None:
        self.codes = [start]
        self.widest = 0
        self._bytes_a_move = bytes_a_move
        self._found = 1
        self._seen: dict[tuple[int, ...], int] = {}

    def bytes_needed(self, gathered: int = 0) -> int:
        """What the work takes at its greatest with these layers, and with a next one of so many positions."""
        most, before = 0, 0
        for size in (*map(len, self.codes), gathered):
            most = max(most, 8 * before + BYTES_GATHERED * size)
            before += size
        most = max(most, BYTES_KEPT * before + 2 * 8 * min(before, TOGETHER))
        return most + self._bytes_a_move * self.widest

    def add_next(self, game: Game, run: Run) -> bool:
        """Find the positions one ply later; whether there are any."""
        ply = len(self.codes)
        kept = run.journal.read("layer", ply)
        if kept is None:
            layer = self._gathered(game, run)
        else:
            layer, self.widest = kept[0], max(self.widest, int(kept[1][0]))
        if not len(layer):
            return False
        run.journal.write("layer", ply, layer, np.array([self.widest]))
        self._look_for_endless_play(layer)
        self.codes.append(layer)
        self._found += len(layer)
        if ply + 1 >= WON:
            raise TooLong
        run.count(ply, self._found, self.bytes_needed())
        return True

    def are_tangled(self) -> bool:
        """Whether some of a few positions taken from the last layer stand two plies earlier too."""
        layer = self.codes[-1]
        if len(layer) < WORTH_A_LOOK or len(self.codes) < 3:
            return False
        few = layer[:: max(1, len(layer) // 256)]
        return bool(places(self.codes[-3], few)[1].any())

    def _gathered(self, game: Game, run: Run) -> Codes:
        """The positions one ply later, part by part."""
        ply, last = len(self.codes), self.codes[-1]
        gathered, begin = Gathered(), 0
        kept = run.journal.read("half-layer")
        if kept is not None and kept[0][0] == ply:
            gathered.codes, begin, self.widest = kept[1], int(kept[0][1]), max(self.widest, int(kept[0][2]))
        for at in range(begin, len(last), PART):
            part = last[at : at + PART]
            children = game.moves(part[game.ending(part) == UNFINISHED]).child
            self.widest = max(self.widest, len(children))
            gathered.add(distinct(children))
            so_far = len(gathered.codes)
            run.count(ply - 1, self._found + so_far, self.bytes_needed(so_far))
            if run.journal.is_due:
                run.journal.save("half-layer", np.array([ply, at + PART, self.widest]), gathered.all())
        return gathered.all()

    def _look_for_endless_play(self, layer: Codes) -> None:
        """A layer that has been there before is followed by what followed it then, again and again."""
        likeness = (len(layer), int(layer[0]), int(layer[-1]), int(np.bitwise_xor.reduce(layer)))
        before = self._seen.setdefault(likeness, len(self.codes))
        if before < len(self.codes) and np.array_equal(self.codes[before], layer):
            raise EndlessPlay


class Gathered:
    """The different ones of codes that come in many sorted parts: never much more is held than there are of them."""

    def __init__(self) -> None:
        self.codes: Codes = np.zeros(0, dtype=np.uint64)
        """Those of the parts that have been merged, sorted."""
        self._new: list[Codes] = []
        self._waiting = 0

    def add(self, codes: Codes) -> None:
        """One more sorted part, in which each stands once."""
        self._new.append(codes)
        self._waiting += len(codes)
        if self._waiting > max(PART, len(self.codes) // 2):
            self.all()

    def all(self) -> Codes:
        """Those of all parts."""
        if len(self._new) + bool(len(self.codes)) > 1:
            merged = np.concatenate([self.codes, *self._new])
            self._new.clear()
            merged.sort(kind="stable")  # sorted runs, which this sort takes as they are
            is_new = np.ones(len(merged), dtype=bool)
            np.not_equal(merged[1:], merged[:-1], out=is_new[1:])
            self.codes = merged[is_new]
        elif self._new:
            self.codes = self._new.pop()
        self._waiting = 0
        return self.codes


# Backward: scores ----------------------------------------------------------------------------------------------


def work_back(layers: list[Codes], score: ScorePart, run: Run) -> list[Scores]:
    """The scores of every layer, worked out from the last to the first; `score` knows how for a part of one."""
    total = sum(map(len, layers))
    scores: list[Scores] = []
    following: Codes = np.zeros(0, dtype=np.uint64)
    found: Scores = np.zeros(0, dtype=np.int16)
    done = 0
    for ply in range(len(layers) - 1, -1, -1):
        kept = run.journal.read("score", ply)
        if kept is None:
            found = _score_layer(layers[ply], partial(score, following, found), run, Place(ply, done, total))
        else:
            found = kept[0]
        run.journal.write("score", ply, found)
        following = layers[ply]
        scores.append(found)
        done += len(found)
    return scores[::-1]


class Place(NamedTuple):
    """Where the way back is: at which ply, with how many positions behind it, of how many."""

    ply: int
    done: int
    total: int


def _score_layer(layer: Codes, score: Callable[[Codes], Scores], run: Run, place: Place) -> Scores:
    """The scores of a layer, part by part."""
    found = np.empty(len(layer), dtype=np.int16)
    begin = 0
    kept = run.journal.read("half-score")
    if kept is not None and kept[0][0] == place.ply:
        begin = len(kept[1])
        found[:begin] = kept[1]
    for at in range(begin, len(layer), PART):
        run.tell(WORKING_BACK, place.done + at, place.total, place.total)
        if run.journal.is_due:
            run.journal.save("half-score", np.array([place.ply]), found[:at])
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
