"""What comes of slips, in plain lines and by JSON keys."""

from typing import Any

from budget.faulty import DIFFERS, LOSES, SAME, STOPS, STRAYS, Fate
from workbench.output import plural, say, say_lines
from workbench.tell_self_test import entry_lines

HEADLINES = {
    LOSES: "IT LOSES A GAME with these slips. A shortest line:",
    STOPS: "IT GIVES NO ANSWER with these slips. A shortest line:",
    STRAYS: "IT STRAYS with these slips: it prints what is no move or no answer. A shortest line:",
    DIFFERS: "It plays otherwise with these slips, and no game is lost by that. A shortest line:",
    SAME: "These slips do no harm: it plays just the same.",
}


def tell_fate(fate: Fate) -> None:
    """What comes of the slips, and the line that shows it."""
    say(HEADLINES[fate.kind])
    begins = [entry._replace(typed="(start)") for entry in fate.line[:1]]
    for entry in (*begins, *fate.line[1:]):
        say_lines(f"    {line}" for line in entry_lines(entry))
    if fate.why:
        say(f"Then {fate.why}.", indent="    ")
    if fate.kind != LOSES and fate.states:
        tried = f"{plural(fate.states, 'state')}, {plural(fate.inputs, 'input')}"
        say(
            f"Every state that it can get into was tried: {tried}."
            if fate.is_whole
            else f"Only the first {tried} were tried; there are more."
        )


def fate_record(fate: Fate) -> dict[str, Any]:
    """The same by its JSON keys."""
    return {**fate._asdict(), "line": [entry._asdict() for entry in fate.line]}
