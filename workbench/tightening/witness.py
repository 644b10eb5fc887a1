"""The evidence for a least strategy that has been written: its proof, and where there is one that of the bound."""

from solver.load import Written
from solver.proof import Proof
from workbench.evidence.least import evidence_of_least, evidence_of_unproved
from workbench.least_line import LeastLine
from workbench.tightening.request import Kind, Outcome, Request

PROVING = "proving once more, for the evidence"


def evidence_for(
    kind: Kind, request: Request, outcome: Outcome, written: Written, proof: Proof, line: LeastLine
) -> str:
    """The evidence, as JSON Lines; the proof of the bound takes as long again as was allowed for the search."""
    if kind.FIGURE != "answers" or request.first is not None:
        return evidence_of_unproved(proof, written, _reason(kind, outcome))
    answers = outcome.record["answers"]
    return evidence_of_least(
        proof,
        written,
        answers,
        alike=request.turned,
        seconds=request.seconds,
        progress=lambda _, bound: line(PROVING, answers, bound),
    )


def _reason(kind: Kind, outcome: Outcome) -> str:
    """Why the bound has no proof that can be written down."""
    if kind.FIGURE == "words":
        return "words"
    if not outcome.proved_least:
        return "gap"
    return "first" if kind.FIGURE == "answers" else "gone-through"
