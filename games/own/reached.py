"""The positions of a game that checks look at: every one that can be reached, or a sample where those are too many.

A sample is the first plies whole, and of each later ply some positions, drawn by scrambling their codes: always the
same ones, on every machine.
"""

from collections.abc import Iterator
from typing import NamedTuple, Protocol

import numpy as np

from games.codes import UNFINISHED, Bytes, Codes, Flags, MoveList, distinct

MOST = 100_000
"""Positions up to which all of them are looked at."""
DRAWN = 100
"""Of each later ply of a larger game one position is drawn for so many that are looked at whole."""
MOST_PLIES, MOST_SAMPLED_PLIES = 5_000, 60
"""How many plies are looked at whole, and how many more a sample follows: play may go round for ever."""
PART = 1 << 13
"""So many positions are asked about at a time."""
_SCRAMBLE = np.uint64(0x9E3779B97F4A7C15)
"""An odd number without a pattern: 2**64 divided by the golden ratio.  Common practice for mixing numbers."""


class Asked(Protocol):
    """What is asked of a game to find its positions."""

    def ending(self, codes: Codes) -> Bytes:
        """As of `games.game.Game`."""
        ...

    def moves(self, codes: Codes) -> MoveList:
        """As of `games.game.Game`."""
        ...


class Reached(NamedTuple):
    """Positions that play can reach.

    codes: sorted, each once; is_over: which of them are; is_whole: whether these are all that can be reached;
    plies: all that can be reached in so many plies are there; drawn: at most so many of each later ply;
    starts: from where.
    """

    codes: Codes
    is_over: Flags
    is_whole: bool
    plies: int
    drawn: int
    starts: Codes

    @property
    def unfinished(self) -> Codes:
        """Those that are not over."""
        codes: Codes = self.codes[~self.is_over]
        return codes

    def parts(self) -> Iterator[Codes]:
        """The unfinished ones, some thousands at a time."""
        open_ = self.unfinished
        return (open_[begin : begin + PART] for begin in range(0, len(open_), PART))

    def in_words(self) -> str:
        """How many were looked at, and how they were chosen."""
        if self.is_whole:
            return f"all {len(self.codes):,} positions that can be reached"
        whole = f"all up to ply {self.plies}" if self.plies else "the start"
        return f"{len(self.codes):,} of the positions that can be reached: {whole}, then up to {self.drawn:,} a ply"


def reach(game: Asked, starts: Codes, most: int = MOST) -> Reached:
    """Go breadth first from the starts, whole plies as long as there are no more than `most` positions."""
    frontier = known = distinct(starts)
    is_whole, plies, ply, drawn = True, 0, 0, max(1, most // DRAWN)
    while len(frontier) and ply < plies + MOST_SAMPLED_PLIES:
        children = [game.moves(part).child for part in _parts(frontier[game.ending(frontier) == UNFINISHED])]
        fresh = _without(distinct(np.concatenate(children)) if children else frontier[:0], known)
        ply += 1
        is_whole = is_whole and len(known) + len(fresh) <= most and ply <= MOST_PLIES
        if is_whole:
            plies = ply
        else:
            fresh = spread(fresh, drawn)
        known = np.sort(np.concatenate([known, fresh]), kind="stable")
        frontier = fresh
    return Reached(known, game.ending(known) != UNFINISHED, is_whole, plies, drawn, starts)


def spread(codes: Codes, many: int) -> Codes:
    """So many of these sorted codes, drawn by scrambling them; all if there are no more."""
    if len(codes) <= many:
        return codes
    mixed = codes ^ codes >> np.uint64(31)
    with np.errstate(over="ignore"):
        mixed *= _SCRAMBLE
    mixed ^= mixed >> np.uint64(32)
    drawn: Codes = codes[np.sort(np.argsort(mixed, kind="stable")[:many])]
    return drawn


def _parts(codes: Codes) -> Iterator[Codes]:
    return (codes[begin : begin + PART] for begin in range(0, len(codes), PART))


def _without(codes: Codes, known: Codes) -> Codes:
    """Those of some sorted codes that are not among the known ones, which are sorted too."""
    places = np.minimum(np.searchsorted(known, codes), len(known) - 1)
    new: Codes = codes[known[places] != codes]
    return new
