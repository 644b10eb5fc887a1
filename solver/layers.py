"""Solve a game that cannot repeat, ply by ply: forward over whole frontiers, then backward with the values.

Only the positions of each ply and one small number for each are kept; moves are made again on the way back,
since making them costs less than keeping them.  A position that can be reached on several plies stands in
each of their layers, so that every move leads from one layer to the next; at the end it is counted once.

A *score* says value and distance in one signed number, seen by the first player: 0 a draw, ``WON - d`` a win
of the first player's in d plies, ``d - WON`` one of the second's.
"""

from collections.abc import Iterator
from typing import TypeVar

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
    Indices,
    distinct,
)
from games.game import Game
from solver.graph import MOST_POSITIONS, TooLarge
from solver.journal import Journal, NoJournal
from solver.progress import Progress, Report, Stage, counted
from solver.values import NO_DISTANCE, Values

Scores = npt.NDArray[np.int16]
_T = TypeVar("_T", bound=np.generic)
WON = 30_000
"""The score of a game that the first player has just won; longer games are refused."""
WORTH_A_LOOK = 500
"""Positions in a layer from which on it matters whether they stand in others too."""
PART = 1 << 16
"""So many positions are worked on at a time: their moves then stay near the processor."""


WORKING_BACK = Stage("working back", is_last=True)


class Tangled(Exception):
    """Positions can be reached on several plies, so that they would stand in many layers."""


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
        every = distinct(np.concatenate(self.codes))
        seen = np.zeros(len(every), dtype=bool)
        for layer in self.codes:
            at = np.searchsorted(every, layer)
            if not seen[at].all():
                yield layer[~seen[at]]
            seen[at] = True


def _count_different(layers: list[Codes]) -> int:
    """How many positions there are when those that stand in several layers are counted once."""
    every = np.concatenate(layers)
    every.sort(kind="stable")  # the layers are sorted runs, which this sort takes as they are
    return 1 + int(np.count_nonzero(every[1:] != every[:-1]))


def values_of(scores: Scores) -> Values:
    """Value and distance out of scores."""
    value = np.where(scores > 0, FIRST_WINS, np.where(scores < 0, SECOND_WINS, DRAW)).astype(np.uint8)
    distance = np.where(scores == 0, NO_DISTANCE, WON - np.abs(scores.astype(np.intp)))
    return Values(value, distance)


def solve_by_layers(
    game: Game,
    start: int | None = None,
    report: Report | None = None,
    limit: int = MOST_POSITIONS,
    journal: Journal | None = None,
    *,
    levels_only: bool = False,
) -> Layers:
    """Solve a game that cannot repeat.  Raises TooLarge beyond `limit` positions.

    With `levels_only` it raises Tangled where positions stand in many layers, so that another engine would do better.
    A `journal` keeps the finished plies of a long run, and gives back those of an interrupted one.
    """
    kept = journal or NoJournal()
    first = game.start if start is None else start
    codes = forward(game, first, report, limit, kept, levels_only=levels_only)
    scores: list[Scores] = []
    total = sum(map(len, codes))
    following: Codes = np.zeros(0, dtype=np.uint64)
    found: Scores = np.zeros(0, dtype=np.int16)
    for ply in range(len(codes) - 1, -1, -1):
        before = kept.read("score", ply)
        found = _backward(game, codes[ply], following, found) if before is None else before.astype(np.int16)
        kept.write("score", ply, found)
        following = codes[ply]
        scores.append(found)
        if report is not None:
            report(Progress(WORKING_BACK, sum(map(len, scores)), total, total))
    return Layers(game, first, codes, scores[::-1])


def forward(
    game: Game,
    start: int,
    report: Report | None = None,
    limit: int = MOST_POSITIONS,
    journal: Journal | None = None,
    *,
    levels_only: bool = False,
) -> list[Codes]:
    """The positions that can be reached after each ply, sorted.  Raises TooLarge beyond `limit` of them.

    With `levels_only` it raises Tangled where some are reached after two plies more as well.
    """
    kept = journal or NoJournal()
    layers = [np.array([start], dtype=np.uint64)]
    total = 1
    while True:
        before = kept.read("layer", len(layers))
        layer = _next_layer(game, layers[-1]) if before is None else before.astype(np.uint64)
        if not len(layer):
            return layers
        if levels_only and len(layer) >= WORTH_A_LOOK and _stand_also_in(layer, layers[-2]):
            raise Tangled
        kept.write("layer", len(layers), layer)
        layers.append(layer)
        total += len(layer)
        if total > limit or len(layers) >= WON:
            raise TooLarge(total, min(limit, total))
        if report is not None:
            report(counted(len(layers) - 1, total))


def _stand_also_in(layer: Codes, earlier: Codes) -> bool:
    """Whether some of a few positions taken from a layer stand in an earlier one too."""
    few = layer[:: max(1, len(layer) // 256)]
    return bool(places(earlier, few)[1].any())


def _next_layer(game: Game, layer: Codes) -> Codes:
    """The positions one ply later, sorted, each once."""
    open_ = layer[game.ending(layer) == UNFINISHED]
    children = [distinct(game.moves(part).child) for part in parts(open_)]
    if len(children) < 2:
        return children[0] if children else open_
    return distinct(np.concatenate(children))


def _backward(game: Game, layer: Codes, following: Codes, scores: Scores) -> Scores:
    """The scores of a layer from those of the layer that its moves lead to."""
    ending = game.ending(layer)
    found = _of_endings(ending)
    for at in parts(np.flatnonzero(ending == UNFINISHED)):
        codes = layer[at]
        parent, _, child = game.moves(codes)
        found[at] = _best(game.mover(codes), parent, scores[np.searchsorted(following, child)])
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


def parts(values: npt.NDArray[_T]) -> Iterator[npt.NDArray[_T]]:
    """An array in parts of at most PART."""
    return (values[begin : begin + PART] for begin in range(0, len(values), PART))


def places(sorted_codes: Codes, codes: Codes) -> tuple[Indices, npt.NDArray[np.bool_]]:
    """Where codes stand among sorted ones, and which of them do at all."""
    at = np.minimum(np.searchsorted(sorted_codes, codes), max(len(sorted_codes) - 1, 0))
    found = sorted_codes[at] == codes if len(sorted_codes) else np.zeros(len(codes), dtype=bool)
    return at, found
