"""Small blocks of text in columns, as in a dictionary: how wide columns should be for the fewest sheets.

All text is of one width, so that where a line ends can be told beforehand.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import product
from typing import NamedTuple

from workbench.papers.sheets import HEAD, LONG, SHORT, millimetres
from workbench.svg import element, words

SIGN, LINE = Fraction(172, 100), Fraction(34, 10)
"""The millimetres that a character of 8 points is wide, and a line high."""
APART, GUTTER = Fraction(14, 10), Fraction(4)
"""Between blocks, and between columns."""
TITLE = Fraction(5)
"""What stands above a column."""
ROOM = LONG - HEAD - TITLE
"""How high a column can be below that."""
MOST_COLUMNS = 16
GAP = 2
"""Characters between a block's board and its items, and between items."""


class Block(NamedTuple):
    """A board and what belongs to it.

    label: the number under which others name it, if any; rows: the board's rows; tail: what belongs to the position
    besides, if anything; items: what can come of it.
    """

    label: str
    rows: tuple[str, ...]
    tail: str
    items: tuple[str, ...]


class Form(NamedTuple):
    """How the blocks of a part are set: characters for the label, the board and a line of items.

    is_stacked: the board's rows stand one below the other; else in one line.
    """

    is_stacked: bool
    label: int
    board: int
    items: int

    @property
    def wide(self) -> Fraction:
        """The width of a column."""
        return (self.label + self.board + GAP + self.items) * SIGN

    def high(self, block: Block) -> Fraction:
        """The height of a block, with the room below it: none where boards and what comes of them are a line each."""
        lines = max(len(shown_rows(block, is_stacked=self.is_stacked)), self._lines(block))
        return lines * LINE + (APART if self.is_stacked or block.label else 0)

    def _lines(self, block: Block) -> int:
        """How many lines the items take: each line is filled as far as it goes, as browsers do it."""
        lines, left = 0, -1
        for item in block.items:
            left -= GAP + len(item)
            if left < 0:
                lines, left = lines + 1, self.items - len(item)
        return lines

    def columns(self, blocks: Sequence[Block]) -> Iterator[list[Block]]:
        """The blocks column by column, each filled as far as it goes."""
        column: list[Block] = []
        left = ROOM
        for block in blocks:
            if column and self.high(block) > left:
                yield column
                column, left = [], ROOM
            column.append(block)
            left -= self.high(block)
        if column:
            yield column


Column = tuple[int, Form, list[Block]]
"""The number of the part to which a column belongs, how it is set, and what stands in it."""


def sheets_of(parts: Sequence[Sequence[Block]]) -> list[list[Column]] | None:
    """The columns of each sheet, with every part set in the way that makes the fewest sheets; None where none fits.

    Of ways that make as many, stacked boards come first, then whatever takes less room across.
    """
    ways = [list(_ways(number, blocks)) for number, blocks in enumerate(parts) if blocks]
    if not all(ways):
        return None
    laid = [_sheets([column for columns in chosen for column in columns]) for chosen in product(*ways)]
    return min(laid, key=_worth)


def _worth(sheets: list[list[Column]]) -> tuple[int, int, Fraction]:
    columns = [column for sheet in sheets for column in sheet]
    flat = sum(not form.is_stacked for _, form, _ in columns)
    return len(sheets), flat, sum((form.wide for _, form, _ in columns), Fraction(0))


def _ways(number: int, blocks: Sequence[Block]) -> Iterator[list[Column]]:
    """Every way to set a part whose columns fit on a sheet: for every number of columns the widest."""
    label = max(len(block.label) for block in blocks)
    label += bool(label)
    least = max(len(item) for block in blocks for item in block.items)
    most = max(sum(map(len, block.items)) + GAP * (len(block.items) - 1) for block in blocks)
    for is_stacked in (True, False):
        board = max(len(row) for block in blocks for row in shown_rows(block, is_stacked=is_stacked))
        widths = {
            int(((SHORT + GUTTER) / columns - GUTTER) / SIGN) - label - board - GAP
            for columns in range(1, MOST_COLUMNS + 1)
        }
        for items in sorted({min(width, most) for width in widths if width >= least}):
            form = Form(is_stacked, label, board, items)
            if all(form.high(block) <= ROOM for block in blocks):
                yield [(number, form, column) for column in form.columns(blocks)]


def _sheets(columns: Sequence[Column]) -> list[list[Column]]:
    """Columns side by side on sheet after sheet."""
    sheets: list[list[Column]] = []
    left = Fraction(0)
    for column in columns:
        wide = column[1].wide + GUTTER
        if wide > left:
            sheets.append([])
            left = SHORT + GUTTER
        sheets[-1].append(column)
        left -= wide
    return sheets


def shown_rows(block: Block, *, is_stacked: bool) -> tuple[str, ...]:
    """The board of a block, row below row with room between the signs, or in one line."""
    tail = [block.tail] if block.tail else []
    if not is_stacked or len(block.rows) == 1:
        return (" ".join(["/".join(block.rows), *tail]),)
    return (*(" ".join(row) for row in block.rows), *tail)


# HTML -----------------------------------------------------------------------------------------------------


def column_html(title: str, form: Form, blocks: Sequence[Block]) -> str:
    """A column below its title: each block with its label, its board and a list of its items."""
    kind = f"{form.label}ch {form.board + GAP}ch {form.items}.4ch"  # a little more, for rounding
    style = f"width: {millimetres(form.wide)}; --set: {kind}"
    written = [words("h2", title), *(_block_html(form, block) for block in blocks)]
    return element("div", written, class_="column", style=style)


def _block_html(form: Form, block: Block) -> str:
    rows = "\n".join(shown_rows(block, is_stacked=form.is_stacked))
    items = [words("li", item) for item in block.items]
    inner = [words("b", block.label), words("pre", rows), element("ul", items)]
    return element("article", inner, style=f"height: {millimetres(form.high(block))}")


COLUMN_STYLES = (
    f".columns {{ display: flex; gap: {millimetres(GUTTER)}; align-items: flex-start }}\n"
    f".column {{ font: 8pt/{millimetres(LINE)} 'DejaVu Sans Mono', Menlo, Consolas, monospace }}\n"
    f".column h2 {{ font: bold 8pt/{millimetres(TITLE)} 'DejaVu Sans', sans-serif; margin: 0; white-space: nowrap }}\n"
    ".column article { display: grid; grid-template-columns: var(--set); align-content: start }\n"
    ".column pre { font: inherit; margin: 0 }\n"
    f".column ul {{ list-style: none; margin: 0; padding: 0; display: flex; flex-wrap: wrap;\n"
    f"  column-gap: {GAP}ch; align-content: flex-start }}\n"
    ".column li { white-space: pre }\n"
)
