"""Boards drawn large: any drawing of plain text, each of its signs as a figure of points, as large as the room allows.

It works on what every game draws, and so for every family.  Lines between cells are drawn as lines.  A drawing that has
too many rows is tried once more with rows and columns that hold nothing but lines kept thin.  Signs of the players are
drawn darker than the names of cells, and lines lightest, by signs that print in any character code.
"""

from collections.abc import Sequence

from workbench.stand.figures import SIDE, figure

HEAVY, MIDDLE, LIGHT, BLANK = "#", "+", ".", " "
"""How dark a point is: a player's sign, a name, a line, nothing."""
_BLOCKS = {HEAVY: "\u2588", MIDDLE: "\u2592", LIGHT: "\u2591", BLANK: " "}
"""The same where the console has blocks."""
_HEAVY_SIGNS = frozenset("MVX#o")
_LINES = frozenset("|-+/\\ ")
_SCALES = ((8, 4), (6, 3), (4, 2), (2, 1), (1, 1))
"""Columns and rows that a point takes; a sign of a console is about twice as high as wide."""


def enlarged(drawing: Sequence[str], columns: int, rows: int, *, blocks: bool = False) -> list[str]:
    """A drawing as large as it fits into so many columns and rows; as it is where it does not, or has other signs.

    Lines with words, such as what can be played, stay as they are, below.  `blocks`: whether the console has
    characters for blocks.
    """
    board = [row for row in drawing if not _is_words(row)]
    words = [row for row in drawing if _is_words(row)]
    while board and not board[-1].strip():
        board.pop()
    if not board or any(figure(sign) is None for row in board for sign in row if sign not in _LINES):
        return list(drawing)
    below = ["", *words] if words else []
    for wide, high in _SCALES:
        for thin in (False, True):
            points = _points(board, thin=thin)
            if len(points[0]) * wide <= columns and len(points) * high + len(below) <= rows:
                lines = ["".join(sign * wide for sign in row).rstrip() for row in points]
                large = [line for line in lines for _ in range(high)]
                return [*(_in_blocks(large) if blocks else large), *below]
    return list(drawing)


def _is_words(row: str) -> bool:
    """Whether a row says something in words, such as ``to place: machine 2, visitor 2``."""
    return ": " in row


def _in_blocks(lines: list[str]) -> list[str]:
    return ["".join(_BLOCKS[sign] for sign in line) for line in lines]


def _points(board: Sequence[str], *, thin: bool) -> list[str]:
    """The board in points.  `thin`: rows and columns that hold only lines take one point."""
    width = max(map(len, board))
    signs = [row.ljust(width) for row in board]
    wide = [_sides([row[column] for row in signs], thin=thin) for column in range(width)]
    high = [_sides(row, thin=thin) for row in signs]
    canvas: list[str] = []
    for row, (height, gap) in zip(signs, _with_gaps(high), strict=True):
        parts = [
            _cell(sign, across, height, column_gap, gap)
            for sign, (across, column_gap) in zip(row, _with_gaps(wide), strict=True)
        ]
        canvas.extend("".join(part) for part in zip(*parts, strict=True))
    return canvas


def _sides(signs: Sequence[str], *, thin: bool) -> int:
    """How many points a row or a column takes, by the signs in it."""
    return 1 if thin and _LINES.issuperset(signs) else SIDE


def _with_gaps(sides: Sequence[int]) -> list[tuple[int, int]]:
    """Each side with the points between it and the next one: figures do not touch."""
    following = [*sides[1:], 0]
    return [(side, int(side == SIDE and after == SIDE)) for side, after in zip(sides, following, strict=True)]


def _cell(sign: str, across: int, height: int, column_gap: int, row_gap: int) -> list[str]:
    """One sign in its rectangle of points; lines run on through the gaps behind and below it."""
    full_width, full_height = across + column_gap, height + row_gap
    if sign in _LINES:
        middle = (across // 2, height // 2)
        return [
            "".join(
                LIGHT if _is_on_line(sign, x, y, middle, (full_width, full_height)) else BLANK
                for x in range(full_width)
            )
            for y in range(full_height)
        ]
    drawn = figure(sign)
    assert drawn is not None
    dark = HEAVY if sign in _HEAVY_SIGNS else MIDDLE
    rows = ["".join(dark if point != "." else BLANK for point in row).ljust(full_width) for row in drawn]
    return [*rows, *[BLANK * full_width] * row_gap]


def _is_on_line(sign: str, x: int, y: int, middle: tuple[int, int], size: tuple[int, int]) -> bool:
    """Whether a point of a line's rectangle is on the line."""
    width, height = size
    down, level = x == middle[0], y == middle[1]
    falling = x * height // width == y if width >= height else y * width // height == x
    rising = (
        (width - 1 - x) * height // width == y if width >= height else (height - 1 - y) * width // height == x
    )
    return {"|": down, "-": level, "+": down or level, "\\": falling, "/": rising, " ": False}[sign]
