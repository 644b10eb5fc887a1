"""Partial credit: a rubric that the teacher can change, and the points that it gives."""

from collections.abc import Mapping, Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from games.codes import Flags, Indices
from games.game import scored
from games.tomlfile import Table, parse_toml, read_text
from solver.played import Judged
from workbench.grading.mistakes import DRAW, LOSS, NAMES, WIN, Mistake
from workbench.grading.play import Play

KIND = "rubric"
CLAIM, POSITIONS, WRONG_INPUT, FITS = "claim", "positions", "wrong-input", "fits"
SHARES = (CLAIM, POSITIONS, WRONG_INPUT, FITS)
KEEPS, WINS_LATE, WIN_TO_DRAW, WIN_TO_LOSS, DRAW_TO_LOSS, FEWER_POINTS, NO_ANSWER, ILLEGAL = range(8)
CREDITS = (
    "keeps",
    "wins-late",
    "win-to-draw",
    "win-to-loss",
    "draw-to-loss",
    "fewer-points",
    "no-answer",
    "illegal-move",
)
"""What can become of a position, by number: the keys of the table [credit]."""
DECISIONS, EVERY_POSITION = "decisions", "positions"
USUAL = Path(__file__).parent.parent / "templates" / "rubric.toml"
MOST = 1000
"""The most of anything in a rubric."""


class Rubric(NamedTuple):
    """A rubric as read; points: the most there is; share: weights; credit: percent, by what becomes of a position.

    only_decisions: whether positions in which no legal move is better than another are left out; off: points by kind of
    mistake.
    """

    title: str
    points: int
    only_decisions: bool
    share: Mapping[str, int]
    credit: tuple[int, ...]
    off: Mapping[str, int]


class Credit(NamedTuple):
    """What the positions of a set earn: how many count, how many earn all there is, and the share of it, exactly."""

    positions: int
    full: int
    share: Fraction


def read_rubric(file: str | None) -> tuple[str, str]:
    """The text of a rubric and what messages call it; the usual one if no file is named."""
    return (read_text(USUAL), USUAL.name) if file is None else (read_text(file), file)


def parse_rubric(text: str, file: str) -> Rubric:
    """A rubric from TOML text; `file` is what messages call it.  Raises BadInput with every mistake."""
    table = parse_toml(text, file, KIND)
    title = table.text("title", default="")
    points = table.whole("points", default=20, least=1, most=MOST)
    count = table.text("count", default=DECISIONS, one_of=(DECISIONS, EVERY_POSITION))
    share = _numbers(table.table("share"), SHARES, MOST)
    if not any(share.values()) and "share" in table:
        table.wrong("share", "every share is 0; expected at least one that weighs something")
    credit = _numbers(table.table("credit"), CREDITS, 100, {"keeps": 100, "wins-late": 100})
    off = _numbers(table.table("off"), NAMES, points)
    table.finish()
    table.raise_problems()
    weights = share if any(share.values()) else {**share, CLAIM: 1, POSITIONS: 1}
    return Rubric(title, points, count == DECISIONS, weights, tuple(credit.values()), off)


def _numbers(
    table: Table, keys: Sequence[str], most: int, usual: Mapping[str, int] | None = None
) -> dict[str, int]:
    """A whole number for each key, 0 or the usual one unless told."""
    found = {key: table.whole(key, default=(usual or {}).get(key, 0), most=most) for key in keys}
    table.finish()
    return found


def what_becomes(judged: Judged, *, in_points: bool) -> Indices:
    """What becomes of a position after each move, as a number of CREDITS."""
    before, after, later = judged
    if in_points:
        return np.where(after < before, FEWER_POINTS, KEEPS)
    kinds = np.where(later > 0, WINS_LATE, KEEPS)
    for had, left, kind in (
        (WIN, DRAW, WIN_TO_DRAW),
        (WIN, LOSS, WIN_TO_LOSS),
        (DRAW, LOSS, DRAW_TO_LOSS),
    ):
        kinds[(before == had) & (after == left)] = kind
    return kinds


def credit_in(rubric: Rubric, play: Play, within: Flags) -> Credit:
    """What an attempt's answers earn in some positions (n,): all of it where there is nothing to decide.

    Who makes no move at all earns nothing.
    """
    earned, counts = _earned(rubric, play)
    counts &= within
    number = int(counts.sum())
    full = max(rubric.credit)
    if not number or not full:
        return Credit(number, number, Fraction(int(len(play.place) > 0)))
    got = earned[counts]
    return Credit(number, int((got == full).sum()), Fraction(int(got.sum()), number * full))


def _earned(rubric: Rubric, play: Play) -> tuple[Indices, Flags]:
    """What each position earns in percent, by the worst move that is allowed; and which positions count."""
    facts, percent = play.facts, np.array(rubric.credit)
    in_points = scored(facts.game) is not None
    possible = percent[what_becomes(facts.judged, in_points=in_points)]
    best, worst = np.zeros(len(facts), dtype=np.intp), np.full(len(facts), 100, dtype=np.intp)
    np.maximum.at(best, facts.parent, possible)
    np.minimum.at(worst, facts.parent, possible)
    earned = np.full(len(facts), 100, dtype=np.intp)
    allowed = np.where(play.edge >= 0, possible[play.edge], percent[ILLEGAL])
    np.minimum.at(earned, play.place, allowed)
    earned[play.silent] = percent[NO_ANSWER]
    counts = worst < best if rubric.only_decisions else np.ones(len(facts), dtype=bool)
    return earned, counts


class Points(NamedTuple):
    """The points of an attempt: by the positions that it meets, and by all of the game.

    everywhere: None where it could not be asked in all of them.
    """

    met: Fraction
    everywhere: Fraction | None
    out_of: int


def points(
    rubric: Rubric,
    parts: Mapping[str, Fraction | None],
    met: Fraction,
    everywhere: Fraction | None,
    mistakes: Sequence[Mistake],
) -> Points:
    """The points of an attempt.

    parts: what was earned of each share but that of the positions, from 0 to 1, None for what could not be judged;
    met, everywhere: of the positions.
    """
    off = sum(rubric.off[mistake.kind] for mistake in mistakes)

    def of(positions: Fraction) -> Fraction:
        earned = {**parts, POSITIONS: positions}
        judged = {name: part for name, part in earned.items() if part is not None}
        weight = sum(rubric.share[name] for name in judged)
        total = sum((rubric.share[name] * part for name, part in judged.items()), Fraction(0))
        return max(Fraction(0), rubric.points * total / weight - off) if weight else Fraction(0)

    return Points(of(met), None if everywhere is None else of(everywhere), rubric.points)


def in_tenths(number: Fraction) -> str:
    """A number to a tenth, halves up: ``12.5``; a whole one without.

    >>> in_tenths(Fraction(25, 2)), in_tenths(Fraction(20)), in_tenths(Fraction(1, 20))
    ('12.5', '20', '0.1')
    """
    tenths = (number * 20 + 1).__floor__() // 2
    return f"{tenths // 10}.{tenths % 10}" if tenths % 10 else str(tenths // 10)


def shown(rubric: Rubric) -> list[tuple[str, Any]]:
    """A rubric in rows, for a page: what it is called and what stands there."""
    share = [(f"weight of {name}", weight) for name, weight in rubric.share.items() if weight]
    credit = [
        (f"a position: {name}, percent", percent)
        for name, percent in zip(CREDITS, rubric.credit, strict=True)
    ]
    off = [(f"off for {name}", number) for name, number in rubric.off.items() if number]
    counted = "decisions" if rubric.only_decisions else "every position"
    return [("points", rubric.points), ("positions that count", counted), *share, *credit, *off]
