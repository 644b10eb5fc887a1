"""What is known of a program's orders: which can be obeyed together, and the functions for them."""

from collections.abc import Callable
from typing import NamedTuple

from budget.card import CostCard
from budget.machine.layout import Fault
from budget.target.lockstep import Lockstep, Obey, Standing
from budget.target.sheet import Decoded, Orders

LONGEST = 64
"""Orders that are put together."""


class Ready(NamedTuple):
    """Some orders that follow one another, made ready: the function for them, and their cycles together."""

    obey: Obey
    orders: int
    cycles: int


class Known:
    """What is known to all herds that run a program.

    heads: places at which machines have waited for others; nothing is put together across them.
    """

    def __init__(self, card: CostCard) -> None:
        assert card.sheet is not None, "the card says that programs come by an order sheet"
        self.lockstep = Lockstep(card.sheet, card.store_words)
        self.heads: set[int] = set()
        self._store_words = card.store_words
        self._orders = Orders(card.sheet)
        self._decoded: dict[tuple[int, int], Decoded] = {}
        self._ready: dict[tuple[int, ...], Ready] = {}

    def ready(self, place: int, words: tuple[int, ...]) -> Ready:
        """The orders that these words are, from a place on, as one function."""
        key = (place, *words)
        if key not in self._ready:
            standing = [Standing(at, self._order(at, word)) for at, word in enumerate(words, place)]
            cycles = sum(each.order.cycles for each in standing)
            self._ready[key] = Ready(self.lockstep.compile(standing), len(words), cycles)
        return self._ready[key]

    def together(self, place: int, longest: int, word: Callable[[int], int | None]) -> tuple[int, ...]:
        """The words from a place on that can be obeyed together, at most so many.

        `word` gives that of an address, or None where machines may differ.  Raises Fault if the first is no order.
        """
        words: list[int] = []
        written: set[int] = set()
        for at in range(place, min(place + longest, self._store_words)):
            value = None if at in written or (words and at in self.heads) else word(at)
            if value is None:
                break
            try:
                order = self._order(at, value)
            except Fault:
                if words:
                    break
                raise
            words.append(value)
            if not self.lockstep.is_plain(order):
                break
            written.add(order.address)  # at most this one
        return tuple(words)

    def _order(self, place: int, word: int) -> Decoded:
        if (place, word) not in self._decoded:
            self._decoded[place, word] = self._orders.decode(word, place)
        return self._decoded[place, word]
