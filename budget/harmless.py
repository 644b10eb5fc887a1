"""Words that are declared harmless: a count of games, say, which takes new values without end.

They do not tell states apart.  That what stands in them makes no difference is not assumed: every input is fed in
every state with several other contents of theirs as well, see `contents_of`, and what is printed and all the rest of
the store have to be the same.  A difference that shows with none of these contents is not found.
"""

import random
from collections.abc import Iterable, Mapping
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from budget.card import CostCard

FIRST_NUMBERS = 5
"""0, 1, 2, ...: what a count holds in the first games."""
NOISES = 3


class Harmless(NamedTuple):
    """words: their addresses, ascending; contents: for each trial what it puts into each of them."""

    words: tuple[int, ...] = ()
    contents: tuple[Mapping[int, int], ...] = ()

    def flags(self, store_words: int) -> npt.NDArray[np.bool_]:
        """(store,): which words these are."""
        found = np.zeros(store_words, dtype=np.bool_)
        found[list(self.words)] = True
        return found


def harmless(words: Iterable[int], card: CostCard) -> Harmless:
    """What is tried of some words, which are addresses of the store."""
    addresses = tuple(sorted(set(words)))
    return Harmless(addresses, contents_of(addresses, card) if addresses else ())


def contents_of(addresses: Iterable[int], card: CostCard) -> tuple[dict[int, int], ...]:
    """The first numbers, the largest, the two beside the middle, and noise that is the same every time."""
    addresses, rng = list(addresses), random.Random(2)  # noqa: S311 - noise, and no secret
    most = (1 << card.word_bits) - 1
    alike = [*range(FIRST_NUMBERS), most >> 1, (most >> 1) + 1, most]
    noise = [{address: rng.randint(0, most) for address in addresses} for _ in range(NOISES)]
    return (*(dict.fromkeys(addresses, word) for word in alike), *noise)
