"""One machine of an order sheet, order by order; to its callers it is like `budget.machine.simulator.Machine`."""

from collections import deque
from collections.abc import Iterable, Iterator
from fractions import Fraction
from typing import NamedTuple

from budget.card import CostCard
from budget.machine.clock import Clock
from budget.machine.layout import Fault, NoSuchAddress
from budget.machine.program import Program
from budget.machine.simulator import FAULT, HALTED, LIMIT, RUNNING, USUAL_LIMIT, WAITING, Times
from budget.target.compiled import Compiler, Obey
from budget.target.sheet import Orders


class Wait(Exception):
    """The machine asks for a key, and none is there."""


class TargetStep(NamedTuple):
    """One order that was obeyed.

    place: where it stood; word: what it was; registers: all of them afterwards; changed: the words that it has written,
    with what stands there now; passed: the code that went in or out, if any.
    """

    place: int
    word: int
    registers: tuple[int, ...]
    changed: tuple[tuple[int, int], ...]
    passed: int | None


class Snapshot(NamedTuple):
    """All that decides what a machine will do: equal snapshots will do the same.

    store: the words that are not as they were loaded, by address.
    """

    status: str
    place: int
    registers: tuple[int, ...]
    channels: tuple[int, bool, bool, bool]
    store: tuple[tuple[int, int], ...]


class TargetMachine:
    """A machine with its store, as it stands after the start key: registers are clear, and no key was pressed.

    status: how it stands; fault: what has stopped it, in words; instructions and clock.cycles: those that were
    obeyed; touched: the words of the store that they have worked on; written: those of them that they have written;
    passed: what has gone out, code by code; registers: in the order of the sheet.

    An order that asks whether a key was pressed is where the machine waits: it is obeyed once a key is there.  The
    printer is ready again as soon as it is asked, so what a program does while it waits for either is not counted.
    """

    def __init__(self, card: CostCard, store: Iterable[int], start: int = 0) -> None:
        assert card.sheet is not None, "machine_for has chosen by this"
        self.card = card
        self.store = store if isinstance(store, list) else list(store)
        self.place = start
        self.registers = [0] * len(card.sheet.registers)
        self.passed: list[int] = []
        self.characters_in = 0
        self.instructions = 0
        self.clock = Clock(None)
        self.touched: set[int] = set()
        self.written: set[int] = set()
        self.status = RUNNING
        self.fault = ""
        self.key = 0
        self.typed = self.printed = False
        self._is_printing = False
        self._waiting: deque[int] = deque()
        self._loaded = tuple(self.store)
        self._orders = Orders(card.sheet)
        self._compiler = Compiler(card.sheet, len(self.store), self)
        self._ready: dict[int, tuple[int, Obey, int]] = {}
        self._kept: dict[tuple[int, int], tuple[int, Obey, int]] = {}
        self._sent = (1 << card.characters.bits) - 1

    @classmethod
    def loaded(cls, program: Program, *, fill: int = 0) -> "TargetMachine":
        """A machine into which a program was loaded; `fill` stands wherever it leaves the store alone."""
        return cls(program.card, program.store(fill), program.start)

    def feed(self, codes: Iterable[int]) -> None:
        """Let these codes wait to be read, each as a key that is pressed."""
        self._waiting.extend(codes)

    def forget(self) -> None:
        """Let nothing wait to be read any more."""
        self._waiting.clear()

    @property
    def accumulator(self) -> int:
        """The number of the register that stands for A."""
        assert self.card.sheet is not None
        return list(self.card.sheet.registers).index(self.card.sheet.accumulator)

    @property
    def a(self) -> int:
        """The register that stands for A."""
        return self.registers[self.accumulator]

    # -- running ------------------------------------------------------------------------------

    def run(self, limit: int = USUAL_LIMIT) -> str:
        """Obey orders until the machine stands still, at most so many; how it stands."""
        if self.status in (HALTED, FAULT):
            return self.status
        self.status = RUNNING
        store, ready, place, cycles, done = self.store, self._ready, self.place, 0, 0
        try:
            while done < limit:
                known = ready.get(place)
                if known is None or known[0] != store[place]:
                    known = self._make_ready(place)
                place = known[1]()
                done += 1
                cycles += known[2]
                if self.status != RUNNING:
                    break
            else:
                self.status = LIMIT
        except Wait:
            self.status = WAITING
        except Fault as fault:
            self.status, self.fault = FAULT, str(fault)
        self.place = place
        self.instructions += done
        self.clock.cycles += cycles
        return self.status

    def steps(self, limit: int = USUAL_LIMIT) -> Iterator[TargetStep]:
        """The same, giving every order as it has been obeyed."""
        for _ in range(limit):
            if self.status == LIMIT:
                self.status = RUNNING
            step = self._one_step()
            if step is None:
                return
            yield step

    def _one_step(self) -> TargetStep | None:
        place, before = self.place, (self.instructions, self.characters_in, len(self.passed))
        word = self.store[place] if place < len(self.store) else 0
        written = set(self.written)
        self.written.clear()
        self.run(1)
        changed = tuple((address, self.store[address]) for address in sorted(self.written))
        self.written |= written
        if self.instructions == before[0]:
            return None
        passed = self.passed[-1] if len(self.passed) > before[2] else None
        passed = self.key if self.characters_in > before[1] else passed
        return TargetStep(place, word, tuple(self.registers), changed, passed)

    def step(self) -> TargetStep | None:
        """Obey one order; None if the machine stands still."""
        return self._one_step()

    def _make_ready(self, place: int) -> tuple[int, Obey, int]:
        if place >= len(self.store):
            raise NoSuchAddress(place)
        word = self.store[place]
        if (place, word) not in self._kept:
            decoded = self._orders.decode(word, place)
            self._kept[place, word] = (word, self._compiler.compile(decoded, place), decoded.cycles)
        self._ready[place] = self._kept[place, word]
        return self._ready[place]

    def times(self) -> Times:
        """How long everything has taken."""
        program = self.card.program
        thinking = program.pace.cycle * self.clock.cycles if program.pace else None
        reading = Fraction(self.characters_in) / program.reading if program.reading else None
        printing = Fraction(len(self.passed)) / program.printing if program.printing else None
        return Times(thinking, reading, printing)

    # -- channels -----------------------------------------------------------------------------

    def await_key(self) -> bool:
        """A key was pressed; raises Wait if not yet."""
        if not self.typed:
            if not self._waiting:
                raise Wait
            self.key = self._waiting.popleft()
            self.characters_in += 1
            self.typed = True
        return True

    def read_key(self) -> int:
        """The code of the key that was pressed.  Raises Fault if there is none, or if it was forgotten."""
        if not self.typed:
            raise Fault("no key to read")
        return self.key

    def await_printer(self) -> bool:
        """Whether the printer has finished a character; it has, as soon as it is asked."""
        if self._is_printing:
            self._is_printing = False
            self.printed = True
        return self.printed

    def send(self, code: int) -> None:
        """Print a character.  Raises Fault if nobody has asked whether the last one is done."""
        if self._is_printing:
            raise Fault("printer not ready")
        self._is_printing = True
        self.passed.append(code & self._sent)

    def halt(self) -> None:
        """Stop."""
        self.status = HALTED

    # -- states -------------------------------------------------------------------------------

    def snapshot(self) -> Snapshot:
        """How the machine stands, what waits to be read apart."""
        loaded, store = self._loaded, self.store
        changed = ((address, store[address]) for address in sorted(self.written))
        return Snapshot(
            self.status,
            self.place,
            tuple(self.registers),
            (self.key if self.typed else 0, self.typed, self.printed, self._is_printing),
            tuple((address, word) for address, word in changed if word != loaded[address]),
        )

    def restore(self, snapshot: Snapshot) -> None:
        """Stand as a snapshot of this machine says; counts go on, and nothing waits to be read."""
        self._waiting.clear()
        self.status, self.place = snapshot.status, snapshot.place
        self.fault = "" if snapshot.status != FAULT else self.fault
        self.registers[:] = snapshot.registers
        self.key, self.typed, self.printed, self._is_printing = snapshot.channels
        for address in self.written:
            self.store[address] = self._loaded[address]
        for address, word in snapshot.store:
            self.store[address] = word
