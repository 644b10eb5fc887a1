"""What is found about an attempt in plain words: the same in every report."""

from collections.abc import Sequence

from games.inputs import class_in_words
from games.problems import listed
from solver.proof import ILLEGAL_ANSWER, NO_ANSWER, PROVED, REFUTED
from workbench.drill.report import FAULT, NO_FAULT, SAMPLED, UNFINISHED
from workbench.grading.attempts import PROGRAM
from workbench.grading.grade import Alike
from workbench.grading.ground import MOST_SHARED
from workbench.grading.row import BROKEN, ENDED, TOO_LONG, UNUSABLE, Fit, Given, Row
from workbench.output import plural

VERDICTS = {
    PROVED: "holds",
    REFUTED: "fails",
    NO_ANSWER: "has gaps",
    ILLEGAL_ANSWER: "plays where it may not",
    NO_FAULT: "no fault found",
    FAULT: "fault found",
    UNFINISHED: "not finished",
    SAMPLED: "only sampled",
    UNUSABLE: "no strategy",
    TOO_LONG: "no full answer",
    ENDED: "ended its process",
    BROKEN: "not judged",
}
NOT_COPYING = (
    "This says nothing about copying: good strategies for a small game are few, and many find the same."
)


def verdict_in_words(row: Row) -> str:
    """The verdict in a word or two."""
    if row.verdict == FAULT and row.holds:
        return "faults, none in play"
    return VERDICTS[row.verdict]


def first_fault(row: Row, *, answers: bool = True) -> str:
    """What goes wrong first, in a sentence or two; nothing where nothing does.

    answers: whether it is told what would have been better.
    """
    decision = row.decision
    if not row.is_judged:
        return row.reason
    if decision is None:
        return _sentence(row.reason or (row.line.outcome if row.line is not None else ""))
    by = f" by the rule '{decision.rule[1]}' (line {decision.rule[0]})" if decision.rule[0] else ""
    did = "has no answer" if decision.move is None else f"plays {decision.move}{by}"
    would = f"; {listed(decision.better)} would do" if answers and decision.better else ""
    return f"Ply {decision.ply}, on {decision.position}: {did}{would}."


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}{'' if text.endswith('.') else '.'}" if text else ""


def why_not_everywhere(rows: Sequence[Row]) -> str:
    """Why some attempts have no points by all positions of the game; nothing where all have them."""
    without = {row.kind == PROGRAM for row in rows if row.met is not None and row.everywhere is None}
    programs = "A program can be asked only where play leads, so it has no points by all positions."
    large = (
        f"The game has more than {MOST_SHARED:,} positions, so nothing is asked in all of them, and only what play "
        "leads to earns points."
    )
    return " ".join([*([programs] if True in without else []), *([large] if False in without else [])])


def line_in_words(row: Row) -> str:
    """The shortest line that shows the fault, move after move."""
    return "" if row.line is None else ", ".join(row.line.said)


def outcome(row: Row) -> str:
    """What that line comes to, in a sentence."""
    line = row.line
    if line is None or not line.said:
        return ""
    turns = f" From ply {line.loop + 1} on it goes round." if line.loop is not None else ""
    return f"{_sentence(line.outcome) or 'There it ends.'}{turns}"


def given_in_words(given: Sequence[Given]) -> str:
    """What is given away: ``without losing, a win for a draw in 3 positions``, or points."""
    parts = [f"{_exchange(each)} in {plural(each.positions, 'position')}" for each in given]
    without = "without losing, " if given and given[0].after else ""
    return f"{without}{', '.join(parts)}"


def _exchange(given: Given) -> str:
    return f"a {given.before} for a {given.after}" if given.after else given.before


def fit_in_words(fit: Fit | None) -> str:
    """Words, what is left of the store, and the longest wait."""
    if fit is None:
        return ""
    if fit.fits is None:
        return f"not sized: {fit.reason}"
    if fit.words is None or fit.left is None:
        return f"no program: {fit.reason}"
    room = f"{fit.left:,} left" if fit.left >= 0 else f"{-fit.left:,} too many"
    wait = "" if fit.seconds is None else f", longest wait {fit.seconds:.3g} s"
    return f"{'fits' if fit.fits else 'does not fit'}: {plural(fit.words, 'word')}, {room}{wait}"


def wrong_input_in_words(row: Row) -> str:
    """The classes of wrong input that are mishandled; nothing where it was not tried."""
    if row.wrong_input is None:
        return ""
    return ", ".join(class_in_words(each.kind) for each in row.wrong_input) or "all answered"


def alike_in_words(alike: Alike, *, seats: int) -> str:
    """Who plays the same, and where."""
    seat = f"Moving {alike.seat}, " if seats > 1 else ""
    where = "in every position of the game" if alike.everywhere else "in every position that they meet"
    return f"{seat}{listed(alike.names, 'and')} play the same {where}."
