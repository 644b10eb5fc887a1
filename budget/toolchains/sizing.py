"""The figures of a form on a machine that a compiler reaches: what its own tools say of the linked image."""

from collections.abc import Callable, Sequence
from fractions import Fraction

from budget.card import CostCard
from budget.forms import Form, forms_of
from budget.lowering.text import NotLowered
from budget.machine.channel import typed_text
from budget.messages import words_of_messages
from budget.program_size import ProgramRow, Replies, ToldForm, Worst
from budget.size import check_reading
from budget.toolchains.drill import Drilled
from budget.toolchains.making import Kept, kept, room_lacking, toolchain_of
from solver.fixed import FixedPlay


def size_compiled(
    plays: Sequence[FixedPlay],
    card: CostCard,
    wanted: Callable[[Form], bool] = lambda form: True,
    told: ToldForm | None = None,
) -> list[ProgramRow]:
    """The same as `budget.program_size.size_programs`, for machines that a compiler reaches."""
    house = plays[0].game.house
    check_reading(house, card)
    words_of_messages(house, card)  # tells what the machine's code lacks
    toolchain_of(card)  # tells which of its tools are not installed
    rows = []
    for form in forms_of(plays):
        if wanted(form):
            if told is not None:
                told(f"{form.name} ({form.reading})", 0)
            rows.append(compiled_row(form, card))
    return rows


def compiled_row(form: Form, card: CostCard) -> ProgramRow:
    """The smallest program of a form, played through everything.

    Raises BadInput where a tool is not installed; budget.closing.Differs for a program that says something else than
    it should, a fault of ours.
    """
    try:
        program = kept(form.play, form.name, card)
    except NotLowered as reason:
        head = (form.name, form.title, form.reading)
        return ProgramRow(*head, False, None, None, None, None, None, None, None, None, str(reason))
    return row_of_kept(form, program, card)


def row_of_kept(form: Form, program: Kept, card: CostCard) -> ProgramRow:
    """The figures of a program that was made and played through everything."""
    words, lacking = program.made.words, room_lacking(program.made, card)
    return ProgramRow(
        form.name,
        form.title,
        form.reading,
        lacking <= 0,
        words.program,
        words.table,
        words.constants,
        words.messages,
        words.workspace,
        words.total,
        -lacking,
        _replies(program.drilled, form.play, card),
        None if lacking <= 0 else f"it takes {lacking:,} bytes more than there are",
    )


def _replies(found: Drilled, play: FixedPlay, card: CostCard) -> Replies | None:
    """What replies take, in cycles; None where the simulator does not tell it of single inputs."""
    if found.worst is None or found.cycles is None:
        return None
    pace = card.program.pace
    cycle = None if pace is None else pace.cycle
    thinking = None if cycle is None else cycle * found.worst.cycles
    state = found.worst.state
    worst = Worst(
        play.game.text(state.code),
        state.over,
        typed_text(card, found.worst.typed),
        found.worst.cycles,
        thinking,
        None,
    )
    mean = Fraction(found.cycles, max(found.replies, 1))
    seconds = None if cycle is None else round(float(mean * cycle), 6)
    return Replies(found.states, found.inputs, worst, worst, round(float(mean), 1), seconds)
