"""One machine, instruction by instruction, exactly as docs/programs.md says.

For many machines at once see `budget.machine.fleet`, which does the same on arrays.
"""

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from fractions import Fraction
from typing import ClassVar, NamedTuple

from budget.card import CostCard
from budget.machine.clock import Clock
from budget.machine.layout import Fault, Instruction, NoSuchAddress, signed
from budget.machine.orders import Operand, Order
from budget.machine.program import Program

RUNNING, HALTED, WAITING, LIMIT, FAULT = "running", "halted", "waiting for input", "limit reached", "fault"
"""How a machine stands: ready for its next instruction; halted; it wants a character; the limit of instructions was
reached; a fault."""
USUAL_LIMIT = 10_000_000
"""Instructions after which a program that nobody has limited is taken to run for ever."""
WRITES = frozenset({"store", "count"})
KEEPS_M = frozenset({"by", "high"})


class Step(NamedTuple):
    """One instruction that was obeyed.

    place: where it stood; effective: the address, place or number that it worked with; word: what stood at that
    address before, if it is one; changed: the address of the word that it has written, if any; passed: the code that
    went in or out, if any; a, m, carry: afterwards.
    """

    place: int
    instruction: Instruction
    effective: int
    word: int | None
    changed: int | None
    passed: int | None
    a: int
    m: int
    carry: int


class Times(NamedTuple):
    """Seconds, exactly: of the instructions, of reading and of printing; None where the card does not say."""

    thinking: Fraction | None
    reading: Fraction | None
    printing: Fraction | None


class Machine:
    """A machine with its store, as it stands after the start key.

    status: how it stands; fault: what has stopped it, in words; instructions and clock.cycles: those that were
    obeyed; touched: the words of the store that they have worked on; written: those of them that they have written;
    passed: what has gone out, code by code; angle: see `Clock`.
    """

    def __init__(
        self, card: CostCard, store: Iterable[int], start: int = 0, *, angle: int | None = None
    ) -> None:
        self.card = card
        self.store = list(store)
        self.place = start
        self.a = self.m = self.carry = 0
        self.links: list[int] = []
        self.passed: list[int] = []
        self.characters_in = 0
        self.instructions = 0
        self.clock = Clock(card.program.pace, angle)
        self.touched: set[int] = set()
        self.written: set[int] = set()
        self.status = RUNNING
        self.fault = ""
        self._waiting: deque[int] = deque()
        self._decoded: dict[int, tuple[Instruction, list[int]]] = {}
        self._layout = card.program.layout
        self._mask = (1 << card.word_bits) - 1
        characters = card.characters
        self._sent = (1 << (characters.bits if characters.words_each == 1 else card.word_bits)) - 1

    @classmethod
    def loaded(cls, program: Program, *, fill: int = 0, angle: int | None = None) -> "Machine":
        """A machine into which a program was loaded; `fill` stands wherever it leaves the store alone."""
        return cls(program.card, program.store(fill), program.start, angle=angle)

    def feed(self, codes: Iterable[int]) -> None:
        """Let these codes wait to be read by `input`."""
        self._waiting.extend(codes)

    def forget(self) -> None:
        """Let nothing wait to be read any more."""
        self._waiting.clear()

    def run(self, limit: int = USUAL_LIMIT) -> str:
        """Obey instructions until the machine stands still, at most so many; how it stands."""
        for _ in range(limit):
            if self.step() is None:
                return self.status
        self.status = LIMIT if self.status == RUNNING else self.status
        return self.status

    def steps(self, limit: int = USUAL_LIMIT) -> Iterator[Step]:
        """The same, giving every instruction as it has been obeyed."""
        for _ in range(limit):
            step = self.step()
            if step is None:
                return
            yield step
        self.status = LIMIT if self.status == RUNNING else self.status

    def step(self) -> Step | None:
        """Obey one instruction; None if the machine stands still."""
        if self.status in (HALTED, FAULT):
            return None
        try:
            instruction = self._fetch()
            effective = self._effective(instruction)
            self._check(instruction.order, effective)
        except Fault as fault:
            self.status, self.fault = FAULT, str(fault)
            return None
        order = instruction.order
        if order.name == "input" and not self._waiting:
            self.status = WAITING
            return None
        self.status = RUNNING
        return self._finish(instruction, effective)

    def times(self) -> Times:
        """How long everything has taken."""
        program, each = self.card.program, self.card.characters.words_each
        thinking = program.pace.cycle * self.clock.cycles if program.pace else None
        reading = Fraction(self.characters_in, each) / program.reading if program.reading else None
        printing = Fraction(len(self.passed), each) / program.printing if program.printing else None
        return Times(thinking, reading, printing)

    # -- before anything is done --------------------------------------------------------------

    def _fetch(self) -> Instruction:
        if self.place >= self._layout.places:
            raise NoSuchAddress(self.place)
        if self.card.fixed_words and self.place < self.card.first_fixed * self._layout.places_a_word:
            raise Fault(f"no program here: {self.place}")
        first, known = self.place // self._layout.places_a_word, self._decoded.get(self.place)
        if known is not None and self.store[first : first + known[0].words] == known[1]:
            return known[0]
        instruction = self._layout.decode(self.place, self._word)
        self._decoded[self.place] = (instruction, self.store[first : first + instruction.words])
        return instruction

    def _word(self, address: int) -> int:
        if address >= len(self.store):
            raise NoSuchAddress(address)
        return self.store[address]

    def _effective(self, instruction: Instruction) -> int:
        """The operand with M, and for `look` with A."""
        order = instruction.order
        if order.name == "by":
            return instruction.operand
        further = self.m + (signed(self.a, self.card.word_bits) if order.name == "look" else 0)
        return (instruction.operand + further) % self._layout.modulus(order.operand)

    def _check(self, order: Order, effective: int) -> None:
        """Raise the fault that this instruction has, if any."""
        if order.operand is Operand.WORD:
            self._word(effective)
        if order.name in WRITES and self.card.fixed_words and effective >= self.card.first_fixed:
            raise Fault(f"fixed store: {effective}")
        if order.name == "call" and len(self.links) == self.card.program.links:
            raise Fault("links full")
        if order.name == "back" and not self.links:
            raise Fault("no link")

    # -- obeying ------------------------------------------------------------------------------

    def _finish(self, instruction: Instruction, effective: int) -> Step:
        """Obey an instruction that has no fault, and count it."""
        order, place = instruction.order, self.place
        first = place // self._layout.places_a_word
        for address in range(first, first + instruction.words):
            self.clock.word(address)
        word = self.store[effective] if order.operand is Operand.WORD else None
        if word is not None:
            self.touched.add(effective)
            self.clock.word(effective)
        if order.name == "count":
            self.clock.word(effective)  # what was read has to come by again to be written
        self.clock.work(order.name)
        self.place = instruction.next_place
        passed = self._obey[order.name](self, effective)
        if order.name not in KEEPS_M:
            self.m = 0
        changed = effective if order.name in WRITES else None
        if changed is not None:
            self.written.add(effective)
        self.instructions += 1
        return Step(place, instruction, effective, word, changed, passed, self.a, self.m, self.carry)

    def _set(self, value: int) -> None:
        self.a = value & self._mask

    def _modify(self, value: int) -> None:
        self.m = value % (1 << self._layout.modifier_bits)

    def _add(self, word: int) -> None:
        self.carry = self.a + word >> self.card.word_bits
        self._set(self.a + word)

    def _subtract(self, word: int) -> None:
        self.carry = int(self.a >= word)
        self._set(self.a - word)

    def _store(self, address: int) -> None:
        self.store[address] = self.a

    def _count(self, address: int) -> None:
        self._set(self.store[address] + 1)
        self.store[address] = self.a

    def _jump(self, place: int) -> None:
        self.place = place

    def _call(self, place: int) -> None:
        self.links.append(self.place)
        self.place = place

    def _halt(self) -> None:
        self.status = HALTED

    def _input(self) -> int:
        code = self._waiting.popleft()
        self.characters_in += 1
        self.clock.pass_character()
        self._set(code)
        return code

    def _output(self) -> int:
        code = self.a & self._sent
        self.passed.append(code)
        self.clock.pass_character()
        return code

    _obey: ClassVar[dict[str, Callable[["Machine", int], int | None]]] = {
        "halt": lambda self, e: self._halt(),
        "back": lambda self, e: self._jump(self.links.pop()),
        "input": lambda self, e: self._input(),
        "output": lambda self, e: self._output(),
        "negate": lambda self, e: self._set(-self.a),
        "carry": lambda self, e: self._set(self.carry),
        "high": lambda self, e: self._modify(self.m << self.card.word_bits),
        "left": lambda self, e: self._set(self.a << e if e < self.card.word_bits else 0),
        "right": lambda self, e: self._set(self.a >> e),
        "load": lambda self, e: self._set(self.store[e]),
        "store": _store,
        "add": lambda self, e: self._add(self.store[e]),
        "subtract": lambda self, e: self._subtract(self.store[e]),
        "and": lambda self, e: self._set(self.a & self.store[e]),
        "look": lambda self, e: self._set(self.store[e]),
        "by": lambda self, e: self._modify(self.m + signed(self.store[e], self.card.word_bits)),
        "count": _count,
        "jump": _jump,
        "ifzero": lambda self, e: self._jump(e if not self.a else self.place),
        "ifnonzero": lambda self, e: self._jump(e if self.a else self.place),
        "ifminus": lambda self, e: self._jump(e if signed(self.a, self.card.word_bits) < 0 else self.place),
        "call": _call,
        "set": _set,
        "plus": lambda self, e: self._add(e & self._mask),
    }
    """What each order does with its effective operand; some give the code that has passed."""
