"""One game, line by line, and how each line was understood: so that a conversation file is soon right."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from workbench.drill.asked import Asked
from workbench.drill.command import command_for
from workbench.drill.course import Judged
from workbench.drill.faults import Step
from workbench.drill.player import Player
from workbench.drill.rules import Entry, Rules
from workbench.drill.sandbox import Sandbox
from workbench.drill.tell import short
from workbench.output import say, say_lines, table

PASSED_OVER = "(passed over)"
MOST_INPUTS = 200


class Rehearsed(NamedTuple):
    """A game that was played to its end, or as far as it would go: its steps, and what was found wrong at each."""

    steps: tuple[tuple[Step, Judged], ...]
    learned: tuple[str, ...]

    @property
    def is_understood(self) -> bool:
        """Whether nothing was wrong."""
        return not any(judged.findings for _, judged in self.steps)


def rehearse(asked: Asked, command: Sequence[str]) -> Rehearsed:
    """Play one game with one wrong input of each class, and one more input after the end."""
    with Sandbox(asked.manner.limits) as sandbox:
        waiting = asked.waiting()
        player = Player(sandbox, command_for(command, sandbox), waiting, asked.judge)
        try:
            return Rehearsed(tuple(_steps(asked, player)), tuple(waiting.learned))
        finally:
            player.stop()


def _steps(asked: Asked, player: Player) -> Iterator[tuple[Step, Judged]]:
    judged = player.opening()
    yield player.begun, judged
    tried: set[str] = set()
    for _ in range(MOST_INPUTS):
        if not judged.goes_on or (judged.is_next and tried):
            return
        entry = _next_entry(asked.judge.rules, judged, tried)
        tried.add(entry.kind)
        heard = player.enter(entry)
        judged = asked.judge.answer(judged.code, is_over=judged.is_over, entry=entry, heard=heard)
        yield Step(entry, judged.said.pieces, judged.plies), judged


def _next_entry(rules: Rules, judged: Judged, tried: set[str]) -> Entry:
    """A class of wrong input that was not tried yet, or else the first move."""
    if judged.is_over:
        return rules.after_end_entries()[0]
    wrong = rules.wrong_entries(judged.code, all_of_them=False)
    new = (entry for entry in wrong if entry.kind not in tried)
    return next(new, rules.legal_entries(judged.code)[0])


def tell(rehearsed: Rehearsed) -> None:
    """The game as a table: what was printed, and what was made of it."""
    rows: list[tuple[str, str]] = []
    for step, judged in rehearsed.steps:
        if step.entry is not None:
            rows.append((f"--> {step.entry.in_words}", ""))
        rows += [(f"    {short(piece.line, 44)}", piece.meaning or PASSED_OVER) for piece in step.pieces]
        rows += [("", f"WRONG: {finding.detail}") for finding in judged.findings]
    say_lines(table(("printed", "understood as"), rows))
    say()
    if rehearsed.learned:
        say(f"Taken for waiting, because silence followed: {', '.join(map(repr, rehearsed.learned))}.")
    if rehearsed.is_understood:
        say("One game was understood from beginning to end, and nothing was wrong with it.")
    else:
        say(
            "Not all of this was as it should be. If the program is right and was misunderstood, say in a "
            "conversation file what it prints."
        )


def record(rehearsed: Rehearsed) -> dict[str, object]:
    """The same for machines."""
    return {
        "understood": rehearsed.is_understood,
        "steps": [
            {
                "keyed_in": None if step.entry is None else step.entry.shown,
                "class": None if step.entry is None else step.entry.kind,
                "printed": [{"line": piece.line, "meaning": piece.meaning} for piece in step.pieces],
                "wrong": [finding.detail for finding in judged.findings],
            }
            for step, judged in rehearsed.steps
        ],
        "learned": list(rehearsed.learned),
    }
