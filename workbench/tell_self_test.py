"""The morning run as a card for whoever starts the machine."""

from collections.abc import Iterator
from textwrap import wrap

from budget.selftest import ANSWER, ENDING, RULE, WRONG, Entry, SelfTest
from games.problems import listed
from workbench.output import WIDTH, plural

TYPED = 12
"""Columns of what is typed."""
NAMES = {
    RULE: ("rule", ""),
    ANSWER: ("stored answer", ""),
    ENDING: ("way to end", "ways to end"),
    WRONG: ("answer to wrong input", "answers to wrong input"),
}
NOTHING = "(Return)"
"""An empty line."""


def in_words(test: SelfTest) -> str:
    """How long it is, and what it tries, in a sentence."""
    tried = [plural(count, *NAMES[kind]) for kind, count in test.tried.items() if count]
    length = f"{plural(len(test.games), 'game')}, {plural(test.inputs, 'input')}"
    return f"{length}: {listed(tried, 'and')}, each tried at least once."


def self_test_text(test: SelfTest) -> str:
    """The card: what is typed, and what the machine must print."""
    return "".join(f"{line.rstrip()}\n" for line in _lines(test))


def _lines(test: SelfTest) -> Iterator[str]:
    yield f"Morning run of {test.name}"
    yield from wrap(in_words(test), WIDTH)
    yield "What the keys print as they are pressed is not shown."
    yield ""
    yield f"{'type':<{TYPED}}the machine prints"
    yield from entry_lines(Entry("(start)", test.begins))
    for number, game in enumerate(test.games, 1):
        yield ""
        yield f"-- game {number} of {len(test.games)} --"
        if number in test.restarts:
            yield "(The last game has no end.)"
            yield from entry_lines(Entry("(start)", test.begins))
        for entry in game:
            yield from entry_lines(entry)
    yield ""
    yield "Anything else than this is a fault of the machine."


def entry_lines(entry: Entry) -> Iterator[str]:
    """What is typed, and beside it what is printed, line by line."""
    typed = entry.typed or NOTHING
    for line in entry.printed.removeprefix("\n").split("\n"):  # a message that begins on a new line
        yield f"{typed:<{TYPED}}{line}"
        typed = ""
