"""How a C program finds its moves: what its skeleton asks for on the way through a round of the game."""

from collections.abc import Mapping


class Answering:
    """What a way to find moves has nothing to do with stays empty.

    makes_move: whether `answer` makes the move, too.
    """

    makes_move = False

    def set_up(self) -> None:
        """What is done when a game begins."""

    def visitor_moves(self) -> None:
        """What is done when the visitor's `move` is known to be legal, before it is made."""

    def turn_lost(self) -> None:
        """What is done when the visitor has lost a turn."""

    def answer(self) -> None:
        """Go on at `found` with the machine's move in `move`."""
        raise NotImplementedError

    def has_moved(self) -> None:
        """What is done when a move of either side has been made."""

    def ends(self, who: str, labels: Mapping[str, str]) -> Mapping[str, str]:
        """The labels at which it goes on where the game ends by a move of theirs, when it would at these."""
        return labels

    def before_telling(self) -> None:
        """What is done before the machine's move is printed."""

    def after_telling(self) -> None:
        """What is done behind that."""

    def before_asking(self) -> None:
        """What is done when the machine has moved and the game goes on."""

    def write_rest(self) -> None:
        """Whatever stands behind the round."""
