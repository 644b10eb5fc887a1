"""What `wordtight size` says about programs: their words, what their replies take, and what would make them shorter."""

import math
from collections.abc import Sequence
from fractions import Fraction

from budget.program_size import ProgramRow, Worst, smallest_row
from budget.savings import Saving
from budget.size import Row, Size
from workbench.output import plural, say, say_lines, table

WORDS_TITLES = ("form", "board", "code", "table", "consts", "said", "work", "total", "left")
BITS_TITLES = ("table", "board", "answers", "bits", "any play", "words")
TIME_TITLES = ("form", "board", "most {0}", "mean {0}", "longest wait", "mean wait")
ORDERS, CYCLES = "orders", "cycles"
"""What is counted while a program thinks: a compiler's are counted by the cycles of its simulator."""


def tell_programs(rows: Sequence[ProgramRow], counted: str = ORDERS) -> None:
    """Every form in words of store, and then in time."""
    written = [row for row in rows if row.total_words is not None]
    if not written:
        return
    say("Complete programs, in words of store:")
    say()
    say_lines(table(WORDS_TITLES, map(_words, written), right=range(2, 9)))
    say()
    timed = [row for row in written if row.replies is not None]
    if timed:
        say("What a reply takes, over every input in every state (thinking and printing):")
        say()
        titles = [title.format(counted) for title in TIME_TITLES]
        say_lines(table(titles, map(_times, timed), right=range(2, 6)))
        say()


def tell_tables(size: Size) -> None:
    """The tables alone, in bits, beside the fewest that any could take."""
    rows = [row for row in size.encodings if row.table_bits is not None]
    say(
        "The tables alone; beside them the bits of a table that could hold any play on these boards, at the least:"
    )
    say()
    say_lines(
        table(BITS_TITLES, (_bits(row, size.fewest_bits[row.reading]) for row in rows), right=range(2, 6))
    )
    say()


def tell_reasons(rows: Sequence[ProgramRow]) -> None:
    """Why there is no program in some form."""
    for row in rows:
        if row.total_words is None:
            say(f"{row.form} ({row.reading}): no program, because {row.reason}.")


def tell_worst(rows: Sequence[ProgramRow], counted: str = ORDERS) -> None:
    """The worst reply of the smallest program, named."""
    least = smallest_row([row for row in rows if row.replies is not None])
    if least is None or least.replies is None:
        return
    most, slowest = least.replies.most, least.replies.slowest
    say(f"The smallest ({least.form}, {least.reading}) works longest {in_words(most, counted)}.")
    if slowest != most and least.replies.is_timed:
        say(f"The visitor waits longest {in_words(slowest, counted)}.")


def in_words(worst: Worst, counted: str = ORDERS) -> str:
    """Where a program takes most, and what it takes."""
    where = "after the end" if worst.after_end else f"on {worst.position}"
    typed = f"after '{worst.typed}'" if worst.typed else "after an empty line"
    took = f"{worst.instructions:,} {'cycles' if counted == CYCLES else 'instructions'}"
    if worst.thinking is not None:
        took += f", {seconds(worst.thinking)} thinking"
    if worst.printing is not None:
        took += f" and {seconds(worst.printing)} printing"
    return f"{typed} {where}: {took}"


def tell_savings(savings: Sequence[Saving], *, fits: bool) -> None:
    """What would make the smallest program shorter."""
    if not savings:
        return
    say("What would make it fit:" if not fits else "What would make it shorter still:")
    for saving in savings:
        ends = "" if fits else ", and then it fits" if saving.fits else ", still too many"
        say(
            f"{saving.change}: {plural(saving.saved, 'word')} fewer, {saving.total_words:,} in all{ends}.",
            "    ",
        )


def seconds(exact: Fraction | float) -> str:
    """A time as people read it: three digits that mean something.

    >>> seconds(0.01234), seconds(12.34), seconds(0)
    ('0.0123 s', '12.3 s', '0 s')
    """
    return f"{float(exact):.3g} s"


def _words(row: ProgramRow) -> tuple[str, ...]:
    figures = (
        row.program_words,
        row.table_words,
        row.constant_words,
        row.message_words,
        row.workspace_words,
        row.total_words,
    )
    margin = row.margin or 0
    return (
        row.form,
        row.reading,
        *(f"{each or 0:,}" for each in figures),
        f"{margin:,}" if margin >= 0 else f"short {-margin:,}",
    )


def _bits(row: Row, fewest: float) -> tuple[str, ...]:
    figures = (row.answers or 0, row.table_bits or 0, math.ceil(fewest), row.table_words or 0)
    return (row.encoding, row.reading, *(f"{figure:,}" for figure in figures))


def _times(row: ProgramRow) -> tuple[str, ...]:
    replies = row.replies
    assert replies is not None
    slowest = replies.slowest
    wait = (slowest.thinking or Fraction(0)) + (slowest.printing or Fraction(0))
    is_timed = slowest.thinking is not None
    mean = "-" if replies.mean_seconds is None else seconds(replies.mean_seconds)
    orders = f"{replies.most.instructions:,}", f"{replies.mean_instructions:,.0f}"
    return (row.form, row.reading, *orders, seconds(wait) if is_timed else "-", mean)
