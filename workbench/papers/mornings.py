"""Games for the morning, from either source: the lines that a drill of faults needs, or the self-test of a build."""

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from budget.card import CostCard
from budget.conversation import Conversation, State
from budget.drilling.drill import Outcome, Shown
from budget.drilling.lines import START, Lines, Step
from budget.drilling.mornings import morning_of
from budget.drilling.replies import Reply
from budget.machine.channel import printed
from budget.selftest import Entry, SelfTest
from games.problems import bad
from solver.fixed import FixedPlay
from workbench.output import plural
from workbench.tell_self_test import in_words

SOMEWHERE = State(0, over=False, case=0)
"""A table does not say where a game stands; nothing here depends on it."""


class Morning(NamedTuple):
    """Games to be typed before the visitors come.

    begins: what is printed at the start; games: what is typed in each, and what must then be printed; restarts: the
    games, from 1, before which the machine is started anew; why: what they try, in a sentence.
    """

    begins: str
    games: tuple[tuple[Entry, ...], ...]
    restarts: tuple[int, ...]
    why: str


def of_self_test(test: SelfTest) -> Morning:
    """The games of a self-test, played one after another."""
    return Morning(test.begins, test.games, test.restarts, in_words(test))


def of_table(
    table: Mapping[str, Any], file: str, plays: Sequence[FixedPlay], card: CostCard
) -> tuple[Morning, FixedPlay]:
    """The fewest lines that show every fault of a drill, and the play that the drilled program has.

    Raises BadInput if what the table says is due is not what any of these plays says on this machine.
    """
    if table["machine"] != card.name:
        message = f"is a table of faults for the machine '{table['machine']}'; expected one for '{card.name}'"
        raise bad(message, file)
    outcomes = [
        Outcome(
            fault["found"],
            tuple(Shown(each["step"], Reply((), each["then"])) for each in fault["shown"]),
            is_whole=True,
            leans=False,
        )
        for fault in table["faults"]
    ]
    cover = morning_of(_lines_of(table["steps"]), outcomes)
    games = tuple(tuple(_entry(table["steps"][number]) for number in line) for line in cover.lines)
    least = "no fewer will do" if cover.is_least else f"no fewer than {cover.bound} will do"
    why = (
        f"{plural(len(games), 'line')} of play ({least}) that show each of the {cover.shown:,} faults in the store "
        "which any line shows, if it is there before the start."
    )
    begins = str(table["begins"])
    differences = [_difference(play, card, begins, games) for play in plays]
    if None not in differences:
        message = f"is of another program: {differences[0]}; expected the table of a drill of this strategy"
        raise bad(message, file)
    restarts = tuple(range(2, len(games) + 1))
    return Morning(begins, games, restarts, why), plays[differences.index(None)]


def _lines_of(steps: Sequence[Mapping[str, Any]]) -> Lines:
    """The lines of a table as they were drilled: a step leads to a wait if another comes after it."""
    followed = {step["after"] for step in steps}
    return Lines(
        (),
        (),
        tuple(
            Step(
                _wait(step["after"]),
                step["typed"],
                (),
                (),
                SOMEWHERE,
                _wait(number) if number in followed else None,
            )
            for number, step in enumerate(steps)
        ),
        (),
    )


def _wait(step: int) -> int:
    """The wait to which a step leads, by a number of our own; the first wait has no step before it."""
    return step - START


def _entry(step: Mapping[str, Any]) -> Entry:
    return Entry(step["typed"], step["printed"])


def _difference(play: FixedPlay, card: CostCard, begins: str, games: Sequence[Sequence[Entry]]) -> str | None:
    """Where a play has something else due than is written; None where it has not."""
    talk = Conversation(play, card)
    state, said = talk.begin()
    if printed(card, said) != begins:
        return f"at the start {printed(card, said)!r} is due, and not {begins!r}"
    for game in games:
        state, _ = talk.begin()
        for entry in game:
            state, said = talk.enter(state, talk.keys(state, entry.typed))
            if printed(card, said) != entry.printed:
                return f"after {entry.typed!r} {printed(card, said)!r} is due, and not {entry.printed!r}"
    return None
