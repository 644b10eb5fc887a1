"""What makes a program play otherwise than it should: a shortest line, and where it keeps what does the harm."""

from collections import Counter
from typing import Any

from budget.drilling.blame import Blame, Kept
from games.problems import listed
from workbench.output import say, say_lines
from workbench.tell_self_test import entry_lines

MOST_TOLD = 6
"""Registers and words that are told of."""


def tell_blame(blame: Blame) -> None:
    """The line, what is due at its end, and what is kept."""
    say()
    say("A shortest line on which it does:")
    begins, *inputs = blame.line
    for entry in (begins._replace(typed="(start)"), *inputs):
        say_lines(f"    {line}" for line in entry_lines(entry))
    stops = f", and the machine stops: {blame.why}" if blame.why else ""
    due = repr(" ".join(blame.due.split())) if blame.due.strip() else "nothing"
    say(f"At its end {due} is due{stops}.")
    if blame.kept:
        say()
        left_out = listed([_counted(*each) for each in Counter(blame.without).items()], "and")
        say(f"Without {left_out} before, the end would be right. What is kept of that, and does the harm:")
        for kept in blame.kept[:MOST_TOLD]:
            say(f"{_told(kept)}.", indent="    ")
        if len(blame.kept) > MOST_TOLD:
            say(f"and {len(blame.kept) - MOST_TOLD} more, which do it together.", indent="    ")


def _counted(typed: str, times: int) -> str:
    return f"{typed!r} ({times} times)" if times > 1 else repr(typed)


def _told(kept: Kept) -> str:
    return f"{kept.where}: {kept.holds}, where {kept.due} would be right"


def blame_record(blame: Blame) -> dict[str, Any]:
    """The same by its JSON keys."""
    line, kept = ([each._asdict() for each in part] for part in (blame.line, blame.kept))
    return {**blame._asdict(), "line": line, "kept": kept}
