"""A whole SVG picture: on white ground, with a title and what it shows in words."""

from collections.abc import Iterable

from workbench.pictures.inks import INK, PAPER
from workbench.svg import element, number, words

PLAIN = "'DejaVu Sans', Verdana, Arial, sans-serif"
EVEN = "'DejaVu Sans Mono', Menlo, Consolas, monospace"
"""Fonts: for words, and for signs that stand in columns."""


def whole_svg(
    parts: Iterable[str],
    wide: float,
    high: float,
    *,
    title: str,
    told: str,
    font: str = PLAIN,
    size: float = 11,
    enlarged: float = 1,
) -> str:
    """The parts as a picture of this size; `told` is for readers that do not see.

    font, size: of what is written in it; enlarged: how many pixels a unit takes on a page.
    """
    return element(
        "svg",
        [
            words("title", title),
            words("desc", told),
            element("rect", width=wide, height=high, fill=PAPER),
            element("g", parts, font_family=font, font_size=size, fill=INK),
        ],
        xmlns="http://www.w3.org/2000/svg",
        width=wide * enlarged,
        height=high * enlarged,
        viewBox=f"0 0 {number(wide)} {number(high)}",
        role="img",
    )
