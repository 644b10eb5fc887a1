"""A shorter list out of a longer one: a few pictures are taken away, and fewer are put back where that can be done.

What stays says which states it answers; what is missing is looked for in a tree, for a while.  Where the list does not
get shorter it may become another one that is as long, so that the search does not stick.  Chance chooses what is taken
away and the order of things in the tree, always in the same manner for the same game.
"""

import random
from collections.abc import Sequence

from solver.least.pictures_boards import Boards, Picture
from solver.least.pictures_list import in_order, narrowed
from solver.least.pictures_tree import Asked, Node, Tree, Way

PATIENCE = 50
"""How many tries a list has in which it does not get shorter, until it is the next one's turn."""
NODES_TO_SHORTEN = 150
NODES_TO_CHANGE = 40
MANY_STATES = 150
MORE_NODES = 4
"""Where more states than that are met, nodes in proportion to them, and so many times as many again: with few of them
no tree comes to its end.

Measured on noughts and crosses, second, pictures as they are drawn (236 states): 22 pictures after 2 CPU seconds, where
without this 23 were the fewest in 180.
"""
FEWEST_TAKEN = 2
ONE_MORE = 0.7
"""How probable it is that one more picture is taken away."""
LOOKS = 8, 20, 60
"""How many states the trees look at in a node, one or the other: each finds what another misses."""


class Repair:
    """Makes lists shorter; tries: how many times pictures were taken away."""

    def __init__(self, boards: Boards, seed: int = 1) -> None:
        self._boards = boards
        self._chance = random.Random(seed)  # noqa: S311 - the same choice every time is what is wanted
        self.tries = 0

    def step(self, pictures: Sequence[Picture]) -> tuple[list[Picture], int]:
        """One try: a list that keeps the claim and is no longer than this one; and how many nodes it took."""
        self.tries += 1
        look_at = self._chance.choice(LOOKS)
        root = narrowed(self._boards, self._thinned(pictures))
        nodes, states = 0, root.met.bit_count()
        for most, allowed in (len(pictures) - 1, NODES_TO_SHORTEN), (len(pictures), NODES_TO_CHANGE):
            tree = _AtRandom(self._boards, most, root, look_at, self._chance)
            tree.advance(allowed * MORE_NODES * states // MANY_STATES if states > MANY_STATES else allowed)
            nodes += tree.nodes
            if tree.found is not None:
                return in_order(tree.found), nodes
        return list(pictures), nodes

    def _thinned(self, pictures: Sequence[Picture]) -> list[Picture]:
        """The list without some of its pictures, seldom without many."""
        taken = FEWEST_TAKEN
        while taken < len(pictures) - 1 and self._chance.random() < ONE_MORE:
            taken += 1
        gone = self._chance.sample(range(len(pictures)), min(taken, len(pictures)))
        return [picture for number, picture in enumerate(pictures) if number not in gone]


class Repairs:
    """Several lists made shorter, one after the other: where one sticks the next goes on, with a chance of its own."""

    def __init__(self, boards: Boards, lists: Sequence[list[Picture]]) -> None:
        self._lists = list(lists)
        self._repairs = [Repair(boards, seed) for seed in range(1, len(lists) + 1)]
        self._turn = self._in_vain = 0

    def step(self) -> tuple[list[Picture], int]:
        """One try with the list whose turn it is: what became of it; and how many nodes that took."""
        before = self._lists[self._turn]
        after, nodes = self._repairs[self._turn].step(before)
        self.take_up(after)
        self._in_vain = 0 if len(after) < len(before) else self._in_vain + 1
        if self._in_vain == PATIENCE:
            self._turn = (self._turn + 1) % len(self._lists)
            self._in_vain = 0
        return after, nodes

    def take_up(self, pictures: list[Picture]) -> None:
        """Go on with this list in place of the one whose turn it is."""
        self._lists[self._turn] = pictures


class _AtRandom(Tree):
    """A tree in which chance has a say in what is gone through first."""

    def __init__(self, boards: Boards, most: int, root: Node, look_at: int, chance: random.Random) -> None:
        super().__init__(boards, most, root, look_at)
        self._chance = chance

    def _worth(self, asked: Asked, state: int) -> float:
        return super()._worth(asked, state) * (1 + self._chance.random() / 2)

    def _growth(self, node: Node, way: Way) -> float:
        growth = super()._growth(node, way)
        return growth + 2 * self._chance.random() if growth else 0

    def _targets(self, pictures: list[Picture]) -> list[Picture]:
        return self._chance.sample(pictures, len(pictures))
