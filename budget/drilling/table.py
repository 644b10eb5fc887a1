"""The table of a fault drill: what each fault prints, where it first shows; and the faults that a print-out fits.

The table is data: it can be written to a file when the drill has been run, and asked on any morning after that.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from budget.drilling.drill import Outcome
from budget.drilling.faults import Fault
from budget.drilling.lines import START, Lines
from budget.drilling.sound import Sound
from budget.drilling.tally import word_text
from budget.machine.channel import printed
from budget.machine.program import Program

KIND = "fault-table"


def fault_table(sound: Sound, faults: Sequence[Fault], outcomes: Sequence[Outcome]) -> dict[str, Any]:
    """Everything that shows in a line, as JSON: steps by their numbers, START for the start."""
    card, lines = sound.program.card, sound.lines
    return {
        "kind": KIND,
        "machine": card.name,
        "words": {str(address): word_text(sound.program, address) for address in sound.program.image},
        "begins": printed(card, lines.begins),
        "steps": [_step(sound.program, lines, number) for number in range(len(lines.steps))],
        "faults": [
            {
                "kind": fault.kind,
                "where": list(fault.where),
                "addresses": sorted(fault.wrong),
                "found": outcome.found,
                "shown": [
                    {"step": each.step, "printed": printed(card, each.reply.sent), "then": each.reply.status}
                    for each in outcome.shown
                ],
            }
            for fault, outcome in zip(faults, outcomes, strict=True)
            if fault.wait == START and outcome.shown
        ],
    }


def _step(program: Program, lines: Lines, number: int) -> dict[str, Any]:
    step = lines.steps[number]
    before = lines.way_to(number)[:-1]
    return {
        "after": before[-1] if before else START,
        "typed": step.text,
        "printed": printed(program.card, step.said),
    }


class NoSuchLine(Exception):
    """What was typed is no line of the table; the message says where it leaves them."""


def step_of(table: Mapping[str, Any], typed: Iterable[str]) -> int:
    """The step at the end of a line, by what is typed; START for nothing.  Raises NoSuchLine."""
    at = START
    for number, text in enumerate(typed, 1):
        here = [(place, step) for place, step in enumerate(table["steps"]) if step["after"] == at]
        found = [place for place, step in here if step["typed"].lower() == text.lower()]
        if not found:
            known = ", ".join(repr(step["typed"]) for _, step in here) or "nothing: the line ends before it"
            raise NoSuchLine(f"input {number}, {text!r}, is in no line of the drill; expected {known}")
        at = found[0]
    return at


def due_at(table: Mapping[str, Any], step: int) -> str:
    """What the sound machine prints at a step."""
    due: str = table["begins"] if step == START else table["steps"][step]["printed"]
    return due


def fitting(table: Mapping[str, Any], seen: Sequence[tuple[int, str]]) -> list[dict[str, Any]]:
    """The faults that fit all that was seen: at which step it was, and what was printed there."""
    (step, said), *others = seen
    fits = [{id(fault) for fault in suspects(table, *each)} for each in others]
    return [fault for fault in suspects(table, step, said) if all(id(fault) in each for each in fits)]


def suspects(table: Mapping[str, Any], step: int, said: str) -> list[dict[str, Any]]:
    """The faults with which a machine prints this at a step, where all was right before.

    said: all that it prints, or a part of it that is not due; spaces and line ends do not count.
    """
    due = _plain(due_at(table, step))
    seen = [
        (fault, _plain(shown["printed"]))
        for fault in table["faults"]
        for shown in fault["shown"]
        if shown["step"] == step
    ]
    wanted = _plain(said)
    whole = [fault for fault, text in seen if text == wanted]
    if whole or wanted in due or not wanted:
        return whole
    return [fault for fault, text in seen if wanted in text]


def words_to_look_at(faults: Iterable[Mapping[str, Any]]) -> list[tuple[int, int]]:
    """The words that may be wrong, each with how many of the faults are in it alone; most first."""
    counts = Counter(fault["addresses"][0] for fault in faults if len(fault["addresses"]) == 1)
    return sorted(counts.items(), key=lambda each: (-each[1], each[0]))


def _plain(text: str) -> str:
    return "".join(text.split())
