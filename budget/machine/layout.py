"""How instructions lie in the words of a machine: docs/programs.md, "How instructions lie in words".

A layout knows only sizes; it turns one instruction into bits and back, and nothing else.
"""

from collections.abc import Callable
from functools import cached_property
from typing import NamedTuple

from budget.machine.orders import DETAIL_BITS, ORDER_BITS, ORDER_CODED, WITH_DETAIL, Operand, Order

ONE_WORD, TWO_A_WORD, WORDS = "one-word", "two-a-word", "words"
SHAPES = (ONE_WORD, TWO_A_WORD, WORDS)
FULL_ADDRESSES, PAGE_ADDRESSES = "full", "page"
LEAST_BYTE = 8
"""Bits of a word that holds an order's code and its detail or form together."""
PAGE_ZERO, THIS_PAGE, WHOLE = 0, 1, 2
"""The forms of an address."""
LEAST_FIELD = 6
"""Bits of a field: four of detail, and two at the least for an amount."""


class Fault(Exception):
    """What stops a machine, in the words of docs/programs.md."""


class NoSuchAddress(Fault):
    """An address or a place beyond the store."""

    def __init__(self, address: int) -> None:
        super().__init__(f"no such address: {address}")


class DoesNotFit(Exception):
    """An instruction that cannot be written in this layout, and what was expected."""


class Instruction(NamedTuple):
    """An instruction out of the store: `operand` before M is added, signed if it is a number; its size in words.

    `words`: how many words hold it, or have to be fetched for it; `next_place`: the place after it.
    """

    order: Order
    operand: int
    words: int
    next_place: int


class Sizes(NamedTuple):
    """The figures that a layout is made from."""

    word_bits: int
    store_words: int
    shape: str
    addresses: str


class Layout:
    """How instructions lie in words.  `page_words` is 0 where addresses have no short form."""

    def __init__(self, sizes: Sizes) -> None:
        self.sizes = sizes
        self.word_bits, self.store_words, self.shape, addresses = sizes
        self.is_paged = addresses == PAGE_ADDRESSES
        self.places_a_word = 2 if self.shape == TWO_A_WORD else 1
        self.places = self.store_words * self.places_a_word
        self.address_bits = (self.store_words - 1).bit_length()
        self.place_bits = (self.places - 1).bit_length()
        self.modifier_bits = max(self.word_bits, self.place_bits)
        self.address_words = max(1, -(-self.address_bits // self.word_bits))
        self.part_bits = self.word_bits // self.places_a_word
        self.field_bits = self.part_bits - ORDER_BITS
        self.has_bytes = self.word_bits >= LEAST_BYTE

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Layout) and other.sizes == self.sizes

    def __hash__(self) -> int:
        return hash(self.sizes)

    @cached_property
    def page_words(self) -> int:
        """Words of a page."""
        if self.shape != WORDS:
            return 1 << self.field_bits - 1 if self.is_paged else 0
        return 1 << self.word_bits if self.has_bytes and self.address_words > 1 else 0

    @property
    def most_words(self) -> int:
        """Words that the longest instruction takes."""
        if self.shape != WORDS:
            return 1
        return self.address_words + 1 if self.has_bytes else max(self.address_words + 1, 3)

    @property
    def number_range(self) -> tuple[int, int]:
        """The least and the greatest number that `set` and `plus` can hold; the upper half stands for negative ones."""
        bits = self.word_bits if self.shape == WORDS else self.field_bits
        least = -(1 << min(bits, self.word_bits) - 1)
        return least, (1 << self.word_bits) - 1 if bits >= self.word_bits else -least - 1

    def modulus(self, operand: Operand) -> int:
        """What e counts modulo: addresses and places wrap where the store's bits end, numbers where M's do."""
        bits = {Operand.WORD: self.address_bits, Operand.PLACE: self.place_bits}
        return 1 << bits.get(operand, self.modifier_bits)

    # -- reading ------------------------------------------------------------------------------

    def decode(self, place: int, word_at: Callable[[int], int]) -> Instruction:
        """The instruction at a place; `word_at` gives the word of an address.

        Raises Fault if it runs over the end of the store, or is not an order.
        """
        if self.shape == WORDS:
            return self._decode_words(place, lambda address: self._word(address, word_at))
        address, half = divmod(place, self.places_a_word)
        part = self._word(address, word_at) >> half * self.part_bits & (1 << self.part_bits) - 1
        code, field = part >> self.field_bits, part & (1 << self.field_bits) - 1
        if code == WITH_DETAIL:
            order = _order(code, field & (1 << DETAIL_BITS) - 1)
            operand = field >> DETAIL_BITS if order.operand is Operand.AMOUNT else 0
            return Instruction(order, operand, 1, place + 1)
        order = _order(code, 0)
        return Instruction(order, self._from_field(order, field, address), 1, place + 1)

    def _word(self, address: int, word_at: Callable[[int], int]) -> int:
        if address >= self.store_words:
            raise NoSuchAddress(address)
        return word_at(address)

    def _from_field(self, order: Order, field: int, address: int) -> int:
        if order.operand is Operand.NUMBER:
            return signed(field, self.field_bits)
        if self.is_paged:
            this_page, within = divmod(field, self.page_words)
            return within + (address - address % self.page_words if this_page else 0)
        return field % self.modulus(order.operand)

    def _decode_words(self, place: int, word_at: Callable[[int], int]) -> Instruction:
        first = word_at(place)
        code, detail = divmod(first, 1 << DETAIL_BITS) if self.has_bytes else (first, 0)
        at = place + 1
        if code == WITH_DETAIL and not self.has_bytes:
            detail = word_at(at)
            at += 1
        order = _order(code, detail if code == WITH_DETAIL else 0)
        count, base = self._operand_words(order, detail, place)
        operand = 0
        for number in range(count):
            operand |= word_at(at + number) << number * self.word_bits
        if order.operand is Operand.NUMBER:
            operand = signed(operand, self.word_bits)
        elif order.operand in (Operand.WORD, Operand.PLACE):
            operand = (base + operand) % self.modulus(order.operand)
        at += count
        return Instruction(order, operand, at - place, at)

    def _operand_words(self, order: Order, detail: int, place: int) -> tuple[int, int]:
        """How many words the operand takes, and the page's beginning that is added to it."""
        if order.operand is Operand.NONE:
            return 0, 0
        if order.operand in (Operand.NUMBER, Operand.AMOUNT):
            if order.code != WITH_DETAIL and detail:
                raise _not_an_order(order.code, detail)
            return 1, 0
        if detail > (WHOLE if self.page_words else PAGE_ZERO):
            raise _not_an_order(order.code, detail)
        if not self.page_words or detail == WHOLE:
            return self.address_words, 0
        return 1, place - place % self.page_words if detail == THIS_PAGE else 0

    # -- writing ------------------------------------------------------------------------------

    def forms(self, order: Order, operand: int, address: int) -> tuple[int, ...]:
        """The forms in which an instruction in the word `address` can hold an operand, the shortest first."""
        if order.operand not in (Operand.WORD, Operand.PLACE) or not self.page_words:
            return (PAGE_ZERO,)
        reached = [
            form
            for form, page in ((PAGE_ZERO, 0), (THIS_PAGE, address // self.page_words))
            if operand // self.page_words == page
        ]
        return (*reached[:1], *([WHOLE] if self.shape == WORDS else []))

    def encode(self, order: Order, operand: int, address: int, form: int) -> tuple[int, ...]:
        """An instruction in the word `address`: its words, or the part of a word that it is.

        Raises DoesNotFit where the operand is too large.
        """
        self.check(order, operand)
        if self.shape == WORDS:
            return self._encode_words(order, operand, form)
        if order.code == WITH_DETAIL:
            field = order.detail | operand << DETAIL_BITS
        elif self.is_paged and order.operand is not Operand.NUMBER:
            field = operand % self.page_words + (self.page_words if form == THIS_PAGE else 0)
        else:
            field = operand % (1 << self.field_bits)
        return (order.code << self.field_bits | field,)

    def check(self, order: Order, operand: int) -> None:
        """Raise DoesNotFit for an operand that no instruction can hold, wherever it stands."""
        if order.operand is Operand.NUMBER:
            least, most = self.number_range
            if not least <= operand <= most:
                raise DoesNotFit(f"'{order.name}' holds numbers from {least} to {most}, not {operand}")
        elif order.operand is Operand.AMOUNT:
            bits = self.word_bits if self.shape == WORDS else self.field_bits - DETAIL_BITS
            if not 0 <= operand < 1 << bits:
                raise DoesNotFit(f"'{order.name}' moves by 0 to {(1 << bits) - 1} bits, not by {operand}")
        elif not 0 <= operand < self.modulus(order.operand):
            raise DoesNotFit(
                f"'{order.name}' needs an address from 0 to {self.store_words - 1}, not {operand}"
            )

    def _encode_words(self, order: Order, operand: int, form: int) -> tuple[int, ...]:
        is_address = order.operand in (Operand.WORD, Operand.PLACE)
        detail = form if is_address else order.detail
        if self.has_bytes:
            head = [order.code << DETAIL_BITS | detail]
        else:
            head = [order.code] + ([detail] if order.code == WITH_DETAIL else [])
        count = 0
        if order.operand is not Operand.NONE:
            is_short = not is_address or (self.page_words and form != WHOLE)
            count = 1 if is_short else self.address_words
        mask = (1 << self.word_bits) - 1
        return (*head, *(operand >> number * self.word_bits & mask for number in range(count)))

    def length(self, order: Order, form: int) -> int:
        """How many places an instruction takes."""
        return len(self._encode_words(order, 0, form)) if self.shape == WORDS else 1


def signed(number: int, bits: int) -> int:
    """A number of so many bits, read in two's complement.

    >>> signed(15, 4), signed(7, 4)
    (-1, 7)
    """
    return number - (number >> bits - 1 << bits)


def _order(code: int, detail: int) -> Order:
    if (code, detail) not in ORDER_CODED:
        raise _not_an_order(code, detail)
    return ORDER_CODED[code, detail]


def _not_an_order(code: int, detail: int) -> Fault:
    return Fault(f"not an order: code {code}" + (f" with {detail}" if detail else ""))
