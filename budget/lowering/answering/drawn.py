"""A short list of pictures that gives the moves of a play on some boards, whatever rules had given them.

The list is found from its first picture on: of all small pictures whose move is right on every board on which they are
found, one that is found on the most.  Ties are broken in several ways, and the shortest list is kept.
"""

from collections.abc import Iterator, Sequence
from itertools import combinations
from random import Random

import numpy as np
import numpy.typing as npt

from budget.lowering.answering.pictures import Boards
from games.codes import Flags
from solver.meanings import Picture
from solver.sheet.rules import matches

MOST_BOARDS = 120
"""Of more no list is looked for."""
TRIES = 60


def drawn(boards: Boards, cells: int) -> list[Picture] | None:
    """The shortest list that is found, with marks of the visitor's alone if there is one; None where there is none."""
    if len(boards.moves) > MOST_BOARDS:
        return None
    for mine in (0, 1):
        pictures = list(_pictures(sorted(set(boards.moves.tolist())), cells, mine))
        found = np.array([matches(picture, boards.marked) for picture in pictures])
        targets = np.array([picture.target.bit_length() - 1 for picture in pictures])
        right = found & (targets[:, None] == boards.moves[None, :])
        lists = [_list_of(found, right, Random(seed)) for seed in range(TRIES)]  # noqa: S311
        whole = [each for each in lists if each is not None]
        if whole:
            return [pictures[place] for place in min(whole, key=len)]
    return None


def _pictures(targets: Sequence[int], cells: int, most_mine: int) -> Iterator[Picture]:
    """Pictures with at most two marks of the visitor's and so many of the machine's."""
    for target in targets:
        others = [cell for cell in range(cells) if cell != target]
        for theirs in (each for count in range(3) for each in combinations(others, count)):
            left = [cell for cell in others if cell not in theirs]
            for mine in (each for count in range(most_mine + 1) for each in combinations(left, count)):
                yield Picture(_set(mine), _set(theirs), 0, 1 << target)


def _set(cells: Sequence[int]) -> int:
    return sum(1 << cell for cell in cells)


def _list_of(found: Flags, right: Flags, random: Random) -> list[int] | None:
    """Pictures by number, in order, that answer every board; (pictures, boards) where each is found, and is right."""
    waiting = np.ones(found.shape[1], dtype=np.bool_)
    chosen: list[int] = []
    while waiting.any():
        is_sound = ~(found & ~right & waiting).any(axis=1)
        gains: npt.NDArray[np.intp] = np.where(is_sound, (right & waiting).sum(axis=1), 0)
        most = int(gains.max())
        if most == 0:
            return None
        best = random.choice(np.flatnonzero(gains == most).tolist())
        chosen.append(best)
        waiting &= ~found[best]
    return chosen
