"""The trade of store against time as a picture: a point for each way, words across and the longest wait upwards.

Both axes go by factors, since one way may be a thousand times as quick as another.  Each point has its number, which a
table below names, so that nothing is told by colour alone.
"""

import math
from collections.abc import Sequence

from budget.plan.ways import Way
from workbench.svg import element, words

WIDE, HIGH = 720, 420
LEFT, RIGHT, TOP, BOTTOM = 80, 30, 50, 60
LINE = 20
"""Height of a line of the table below the picture."""
INK, PALE, PAPER = "#1a1a1a", "#b5b5b5", "#ffffff"


class Axis:
    """An axis that goes by factors, from the least value to the greatest."""

    def __init__(self, values: Sequence[float], begin: float, end: float) -> None:
        self._low = 10 ** math.floor(math.log10(max(min(values), 1e-9)))
        high = 10 ** math.ceil(math.log10(max(*values, self._low * 1.001)))
        self._span = math.log(high / self._low)
        self._begin, self._end = begin, end
        self.high = high

    def at(self, value: float) -> float:
        """Where a value lies."""
        return (
            self._begin + (self._end - self._begin) * math.log(max(value, self._low) / self._low) / self._span
        )

    def marks(self) -> list[float]:
        """The values that have a line: 1, 2 and 5 of each power of ten."""
        found: list[float] = []
        power = self._low
        while power <= self.high * 1.001:
            found.extend(power * step for step in (1, 2, 5) if power * step <= self.high * 1.001)
            power *= 10
        return found


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
        *(_point(number, across.at(way.words), up.at(way.wait)) for number, way in enumerate(ways, 1)),
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


def _point(number: int, x: float, y: float) -> str:
    disc = element("circle", cx=x, cy=y, r=9, fill=PAPER, stroke=INK)
    return disc + words("text", str(number), x=x, y=y + 4, font_size=11, text_anchor="middle", fill=INK)


def _table(ways: Sequence[Way], unit: str) -> list[str]:
    lines = []
    for number, way in enumerate(ways, 1):
        what = f"{way.candidate.name}, {way.row.form} ({way.row.reading})"
        text = f"{number}: {what}: {way.words:,} words, {way.wait:.3g} {unit}"
        lines.append(words("text", text, x=LEFT, y=HIGH + LINE * (number - 1) + 8, font_size=13, fill=INK))
    return lines
