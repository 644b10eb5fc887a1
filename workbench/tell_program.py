"""Programs, their listings and traces in plain lines."""

from collections.abc import Iterator, Sequence

from budget.machine.channel import printed
from budget.machine.listing import (
    Row,
    address_digits,
    in_base,
    rows_of,
    word_counts,
    word_digits,
    words_a_row,
)
from budget.machine.program import Program
from budget.machine.simulator import Step, Times
from budget.machine.trace import TraceTable, added, bits, place_text, serial_addition, told, traced
from budget.programs import AnyMachine
from budget.target.machine import TargetStep
from budget.target.trace import target_traced
from workbench.output import WIDTH, plural, table

CLOCK_TITLES = ("clock", "first", "second", "carry", "digit", "carry out")


def listing_lines(program: Program) -> Iterator[str]:
    """The listing: address, words in the machine's base, sum, line of the source, and the line."""
    base = program.card.program.base
    digits, address = word_digits(program), address_digits(program)
    room = max(words_a_row(program) * (digits + 1) - 1, 5)
    yield f"{'at':>{address}}  {'words':<{room}}  sum  line  source"
    for row in rows_of(program):
        words = _words_of(row, base, digits)
        total = "" if row.sum is None else str(row.sum)
        line = str(row.line) if row.line and row.text else ""
        where = in_base(row.address, base, address)
        yield f"{where}  {words:<{room}}  {total:>3}  {line:>4}  {row.text.expandtabs()}"[:WIDTH]


def _words_of(row: Row, base: int, digits: int) -> str:
    if row.left:
        return f"({row.left})"
    return " ".join(in_base(word, base, digits) for word in row.words)


def counted(program: Program) -> str:
    """How many words a program takes, in a sentence."""
    words = word_counts(program)
    parts = [
        f"{words[kind]} {kind}" for kind in ("instructions", "constants", "data", "space") if words[kind]
    ]
    card = program.card
    store = f"of the {card.store_words:,} of {card.name}"
    return f"{plural(words['total'], 'word')} {store}: {', '.join(parts) or 'nothing'}."


def ended(machine: AnyMachine) -> str:
    """How a machine stands, in a sentence."""
    where = f" at {in_base(machine.place, machine.card.program.base)}"
    what = {"fault": f"fault{where}: {machine.fault}", "halted": "halted"}.get(
        machine.status, machine.status + where
    )
    return f"{what[:1].upper()}{what[1:]}, after {plural(machine.instructions, 'instruction')}."


def took(times: Times) -> str:
    """How long it took, part by part, in a sentence; nothing where the card does not say."""
    names = ("thinking", "reading", "printing")
    told_times = [
        f"{name} {float(each):.6g} s" for name, each in zip(names, times, strict=True) if each is not None
    ]
    return f"Time: {', '.join(told_times)}." if told_times else ""


def said(machine: AnyMachine) -> list[str]:
    """What was printed, line by line."""
    return printed(machine.card, machine.passed).split("\n")


def any_trace(
    program: Program, steps: Sequence[Step | TargetStep], *, blank: bool = False, wide: bool = True
) -> TraceTable:
    """The trace table of a program's steps, whichever machine has made them."""
    ours = [step for step in steps if isinstance(step, Step)]
    theirs = [step for step in steps if isinstance(step, TargetStep)]
    if theirs:
        return target_traced(program, theirs, blank=blank)
    return traced(program, ours, blank=blank, wide=wide)


def trace_lines(program: Program, steps: Sequence[Step | TargetStep], *, blank: bool) -> list[str]:
    """A trace table that fits in a line: with a column for each word that is written, or with one for all."""
    lines = _laid_out(any_trace(program, steps, blank=blank), blank=blank)
    if max(map(len, lines)) > WIDTH:
        lines = _laid_out(any_trace(program, steps, blank=blank, wide=False), blank=blank)
    return lines


def _laid_out(trace: TraceTable, *, blank: bool) -> list[str]:
    """A table with rules between its columns, as on paper; a blank one has room to write."""
    least = (2, 5, 16) if blank else (0, 0, 0)
    widths = [
        max(len(row[column]) for row in (trace.titles, *trace.rows)) for column in range(len(trace.titles))
    ]
    widths = [max(width, least[column] if column < 3 else 5 * blank) for column, width in enumerate(widths)]
    lines = [_ruled(trace.titles, widths), "+".join("-" * (width + 2) for width in widths)]
    return [lines[0], lines[1], *(_ruled(row, widths) for row in trace.rows)]


def _ruled(cells: Sequence[str], widths: Sequence[int]) -> str:
    texts = [
        f" {cell:<{width}} " if column == 2 else f" {cell:>{width}} "
        for column, (cell, width) in enumerate(zip(cells, widths, strict=True))
    ]
    return "|".join(texts).rstrip()


def bit_lines(program: Program, steps: Sequence[Step | TargetStep]) -> Iterator[str]:
    """Every step with A bit by bit, and what is added, one digit a clock."""
    length = program.card.word_bits
    before = 0
    for number, step in enumerate((each for each in steps if isinstance(each, Step)), 1):
        yield f"{number}. at {place_text(program, step.place)}: {told(program, step)}"
        addition = added(program, before, step)
        if addition is not None:
            first, second, carry = addition
            clocks = serial_addition(first, second, length, carry)
            yield from (f"     {line}" for line in table(CLOCK_TITLES, clocks, right=range(6)))
        yield f"     A  {bits(step.a, length)}"
        if step.changed is not None:
            yield f"     S[{in_base(step.changed, program.card.program.base)}] = A"
        before = step.a
