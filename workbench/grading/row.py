"""What is found about one attempt in one seat: plain data that goes to other processes, into files and back."""

from collections.abc import Mapping
from typing import Any, NamedTuple

from workbench.drill.report import FAULT, SAMPLED, UNFINISHED

UNUSABLE, TOO_LONG, ENDED, BROKEN = "unusable", "too-long", "ended", "not-judged"
"""Verdicts on what could not be judged: no strategy at all; what took too long, or took its process with it; and what
Wordtight itself could not judge."""
_WITHOUT_END = (TOO_LONG, ENDED, BROKEN)


class Line(NamedTuple):
    """The shortest line that shows the fault.

    moves: by number in the game with its house rules; said: each ply in a word or two; decision: which of them (from 0)
    is the first losing one; loop: from which on it goes round for ever; outcome: what it comes to, in words.
    printed: of a program, what was keyed in and printed.
    """

    moves: tuple[int, ...]
    said: tuple[str, ...]
    decision: int | None
    loop: int | None
    outcome: str
    printed: tuple[str, ...] = ()


class Decision(NamedTuple):
    """The first losing decision; move: None for none; rule: its line (0 for none) and its text."""

    ply: int
    position: str
    move: str | None
    rule: tuple[int, str]
    better: tuple[str, ...]


class Told(NamedTuple):
    """A kind of mistake as it is told; see `workbench.grading.mistakes.Mistake`."""

    kind: str
    words: str
    positions: int
    loses: int
    code: int
    position: str
    move: str | None
    rule: tuple[int, str]
    better: tuple[str, ...]


class Given(NamedTuple):
    """Value given away where the machine still does not lose: what it had, what is left, in how many positions.

    Where moves score: how many points, and after is empty.
    """

    before: str
    after: str
    positions: int


class Positions(NamedTuple):
    """Credit for positions: how many count, how many are answered as well as can be, the share in percent, points."""

    positions: int
    well: int
    percent: str
    points: str


class Fit(NamedTuple):
    """What an attempt takes on the machine; words, seconds: None where there is no program, for the reason given.

    fits: None where nobody can say.
    """

    fits: bool | None
    words: int | None
    left: int | None
    seconds: float | None
    reason: str | None


class Mishandled(NamedTuple):
    """Wrong input that is not answered as it should be: its class, and what happens."""

    kind: str
    detail: str
    keyed: tuple[str, ...]


class Row(NamedTuple):
    """An attempt in one seat.

    verdict: of a proof, of a drill, or one of those above; holds: whether the claim does.  reason: why nothing more is
    known.  unused: rules that never give a move, by line and text; rules: how many there are.  met, everywhere: what
    the positions earn, None where nothing could be asked.  wrong_input: None where it was not tried.  plays: names for
    what is played in all positions of the game, and in those met; empty where that is not known.
    """

    name: str
    kind: str
    seat: str
    verdict: str
    holds: bool
    reason: str = ""
    seat_is_lost: bool = False
    line: Line | None = None
    decision: Decision | None = None
    rules: int = 0
    unused: tuple[tuple[int, str], ...] = ()
    mistakes: tuple[Told, ...] = ()
    given: tuple[Given, ...] = ()
    met: Positions | None = None
    everywhere: Positions | None = None
    fit: Fit | None = None
    wrong_input: tuple[Mishandled, ...] | None = None
    plays: tuple[str, str] = ("", "")

    @property
    def is_judged(self) -> bool:
        """Whether anything could be found out about it."""
        return self.verdict not in (UNUSABLE, *_WITHOUT_END)

    @property
    def passes(self) -> bool:
        """Whether nothing at all is wrong with it: of a program not even how it answers wrong input."""
        return self.holds and self.verdict != FAULT

    @property
    def is_final(self) -> bool:
        """Whether it was judged to the end, so that nothing else would be found another time."""
        return self.verdict not in (UNFINISHED, SAMPLED, *_WITHOUT_END)

    def as_data(self) -> dict[str, Any]:
        """The same as JSON has it."""
        return {key: _data(value) for key, value in self._asdict().items()}


def row_from(data: Mapping[str, Any]) -> Row:
    """A row out of its data.  Raises KeyError or TypeError where it is none."""
    line, decision, met, everywhere, fit = (
        None if data[key] is None else kind(**_tuples(data[key]))
        for key, kind in (
            ("line", Line),
            ("decision", Decision),
            ("met", Positions),
            ("everywhere", Positions),
            ("fit", Fit),
        )
    )
    wrong = data["wrong_input"]
    lists = {
        "unused": tuple((int(number), text) for number, text in data["unused"]),
        "mistakes": tuple(Told(**_tuples(each)) for each in data["mistakes"]),
        "given": tuple(Given(**each) for each in data["given"]),
        "wrong_input": None if wrong is None else tuple(Mishandled(**_tuples(each)) for each in wrong),
        "plays": (data["plays"][0], data["plays"][1]),
    }
    parts = {"line": line, "decision": decision, "met": met, "everywhere": everywhere, "fit": fit}
    return Row(**{**data, **parts, **lists})


def _data(value: Any) -> Any:
    """Named tuples as objects, other tuples as lists."""
    if hasattr(value, "_asdict"):
        return {key: _data(each) for key, each in value._asdict().items()}
    if isinstance(value, tuple):
        return [_data(each) for each in value]
    return value


def _tuples(data: Mapping[str, Any]) -> dict[str, Any]:
    """Lists as tuples."""
    return {key: tuple(value) if isinstance(value, list) else value for key, value in data.items()}
