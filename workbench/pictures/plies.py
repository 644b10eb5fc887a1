"""A game by plies: a bar for the positions of each ply, with a part of them hatched at its foot."""

from collections.abc import Sequence

from workbench.pictures.positions import FAINT, INK, PAPER
from workbench.pictures.whole import whole_svg
from workbench.svg import element, line_path, words

BAR, GAP, HIGH = 34, 10, 150
LEFT, TOP, BOTTOM = 14, 42, 40
HATCH = 5
"""Between two lines of a hatched bar."""


OVER = "play is over"


def plies_svg(title: str, positions: Sequence[int], hatched: Sequence[int], meaning: str = OVER) -> str:
    """A picture of how many positions each ply has.

    positions: by ply, from the start; hatched: how many of them are what `meaning` says.
    """
    wide = max(2 * LEFT + len(positions) * (BAR + GAP), 8 * len(title))
    high = TOP + HIGH + BOTTOM
    most = max(positions)
    parts = []
    for ply, (count, part) in enumerate(zip(positions, hatched, strict=True)):
        x = LEFT + ply * (BAR + GAP)
        parts += _bar(x, HIGH * count / most, HIGH * part / most)
        middle = {"x": x + BAR / 2, "text_anchor": "middle"}
        parts.append(words("text", f"{count:,}", y=TOP + HIGH - HIGH * count / most - 4, **middle))
        parts.append(words("text", str(ply), y=TOP + HIGH + 14, **middle))
    parts.append(words("text", f"ply; hatched: {meaning}", x=LEFT, y=TOP + HIGH + 32))
    told = "; ".join(
        f"ply {ply}: {count:,}, {meaning}: {part:,}"
        for ply, (count, part) in enumerate(zip(positions, hatched, strict=True))
    )
    heading = words("text", title, x=LEFT, y=18, font_size=14)
    return whole_svg([heading, *parts], wide, high, title=title, told=f"{told}.")


def _bar(x: float, high: float, hatched: float) -> list[str]:
    """A bar on the ground line, its lower part hatched."""
    ground = TOP + HIGH
    lines = [line_path([(x, level), (x + BAR, level)]) for level in _levels(ground - hatched, ground)]
    return [
        element(
            "rect",
            None,
            x=x,
            y=ground - high,
            width=BAR,
            height=high,
            fill=PAPER,
            stroke=INK,
            stroke_width=1.2,
        ),
        element("path", d="".join(lines), stroke=INK, stroke_width=1) if lines else "",
        element("path", d=line_path([(x - GAP / 2, ground), (x + BAR + GAP / 2, ground)]), stroke=FAINT),
    ]


def _levels(top: float, ground: float) -> list[float]:
    count = int((ground - top) / HATCH)
    return [ground - HATCH * (step + 0.5) for step in range(count + (ground > top))]
