"""A program acted out on paper: trace tables, registers bit by bit, and addition one digit a clock.

A trace table has a row for each instruction and a column for each thing that can change; a value is written where
it has changed.  A blank one has the same rows and columns, to be filled in by hand.
"""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from budget.machine.layout import Fault, Instruction, signed
from budget.machine.listing import in_base
from budget.machine.orders import Operand
from budget.machine.program import INSTRUCTION, Program
from budget.machine.simulator import Step

REGISTERS = ("A", "M")
CHANNELS = ("input", "output")


class TraceTable(NamedTuple):
    """A trace table: titles of its columns, and rows with as many cells; what has not changed is an empty cell."""

    titles: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


class Clock(NamedTuple):
    """One clock of a serial addition: the digits that meet, the carry that comes in, and what becomes of them."""

    clock: int
    first: int
    second: int
    carry_in: int
    digit: int
    carry_out: int


def traced(program: Program, steps: Iterable[Step], *, blank: bool = False, wide: bool = True) -> TraceTable:
    """The trace table of some steps of a program.

    Columns: the step, its place, the instruction, A, M if anything uses it, the words that are written, in the order
    of their first writing, and the codes that go in and out.  If it is not `wide`, one column says which word was
    written and what.  In a blank table only the steps are numbered.
    """
    done = list(steps)
    words = list(dict.fromkeys(step.changed for step in done if step.changed is not None))
    names = {word: word_name(program, word) for word in words}
    registers = REGISTERS if any(step.m for step in done) else REGISTERS[:1]
    channels = [each for each in CHANNELS if any(step.instruction.order.name == each for step in done)]
    titles = ("step", "at", "instruction", *registers, *(names.values() if wide else ("written",)), *channels)
    seen = Seen(program)
    rows = []
    for number, step in enumerate(done, 1):
        if blank:
            rows.append((str(number), *[""] * (len(titles) - 1)))
            continue
        cells = [seen.cell(name, value) for name, value in zip(registers, (step.a, step.m), strict=False)]
        if wide:
            cells += [seen.cell(word, step.a) if step.changed == word else "" for word in words]
        else:
            cells.append("" if step.changed is None else f"{names[step.changed]} = {seen.value(step.a)}")
        cells += [str(step.passed) if step.instruction.order.name == each else "" for each in channels]
        rows.append((str(number), place_text(program, step.place), told(program, step), *cells))
    return TraceTable(titles, tuple(rows))


class Seen:
    """Remembers what stands in each column, so that only changes are written."""

    def __init__(self, program: Program) -> None:
        self._bits = program.card.word_bits
        self._last: dict[object, int] = {"A": 0, "M": 0}

    def cell(self, column: object, value: int) -> str:
        """The value with its sign, or nothing where it stands there already; M is written whenever it is not 0."""
        before = self._last.get(column)
        self._last[column] = value
        if before == value:
            return ""
        return str(value) if column == "M" else self.value(value)

    def plain(self, column: object, value: int) -> str:
        """The value without a sign, or nothing where it stands there already."""
        before = self._last.get(column, 0)
        self._last[column] = value
        return "" if before == value else str(value)

    def value(self, word: int) -> str:
        """A word with its sign."""
        return str(signed(word, self._bits))


def word_name(program: Program, address: int) -> str:
    """A word as people call it: its label, or the label before it and how far from it.

    Its address where there is none, or where the program has nothing.
    """
    per_word = program.card.program.layout.places_a_word
    before = {
        place // per_word: name
        for name, place in reversed(program.labels.items())
        if place // per_word <= address
    }
    if not before or not any(address in program.addresses(line) for line in program.lines):
        return in_base(address, program.card.program.base)
    nearest = max(before)
    return before[nearest] + (f"+{address - nearest}" if address > nearest else "")


def place_text(program: Program, place: int) -> str:
    """A place in the machine's base; ``.2`` stands for the upper half of a word."""
    address, half = divmod(place, program.card.program.layout.places_a_word)
    return in_base(address, program.card.program.base) + (".2" if half else "")


def told(program: Program, step: Step) -> str:
    """An instruction as the source has it; as its order and number where the program has altered it."""
    line = next(
        (each for each in program.lines if each.place == step.place and each.kind == INSTRUCTION), None
    )
    if line is not None and _as_loaded(program, step.place) == step.instruction:
        return without_label(line.text)
    return plainly(program, step.instruction)


def _as_loaded(program: Program, place: int) -> Instruction | None:
    """The instruction that a place was loaded with; None if it was none."""
    try:
        return program.card.program.layout.decode(place, lambda address: program.image.get(address, 0))
    except Fault:
        return None


def without_label(text: str) -> str:
    """A source line without its labels and its remark, one space between words.

    >>> without_label("again:  plus  -'1'   # a digit?")
    "plus -'1'"
    """
    text = text.rpartition(": ")[2] if ": " in text.partition("#")[0] else text
    cut = text.find(" #")
    return " ".join((text if cut < 0 else text[:cut]).split())


def plainly(program: Program, instruction: Instruction) -> str:
    """An instruction by its order and its number."""
    order = instruction.order
    if order.operand is Operand.NONE:
        return order.name
    if order.operand is Operand.WORD:
        return f"{order.name} {word_name(program, instruction.operand)}"
    return f"{order.name} {instruction.operand}"


def bits(value: int, length: int) -> str:
    """A register bit by bit, the highest first.

    >>> bits(5, 4)
    '0 1 0 1'
    """
    return " ".join(in_base(value, 2, length))


def serial_addition(first: int, second: int, length: int, carry: int = 0) -> Iterator[Clock]:
    """Two words of so many bits, added one digit a clock, the lowest first."""
    for clock in range(length):
        one, two = first >> clock & 1, second >> clock & 1
        total = one + two + carry
        yield Clock(clock + 1, one, two, carry, total & 1, total >> 1)
        carry = total >> 1


def added(program: Program, before: int, step: Step) -> tuple[int, int, int] | None:
    """What an instruction adds up, as (first, second, carry); None if it adds nothing.  `before` is A before it.

    To subtract is to add every bit turned round, with a carry of 1.
    """
    mask = (1 << program.card.word_bits) - 1
    word = step.word or 0
    return {
        "add": (before, word, 0),
        "subtract": (before, ~word & mask, 1),
        "plus": (before, step.effective & mask, 0),
        "count": (word, 1, 0),
        "negate": (0, ~before & mask, 1),
    }.get(step.instruction.order.name)
