"""A machine of our own orders that hurries: it does not tell its single steps, and is quicker for that.

The common orders are made ready once for each place at which they stand.  All others, and whatever would be a fault,
are left to the machine that it is: that one says what every order does.
"""

from collections.abc import Callable, Iterable
from typing import NamedTuple

from budget.card import CostCard
from budget.machine.layout import Fault, signed
from budget.machine.orders import Operand
from budget.machine.simulator import FAULT, HALTED, KEEPS_M, LIMIT, RUNNING, USUAL_LIMIT, WRITES, Machine

UNCOMMON = frozenset({"halt", "back", "input", "output", "high", "call"})
"""Orders that are left to the machine itself."""


class _Ready(NamedTuple):
    """An order that is ready: what it does with its effective operand, and what that is made of.

    operand counts modulo `modulus`, and is no fault below `bound`; cycles: what it takes; takes_m, adds_a: whether M,
    and A, are added to the operand; works: whether that is the address of a word; reads, writes: what it does there.
    """

    obey: Callable[[Machine, int], int | None]
    operand: int
    modulus: int
    bound: int
    following: int
    cycles: int
    takes_m: bool
    adds_a: bool
    works: bool
    reads: bool
    writes: bool


class Hurried(Machine):
    """The same machine.

    read_first, obeyed: the words that it has read, and obeyed, before it wrote them; not where the store turns.
    """

    def __init__(
        self, card: CostCard, store: Iterable[int], start: int = 0, *, angle: int | None = None
    ) -> None:
        super().__init__(card, store, start, angle=angle)
        self.read_first: set[int] = set()
        self.obeyed: set[int] = set()

    def run(self, limit: int = USUAL_LIMIT) -> str:
        """As in `Machine`."""
        pace = self.card.program.pace
        turns = pace is not None and pace.turning is not None  # then every word has to be waited for
        if turns or self.status in (HALTED, FAULT):
            return super().run(limit)
        ready: dict[int, _Ready | None] = {}
        code: set[int] = set()
        for _ in range(limit):
            if self.place not in ready:
                ready[self.place] = self._made_ready(code)
            each = ready[self.place]
            written = None
            if each is None or (written := self._obeyed(each)) is None:
                step = self.step()
                if step is None or self.status == HALTED:
                    return self.status
                written = step.changed
            if written in code:
                ready.clear()
        self.status = LIMIT if self.status == RUNNING else self.status
        return self.status

    def _obeyed(self, ready: _Ready) -> int | None:
        """Obey a ready order; the address that it has written, or -1; None if that would be a fault."""
        obey, effective, modulus, bound, following, cycles, takes_m, adds_a, works, reads, writes = ready
        if takes_m and self.m:
            effective = (effective + self.m) % modulus
        if adds_a:
            effective = (effective + signed(self.a, self.card.word_bits)) % modulus
        if effective >= bound:
            return None
        if works:
            self.touched.add(effective)
            if reads and effective not in self.written:
                self.read_first.add(effective)
            if writes:
                self.written.add(effective)
        self.place = following
        obey(self, effective)
        if takes_m:
            self.m = 0
        self.instructions += 1
        self.clock.cycles += cycles
        return effective if writes else -1

    def _made_ready(self, code: set[int]) -> _Ready | None:
        """The order at this place, if it is a common one; its words are added to `code`."""
        try:
            instruction = self._fetch()
        except Fault:
            return None
        first = self.place // self._layout.places_a_word
        words = range(first, first + instruction.words)
        code.update(words)
        self.obeyed.update(address for address in words if address not in self.written)
        order, pace = instruction.order, self.card.program.pace
        if order.name in UNCOMMON:
            return None
        modulus = self._layout.modulus(order.operand)
        works, writes = order.operand is Operand.WORD, order.name in WRITES
        bound = len(self.store) if works else modulus
        if writes and self.card.fixed_words:
            bound = self.card.first_fixed
        return _Ready(
            self._obey[order.name],
            instruction.operand if order.name in KEEPS_M else instruction.operand % modulus,
            modulus,
            bound,
            instruction.next_place,
            pace.cycles.get(order.name, 0) if pace else 0,
            order.name not in KEEPS_M,
            order.name == "look",
            works,
            works and order.name != "store",
            writes,
        )
