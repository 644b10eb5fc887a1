"""A solved game, whichever engine has solved it: what everything above may ask of it."""

from collections.abc import Iterator
from typing import Protocol

import numpy as np

from games.codes import RESULTS, Codes
from games.game import Game
from solver.values import Values


class Solved(Protocol):
    """Value and distance of every position that can arise in a game."""

    game: Game
    start: int
    """The position from which it was solved."""
    positions: int
    """How many positions can arise, final ones included."""

    @property
    def held(self) -> int:
        """How many bytes the result takes; what is mapped from a file takes none."""
        ...

    @property
    def largest_ply(self) -> int:
        """How many positions are first reached on one ply, at most."""
        ...

    def look_up(self, codes: Codes) -> Values:
        """The values of positions that can arise, (n,); KeyError if one of them cannot."""
        ...

    def plies(self) -> Iterator[Codes]:
        """For each ply from 0 the positions that are first reached on it, sorted, (n,)."""
        ...


def start_values(solved: Solved) -> tuple[str, int | None]:
    """The value of the start by name, and its distance (None for a draw)."""
    values = solved.look_up(np.array([solved.start], dtype=np.uint64))
    distance = int(values.distance[0])
    return RESULTS[values.value[0]], None if distance < 0 else distance
