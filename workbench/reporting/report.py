"""Everything that a page tells about a strategy, gathered first and then written."""

from collections.abc import Sequence
from typing import Any, NamedTuple

from budget.card import CostCard
from budget.machine.program import Program
from budget.plan.tradeoffs import Plan
from games.codes import PLAYERS
from solver.fixed import FixedPlay, fixed_plays
from solver.proof import Proof
from workbench.pictures.html import paragraph, section
from workbench.pictures.page import page
from workbench.reporting import play
from workbench.reporting.boards import boards_part
from workbench.reporting.house import house_part
from workbench.reporting.sizes import (
    MachineRow,
    machines_part,
    on_all_machines,
    programs_part,
    tradeoffs_part,
)
from workbench.reporting.verdict import evidence_part, line_part, verdict_part
from workbench.sizing import Sizing
from workbench.svg import words

WORD_BITS = 12
"""Of the words from which the page plays, where no machine is named."""
STYLE = """
.verdict { border: 3px solid #1d2730; padding: .2em 1em; margin: 1em 0 } .verdict strong { font-size: 1.3em }
.boards { display: flex; flex-wrap: wrap; gap: .6em } section > svg { display: block; margin: 1em 0 }
pre { border-left: 3px solid #9aa5ad; padding-left: 1em; overflow-wrap: anywhere; white-space: pre-wrap }
"""
NO_PLAY = "In some position that can come up the strategy has no legal move, so it can be neither stored nor played."


class Report(NamedTuple):
    """A strategy with what is known of it.

    text: its file; plays: settled in every reading in which it has an answer everywhere, none where it has not;
    machines: its smallest table on each; card, sizing, program, plan: of one machine, None where none was named.
    """

    proof: Proof
    text: str
    plays: list[FixedPlay]
    machines: list[MachineRow]
    card: CostCard | None = None
    sizing: Sizing | None = None
    program: Program | None = None
    plan: Plan | None = None

    @property
    def title(self) -> str:
        """What the page is called."""
        game = self.proof.walk.game
        return f"{self.proof.walk.strategy.name}: {game.title}, machine moves {PLAYERS[game.seat]}"

    def as_json(self) -> dict[str, Any]:
        """The figures of the page by their JSON keys."""
        walk = self.proof.walk
        return {
            "game": walk.game.name,
            "strategy": walk.strategy.name,
            "seat": PLAYERS[walk.game.seat],
            "claim": self.proof.claim,
            "house_rules": self.proof.house.name,
            "verdict": self.proof.verdict,
            "never_said": list(self.proof.never_said),
            "tables": [
                {
                    "machine": each.card.name,
                    "total_words": None if each.row is None else each.row.total_words,
                    "encoding": None if each.row is None else each.row.encoding,
                    "reading": None if each.row is None else each.row.reading,
                    "fits": each.row is not None and each.row.fits,
                    "reason": each.reason or None,
                }
                for each in self.machines
            ],
            "machine": None if self.card is None else self.card.name,
            "programs": None if self.sizing is None else [row.as_json() for row in self.sizing.programs],
            "tradeoffs": None if self.plan is None else [way.as_json() for way in self.plan.tradeoffs],
        }


def gathered(proof: Proof, text: str) -> Report:
    """What a page tells of a proof without being asked for a machine; text: the strategy's file."""
    has_answers = not (proof.walk.illegal or len(proof.walk.unanswered))
    plays = fixed_plays(proof) if has_answers else []
    return Report(proof, text, plays, on_all_machines(plays) if plays else [])


def page_of(report: Report) -> str:
    """The page: the verdict first, then a game against the strategy, then all that is known of it."""
    proof, plays = report.proof, report.plays
    bits = WORD_BITS if report.card is None else report.card.word_bits
    game = play.play_part(plays, bits) if plays else play.PlayPart(paragraph(NO_PLAY), "")
    parts: Sequence[str] = [
        words("h1", report.title),
        verdict_part(proof),
        line_part(proof),
        section("Play against it", [game.html]),
        boards_part(plays) if plays else "",
        evidence_part(proof, report.text),
        house_part(proof),
        machines_part(report.machines) if report.machines else "",
        *_one_machine(report),
    ]
    return page(report.title, "\n".join(filter(None, parts)), styles=STYLE + play.STYLE, script=game.script)


def _one_machine(report: Report) -> list[str]:
    if report.card is None:
        return []
    parts = [] if report.sizing is None else [programs_part(report.sizing, report.card, report.program)]
    return parts if report.plan is None else [*parts, tradeoffs_part(report.plan, report.card)]
