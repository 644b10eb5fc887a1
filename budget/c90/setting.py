"""What the parts of one C program have in common."""

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from budget.c90.text import CText
from budget.card import CostCard
from budget.characters import CharacterCode
from budget.lowering.choices import Choices
from budget.lowering.text import NotLowered
from games.marks.marks import Marks
from solver.fixed import FixedPlay


class Setting(NamedTuple):
    """The text, the choices that shape it, the play, and after what the game can end how (as in `budget.lowering`)."""

    text: CText
    choices: Choices
    play: FixedPlay
    card: CostCard
    happens: frozenset[tuple[str, str]]

    @property
    def code(self) -> CharacterCode:
        """The machine's characters."""
        return self.card.characters.code

    @property
    def game(self) -> Marks:
        """The game without its house rules.  Raises NotLowered where it is none of marks."""
        game = self.play.game.fair
        if type(game) is not Marks:
            raise NotLowered(f"this is written in C for games of marks only, and {game.title} is none")
        return game

    @property
    def cells(self) -> int:
        """How many cells the board has."""
        return self.game.board.size

    @property
    def lines(self) -> list[tuple[int, ...]]:
        """The cells of each line, increasing."""
        return [tuple(cell for cell in range(self.cells) if line >> cell & 1) for line in self.game.lines]

    @property
    def line_length(self) -> int:
        """How many cells every line has.  Raises NotLowered where they differ."""
        lengths = {len(line) for line in self.lines}
        if len(lengths) != 1:
            raise NotLowered("programs in C are written for lines of one length only")
        return lengths.pop()


def check_characters(code: CharacterCode) -> None:
    """Raise NotLowered for machines whose characters are not those that C compilers know."""
    if len(code.cases) > 1 or any(ord(sign) != number for sign, number in code.cases[0].codes.items()):
        raise NotLowered("programs in C are written for the characters of ISO 646 only")


def steps_of(lines: Sequence[tuple[int, ...]]) -> list[tuple[int, int]] | None:
    """The first cell of each line and the step to its next, if each line is made of equal steps."""
    found = []
    for line in lines:
        step = line[1] - line[0]
        if any(after - before != step for before, after in pairwise(line)):
            return None
        found.append((line[0], step))
    return found
