"""Games that end when whose turn it is has no move left, and has lost by that (or won, where the game is misere)."""

from abc import ABC, abstractmethod

import numpy as np

from games.codes import FIRST, SECOND, Bytes, Codes, Flags, turn_of, win_of


class LastMove(ABC):
    """A family says which moves can be played; that is also when the game is over."""

    misere: bool
    move_names: tuple[str, ...]

    @abstractmethod
    def playable(self, codes: Codes, move: int) -> Flags:
        """In which of these positions one move can be played by whose turn it is."""

    def mover(self, codes: Codes) -> Bytes:
        """Whose turn it is, as the turn bit says."""
        return turn_of(codes)

    def ending(self, codes: Codes) -> Bytes:
        """Who has won once no move is left, else UNFINISHED."""
        stuck = np.arange(len(codes))
        for move in range(len(self.move_names)):
            stuck = stuck[~self.playable(codes[stuck], move)]
        winners = (FIRST, SECOND) if self.misere else (SECOND, FIRST)
        ending = np.zeros(len(codes), dtype=np.uint8)
        ending[stuck] = np.array([win_of(winner) for winner in winners])[turn_of(codes[stuck])]
        return ending

    def playable_in(self, code: int) -> list[int]:
        """The moves of one position; none if it is over."""
        codes = np.array([code], dtype=np.uint64)
        return [move for move in range(len(self.move_names)) if self.playable(codes, move)[0]]

    def end_in_words(self) -> str:
        """How the game ends, for its rules in words."""
        return f"Whoever has no move left has {'won' if self.misere else 'lost'}."
