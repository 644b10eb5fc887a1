"""A stand's games played over against the proof: every input, every answer and every result, as the log has them."""

from typing import Any, NamedTuple

from games.inputs import LEGAL
from solver.counts import lines_of_play
from solver.proof import PROVED, Proof
from workbench.stand.course import VISITOR, Course, Step
from workbench.stand.events import NOTHING
from workbench.stand.history import History, Played, Totals, totals_of


class Finding(NamedTuple):
    """Something in the log that the proof says otherwise: where, what, what the log has, and what is due."""

    line: int
    game: int
    what: str
    found: str
    due: str


class Replay(NamedTuple):
    """What came of playing the games over.

    beaten: the games that a visitor has won.  met, positions: in how many positions the machine had to move, and in how
    many it may have to.  played, lines: how many lines were played to their end, and how many there are; None where
    play can be endless.
    """

    totals: Totals
    findings: list[Finding]
    beaten: list[Played]
    met: int
    positions: int
    played: int
    lines: int | None


def replay(proof: Proof, history: History) -> Replay:
    """Play all games of a log over.  The log must be of this strategy (`workbench.stand.logbook.require_bond`)."""
    course = Course(proof)
    met: set[int] = set()
    lines: set[tuple[int, ...]] = set()
    findings: list[Finding] = []
    for played in history.games:
        findings.extend(_findings(course, played))
        met.update(course.machine_places)
        if course.result:
            lines.add(tuple(course.line))
    beaten = [played for played in history.games if played.outcome == VISITOR]
    every = lines_of_play(proof.walk.graph)
    return Replay(
        totals_of(history.games),
        findings,
        beaten,
        len(met),
        proof.positions,
        len(lines),
        None if every is None else every["all"],
    )


def _findings(course: Course, played: Played) -> list[Finding]:
    """What is otherwise in one game, which is played to where the log leaves it; no more is told than the first."""
    step = course.begin()
    due = [(step, played.begun)]
    plies = [0]
    for event in played.inputs:
        plies.append(course.plies)
        due.append((course.enter(event.text.encode("latin-1")), event))
    for (step, event), ply, line in zip(due, plies, played.lines, strict=True):
        wanted = _fields(step, ply)
        told = _fields(Step(event.input_class, event.effect, event.answers, event.result, ()), event.ply)
        wrong = [name for name in wanted if wanted[name] != told[name]]
        if wrong:
            return [Finding(line, played.number, wrong[0], told[wrong[0]], wanted[wrong[0]])]
    return []


def _fields(step: Step, ply: int) -> dict[str, str]:
    """What is compared, in the order in which it is told."""
    return {
        "ply": str(ply),
        "class": step.input_class,
        "effect": step.effect,
        "answer": ", ".join(step.answers) or "none",
        "result": step.result or "none",
    }


def is_sound(proof: Proof, found: Replay) -> bool:
    """Whether the claim is proved, and nothing in the log says otherwise."""
    return proof.verdict == PROVED and not found.findings


def moves_of(played: Played) -> list[str]:
    """A game as a line: what each side did, ply by ply; wrong input that was charged in quotes with its effect."""
    line = list(played.begun.answers)
    for event in played.inputs:
        if event.effect != NOTHING:
            line.append(event.text if event.input_class == LEGAL else f"{event.text!a} ({event.effect})")
        line.extend(event.answers)
    return line


def replay_record(log: str, proof: Proof, found: Replay) -> dict[str, Any]:
    """The replay by its JSON keys."""
    totals = found.totals
    return {
        "log": log,
        "strategy": proof.walk.strategy.name,
        "claim": proof.claim,
        "verdict": proof.verdict,
        "sound": is_sound(proof, found),
        "games": totals.games,
        "inputs": totals.inputs,
        "results": totals.results,
        "lengths": {str(plies): games for plies, games in totals.lengths.items()},
        "wrong_inputs": totals.wrong,
        "positions_met": found.met,
        "positions": found.positions,
        "lines_played": found.played,
        "lines": found.lines,
        "findings": [finding._asdict() for finding in found.findings],
        "visitors_won": [{"game": played.number, "line": moves_of(played)} for played in found.beaten],
    }
