"""The board of a family in a C program: what each family gives, and which of them a game has."""

from collections.abc import Mapping
from typing import Protocol

from budget.c90.heaps import HeapsBoard
from budget.c90.marks import MarksBoard
from budget.c90.setting import Setting
from budget.lowering.text import NotLowered
from games.marks.marks import Marks
from games.take.heaps import Heaps


class Board(Protocol):
    """Writes what keeps the board; the visitor's move, and the machine's, is in `move`.

    number_bits: of the greatest number that a board has in a table.
    """

    number_bits: int

    def set_up(self) -> None:
        """The board as it stands at the start."""
        ...

    def judge(self, refused: Mapping[str, str]) -> None:
        """Go on at the label of the class that refuses the visitor's move."""
        ...

    def play(self, who: str) -> None:
        """Make a move of theirs."""
        ...

    def ends(self, who: str, labels: Mapping[str, str]) -> None:
        """After a move of theirs: go on at the label of WON, LOST or DRAWN, of those that there are."""
        ...

    def write_number(self, kind: str) -> None:
        """Write the function that tells the board's number, in a type that holds it."""
        ...


def board_of(setting: Setting) -> Board:
    """The board of the game.  Raises NotLowered where its family is not written in C."""
    game = setting.play.game.fair
    if type(game) is Marks:
        return MarksBoard(setting)
    if type(game) is Heaps:
        return HeapsBoard(setting, game)
    raise NotLowered(
        f"programs in C are written for games of marks and of heaps only, and {game.title} is none"
    )
