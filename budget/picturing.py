"""The search for a short list of pictures: each asks some digits for values, and the first that fits gives the move.

A picture fits only where its move can be made.  The list is made from the front: around each board that is left a
picture is grown that is right on all of them, and the one that answers most for what it takes is next.  At last
whatever can be left out is.
"""

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

Answers = npt.NDArray[np.int64]
Digits = npt.NDArray[np.int64]
Flags = npt.NDArray[np.bool_]


class Picture(NamedTuple):
    """Digits with the values that they must have, and the move."""

    asked: tuple[tuple[int, int], ...]
    move: int


class Boards(NamedTuple):
    """Boards by their digits, (n, digits), the move on each, (n,), and which moves can be made, (n, moves)."""

    digits: Digits
    moves: Answers
    can: Flags

    def chosen(self, which: Flags) -> "Boards":
        """Some of the boards."""
        return Boards(self.digits[which], self.moves[which], self.can[which])

    def fits(self, picture: Picture) -> Flags:
        """On which boards a picture fits, (n,)."""
        fits = self.can[:, picture.move].copy()
        for digit, value in picture.asked:
            fits &= self.digits[:, digit] == value
        return fits

    def are_answered_by(self, pictures: list[Picture]) -> bool:
        """Whether on every board the first picture that fits gives the move."""
        moves = np.full(len(self.moves), -1)
        for picture in reversed(pictures):
            moves[self.fits(picture)] = picture.move
        return bool((moves == self.moves).all())


def short_list(boards: Boards) -> list[Picture]:
    """A list of pictures that gives every board its move."""
    pictures: list[Picture] = []
    left = boards
    while len(left.moves):
        grown = {_grown(left, board) for board in range(len(left.moves))}
        best = max(sorted(grown), key=lambda picture: left.fits(picture).sum() / (1 + len(picture.asked)))
        pictures.append(best)
        left = left.chosen(~left.fits(best))
    return _thinned(pictures, boards)


def _grown(left: Boards, board: int) -> Picture:
    """A picture around a board that is right wherever it fits: digits are asked until it is."""
    move = int(left.moves[board])
    fits, good = left.can[:, move].copy(), left.moves == move
    same = left.digits == left.digits[board]
    asked: list[tuple[int, int]] = []
    while (fits & ~good).any():
        bad = fits & ~good
        wrong, right = same[bad].sum(axis=0), same[fits & good].sum(axis=0)
        digit = int(np.argmax(np.where(wrong < bad.sum(), (right + 1) / (wrong + 1), -1)))
        asked.append((digit, int(left.digits[board, digit])))
        fits &= same[:, digit]
    return Picture(tuple(sorted(asked)), move)


def _thinned(pictures: list[Picture], boards: Boards) -> list[Picture]:
    """Without pictures, then without digits, that are not needed, as long as that helps."""
    before: list[Picture] = []
    while pictures != before:
        before = pictures
        for picture in reversed(before):
            fewer = [each for each in pictures if each is not picture]
            if boards.are_answered_by(fewer):
                pictures = fewer
        for place in range(len(pictures) - 1, -1, -1):
            for asked in pictures[place].asked:
                rest = tuple(each for each in pictures[place].asked if each != asked)
                wider = [*pictures[:place], pictures[place]._replace(asked=rest), *pictures[place + 1 :]]
                if boards.are_answered_by(wider):
                    pictures = wider
    return pictures
