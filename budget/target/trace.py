"""A program in a machine's own orders acted out on paper: the same tables as for ours, a column for each register."""

from collections.abc import Iterable

from budget.machine.layout import Fault, signed
from budget.machine.listing import in_base
from budget.machine.program import Program
from budget.machine.trace import Seen, TraceTable, place_text, word_name
from budget.target.machine import TargetStep
from budget.target.sheet import Orders


def target_traced(program: Program, steps: Iterable[TargetStep], *, blank: bool = False) -> TraceTable:
    """The trace table of some steps: the step, its place, the order, every register, what is written, what passes.

    In a blank table only the steps are numbered.
    """
    sheet = program.card.sheet
    assert sheet is not None, "only such programs make these steps"
    done = list(steps)
    passes = ["passed"] if any(step.passed is not None for step in done) else []
    titles = ("step", "at", "order", *sheet.registers, "written", *passes)
    orders, seen, names = Orders(sheet), Seen(program), _names(program)
    rows = []
    for number, step in enumerate(done, 1):
        if blank:
            rows.append((str(number), *[""] * (len(titles) - 1)))
            continue
        cells = [
            seen.cell(name, value) if bits == sheet.word_bits else seen.plain(name, value)
            for (name, bits), value in zip(sheet.registers.items(), step.registers, strict=True)
        ]
        written = ", ".join(
            f"{_word(program, names, address)} = {signed(value, sheet.word_bits)}"
            for address, value in step.changed
        )
        passed = ["" if step.passed is None else str(step.passed)] if passes else []
        rows.append(
            (
                str(number),
                place_text(program, step.place),
                told(program, orders, names, step),
                *cells,
                written,
                *passed,
            )
        )
    return TraceTable(titles, tuple(rows))


def _names(program: Program) -> dict[int, str]:
    """What constants, and words of our own making, are called."""
    names = {line.place: line.text.replace("= ", "=").split("  ")[0] for line in program.lines}
    made = {line.place for line in program.lines if not line.number or ".link" in names[line.place]}
    return {place: names[place] for place in made}


def _word(program: Program, names: dict[int, str], address: int) -> str:
    return names.get(address) or word_name(program, address)


def told(program: Program, orders: Orders, names: dict[int, str], step: TargetStep) -> str:
    """An order with the word that it names."""
    try:
        decoded = orders.decode(step.word, step.place)
    except Fault:
        return in_base(step.word, program.card.program.base)
    said = " ".join(decoded.names)
    if not decoded.has_address:
        return said
    word = _word(program, names, decoded.address)
    return f"{said} [{word}]" if decoded.is_indirect else f"{said} {word}"
