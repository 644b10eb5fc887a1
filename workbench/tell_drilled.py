"""What a drill of an image says: the proof, power-up, what faults come to, and the card for the morning."""

from collections.abc import Iterator
from typing import Any

from budget.drilling.faults import BIT, IN_PLAY
from budget.drilling.judging import CLASSES
from budget.drilling.mornings import Morning
from budget.drilling.sound import Sound
from budget.drilling.tally import LEGEND, counts, map_of_faults, word_text, worst_letters, worst_words
from budget.drilling.verdicts import Verdicts
from budget.machine.channel import printed
from budget.selftest import Entry
from games.house import HouseRules
from workbench.drilled import Drilled, Faulted
from workbench.output import plural, say, say_lines, table
from workbench.tell_self_test import entry_lines

TITLES = ("fault", "drilled", "loses", "stops", "wrong", "differs", "caught", "harmless")
"""Columns: the classes in the order of CLASSES."""


def tell_drilled(drilled: Drilled) -> None:
    """Everything."""
    closed, powered, lines = drilled.subject.closed, drilled.power_up, drilled.lines
    say(
        f"PROVED: fed with every input in every state that it can get into, until no new state came up "
        f"({plural(closed.states, 'state')}, {plural(closed.inputs, 'input')}), it prints just what it should. "
        "That holds for input of any length, and for every game after the first."
    )
    if drilled.subject.harmless.words:
        say(_harmless(drilled))
    say(
        f"Power-up: with {powered.noises} other contents left in the store, every line of play is the same "
        f"({plural(lines.games, 'game')}, {plural(len(lines.steps), 'input')}). Started anew at each of "
        f"{plural(powered.restarts, 'wait')} for input, it stands as at its first start."
    )
    say(_verdicts(drilled.verdicts, drilled.subject.play.game.house))
    say(f"Next game: begun after each of {plural(powered.next_games, 'ending')}. {_kept(drilled)}")
    if drilled.faulted is not None:
        say()
        _tell_faults(drilled, drilled.faulted)


def _harmless(drilled: Drilled) -> str:
    words, contents = drilled.subject.harmless
    told = ", ".join(word_text(drilled.program, each) for each in words)
    return (
        f"Declared harmless: {told}. Every input was fed in every state with {len(contents)} other contents of that, "
        "too: what is printed and all the rest of the store are the same."
    )


def _verdicts(found: Verdicts | str, house: HouseRules) -> str:
    if isinstance(found, str):
        return f"Verdicts: not asked for on boards that the play never comes to; {found}."
    ends = "of the game"
    if any(rule.cost != "nothing" or rule.counts for rule in house.rules):
        ends += " under these house rules"
    told = f"Verdicts: {found.shown:,} of the {plural(found.boards, 'final board')} {ends} put into the store"
    told += f" ({plural(found.moves, 'move')} of the visitor's): each is told as it should be."
    if found.left_out:
        told += f" {found.left_out:,} are out of reach, and no verdict is kept for them."
    other = found.boards - found.shown - found.left_out
    if other and not found.unknown:
        told += f" {other:,} come about only by a move that the machine never makes."
    if found.unknown:
        told += f" The lines do not tell how boards are kept before {plural(found.unknown, 'move')} more."
    if found.unjudged:
        told += (
            f" {plural(found.unjudged, 'time')} the machine had no legal move on a board that it cannot meet."
        )
    return told


def _kept(drilled: Drilled) -> str:
    words = drilled.power_up.kept
    if not words:
        return "Nothing goes from one game into the next."
    told = ", ".join(word_text(drilled.program, each) for each in words)
    return f"From one game into the next something goes in {told}."


def _tell_faults(drilled: Drilled, faulted: Faulted) -> None:
    """What faults come to."""
    say(
        f"{plural(len(faulted.faults), 'fault')} drilled, each through every line of play that uses its words:"
    )
    say()
    rows = [
        (kind, f"{sum(found.values()):,}", *(f"{found[each]:,}" if found[each] else "-" for each in CLASSES))
        for kind, found in counts(faulted.faults, faulted.outcomes).items()
    ]
    say_lines(table(TITLES, rows, right=range(1, len(TITLES))))
    say()
    leaning = sum(outcome.leans for outcome in faulted.outcomes)
    cut = sum(not outcome.is_whole for outcome in faulted.outcomes)
    if leaning:
        say(
            f"With {plural(leaning, 'fault')} the machine reads what an earlier input happened to leave in its "
            "workspace: of these, one case was tried."
        )
    if cut:
        say(f"{plural(cut, 'fault')} led to more states than were followed: at least so much comes of them.")
    _tell_worst(drilled, faulted)
    for kind in (BIT, IN_PLAY):
        say()
        say(f"The worst that {kind} does, word by word:")
        say_lines(map_of_faults(drilled.program, worst_letters(faulted.faults, faulted.outcomes, kind)))
    say_lines([LEGEND])
    say()
    _tell_morning(drilled.sound, faulted.morning)


def _tell_worst(drilled: Drilled, faulted: Faulted) -> None:
    words = worst_words(faulted.faults, faulted.outcomes)
    if not words:
        say("No single bit that is wrong before the start loses a game.")
        return
    say("Words of which most bits lose a game:")
    for address, loses, stops in words:
        also = f", {stops} stop it" if stops else ""
        say(f"{word_text(drilled.program, address)}: {plural(loses, 'bit')}{also}", indent="  ")


def _tell_morning(sound: Sound, morning: Morning) -> None:
    """The card for the morning."""
    least = "no fewer will do" if morning.is_least else f"no fewer than {morning.bound} will do"
    say(
        f"Morning games: of the faults that are there before the start, every one that any line of play shows at all "
        f"({morning.shown:,} of {morning.shown + morning.hidden:,}) shows in {plural(len(morning.lines), 'line')} "
        f"({least}; the bound is HiGHS's). Start the machine anew before each."
    )
    for number, line in enumerate(morning.lines, 1):
        say()
        say(f"-- line {number} of {len(morning.lines)} --")
        say_lines(_card(sound, line))


def _card(sound: Sound, line: tuple[int, ...]) -> Iterator[str]:
    card, lines = sound.program.card, sound.lines
    yield from entry_lines(Entry("(start)", printed(card, lines.begins)))
    for number in line:
        step = lines.steps[number]
        yield from entry_lines(Entry(step.text, printed(card, step.said)))


def drilled_record(drilled: Drilled) -> dict[str, Any]:
    """The same by its JSON keys."""
    closed, lines = drilled.subject.closed, drilled.lines
    return {
        "states": closed.states,
        "inputs": closed.inputs,
        "harmless": list(drilled.subject.harmless.words),
        "games": lines.games,
        "lines_inputs": len(lines.steps),
        "power_up": drilled.power_up._asdict(),
        "verdicts": found if isinstance(found := drilled.verdicts, str) else found._asdict(),
        "faults": None if drilled.faulted is None else _faults_record(drilled, drilled.faulted),
    }


def _faults_record(drilled: Drilled, faulted: Faulted) -> dict[str, Any]:
    faults, outcomes, morning = faulted.faults, faulted.outcomes, faulted.morning
    steps = drilled.lines.steps
    return {
        "drilled": len(faults),
        "found": counts(faults, outcomes),
        "leaning": sum(outcome.leans for outcome in outcomes),
        "cut": sum(not outcome.is_whole for outcome in outcomes),
        "worst_words": [
            {"address": address, "bits_that_lose": loses, "bits_that_stop": stops}
            for address, loses, stops in worst_words(faults, outcomes)
        ],
        "morning": {
            "lines": [[steps[number].text for number in line] for line in morning.lines],
            "shown": morning.shown,
            "hidden": morning.hidden,
            "bound": morning.bound,
        },
    }
