"""Trace tables: the program of a strategy obeyed step by step while a visitor types a line, filled in or blank."""

from collections.abc import Iterator, Sequence
from itertools import islice
from typing import NamedTuple

from budget.conversation import Conversation
from budget.machine.channel import printed
from budget.machine.layout import signed
from budget.machine.program import Program
from budget.machine.simulator import Step
from budget.machine.trace import TraceTable, word_name
from budget.programs import AnyMachine, machine_for
from budget.target.machine import TargetStep
from games.problems import bad
from workbench.output import plural
from workbench.papers.request import Paper, Request
from workbench.svg import element, words
from workbench.tell_program import any_trace

MOST_STEPS = 1000
"""Steps of a table: nobody acts out more."""
MOST_COLUMNS = 10
"""Columns for which a sheet has room; where more words are written, one column has them all."""
LONGEST_REPLY = 20_000_000
"""Instructions in which a program answers that has been held against its play."""


class Turn(NamedTuple):
    """What the machine does from one input to the next.

    typed: None at the start; steps: the first MOST_STEPS of those that were `obeyed`; stands: what stood in the words
    that it had written before, by their names.
    """

    typed: str | None
    steps: tuple[Step | TargetStep, ...]
    obeyed: int
    printed: str
    stands: dict[str, int]


def paper(request: Request) -> Paper:
    """The tables of a line: one up to the first input, and one for each input; or only the last of them.

    Raises BadInput where something in the line cannot be typed; Refused where no program can be built.
    """
    card, wanted = request.machine, request.wanted
    product = request.product(card)
    program = product.lowered.program
    turns = list(_turns(program, Conversation(product.form.play, card), (wanted.line or "").split()))
    told = turns[-1:] if wanted.last else turns
    parts = [_section(program, turn, blank=wanted.blank) for turn in told]
    what = "to be filled in" if wanted.blank else "a value is written where it has changed"
    head = words("h1", f"{request.heading}, on {card.title}")
    head += words("p", f"Trace tables: {what}. The program: {product.form.title} ({product.form.reading}).")
    record = {
        "machine": card.name,
        "blank": wanted.blank,
        "tables": [{"typed": turn.typed, "steps": turn.obeyed, "printed": turn.printed} for turn in told],
    }
    said = f"{plural(len(told), 'table')}, {plural(sum(turn.obeyed for turn in told), 'step')}."
    return Paper(
        request.heading, "\n".join([head, *parts]), STYLES, record, (said, *map(_cut, filter(_is_cut, told)))
    )


def _turns(program: Program, talk: Conversation, line: Sequence[str]) -> Iterator[Turn]:
    """What the machine does at the start and after each input of a line."""
    machine = machine_for(program)
    state, _ = talk.begin()
    yield _turn(program, machine, None)
    for text in line:
        if not talk.can_be_typed(text):
            raise bad(
                f"nobody can type '{text}' on '{program.card.name}'; expected moves with spaces between"
            )
        keys = talk.keys(state, text)
        state, _ = talk.enter(state, keys)
        machine.passed.clear()
        machine.feed(keys)
        yield _turn(program, machine, text)


def _turn(program: Program, machine: AnyMachine, typed: str | None) -> Turn:
    """Let the machine go on until it waits for more."""
    stands = {
        word_name(program, address): signed(machine.store[address], program.card.word_bits)
        for address in sorted(machine.written)
    }
    before = machine.instructions
    steps: list[Step | TargetStep] = list(islice(machine.steps(LONGEST_REPLY), MOST_STEPS))
    machine.run(LONGEST_REPLY)
    obeyed = machine.instructions - before
    return Turn(typed, tuple(steps), obeyed, printed(program.card, machine.passed), stands)


# HTML ---------------------------------------------------------------------------------------------------------


def _section(program: Program, turn: Turn, *, blank: bool) -> str:
    """A turn: what is typed, what stands in the store, the table, and what is printed."""
    title = "From the start" if turn.typed is None else f"The visitor types {turn.typed}"
    stands = ", ".join(f"{name} = {value}" for name, value in turn.stands.items())
    told = [words("p", f"Before it: {stands}.")] if stands else []
    if not blank:
        told.append(words("p", f"It prints: {turn.printed.strip() or NOTHING_PRINTED}"))
    if _is_cut(turn):
        told.append(words("p", _cut(turn)))
    return element(
        "section", [words("h2", title), *told, _table(_traced(program, turn, blank=blank), blank=blank)]
    )


def _is_cut(turn: Turn) -> bool:
    return turn.obeyed > len(turn.steps)


def _cut(turn: Turn) -> str:
    after = "At the start" if turn.typed is None else f"After {turn.typed}"
    return f"{after} the table is cut after {len(turn.steps):,} of {turn.obeyed:,} steps."


def _traced(program: Program, turn: Turn, *, blank: bool) -> TraceTable:
    """The table of a turn, with a column for each word that is written if there is room for them."""
    wide = any_trace(program, turn.steps, blank=blank)
    return (
        wide if len(wide.titles) <= MOST_COLUMNS else any_trace(program, turn.steps, blank=blank, wide=False)
    )


def _table(trace: TraceTable, *, blank: bool) -> str:
    head = element("tr", [words("th", title, scope="col") for title in trace.titles])
    rows = [element("tr", [words("td", cell) for cell in row]) for row in trace.rows]
    inner = [element("thead", head), element("tbody", rows)]
    return element("table", inner, class_="trace blank" if blank else "trace")


NOTHING_PRINTED = "nothing"
STYLES = """
@page { size: A4; margin: 12mm }
h1 { font-size: 13pt; margin: 0 0 1mm } h2 { font-size: 11pt; margin: 5mm 0 1mm } p { margin: 0 0 1mm; font-size: 9pt }
.trace { font: 8.5pt/1.3 'DejaVu Sans Mono', Menlo, Consolas, monospace; width: 100%; margin: 2mm 0 }
.trace th, .trace td { border: .2mm solid #4c565e; padding: .3mm 1.2mm; text-align: right }
.trace th:nth-child(3), .trace td:nth-child(3) { text-align: left }
.trace thead { display: table-header-group }
.blank td { height: 7mm } .blank td:nth-child(3) { width: 30% }
"""
