"""How a program keeps the board of a family and plays on it: what every module in `grounds/` gives.

The word `move` holds the number of a move, less the count of moves.
"""

from collections.abc import Mapping
from functools import cache
from importlib import import_module
from pkgutil import iter_modules
from types import ModuleType
from typing import NamedTuple, Protocol, cast, runtime_checkable

from budget.lowering.choices import Choices
from budget.lowering.text import NotLowered, Text
from games.game import Game
from games.limited import LimitedGame
from games.repetition import repetition_limit
from solver.fixed import FixedPlay

MACHINE, VISITOR = "machine", "visitor"
"""Who moves."""
LOST_TURN, FORGIVEN = "lost turn", "forgiven"
"""What wrong input can come to that is a ply: the machine is to move, or the visitor is again."""
WON, LOST, DRAWN = "won", "lost", "drawn"
"""How a game ends, seen from the machine."""


class Setting(NamedTuple):
    """What the parts of one program have in common.

    happens: after what (a move of MACHINE or VISITOR, LOST_TURN, FORGIVEN) the game can end how (WON, ...); of what is
    not in it nothing needs to be written.
    """

    text: Text
    choices: Choices
    play: FixedPlay
    happens: frozenset[tuple[str, str]]
    bare: Game | None = None

    @property
    def game(self) -> Game:
        """The game without its house rules, and for the board below a limit without that."""
        return self.bare or self.play.game.fair

    @property
    def seat(self) -> int:
        """The machine's."""
        return self.play.game.seat

    @property
    def moves(self) -> int:
        """How many moves can be made: where a family has names for more, the numbers of those come last."""
        game = self.game.unlimited if isinstance(self.game, LimitedGame) else self.game
        moves: int = getattr(game, "playable_moves", len(game.move_names))
        return moves


def by_last_mover(who: str, *, wins: bool) -> str:
    """How the game ends where whoever has just moved wins by it, or loses."""
    return WON if (who == MACHINE) == wins else LOST


class Digit(NamedTuple):
    """A word whose value, from 0 to base - 1, is one digit of the board's number; the word as an operand is written."""

    word: str
    base: int


class Ground(Protocol):
    """A board of one family, in a program."""

    def set_up(self) -> None:
        """The board as it stands at the start."""
        ...

    def judge(self, refused: Mapping[str, str]) -> None:
        """Go on at the label of the class that refuses the visitor's `move`; fall through where it is legal."""
        ...

    def play(self, who: str) -> None:
        """Make a legal move of theirs, and leave `move` as it is."""
        ...

    def ends(self, who: str, labels: Mapping[str, str]) -> None:
        """After a move of theirs: go on at the label of WON, LOST or DRAWN; fall through where the game goes on.

        There are labels for what can happen only.
        """
        ...

    def after_wrong(self, what: str, labels: Mapping[str, str]) -> None:
        """The same after LOST_TURN or FORGIVEN; what these two do to the board is done here too."""
        ...

    def unless_can(self, label: str, who: str = MACHINE) -> None:
        """Go on at a label if they cannot make the move `move`, and leave `move` as it is."""
        ...

    def kept(self) -> tuple[str, ...]:
        """The words that must hold again what they held before a move when that is taken back, `undo` done."""
        ...

    def undo(self, who: str) -> None:
        """Take back the move `move` of theirs, and leave it as it is, but for what stands in the words of `kept`."""
        ...

    def digits(self) -> tuple[Digit, ...]:
        """The digits of the board's number, the lowest first, when the machine is to move.

        With the bases as weights they make the number that `budget.boards.numberings` gives first.  Who needs them
        asks before anything is written: some boards keep words for them only if they are wanted.
        """
        ...


@runtime_checkable
class Refusing(Protocol):
    """A board with a word for each move that is 0 only where the move can be made."""

    def refusing(self) -> str:
        """The label of these words; empty where `judge` looks at others."""
        ...


class GroundModule(Protocol):
    """What each module in `grounds/` gives: a new family is a new file."""

    def ground(self, setting: Setting) -> Ground | None:
        """The ground of a game; None for games of other families."""
        ...


@cache
def _modules() -> tuple[GroundModule, ...]:
    package: ModuleType = import_module("budget.lowering.grounds")
    names = sorted(found.name for found in iter_modules(package.__path__))
    return tuple(cast(GroundModule, import_module(f"{package.__name__}.{name}")) for name in names)


def ground_for(setting: Setting) -> Ground:
    """The ground of a game.  Raises NotLowered where no module has one."""
    for module in _modules():
        found = module.ground(setting)
        if found is not None:
            return found
    if repetition_limit(setting.game) is not None:
        raise NotLowered(
            "a program would have to keep every position that has come, and that is not written yet"
        )
    raise NotLowered(f"programs for games such as {setting.game.title} are not written yet")
