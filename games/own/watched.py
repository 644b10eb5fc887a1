"""A game that is watched while it is asked: its answers have the right type and shape, and leave the question alone."""

from typing import Any, TypeVar

import numpy as np
import numpy.typing as npt

from games.codes import Bytes, Codes, MoveIds, MoveList
from games.game import Gains, Game, on_board, scored
from games.own.faults import Fault, fault_of_moves

_T = TypeVar("_T", bound=np.generic)
CHANGED = "changes the array that it is given; expected work on a copy"


class Unlawful(Exception):
    """A function of a game gave something that cannot be used."""

    def __init__(self, fault: Fault) -> None:
        self.fault = fault
        super().__init__(fault.message)


class Watched:
    """The functions on arrays of a game; what cannot be used raises Unlawful."""

    def __init__(self, game: Game) -> None:
        self.game = game

    def moves(self, codes: Codes) -> MoveList:
        """Every move of these unfinished positions; each position has one, and each child is a code of the game."""
        given = self._asked("moves", codes)
        if not isinstance(given, tuple) or len(given) != 3:
            raise Unlawful(Fault("moves", "expected three arrays: parent, move, child"))
        length = len(given[0])
        moves = MoveList(
            self._typed("moves", given[0], np.intp, length),
            self._typed("moves", given[1], np.uint16, length),
            self._typed("moves", given[2], np.uint64, length),
        )
        fault = fault_of_moves(self.game, codes, moves)
        if fault is not None:
            raise Unlawful(fault)
        return moves

    def mover(self, codes: Codes) -> Bytes:
        """Whose turn it is: 0 or 1."""
        return self._small("mover", codes, 1)

    def ending(self, codes: Codes) -> Bytes:
        """How positions have ended: 0 to 3."""
        return self._small("ending", codes, 3)

    def turned(self, symmetry: int, codes: Codes) -> Codes:
        """The images of positions."""
        return self._typed("turned", self._asked("turned", symmetry, codes), np.uint64, len(codes))

    def turned_move(self, symmetry: int, moves: MoveIds) -> MoveIds:
        """The images of moves."""
        return self._typed("turned_move", self._asked("turned_move", symmetry, moves), np.uint16, len(moves))

    def why_not(self, codes: Codes, moves: MoveIds) -> Bytes:
        """Why moves may not be played, or 0."""
        return self._typed("why_not", self._asked("why_not", codes, moves), np.uint8, len(codes))

    def gains(self, codes: Codes, moves: MoveIds) -> Gains | None:
        """What moves bring at once; None where moves do not score."""
        if scored(self.game) is None:
            return None
        return self._typed("gains", self._asked("gains", codes, moves), np.int8, len(codes))

    def holdings(self, codes: Codes) -> tuple[Codes, Codes] | None:
        """The cells that each player holds; None where cells are not held."""
        if on_board(self.game) is None:
            return None
        given = self._asked("holdings", codes)
        first, second = (self._typed("holdings", held, np.uint64, len(codes)) for held in given)
        return first, second

    def texts(self, codes: Codes, seat: int) -> list[str]:
        """The positions as people read them."""
        texts = self._asked("texts", codes, seat)
        if not isinstance(texts, list) or len(texts) != len(codes):
            raise Unlawful(Fault("texts", f"expected a list of {len(codes)} texts"))
        return texts

    def _asked(self, function: str, *arguments: Any) -> Any:
        before = [argument.copy() if isinstance(argument, np.ndarray) else argument for argument in arguments]
        given = getattr(self.game, function)(*arguments)
        if not all(np.array_equal(old, new) for old, new in zip(before, arguments, strict=True)):
            raise Unlawful(Fault(function, CHANGED))
        return given

    def _small(self, function: str, codes: Codes, most: int) -> Bytes:
        """An answer of small numbers, one for each position."""
        given = self._typed(function, self._asked(function, codes), np.uint8, len(codes))
        wrong = np.flatnonzero(given > most)
        if len(wrong):
            message = f"gives {given[wrong[0]]}; expected 0 to {most}"
            raise Unlawful(Fault(function, message, int(codes[wrong[0]])))
        return given

    def _typed(self, function: str, given: Any, wanted: type[_T], length: int) -> npt.NDArray[_T]:
        """An array with one axis, the wanted type and length."""
        dtype = np.dtype(wanted)
        if not isinstance(given, np.ndarray) or given.dtype != dtype or given.shape != (length,):
            found = (
                f"{given.dtype} of shape {given.shape}"
                if isinstance(given, np.ndarray)
                else type(given).__name__
            )
            raise Unlawful(
                Fault(function, f"gives {found}; expected an array of {dtype} of shape ({length},)")
            )
        return given
