"""The order of pieces: a piece that ends with a jump is put before the one to which it jumps, if nothing else is."""

from budget.lowering.passes.flow import GOES_AWAY, OTHER_WAY, START, is_modified
from budget.lowering.text import Row


def chained(rows: list[Row]) -> list[Row]:
    """Pieces in an order in which as many jumps as can be lead to the next row, and are left out.

    What leads back to the start comes before it: the program need not begin with its first row.
    """
    pieces = _pieces(rows)
    return _chained(pieces, set())


def chained_but_to_the_start(rows: list[Row]) -> list[Row]:
    """The same, but nothing is put before the start: on pages, what has to stand together may lie better so."""
    pieces = _pieces(rows)
    return _chained(pieces, {number for number, piece in enumerate(pieces) if START in piece[0].labels})


def _chained(pieces: list[list[Row]], taken: set[int]) -> list[Row]:
    """The pieces one before the other; `taken`: those before which nothing is put any more."""
    heads = {label: number for number, piece in enumerate(pieces) for label in piece[0].labels}
    after: dict[int, int] = {}
    for number, piece in enumerate(pieces):
        last = piece[-1]
        if last.order != "jump" or is_modified(piece, len(piece) - 1):
            continue
        wanted = heads.get(last.operand)
        if wanted is None or wanted in taken or _leads_to(after, wanted, number):
            continue
        after[number] = wanted
        taken.add(wanted)
    followers = set(after.values())
    order: list[int] = []
    for number in range(len(pieces)):
        following: int | None = number
        while number not in followers and following is not None:
            order.append(following)
            following = after.get(following)
    return [row for number in order for row in pieces[number]]


def cut(rows: list[Row]) -> list[Row]:
    """A piece that ends with a jump to its own beginning is cut in two, so that its end can come before its beginning.

    It is cut at a branch to another piece: that comes after the branch, which is turned round.
    """
    pieces = _pieces(rows)
    for piece in pieces:
        if (
            piece[-1].order != "jump"
            or piece[-1].operand not in piece[0].labels
            or is_modified(piece, len(piece) - 1)
        ):
            continue
        for at, row in enumerate(piece[:-1]):
            other = next((each for each in pieces if row.operand in each[0].labels), None)
            if row.order in OTHER_WAY and not is_modified(piece, at) and other not in (None, piece):
                label = piece[at + 1].labels[0] if piece[at + 1].labels else _fresh(rows)
                turned = row._replace(order=OTHER_WAY[row.order], operand=label)
                following = piece[at + 1]._replace(labels=piece[at + 1].labels or (label,))
                ring = [following, *piece[at + 2 :], *piece[:at], turned, *(other or [])]
                rest = [each for each in pieces if each not in (piece, other)]
                return [row for part in (ring, *rest) for row in part]
    return rows


def _fresh(rows: list[Row]) -> str:
    taken = {label for row in rows for label in row.labels}
    number = 1
    while f"on{number}" in taken:
        number += 1
    return f"on{number}"


def _leads_to(after: dict[int, int], begin: int, end: int) -> bool:
    """Whether one piece already comes, directly or not, before another."""
    at: int | None = begin
    while at is not None:
        if at == end:
            return True
        at = after.get(at)
    return False


def _pieces(rows: list[Row]) -> list[list[Row]]:
    """Rows that run on into one another, each piece up to an order that goes away."""
    pieces: list[list[Row]] = [[]]
    for at, row in enumerate(rows):
        pieces[-1].append(row)
        if row.order in GOES_AWAY and not is_modified(rows, at):
            pieces.append([])
    return [piece for piece in pieces if piece]


def most_wanted_first(rows: list[Row]) -> list[Row]:
    """Pieces in an order in which those come first to which others lead most, for their length.

    Where addresses reach one page, the first page is the one that can be reached from all.
    """
    pieces = _pieces(rows)
    wanted = [_led_to(piece, rows) / len(piece) for piece in pieces]
    order = sorted(range(len(pieces)), key=lambda number: (-wanted[number], number))
    return [row for number in order for row in pieces[number]]


def _led_to(piece: list[Row], rows: list[Row]) -> int:
    """How many rows outside a piece lead into it."""
    labels = {label for row in piece for label in row.labels}
    inside = sum(row.operand in labels for row in piece)
    return sum(row.operand in labels for row in rows) - inside
