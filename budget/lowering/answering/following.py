"""Ways to find moves that look at more than the board: they follow the game from its start."""

from typing import Protocol, runtime_checkable


@runtime_checkable
class Following(Protocol):
    """What a way to find moves gives besides `answer` if it has to know what has been played."""

    def set_up(self) -> None:
        """What is done when a game begins."""
        ...

    def visitor_moves(self) -> None:
        """What is done when the visitor's `move` is known to be legal; afterwards it may be lost."""
        ...

    def turn_lost(self) -> None:
        """What is done when the visitor has lost a turn, before the machine moves."""
        ...
