"""The size of a program to the word, and what its replies take: the figures of one form of a strategy on a machine."""

from collections.abc import Callable, Sequence
from fractions import Fraction
from functools import partial
from typing import Any, NamedTuple

from budget.card import CostCard
from budget.closing import Closed
from budget.forms import Built, Form, built, forms_of
from budget.machine.channel import typed_text
from budget.messages import words_of_messages
from budget.size import check_reading
from budget.taken import Reply
from solver.fixed import FixedPlay

ToldForm = Callable[[str, int], None]
"""Told which form is worked on, and how many states of its program have been tried."""


class Worst(NamedTuple):
    """The input that takes most, and what it takes; position: as people type it; typed: what was keyed in there.

    thinking, printing: seconds, None where the card does not say.
    """

    position: str
    after_end: bool
    typed: str
    instructions: int
    thinking: Fraction | None
    printing: Fraction | None

    def as_json(self) -> dict[str, Any]:
        """The same with numbers that JSON has."""
        return {**self._asdict(), "thinking": _seconds(self.thinking), "printing": _seconds(self.printing)}


class Replies(NamedTuple):
    """What replies take, over every input in every state in which the program can wait.

    states, inputs: how many there are; most, slowest: the inputs that take most instructions and most seconds;
    mean_instructions, mean_seconds: of the replies by which the machine moves or tells the end, thinking and printing
    together.
    """

    states: int
    inputs: int
    most: Worst
    slowest: Worst
    mean_instructions: float
    mean_seconds: float | None

    @property
    def is_timed(self) -> bool:
        """Whether the card says how long anything takes, so that there is a slowest reply at all."""
        return self.slowest.thinking is not None or self.slowest.printing is not None


class ProgramRow(NamedTuple):
    """One form of a strategy as a program; None for what there is not, and then the reason.

    margin: words that are left, below 0 where so many are lacking.
    """

    form: str
    title: str
    reading: str
    fits: bool
    program_words: int | None
    table_words: int | None
    constant_words: int | None
    message_words: int | None
    workspace_words: int | None
    total_words: int | None
    margin: int | None
    replies: Replies | None
    reason: str | None

    def as_json(self) -> dict[str, Any]:
        """The same by its JSON keys."""
        row = self._asdict()
        replies = row.pop("replies")
        if replies is None:
            return {**row, "worst_instructions": None, "worst_seconds": None}
        slowest = replies.slowest
        return {
            **row,
            "states": replies.states,
            "inputs": replies.inputs,
            "worst_instructions": replies.most.instructions,
            "worst_seconds": _together(slowest),
            "mean_instructions": replies.mean_instructions,
            "mean_seconds": replies.mean_seconds,
            "most_instructions": replies.most.as_json(),
            "slowest": slowest.as_json(),
        }


def row_of_built(built: Built, card: CostCard) -> ProgramRow:
    """The figures of a form on a machine."""
    form, words = built.form, built.words
    head = (form.name, form.title, form.reading, built.fits)
    if words is None:
        return ProgramRow(*head, None, None, None, None, None, None, None, None, built.reason)
    sizes = (words.program, words.table, words.constants, words.messages, words.workspace, words.total)
    replies = None if built.closed is None else _replies(built, built.closed, card)
    return ProgramRow(*head, *sizes, card.store_words - words.total, replies, built.reason)


def _replies(built: Built, closed: Closed, card: CostCard) -> Replies:
    worst, slowest = (_worst(built, reply, card) for reply in (closed.worst, closed.slowest))
    total = closed.thinking + closed.printing
    count = max(closed.replies, 1)
    is_timed = card.program.pace is not None
    return Replies(
        closed.states,
        closed.inputs,
        worst,
        slowest,
        round(closed.instructions / count, 1),
        round(float(total / count), 6) if is_timed else None,
    )


def _worst(built: Built, reply: Reply, card: CostCard) -> Worst:
    return Worst(
        built.form.play.game.text(reply.code),
        reply.over,
        typed_text(card, reply.typed),
        reply.instructions,
        None if card.program.pace is None else reply.thinking,
        None if card.program.printing is None else reply.printing,
    )


def _seconds(exact: Fraction | None) -> float | None:
    return None if exact is None else round(float(exact), 9)


def _together(worst: Worst) -> float | None:
    if worst.thinking is None and worst.printing is None:
        return None
    return _seconds((worst.thinking or Fraction(0)) + (worst.printing or Fraction(0)))


def size_programs(
    plays: Sequence[FixedPlay],
    card: CostCard,
    wanted: Callable[[Form], bool] = lambda form: True,
    told: ToldForm | None = None,
) -> list[ProgramRow]:
    """The forms of a strategy that are wanted, settled in one reading or more, as programs on a machine.

    told: hears which form is worked on, and how many states of it have
    been tried.
    Raises BadInput where the machine cannot read as the house rules ask, or cannot say a message.
    """
    house = plays[0].game.house
    check_reading(house, card)
    words_of_messages(house, card)  # tells what the machine's code lacks
    rows = []
    for form in forms_of(plays):
        if wanted(form):
            report = None if told is None else partial(told, f"{form.name} ({form.reading})")
            rows.append(row_of_built(built(form, card, told=report), card))
    return rows


def smallest_row(rows: Sequence[ProgramRow]) -> ProgramRow | None:
    """The row with the fewest words, fitting or not; the first where several have as few."""
    sized = [row for row in rows if row.total_words is not None]
    return min(sized, key=lambda row: row.total_words or 0, default=None)
