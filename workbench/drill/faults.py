"""What can be wrong with a program: four batteries, and the causes that each of them tells."""

from typing import NamedTuple

from workbench.drill.reading import Piece
from workbench.drill.rules import Entry

PLAY, WRONG_INPUT, VERDICTS, CONDUCT = "play", "wrong-input", "verdicts", "conduct"
BATTERIES = (PLAY, WRONG_INPUT, VERDICTS, CONDUCT)

CLAIM_FAILS, ILLEGAL_MOVE, NO_MOVE, OUT_OF_TURN = "claim-fails", "illegal-move", "no-move", "out-of-turn"
WRONG_MESSAGE, LEGAL_REFUSED, ACCEPTED, NOT_CHARGED = (
    "wrong-message",
    "legal-refused",
    "accepted",
    "not-charged",
)
BOARD_CHANGED = "board-changed"
WRONG_VERDICT, NO_VERDICT, EARLY_VERDICT = "wrong-verdict", "no-verdict", "early-verdict"
NO_ANSWER, STOPPED, ENDLESS_OUTPUT, AFTER_END_PLAY = "no-answer", "stopped", "endless-output", "after-end"
TWO_ANSWERS = "two-answers"

IN_WORDS = {
    CLAIM_FAILS: "the claim does not hold",
    ILLEGAL_MOVE: "the machine plays where it may not",
    NO_MOVE: "the machine does not move when it should",
    OUT_OF_TURN: "the machine moves when it should not",
    WRONG_MESSAGE: "wrong input is answered otherwise than it should be",
    LEGAL_REFUSED: "a legal move is refused",
    ACCEPTED: "wrong input is taken for a move",
    NOT_CHARGED: "wrong input does not cost what it should",
    BOARD_CHANGED: "wrong input has changed what comes after it",
    WRONG_VERDICT: "the outcome is told wrong",
    NO_VERDICT: "the outcome is not told",
    EARLY_VERDICT: "an outcome is told before the end",
    NO_ANSWER: "no answer in time",
    STOPPED: "the program has stopped",
    ENDLESS_OUTPUT: "output without end",
    AFTER_END_PLAY: "the next game does not begin as it should",
    TWO_ANSWERS: "two answers to one line",
}


class Finding(NamedTuple):
    """Something that is wrong at one step: in which battery, the cause, and a sentence on what happened."""

    battery: str
    cause: str
    detail: str


class Ply(NamedTuple):
    """A ply of the game: the positions before and after it, the move's number, and whether the machine made it."""

    before: int
    move: int
    after: int
    by_machine: bool


class Step(NamedTuple):
    """One input and its answer: nothing was keyed in before the first.  plies: those that have come of it.

    how: how the answer came to its end, as `workbench.drill.process.Heard.ending` says it.
    """

    entry: Entry | None
    pieces: tuple[Piece, ...]
    plies: tuple[Ply, ...]
    how: str = "waits"


class Fault(NamedTuple):
    """A cause, and the shortest line on which it showed.

    kind: the class of the input at which it showed.  times: on how many lines.
    """

    battery: str
    cause: str
    kind: str
    detail: str
    line: tuple[Step, ...]
    times: int

    @property
    def plies(self) -> tuple[Ply, ...]:
        """The plies of its line."""
        return tuple(ply for step in self.line for ply in step.plies)


class Ledger:
    """Every fault found so far, each with its shortest line."""

    def __init__(self) -> None:
        self._faults: dict[tuple[str, str, str], Fault] = {}

    def note(self, finding: Finding, line: tuple[Step, ...]) -> None:
        """A finding at the last step of a line."""
        entry = line[-1].entry
        kind = "" if entry is None else entry.kind
        known = self._faults.get((finding.battery, finding.cause, kind))
        fault = Fault(finding.battery, finding.cause, kind, finding.detail, line, 1)
        if known is not None:
            shorter = min(known, fault, key=_length)
            fault = shorter._replace(times=known.times + 1)
        self._faults[finding.battery, finding.cause, kind] = fault

    def put(self, fault: Fault) -> None:
        """A fault out of a drill that is taken up again."""
        self._faults[fault.battery, fault.cause, fault.kind] = fault

    def faults(self) -> list[Fault]:
        """All of them: by battery, in each the shortest first."""
        return sorted(
            self._faults.values(), key=lambda each: (BATTERIES.index(each.battery), _length(each), each.cause)
        )

    def times(self, cause: str) -> int:
        """On how many lines a cause has shown."""
        return sum(fault.times for fault in self._faults.values() if fault.cause == cause)

    def total(self) -> int:
        """How many findings there were."""
        return sum(fault.times for fault in self._faults.values())

    def in_battery(self, battery: str) -> list[Fault]:
        """Those of one battery."""
        return [fault for fault in self.faults() if fault.battery == battery]


def _length(fault: Fault) -> tuple[int, int, tuple[str, ...]]:
    """How short a line is: wrong inputs first, then inputs, then what is keyed in."""
    entries = [step.entry for step in fault.line if step.entry is not None]
    wrong = sum(entry.move is None for entry in entries)
    return wrong, len(entries), tuple(entry.shown for entry in entries)
