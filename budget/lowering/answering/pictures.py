"""Pictures in order: small drawn boards, each with the cell to play where it is found.

Every image of a turned picture is one more picture; where two of a picture's images are found, the one with the least
cell comes first, as a play settled *plain* wants it.  Pictures that are never the first to be found in the play are
left out, and of those that are left only those signs are looked at that are needed.  Whether the cell to play is free
is asked of the board last of all.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from budget.lowering.answering import Answering
from budget.lowering.answering.asked import Asked, Pictures
from budget.lowering.ground import MACHINE, VISITOR, Ground, Setting
from budget.lowering.grounds.bits import SIDES, BitsGround
from budget.lowering.grounds.marks import MarksGround
from budget.lowering.text import NotLowered, WrongWay
from games.game import with_lines
from games.marks.marks import Marks
from solver.meanings import FindsPicture, Picture
from solver.sheet.rules import Marked, matches
from solver.sheet.weights import cells_in

MINE, VISITORS, FREE = "mine", "visitors", "free"
"""What a picture asks for; the cell to play is free, too."""


class Boards(NamedTuple):
    """The boards on which pictures are looked for, and which cell is to be played on each, (n,), -1 for none."""

    marked: Marked
    moves: npt.NDArray[np.int64]


def answering(asked: Asked, setting: Setting, ground: Ground) -> Answering | None:
    """The way for pictures one after the other."""
    if not isinstance(asked.meaning, Pictures):
        return None
    return picture_list(asked.meaning.pictures, boards_of(asked, setting), setting, ground)


def boards_of(asked: Asked, setting: Setting) -> Boards:
    """The boards of a rule, as pictures are looked for on them."""
    game = with_lines(setting.game)
    if game is None or type(game) is not Marks:
        raise NotLowered("pictures are not looked for yet where a move is no cell")
    moves = np.where(asked.answers, asked.moves.astype(np.int64), -1)
    return Boards(Marked.of(game, asked.codes, setting.seat), moves)


def picture_list(
    pictures: Sequence[FindsPicture], boards: Boards, setting: Setting, ground: Ground
) -> Answering:
    """The way for pictures in order, the first of which that is found gives the move; none need be found."""
    game = with_lines(setting.game)
    assert game is not None
    images = [
        image
        for each in pictures
        for image in sorted(each.images(game.cell_images), key=lambda image: image.target)
    ]
    kept = thinned(images, boards)
    if isinstance(ground, BitsGround):
        return _AsSets(setting, ground, kept)
    if isinstance(ground, MarksGround):
        return _AsSigns(setting, ground, kept)
    raise WrongWay("pictures are not looked for on a board that is kept in this way")


def thinned(images: Sequence[Picture], boards: Boards) -> list[Picture]:
    """Pictures with as few cells to look at as will do for the same moves, without those that are never needed."""
    kept = [image._replace(free=image.free & ~image.target) for image in images]
    before: list[Picture] = []
    while kept != before:
        before = kept
        kept = _without_idle(kept, boards)
        kept = _without_needless_cells(kept, boards)
    return kept


def _without_idle(images: Sequence[Picture], boards: Boards) -> list[Picture]:
    """Without pictures whose boards others answer as well, the last of them first."""
    if not images:
        return []
    found = np.array([matches(image, boards.marked) for image in images])
    targets = np.array([target_of(image) for image in images])
    kept = np.ones(len(images), dtype=np.bool_)
    for number in reversed(range(len(images))):
        kept[number] = False
        here = found & kept[:, None]
        moves = np.where(here.any(axis=0), targets[here.argmax(axis=0)], -1)
        kept[number] = (moves != boards.moves).any()
    return [image for image, is_kept in zip(images, kept.tolist(), strict=True) if is_kept]


def _without_needless_cells(images: Sequence[Picture], boards: Boards) -> list[Picture]:
    """Without cells at which nothing is told apart: first free ones, then those of the machine."""
    kept: list[Picture] = []
    waiting = np.ones(len(boards.moves), dtype=np.bool_)
    for image in images:
        for sign in (FREE, MINE, VISITORS):
            for cell in cells_in(getattr(image, sign)):
                wider = image._replace(**{sign: getattr(image, sign) & ~(1 << cell)})
                here = boards.moves[matches(wider, boards.marked) & waiting]
                if (here == target_of(image)).all():
                    image = wider  # noqa: PLW2901 - it grows wider cell by cell
        waiting &= ~matches(image, boards.marked)
        kept.append(image)
    return kept


def target_of(image: Picture) -> int:
    """The cell to play."""
    return image.target.bit_length() - 1


class _AsSets:
    """On a board of two words: each picture is a few words, one for each sign that is looked at anywhere."""

    def __init__(self, setting: Setting, ground: BitsGround, images: Sequence[Picture]) -> None:
        self._text = setting.text
        self._ground = ground
        self._images = images
        self._signs = [
            sign for sign in (VISITORS, MINE, FREE) if any(getattr(image, sign) for image in images)
        ]

    def answer(self, found: str) -> None:
        """Look for each in turn."""
        text, count = self._text, len(self._images)
        at, again, other = text.variable("picture"), text.fresh("picture"), text.fresh("picture_not")
        text.remark("pictures in order")
        text.number(-count)
        text.ops(f"store {at}", f"{again}:")
        for sign in self._signs:
            self._unless_there(sign, at, other)
        targets = [target_of(image) - self._ground.cells for image in self._images]
        text.ops(f"by {at}", f"load {self._table('targets', targets)}", "store move")
        self._ground.unless_can(other)
        text.ops(f"jump {found}", f"{other}:", f"count {at}", f"ifnonzero {again}")

    def _unless_there(self, sign: str, at: str, other: str) -> None:
        """Go on at a label unless the cells with a sign hold it."""
        text = self._text
        table = self._table(sign, [getattr(image, sign) for image in self._images])
        if sign == FREE:
            text.ops("load mine", "add theirs", f"by {at}", f"and {table}", f"ifnonzero {other}")
            return
        side = SIDES[MACHINE if sign == MINE else VISITOR]
        text.ops(
            f"by {at}", f"load {table}", f"and {side}", f"by {at}", f"subtract {table}", f"ifnonzero {other}"
        )

    def _table(self, stem: str, words: Sequence[int]) -> str:
        table = self._text.table(self._text.fresh(stem), words)
        return f"{table}+{len(words)}"


class _AsSigns:
    """On a board with a word for each cell: each picture is a list of its cells with their signs, and its target.

    A cell stands above the bits of what it is to hold; a target is below 0.
    """

    def __init__(self, setting: Setting, ground: MarksGround, images: Sequence[Picture]) -> None:
        self._text = setting.text
        self._ground = ground
        self._images = images
        self._bits = ground.marks[VISITOR].bit_length()
        self._text.needs(-ground.cells, (ground.cells << self._bits) - 1, "a cell with its sign")

    def answer(self, found: str) -> None:
        """Look for each in turn."""
        text = self._text
        words = [word for image in self._images for word in self._words_of(image)]
        table, total = text.table(text.fresh("pictures"), words, "cells with their signs"), len(words)
        text.needs(-total, total, "a place in the list of pictures")
        at, sign, held = text.variable("picture"), text.variable("sign"), text.variable("held_there")
        match, hit, skip, out = (text.fresh(stem) for stem in ("picture", "hit", "skip", "no_picture"))
        text.remark("pictures in order")
        text.number(-total)
        text.ops(f"store {at}", f"{match}:", f"by {at}", f"load {table}+{total}", f"ifminus {hit}")
        text.ops(f"store {sign}", f"right {self._bits}", "look board", f"store {held}", f"load {sign}")
        text.op("and", f"={(1 << self._bits) - 1}")
        text.ops(f"subtract {held}", f"ifnonzero {skip}", f"count {at}", f"jump {match}")
        text.ops(f"{skip}:", f"count {at}", f"by {at}", f"load {table}+{total}-1", f"ifminus {skip}_over")
        text.ops(f"jump {skip}", f"{skip}_over:", f"load {at}", f"ifnonzero {match}", f"jump {out}")
        text.ops(f"{hit}:", "store move")
        self._ground.unless_can(skip)
        text.ops(f"jump {found}", f"{out}:")

    def _words_of(self, image: Picture) -> list[int]:
        signs = [(image.visitors, self._ground.marks[VISITOR]), (image.mine, self._ground.marks[MACHINE])]
        signs.append((image.free, 0))
        words = [(cell << self._bits) + held for cells, held in signs for cell in cells_in(cells)]
        return [*words, target_of(image) - self._ground.cells]
