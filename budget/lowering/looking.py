"""What the rules of a sheet ask about a free cell of a board of marks, and the search for the first cell that will do.

A ground on which rules can look gives the tests; in all of them the cell is in `move`.
"""

from collections.abc import Callable
from typing import NamedTuple, Protocol, cast

from budget.lowering.ground import Ground
from budget.lowering.text import Text, WrongWay


class Test(NamedTuple):
    """A test of the free cell in `move`: `load` puts into A what a subroutine is told, which gives a number back in A.

    The test holds where that number is `least` or more.
    """

    load: Callable[[], None]
    name: str
    write: Callable[[], None]
    least: int


class LineGround(Ground, Protocol):
    """A ground of marks on which rules can look at lines."""

    text: Text
    cells: int

    def fills(self, who: str) -> Test:
        """Whether a mark of theirs would fill a line."""
        ...

    def pairs(self, who: str, least: int) -> Test:
        """Whether so many lines through the cell are one move of theirs short of a threat."""
        ...

    def unless_held(self, who: str, cell: int, label: str) -> None:
        """Go on at a label unless they hold a cell."""
        ...

    def unless_held_across(self, who: str, total: int, label: str) -> None:
        """Go on at a label unless they hold the cell that comes to `total` with the one in `move`."""
        ...

    def threats(self, who: str) -> None:
        """A becomes how many lines lack just one mark of theirs."""
        ...

    def block(self) -> None:
        """Let nobody fill a line through `move`, until that is undone."""
        ...

    def forced(self) -> Test:
        """Whether the cell is the answer to a threat that the machine would have with a mark on the blocked cell."""
        ...


def looked_at(ground: Ground) -> LineGround:
    """The ground as one on which rules can look.  Raises NotLowered where it is none."""
    if not hasattr(ground, "pairs"):
        raise WrongWay("rules about lines cannot look at a board that is kept in this way")
    return cast(LineGround, ground)


def seek(ground: LineGround, test: Test, found: str) -> None:
    """Go on at a label with the first free cell in `move` for which a test holds; fall through where there is none."""
    look_for(ground, test)
    ground.text.op("ifnonzero", found)


def look_for(ground: LineGround, test: Test) -> None:
    """The same without going on anywhere: A becomes 0 where there is none."""
    test.load()
    ground.text.routine(f"seek_{test.name}_{test.least}", lambda: _write_seek(ground, test))


def _write_seek(ground: LineGround, test: Test) -> None:
    """A subroutine: A is what the test is told; afterwards it is 0, or `move` is the cell."""
    text = ground.text
    told = text.variable("told")
    again, other = text.fresh("seek"), text.fresh("seek_next")
    text.op("store", told)
    text.number(-ground.cells)
    text.ops("store move", f"{again}:")
    ground.unless_can(other)
    text.op("load", told)
    hold(text, test, other)
    text.ops("load move", "back", f"{other}:", "count move", f"ifnonzero {again}", "back")


def hold(text: Text, test: Test, label: str) -> None:
    """With what the test is told in A: go on at a label unless it holds."""
    text.routine(test.name, test.write)
    if test.least == 1:
        text.op("ifzero", label)
    else:
        text.plus(-test.least)
        text.op("ifminus", label)


def unless(text: Text, test: Test, label: str) -> None:
    """Go on at a label unless a test holds for the free cell in `move`."""
    test.load()
    hold(text, test, label)
