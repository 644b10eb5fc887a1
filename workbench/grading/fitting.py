"""The words and seconds of a strategy on a machine, as `wordtight size` counts them."""

from budget.card import CostCard
from budget.program_size import ProgramRow, smallest_row
from solver.proof import PROVED, Proof
from workbench.compare_words import words_of
from workbench.grading.row import Fit


def fit_of(proof: Proof, card: CostCard) -> Fit:
    """The smallest program of a strategy: of those in which the claim still holds when its choices are settled, if any.

    A sheet is sized as it is written, a table in every encoding.
    """
    words = words_of(proof, card)
    proved = {reading for reading, verdict in words.verdicts.items() if verdict == PROVED}
    rows = [row for row in words.rows if not proved or row.reading in proved]
    least = smallest_row([row for row in rows if row.fits]) or smallest_row(rows)
    if least is None:
        reasons = [row.reason for row in words.rows if row.reason is not None]
        missing = "somewhere it has no legal answer, so there is nothing whole to store"
        return Fit(False, None, None, None, reasons[0] if reasons else missing)
    return Fit(least.fits, least.total_words, least.margin, _seconds(least), least.reason)


def _seconds(row: ProgramRow) -> float | None:
    """The longest that a visitor waits for an answer: thinking and printing."""
    return None if row.replies is None else row.as_json()["worst_seconds"]
