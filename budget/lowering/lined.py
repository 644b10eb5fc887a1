"""The search for a full line on a board of cells that hold 0, 1 or 2."""

from collections.abc import Sequence

from budget.lowering.text import NotLowered, Text


def write_lined(text: Text, lines: Sequence[Sequence[int]]) -> None:
    """A subroutine: A is not 0 if the cells of some line all hold the same mark, for then they have a bit in common."""
    if len({len(line) for line in lines}) > 1:
        raise NotLowered("its lines are not equally long")
    long = len(lines[0])
    total = long * len(lines)
    text.needs(-total, total, "a place in the list of lines")
    table = text.table("lines", [cell for line in lines for cell in line], "their cells")
    at, held = text.variable("line_at"), text.variable("held")
    again, out = text.fresh("line"), text.fresh("lined")
    text.number(-total)
    text.ops(f"store {at}", f"{again}:")
    for place in range(long):
        text.ops(f"load {at}", f"look {table}+{total + place}", "look board")
        if place:
            text.op("and", held)
        if place < long - 1:
            text.op("store", held)
    text.ops(f"ifnonzero {out}", f"load {at}")
    text.plus(long)
    text.ops(f"store {at}", f"ifnonzero {again}", f"{out}:", "back")
