"""The game as a drill sees it: where a position leads, and what can be keyed in there."""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from games.codes import DRAW, RESULTS, UNFINISHED, Codes, win_of
from games.housed import HousedGame
from games.inputs import (
    AFTER_END,
    EMPTY,
    LEGAL,
    NOT_UNDERSTOOD,
    OFF_BOARD,
    TOO_LONG,
    Shape,
    class_in_words,
    refusal_class,
)
from workbench.drill.manner import Manner

FAR_TOO_LONG = 300
"""Characters of an input that is longer than what most programs make room for."""


class Spot(NamedTuple):
    """A position.  outcome: by name, None while it is unfinished; moves: each fair move, and where it leads."""

    outcome: str | None
    machine_to_move: bool
    moves: dict[int, int]


class Entry(NamedTuple):
    """Something to key in.

    typed: as it goes to the program; shown: for people; kind: its class, LEGAL for a move; move: which, if legal;
    stands_for_its_class: whether every line is gone through after it, if it is wrong input.
    """

    typed: bytes
    shown: str
    kind: str
    move: int | None = None
    stands_for_its_class: bool = False

    @property
    def is_wrong(self) -> bool:
        """Whether it is wrong input while the game goes on."""
        return self.kind not in (LEGAL, AFTER_END)

    @property
    def in_words(self) -> str:
        """What is keyed in, and what that is unless it is a move."""
        what = self.shown or "Return"
        if len(what) > 20:
            what = f"{what[0]} {len(what)} times"
        return what if self.kind == LEGAL else f"{what} ({class_in_words(self.kind)})"


class Rules:
    """A housed game, asked one position at a time; what was asked once is remembered."""

    def __init__(self, game: HousedGame, manner: Manner) -> None:
        self.game = game
        self.manner = manner
        self._shape = Shape(manner.names, game.house.form)
        self._spots: dict[int, Spot] = {}
        self._legal: dict[int, list[Entry]] = {}
        self._wrong: dict[int, list[Entry]] = {}
        self._effects: dict[tuple[int, str], int | None] = {}
        self._nonsense = list(self._texts_that_are_no_move())

    def spot(self, code: int) -> Spot:
        """What there is to know of a position."""
        if code not in self._spots:
            self._spots[code] = self._look_at(code)
        return self._spots[code]

    def after_wrong(self, code: int, input_class: str) -> int | None:
        """Where wrong input of a class leads; None where it changes nothing."""
        known = (code, input_class)
        if known not in self._effects:
            move = self.game.answer(code, input_class)
            self._effects[known] = None if move is None else self._child(code, move)
        return self._effects[known]

    def is_same_board(self, before: int, after: int) -> bool:
        """Whether two positions differ only in what house rules count."""
        fair = self.game.fair_codes(np.array([before, after], dtype=np.uint64))
        return bool(fair[0] == fair[1]) and self.spot(after).outcome is None

    def legal_entries(self, code: int) -> list[Entry]:
        """Every move that there is, in the game's order."""
        if code not in self._legal:
            self._legal[code] = [
                self._move_entry(move, LEGAL, move) for move in sorted(self.spot(code).moves)
            ]
        return self._legal[code]

    def wrong_entries(self, code: int, *, all_of_them: bool) -> list[Entry]:
        """Wrong inputs of every class: each cell that may not be played, and some texts; or one of each class."""
        if code not in self._wrong:
            entries = [*self._refused_moves(code), *self._nonsense]
            first = {entry.kind: place for place, entry in reversed(list(enumerate(entries)))}
            self._wrong[code] = [
                entry._replace(stands_for_its_class=first[entry.kind] == place)
                for place, entry in enumerate(entries)
            ]
        wrong = self._wrong[code]
        return wrong if all_of_them else [entry for entry in wrong if entry.stands_for_its_class]

    def again(self) -> Entry:
        """What is keyed in after the end so that the next game begins; how that is answered is not judged."""
        return Entry(self.manner.keyed(self.manner.again), self.manner.again, AFTER_END)

    def after_end_entries(self) -> list[Entry]:
        """Inputs after the end: what usually begins the next game, a move, and some that are none."""
        moved = self._move_entry(0, AFTER_END, None)
        others = [entry._replace(kind=AFTER_END) for entry in self._nonsense]
        each_once = {entry.typed: entry for entry in (self.again(), moved, *others)}
        return [entry._replace(stands_for_its_class=True) for entry in each_once.values()]

    def boards(self, codes: Codes) -> list[str]:
        """Positions as people write them."""
        return self.game.texts(codes, self.game.seat)

    def name(self, move: int) -> str:
        """What people call a move."""
        return self.manner.names[move]

    def _look_at(self, code: int) -> Spot:
        codes = np.array([code], dtype=np.uint64)
        ending = int(self.game.ending(codes)[0])
        if ending != UNFINISHED:
            names = {win_of(self.game.seat): "machine-wins", DRAW: "draw"}
            return Spot(names.get(ending, "visitor-wins"), machine_to_move=False, moves={})
        fair = {
            move: child
            for move, child in zip(*self._moves(codes), strict=True)
            if move < self.game.fair_moves
        }
        return Spot(None, int(self.game.mover(codes)[0]) == self.game.seat, fair)

    def _moves(self, codes: Codes) -> tuple[list[int], list[int]]:
        moves = self.game.moves(codes)
        return moves.move.tolist(), moves.child.tolist()

    def _child(self, code: int, move: int) -> int:
        moves, children = self._moves(np.array([code], dtype=np.uint64))
        return children[moves.index(move)]

    def _refused_moves(self, code: int) -> Iterator[Entry]:
        """The moves that have a name and may not be played here."""
        moves = np.arange(self.game.fair_moves, dtype=np.uint16)
        reasons = self.game.why_not(np.full(len(moves), code, dtype=np.uint64), moves)
        for move, reason in enumerate(reasons.tolist()):
            if reason:
                yield self._move_entry(
                    move, refusal_class(self.game.refusals[reason - 1], self.game.seat), None
                )

    def _move_entry(self, move: int, kind: str, legal: int | None) -> Entry:
        return Entry(self.manner.keyed_move(move), self.name(move), kind, legal)

    def _texts_that_are_no_move(self) -> Iterator[Entry]:
        """Texts of every class that hangs on no position.

        None of them has a space before or behind a move, or a sign before a number: what many languages read as the
        move, and the house rules do not.
        """
        form = self.game.house.form
        off_board = self._shape.off_board_example()
        texts = ["?", "A", "ZZ", "0", *([] if off_board is None else [off_board.decode("ascii")])]
        if form.kind == "line":
            texts += ["", "1" * (form.longest + 1), "A" * FAR_TOO_LONG]
        for text in dict.fromkeys(texts):
            kind = self._kind_of(text)
            if kind is not None and (form.kind == "line" or len(text) == 1):
                yield Entry(self.manner.keyed(text), text, kind)

    def _kind_of(self, text: str) -> str | None:
        """The class of a text that names no move; None if it does name one."""
        typed = text.encode("ascii")
        if len(typed) > self.game.house.form.longest:
            return TOO_LONG
        if not typed:
            return EMPTY
        if self._shape.move_named(typed) is not None:
            return None
        return OFF_BOARD if self._shape.is_name_shaped(typed) else NOT_UNDERSTOOD


def outcome_in_words(outcome: str | None) -> str:
    """An outcome as a sentence has it."""
    words = {"machine-wins": "the machine wins", "visitor-wins": "the visitor wins", "draw": "a draw"}
    return RESULTS[UNFINISHED] if outcome is None else words[outcome]
