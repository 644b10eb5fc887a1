"""Pictures as SVG text: elements, numbers and paths, nothing that refers to another file."""

from collections.abc import Iterable, Sequence
from xml.sax.saxutils import escape, quoteattr

Point = tuple[float, float]


def element(name: str, content: Iterable[str] | str | None = None, **attributes: object) -> str:
    """An element; `content` is finished SVG, and underscores in names of attributes stand for hyphens.

    >>> element("circle", cx=3, cy=4.50, r=1, stroke_width=2)
    '<circle cx="3" cy="4.5" r="1" stroke-width="2"/>'
    """
    written = "".join(
        f" {key.rstrip('_').replace('_', '-')}={quoteattr(_written(value))}"
        for key, value in attributes.items()
        if value is not None
    )
    if content is None:
        return f"<{name}{written}/>"
    inner = content if isinstance(content, str) else "".join(content)
    return f"<{name}{written}>{inner}</{name}>"


def words(name: str, text: str, **attributes: object) -> str:
    """An element that holds plain text.

    >>> words("title", "3 < 4")
    '<title>3 &lt; 4</title>'
    """
    return element(name, escape(text), **attributes)


def _written(value: object) -> str:
    return number(value) if isinstance(value, int | float) else str(value)


def number(value: float) -> str:
    """A coordinate to a tenth, which is finer than any screen shows.

    >>> number(2), number(2.04), number(-0.01), number(1 / 3)
    ('2', '2', '0', '0.3')
    """
    text = f"{value:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text


def at(point: Point) -> str:
    """A point inside a path."""
    return f"{number(point[0])} {number(point[1])}"


def line_path(points: Sequence[Point], *, closed: bool = False) -> str:
    """A path of straight lines, for the attribute `d`."""
    return f"M{'L'.join(map(at, points))}{'Z' if closed else ''}"


def disc_path(x: float, y: float, radius: float) -> str:
    """A path that goes round a circle, so that many discs can share one element."""
    whole = round(radius, 1)  # two half circles whose radius and width do not agree would be no circle
    r, wide = number(whole), number(2 * whole)
    return f"M{number(x - whole)} {number(y)}a{r} {r} 0 0 0 {wide} 0a{r} {r} 0 0 0-{wide} 0Z"
