"""All positions that play can reach in a game that cannot repeat, ply by ply, part by part of every ply.

A position that can be reached on several plies stands in each of them, so that every move leads from one ply to the
next.
"""

import numpy as np

from games.codes import UNFINISHED, Codes, distinct
from games.game import Game
from solver.graph import TooLarge
from solver.places import places
from solver.run import Run

MOST_PLIES = 30_000
"""Longer games are refused."""
WORTH_A_LOOK = 500
"""Positions of a ply from which on it matters whether they stand in others too."""
PART = 1 << 16
"""So many positions are worked on at a time: their moves then stay near the processor."""
TOGETHER = 1 << 20
"""About so many positions of different plies are laid side by side at a time, when they are counted."""

# Memory, as measured (tests/solver/test_memory.py).
BYTES_KEPT = 10
"""For each position: its code and its score."""
BYTES_GATHERED = 24
"""For each position of the next ply, while it is gathered: it and half as many new ones, and all of them again."""
BYTES_A_MOVE = 48
"""For each move of the positions that are worked on at a time."""


class Tangled(Exception):
    """Positions can be reached on several plies, so that they would stand in many."""


class EndlessPlay(Exception):
    """Play can go on for ever in a game that says that no position comes back."""


class TooLong(TooLarge):
    """A line of play has more plies than a score can tell."""

    def __init__(self) -> None:
        Exception.__init__(
            self, f"play can take {MOST_PLIES:,} plies and more, which is too long to be solved"
        )


def forward(
    game: Game, start: int, run: Run, bytes_a_move: int = BYTES_A_MOVE, *, levels_only: bool = False
) -> "Plies":
    """Find all positions, ply by ply; then the memory of all the work is planned.

    Raises TooMuchMemory, EndlessPlay where the game does repeat, and with `levels_only` Tangled where positions are
    reached after two plies more as well.
    """
    plies = Plies(np.array([start], dtype=np.uint64), bytes_a_move)
    while plies.add_next(game, run):
        if levels_only and plies.are_tangled():
            raise Tangled
    run.plan(plies.bytes_needed())
    return plies


class Plies:
    """The positions found so far.

    codes[p]: (n_p,) those that can be reached after p plies, sorted; moves[p]: how many moves they have together.
    """

    def __init__(self, start: Codes, bytes_a_move: int) -> None:
        """`bytes_a_move`: what each of the moves that are made at a time will take on the way back."""
        self.codes = [start]
        self.moves = [0]
        self._widest = 0
        """The most moves that were made at a time."""
        self._bytes_a_move = bytes_a_move
        self._found = 1
        self._seen: dict[tuple[int, ...], int] = {}

    def bytes_needed(self, gathered: int = 0) -> int:
        """What the work takes at its greatest with these plies, and with a next one of so many positions."""
        most, before = 0, 0
        for size in (*map(len, self.codes), gathered):
            most = max(most, 8 * before + BYTES_GATHERED * size)
            before += size
        most = max(most, BYTES_KEPT * before + 2 * 8 * min(before, TOGETHER))
        return most + self._bytes_a_move * self._widest

    def add_next(self, game: Game, run: Run) -> bool:
        """Find the positions one ply later; whether there are any."""
        ply = len(self.codes)
        kept = run.journal.read("layer", ply)
        if kept is None:
            layer = self._gathered(game, run)
        else:
            layer, (self.moves[-1], self._widest) = kept[0], kept[1].tolist()
        if not len(layer):
            return False
        run.journal.write("layer", ply, layer, np.array([self.moves[-1], self._widest]))
        self._look_for_endless_play(layer)
        self.codes.append(layer)
        self.moves.append(0)
        self._found += len(layer)
        if ply + 1 >= MOST_PLIES:
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
            _, begin, self.moves[-1], self._widest = kept[0].tolist()
            gathered.codes = kept[1]
        for at in range(begin, len(last), PART):
            part = last[at : at + PART]
            children = game.moves(part[game.ending(part) == UNFINISHED]).child
            self.moves[-1] += len(children)
            self._widest = max(self._widest, len(children))
            gathered.add(distinct(children))
            so_far = len(gathered.codes)
            run.count(ply - 1, self._found + so_far, self.bytes_needed(so_far))
            if run.journal.is_due:
                state = np.array([ply, at + PART, self.moves[-1], self._widest])
                run.journal.save("half-layer", state, gathered.all())
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
