"""The trade of store against time as a picture: a point for each way, words across and the longest wait upwards.

Both axes go by factors, since one way may be a thousand times as quick as another.  Each point has its number beside
it, which a table below names, so that nothing is told by colour alone.
"""

import math
from collections.abc import Iterator, Sequence

from budget.forms import AS_WRITTEN
from budget.plan.ways import Way
from workbench.svg import element, words

WIDE, HIGH = 720, 420
LEFT, RIGHT, TOP, BOTTOM = 80, 30, 50, 60
LINE = 20
"""Height of a line of the table below the picture."""
NEAR = 18
"""How far numbers are from points and from one another at least."""
INK, PALE, PAPER = "#1a1a1a", "#b5b5b5", "#ffffff"


STEPS = (1, 2, 5)
"""The marks of an axis in each power of ten."""


class Axis:
    """An axis that goes by factors, from the last mark below the least value to the first above the greatest."""

    def __init__(self, values: Sequence[float], begin: float, end: float) -> None:
        least, most = max(min(values), 1e-9), max(*values, 1e-9)
        powers = range(math.floor(math.log10(least)), math.ceil(math.log10(most)) + 1)
        marks = [10.0**power * step for power in powers for step in STEPS]
        self._low = max(mark for mark in marks if mark <= least * 1.001)
        self.high = min(mark for mark in marks if mark >= most * 0.999 and mark > self._low)
        self._marks = [mark for mark in marks if self._low <= mark <= self.high]
        self._span = math.log(self.high / self._low)
        self._begin, self._end = begin, end

    def at(self, value: float) -> float:
        """Where a value lies."""
        return (
            self._begin + (self._end - self._begin) * math.log(max(value, self._low) / self._low) / self._span
        )

    def marks(self) -> list[float]:
        """The values that have a line."""
        return self._marks


def plan_picture(ways: Sequence[Way], title: str, store_words: int, within: float | None, unit: str) -> str:
    """The ways as an SVG picture; `unit` is what waiting is measured in, ``s`` or ``instructions``."""
    across = Axis([*(way.words for way in ways), store_words], LEFT, WIDE - RIGHT)
    waits = [max(way.wait, 1e-9) for way in ways] + ([within] if within else [])
    up = Axis(waits, HIGH - BOTTOM, TOP)
    parts = [
        words("title", title),
        element("rect", width=WIDE, height=HIGH + LINE * (len(ways) + 1), fill=PAPER),
        words("text", title, x=LEFT, y=24, font_size=16, fill=INK),
        *_frame(across, up, unit),
        _limit(across.at(store_words), f"{store_words:,} words of store"),
        *([] if within is None else [_deadline(up.at(within), f"{within:g} {unit}")]),
        _steps(ways, across, up),
        *_points([(across.at(way.words), up.at(way.wait)) for way in ways]),
        *_table(ways, unit),
    ]
    return element(
        "svg",
        parts,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {WIDE} {HIGH + LINE * (len(ways) + 1)}",
        font_family="sans-serif",
        role="img",
    )


def _frame(across: Axis, up: Axis, unit: str) -> list[str]:
    lines = []
    for value in across.marks():
        x = across.at(value)
        lines.append(element("line", x1=x, y1=TOP, x2=x, y2=HIGH - BOTTOM, stroke=PALE, stroke_width=0.5))
        lines.append(
            words(
                "text",
                f"{value:,.0f}",
                x=x,
                y=HIGH - BOTTOM + 16,
                font_size=11,
                text_anchor="middle",
                fill=INK,
            )
        )
    for value in up.marks():
        y = up.at(value)
        lines.append(element("line", x1=LEFT, y1=y, x2=WIDE - RIGHT, y2=y, stroke=PALE, stroke_width=0.5))
        lines.append(
            words("text", f"{value:,g}", x=LEFT - 6, y=y + 4, font_size=11, text_anchor="end", fill=INK)
        )
    lines.append(
        words(
            "text", "words", x=WIDE - RIGHT, y=HIGH - BOTTOM + 34, font_size=12, text_anchor="end", fill=INK
        )
    )
    lines.append(words("text", f"longest wait ({unit})", x=LEFT, y=TOP - 8, font_size=12, fill=INK))
    return lines


def _limit(x: float, text: str) -> str:
    line = element("line", x1=x, y1=TOP, x2=x, y2=HIGH - BOTTOM, stroke=INK, stroke_dasharray="6 3")
    return line + words("text", text, x=x - 4, y=TOP + 14, font_size=11, text_anchor="end", fill=INK)


def _deadline(y: float, text: str) -> str:
    line = element("line", x1=LEFT, y1=y, x2=WIDE - RIGHT, y2=y, stroke=INK, stroke_dasharray="2 3")
    return line + words("text", text, x=LEFT + 4, y=y - 4, font_size=11, fill=INK)


def _steps(ways: Sequence[Way], across: Axis, up: Axis) -> str:
    """The stair below which nothing was found."""
    points: list[str] = []
    for way, following in zip(ways, [*ways[1:], None], strict=True):
        x, y = across.at(way.words), up.at(way.wait)
        points.append(f"{x:.1f},{y:.1f}")
        if following is not None:
            points.append(f"{across.at(following.words):.1f},{y:.1f}")
    return element("polyline", points=" ".join(points), fill="none", stroke=INK, stroke_width=1)


def _points(places: Sequence[tuple[float, float]]) -> list[str]:
    """A dot for each way with its number beside it, where that is on no other dot or number."""
    parts, taken = [], list(places)
    for number, (x, y) in enumerate(places, 1):
        at = next((each for each in _beside(x, y) if _is_free(each, taken)), (x, y - NEAR))
        taken.append(at)
        parts.append(element("line", x1=x, y1=y, x2=at[0], y2=at[1], stroke=INK, stroke_width=0.5))
        parts.append(element("circle", cx=x, cy=y, r=3, fill=INK))
        parts.append(element("circle", cx=at[0], cy=at[1], r=8, fill=PAPER, stroke=INK, stroke_width=0.5))
        text = {"x": at[0], "y": at[1] + 4, "font_size": 11, "text_anchor": "middle", "fill": INK}
        parts.append(words("text", str(number), **text))
    return parts


def _beside(x: float, y: float) -> Iterator[tuple[float, float]]:
    """Places around a point, the nearest first, within the frame."""
    for distance in range(NEAR, HIGH, NEAR // 2):
        for turn in range(8):
            angle = math.pi * (turn / 4 - 0.25)
            at = (round(x + distance * math.cos(angle), 1), round(y - distance * math.sin(angle), 1))
            if LEFT < at[0] < WIDE - RIGHT - NEAR and TOP + NEAR < at[1] < HIGH - BOTTOM - NEAR:
                yield at


def _is_free(at: tuple[float, float], taken: Sequence[tuple[float, float]]) -> bool:
    return all(math.hypot(at[0] - x, at[1] - y) >= NEAR for x, y in taken)


def _table(ways: Sequence[Way], unit: str) -> list[str]:
    lines = []
    for number, way in enumerate(ways, 1):
        form = "" if way.row.form == AS_WRITTEN else f", {way.row.form}"
        what = f"{way.candidate.name}{form} ({way.row.reading})"
        text = f"{number}: {what}: {way.words:,} words, {way.wait:.5g} {unit}"
        lines.append(words("text", text, x=LEFT, y=HIGH + LINE * (number - 1) + 8, font_size=13, fill=INK))
    return lines
