"""Every input that a visitor can key in, sorted into classes: the first that fits.

An input is a line of bytes (without its line end) or, on a machine that reads keys, one byte.  The classes
are the design's, in this order; every byte string falls into exactly one of them.
"""

import re
from collections.abc import Sequence
from itertools import product
from typing import NamedTuple

import numpy as np

from games.codes import FIRST, UNFINISHED, Codes
from games.game import Game

AFTER_END = "after-end"
TOO_LONG = "too-long"
EMPTY = "empty"
NOT_UNDERSTOOD = "not-understood"
OFF_BOARD = "off-board"
BY_MACHINE = "taken-by-machine"
BY_VISITOR = "taken-by-visitor"
LEGAL = "legal"

WORDS = {
    AFTER_END: "a move after the end",
    TOO_LONG: "too many characters",
    EMPTY: "nothing at all",
    NOT_UNDERSTOOD: "not understood",
    OFF_BOARD: "off the board",
    BY_MACHINE: "taken by the machine",
    BY_VISITOR: "taken by the visitor",
    LEGAL: "a legal move",
}
"""The classes that every game knows, as people say them."""


def class_in_words(name: str) -> str:
    """A class of input as people say it; a family's own one is said by its name.

    >>> class_in_words("off-board"), class_in_words("no-such-step")
    ('off the board', 'no such step')
    """
    return WORDS.get(name, name.replace("-", " "))


_ALPHABET = b"0123456789abcdefghijklmnopqrstuvwxyz-"


class InputForm(NamedTuple):
    """How a machine reads: ``line`` (up to `longest` characters, then Return) or ``key`` (one key at a time)."""

    kind: str = "line"
    longest: int = 8


def refusal_class(refusal: str, seat: int) -> str:
    """The class of a game's refusal, seen from the machine's seat: who holds the cell is said by role."""
    if refusal == "taken-by-first":
        return BY_MACHINE if seat == FIRST else BY_VISITOR
    if refusal == "taken-by-second":
        return BY_VISITOR if seat == FIRST else BY_MACHINE
    return refusal


def classes_of(game: Game) -> tuple[str, ...]:
    """Every class of wrong input that this game knows, in the order in which they are tried."""
    own = [refusal for refusal in game.refusals if not refusal.startswith("taken-by-")]
    return (AFTER_END, TOO_LONG, EMPTY, NOT_UNDERSTOOD, OFF_BOARD, *own, BY_MACHINE, BY_VISITOR)


class Shape:
    """What a cell's name looks like in a game: digits only, or as many letters and digits as its names have.

    Letters count alike in upper and lower case, since some machines have only one of them.
    """

    __slots__ = ("_names", "_off_board", "_pattern", "form", "names")

    def __init__(self, names: Sequence[str], form: InputForm) -> None:
        self.form = form
        self.names = tuple(names)
        self._names = {name.lower().encode("ascii"): place for place, name in enumerate(names)}
        shapes = sorted({_shape(name) for name in names})
        self._pattern = re.compile("|".join(shapes).encode("ascii"))
        self._off_board: list[bytes | None] = []  # found when first asked for

    def move_named(self, text: bytes) -> int | None:
        """The number of the move that this input names, or None."""
        return self._names.get(text.lower())

    def is_name_shaped(self, text: bytes) -> bool:
        """Whether the input looks like a cell's name, be there such a cell or not."""
        return self._pattern.fullmatch(text.lower()) is not None

    @property
    def pattern(self) -> str:
        """What looks like a name, in lower case, as a regular expression of the plainest kind."""
        return self._pattern.pattern.decode("ascii")

    def has_off_board(self) -> bool:
        """Whether any input at all can be shaped like a name and name no cell."""
        return self.off_board_example() is not None

    def off_board_example(self) -> bytes | None:
        """The first input, short ones before long ones, that is shaped like a name and names none."""
        if not self._off_board:
            self._off_board.append(self._find_off_board())
        return self._off_board[0]

    def _find_off_board(self) -> bytes | None:
        """Try inputs one after another, none before they can have a name's shape."""
        longest = 1 if self.form.kind == "key" else self.form.longest
        shortest = min(len(re.sub(r"\d+", "0", name)) for name in self.names)
        for length in range(shortest, min(longest, max(len(name) for name in self.names) + 1) + 1):
            for text in map(bytes, product(*(self._may_stand_at(place) for place in range(length)))):
                if self.is_name_shaped(text) and self.move_named(text) is None:
                    return text
        return None

    def _may_stand_at(self, place: int) -> bytes:
        """Keep the search small: at each place only the kinds of character that some name has there."""
        kinds = {_kind_of(name[min(place, len(name) - 1)]) for name in self.names}
        return bytes(byte for byte in _ALPHABET if _kind_of(chr(byte)) in kinds)


def _kind_of(character: str) -> str:
    return "digit" if character.isdigit() else "letter" if character.isalpha() else character


def _shape(name: str) -> str:
    """A pattern for the name's shape: runs of digits may be of any length, letters stand one for one."""
    return re.sub(r"[a-z]", "[a-z]", re.sub(r"\d+", "[0-9]+", re.escape(name.lower()).replace(r"\-", "-")))


def classify(game: Game, shape: Shape, code: int, seat: int, text: bytes) -> tuple[str, int | None]:
    """The class of an input in a position, and the move if it is a legal one.

    `code` is the position (visitor to move, or finished); `seat` the machine's; `text` the line without its
    line end, or the one byte of a key.
    """
    codes = np.array([code], dtype=np.uint64)
    if game.ending(codes)[0] != UNFINISHED:
        return AFTER_END, None
    if len(text) > (1 if shape.form.kind == "key" else shape.form.longest):
        return TOO_LONG, None
    if not text:
        return EMPTY, None
    move = shape.move_named(text)
    if move is None:
        return (OFF_BOARD if shape.is_name_shaped(text) else NOT_UNDERSTOOD), None
    reason = int(game.why_not(codes, np.array([move], dtype=np.uint16))[0])
    if reason:
        return refusal_class(game.refusals[reason - 1], seat), None
    return LEGAL, move


def possible_classes(game: Game, shape: Shape, codes: Codes, seat: int) -> dict[str, np.ndarray]:
    """For each class of wrong input, in which of these unfinished positions some input falls into it."""
    everywhere = np.ones(len(codes), dtype=bool)
    nowhere = np.zeros(len(codes), dtype=bool)
    by_line = shape.form.kind == "line"
    possible = {
        AFTER_END: nowhere,
        TOO_LONG: everywhere if by_line else nowhere,
        EMPTY: everywhere if by_line else nowhere,
        NOT_UNDERSTOOD: everywhere,
        OFF_BOARD: everywhere if shape.has_off_board() else nowhere,
    }
    for refusal in game.refusals:
        possible[refusal_class(refusal, seat)] = np.zeros(len(codes), dtype=bool)
    for move in range(len(game.move_names)):  # move by move: all pairs at once would take too much memory
        reasons = game.why_not(codes, np.full(len(codes), move, dtype=np.uint16))
        for place, refusal in enumerate(game.refusals, 1):
            possible[refusal_class(refusal, seat)] |= reasons == place
    return possible
