"""What a drill has found, for machines: one JSON object, or JUnit XML for a test runner."""

from collections.abc import Sequence
from typing import Any
from xml.sax.saxutils import escape, quoteattr

from games.codes import PLAYERS
from workbench.drill.asked import Asked
from workbench.drill.faults import BATTERIES, CLAIM_FAILS, IN_WORDS, Fault
from workbench.drill.report import Found
from workbench.drill.sampling import MODEL
from workbench.drill.tell import transcript


def drill_record(found: Found, asked: Asked, shown: str) -> dict[str, Any]:
    """The whole report as docs/json.md describes it."""
    return {
        "program": shown,
        "game": asked.game.name,
        "seat": PLAYERS[asked.game.seat],
        "claim": asked.judge.claim,
        "house_rules": asked.house.name,
        "verdict": found.verdict,
        "batteries": {
            battery: [fault_record(fault, asked) for fault in found.faults if fault.battery == battery]
            for battery in BATTERIES
        },
        "rounds": [each._asdict() for each in found.rounds],
        "sampled": None
        if found.sampled is None
        else {**found.sampled._asdict(), "bound": found.sampled.bound, "visitor": MODEL},
        "final_positions": {"reached": found.finals, "all": found.all_finals},
        "starts": found.starts,
        "ends_by_itself": found.ends_by_itself,
        "broken_off": found.broken_off,
        "given_up": found.given_up,
        "learned": list(found.learned),
        "assumptions": list(found.assumptions),
        "held": list(found.held),
        "measured": {
            "seconds": round(found.seconds, 3),
            "seconds_left": None if found.left is None else round(found.left, 3),
        },
    }


def fault_record(fault: Fault, asked: Asked) -> dict[str, Any]:
    """One fault with its shortest line; `decision` counts plies from 1."""
    place = asked.judge.worth.decision(asked.judge.claim, fault.plies) if fault.cause == CLAIM_FAILS else None
    return {
        "cause": fault.cause,
        "class": fault.kind or None,
        "detail": fault.detail,
        "times": fault.times,
        "keyed_in": [step.entry.shown for step in fault.line if step.entry is not None],
        "printed": [[piece.line for piece in step.pieces] for step in fault.line],
        "decision": None if place is None else place + 1,
    }


def junit(found: Found, asked: Asked, shown: str) -> str:
    """One test case for each battery; its faults fail it."""
    cases = []
    failed = 0
    for battery in BATTERIES:
        faults = [fault for fault in found.faults if fault.battery == battery]
        failed += bool(faults)
        cases.append(
            f"  <testcase classname={quoteattr(shown)} name={quoteattr(battery)}>{_failure(faults)}</testcase>"
        )
    name = quoteattr(f"drill {shown}: {asked.game.name}, {asked.judge.claim}, {found.verdict}")
    head = f'<testsuite name={name} tests="{len(BATTERIES)}" failures="{failed}" errors="0">'
    return "\n".join(['<?xml version="1.0" encoding="UTF-8"?>', head, *cases, "</testsuite>", ""])


def _failure(faults: Sequence[Fault]) -> str:
    """The shortest fault of a battery as its message, and the transcripts of all."""
    if not faults:
        return ""
    says = quoteattr(_plain(f"{IN_WORDS[faults[0].cause]}: {faults[0].detail}"))
    text = "\n\n".join("\n".join([_plain(fault.detail), *transcript(fault.line)]) for fault in faults)
    return f"<failure message={says} type={quoteattr(faults[0].cause)}>{escape(text)}</failure>"


def _plain(text: str) -> str:
    """Without the signs that XML cannot hold."""
    return "".join(sign if sign.isprintable() else "?" for sign in text)
