"""A shorter list out of a longer one: a few pictures are taken away, and fewer are put back where that can be done.

What stays says which states it answers; what is missing is looked for by going through all ways for a while.  Chance
chooses what is taken away, always in the same manner for the same game.
"""

import random
from collections.abc import Sequence

from solver.least.pictures_boards import Boards, Picture
from solver.least.pictures_list import in_order, narrowed
from solver.least.pictures_tree import Tree

SEED = 1
NODES_A_TRY = 150
FEWEST_TAKEN = 2


class Repair:
    """Looks for shorter lists; tries: how many times pictures were taken away."""

    def __init__(self, boards: Boards) -> None:
        self._boards = boards
        self._chance = random.Random(SEED)  # noqa: S311 - the same choice every time is what is wanted
        self.tries = 0

    def shorter(self, pictures: Sequence[Picture]) -> tuple[list[Picture] | None, int]:
        """One try: a list with one picture less, or None if it did not come about; and how many nodes it took."""
        self.tries += 1
        tree = Tree(self._boards, len(pictures) - 1, narrowed(self._boards, self._thinned(pictures)))
        tree.advance(NODES_A_TRY)
        return None if tree.found is None else in_order(tree.found), tree.nodes

    def _thinned(self, pictures: Sequence[Picture]) -> list[Picture]:
        """The list without some of its pictures, seldom without many."""
        most = max(FEWEST_TAKEN, len(pictures) - 1)
        taken = FEWEST_TAKEN
        while taken < most and self._chance.random() < 0.6:
            taken += 1
        gone = self._chance.sample(range(len(pictures)), min(taken, len(pictures)))
        return [picture for number, picture in enumerate(pictures) if number not in gone]
