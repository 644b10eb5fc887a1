"""Sheets of A4: how large the places of a grid can be, how many sheets they take, and the page that holds them.

All lengths are millimetres, as fractions: which grid is taken must not hang on the last bit of a number.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import product
from typing import NamedTuple

from games.problems import BadInput, bad
from workbench.svg import element, words

SHORT, LONG = Fraction(189), Fraction(276)
"""What is printed on of A4 (210 by 297): margins of 10, and a little to spare at the lower end."""
HEAD = Fraction(28)
"""The upper strip of a sheet: what this is, how to use it, and which sheet it is."""
PAD = Fraction(2)
"""Between a cut and what stands on a card."""


class Content(NamedTuple):
    """What stands in every place of a grid.

    wide, high: the picture, in its own units; text, lines: how wide and how high the text below it is; least, most:
    between how many millimetres a unit may take: below the least it cannot be read with ease, above the most it is out
    of all measure.
    """

    wide: Fraction
    high: Fraction
    text: Fraction
    lines: Fraction
    least: Fraction
    most: Fraction


class Grid(NamedTuple):
    """Places on a sheet, in columns and rows; scale: the millimetres of a unit of their pictures.

    strips: how high the strips above and below the places are together.
    """

    columns: int
    rows: int
    is_lying: bool
    scale: Fraction
    strips: Fraction

    @property
    def places(self) -> int:
        """How many places a sheet has."""
        return self.columns * self.rows

    @property
    def wide(self) -> Fraction:
        """How wide a place is."""
        return (LONG if self.is_lying else SHORT) / self.columns

    @property
    def high(self) -> Fraction:
        """How high a place is."""
        return ((SHORT if self.is_lying else LONG) - self.strips) / self.rows

    def sheets(self, count: int) -> int:
        """How many sheets so many places take."""
        return -(-count // self.places)


def grid_for(
    count: int, contents: Sequence[Content], *, strips: Fraction = HEAD
) -> tuple[Grid, Content] | None:
    """The grid of the fewest sheets for so many places, and in it the largest picture; None where no place fits.

    contents: other ways to lay out the same place; the one that is taken is given back.
    """
    fitting = [(grid, content) for content in contents for grid in _grids(content, strips)]
    if not fitting:
        return None
    return min(fitting, key=lambda each: (each[0].sheets(count), -each[0].scale, each[0].is_lying))


def _grids(content: Content, strips: Fraction) -> Iterator[Grid]:
    """Every grid whose places hold a content, each picture as large as it may be there."""
    for is_lying in (False, True):
        wide, high = (LONG, SHORT) if is_lying else (SHORT, LONG)
        most_columns = int(wide / (max(content.wide * content.least, content.text) + 2 * PAD))
        most_rows = int((high - strips) / (content.high * content.least + content.lines + 2 * PAD))
        for columns, rows in product(range(1, most_columns + 1), range(1, most_rows + 1)):
            across = (wide / columns - 2 * PAD) / content.wide
            down = ((high - strips) / rows - 2 * PAD - content.lines) / content.high
            yield Grid(columns, rows, is_lying, min(across, down, content.most), strips)


# HTML -----------------------------------------------------------------------------------------------------


def millimetres(length: Fraction) -> str:
    """A length as CSS has it, to a hundredth, rounded down so that sums do not grow.

    >>> millimetres(Fraction(190, 7))
    '27.14mm'
    """
    return f"{int(length * 100) / 100:g}mm"


def sheet(head: str, content: str) -> str:
    """One sheet: a strip with its head, and what stands below."""
    return element("section", [element("header", head), content], class_="sheet")


def head_of(title: str, told: Sequence[str], number: int, sheets: int) -> str:
    """The head of a sheet: the title with the sheet's number, and sentences below it."""
    of = f" ({number} of {sheets})" if sheets > 1 else ""
    return words("h1", title + of) + words("p", " ".join(told))


def grid_of(cells: Sequence[str], name: str) -> str:
    """The places of one sheet, of which the last may stay empty."""
    return element("div", cells, class_=f"grid {name}")


def sheet_styles(*, is_lying: bool) -> str:
    """The styles of sheets, standing or lying; on a screen each has a rim."""
    wide, high = (LONG, SHORT) if is_lying else (SHORT, LONG)
    size = "A4 landscape" if is_lying else "A4"
    return (
        f"@page {{ size: {size}; margin: 10mm }}\n"
        f"body {{ width: {millimetres(wide)}; max-width: none; padding: 0; font-size: 9pt }}\n"
        f".sheet {{ width: {millimetres(wide)}; height: {millimetres(high)}; overflow: hidden }}\n"
        f".sheet > header {{ height: {millimetres(HEAD)}; overflow: hidden }}\n"
        ".sheet + .sheet { break-before: page }\n"
        "h1 { font-size: 11pt; margin: 0 0 1mm } .sheet p { margin: 0; font-size: 8pt; line-height: 1.3 }\n"
        "@media screen { .sheet { outline: 1px solid #9aa5ad; outline-offset: 8mm; margin: 12mm 0 24mm } }\n"
    )


def grid_styles(grid: Grid) -> str:
    """The styles of a grid's places, with dashed lines to cut along."""
    wide, high = millimetres(grid.wide), millimetres(grid.high)
    return (
        f".grid {{ display: grid; grid-template-columns: repeat({grid.columns}, {wide});\n"
        f"  grid-auto-rows: {high} }}\n"
        ".grid > * { margin: 0; overflow: hidden; display: flex; flex-direction: column; align-items: center;\n"
        f"  justify-content: center; padding: {millimetres(PAD / 2)} }}\n"
        ".cut > * { border: .2mm dashed #4c565e; margin: 0 -.2mm -.2mm 0 }\n"
    )


def no_room(file: str) -> BadInput:
    """What is wrong with a strategy whose boards cannot be read on a sheet of A4."""
    return bad("has boards that are too large to be read on a sheet of A4; expected a smaller board", file)
