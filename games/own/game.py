"""A game whose rules stand in a Python file of the user's: `games.game.Game` over the functions of that file.

What the functions give is looked at every time, which costs little beside making it: so a mistake in the file
becomes one clear line, and never a wrong figure or a crash of ours.
"""

from typing import Any, NamedTuple, TypeVar

import numpy as np
import numpy.typing as npt

from games.codes import TURN, UNFINISHED, Bytes, Codes, Indices, MoveIds, MoveList, by_parent, distinct
from games.own.faults import fault_of_moves, told
from games.own.userfile import UserFile
from games.problems import BadInput, bad
from games.wording import Cells, Hexadecimal, Wording

_T = TypeVar("_T", bound=np.generic)

STANDS_FOR = {
    "moves_onto": "moves",
    "why_not": "moves",
    "texts": "holdings",
    "drawing": "holdings",
    "read": "code_of",
    "code_of": "holdings",
    "can_repeat": "moves",
}
"""What in a file is at fault when something is wrong that the file leaves to its default."""


class Constants(NamedTuple):
    """What a file says about its game besides the functions, checked and with defaults.

    columns, rows: of the board whose cells the players hold, 0 where there is none; lines: sets of cells.
    """

    bits: int
    start: int
    other_start: int | None
    move_names: tuple[str, ...]
    symmetries: int
    can_repeat: bool
    refusals: tuple[str, ...]
    title: str
    origin: str
    size: str
    rules: tuple[str, ...]
    columns: int
    rows: int
    lines: tuple[int, ...]


class PythonGame:
    """The game that a file describes; shows cells, lines or gains where the file has them."""

    def __init__(self, file: UserFile, said: Constants) -> None:
        self.file = file
        self.name, self.title, self.size, self.origin = file.stem, said.title, said.size, said.origin
        self.bits, self.start, self.other_start = said.bits, said.start, said.other_start
        self.move_names, self.refusals = said.move_names, said.refusals
        self.symmetries, self.can_repeat = said.symmetries, said.can_repeat
        self._rules = said.rules
        self._beyond = ~(np.uint64((1 << said.bits) - 1) | TURN)
        self._words: Wording = Hexadecimal(self)
        if said.columns:
            self._show_cells(said)
        if "gains" in file:
            self.gains = self._gains

    def _show_cells(self, said: Constants) -> None:
        """Become a game on cells that can be held, and with lines one that rule sheets can speak of."""
        code_of = self._code_of if "code_of" in self.file else None
        cells = Cells(self, said.columns, said.rows, self._holdings, code_of)
        self._words, self.board = cells, cells.board
        self.holdings, self.code_of = cells.holdings, cells.code_of
        if said.lines:
            every = np.arange(len(self.move_names), dtype=np.uint16)  # move c puts a mark on cell c
            turns = (self.turned_move(symmetry, every).tolist() for symmetry in range(self.symmetries))
            self.lines, self.cell_images = said.lines, tuple(tuple(turn) for turn in turns)
            self.moves_onto = self._moves_onto

    @property
    def rules(self) -> tuple[str, ...]:
        """The rules in words."""
        return self._rules

    def place_of(self, function: str) -> tuple[str, int]:
        """The file, and the line on which it defines something, or that which stands for it where it does not."""
        while function not in self.file and function in STANDS_FOR:
            function = STANDS_FOR[function]
        return self.file.path, self.file.line(function)

    # What the solver asks -----------------------------------------------------------------------------------

    def moves(self, codes: Codes) -> MoveList:
        """Every legal move of these unfinished positions, as the file gives them."""
        if not len(codes):
            return MoveList(np.zeros(0, np.intp), np.zeros(0, np.uint16), np.zeros(0, np.uint64))
        given = self.file.call("moves", _kept(codes))
        if not isinstance(given, tuple | list) or len(given) != 3:
            raise self._wrong("moves", f"gives {_kind_of(given)}; expected three arrays: parent, move, child")
        parent = self._whole("moves", "parent", given[0], None, np.intp)
        move = self._whole("moves", "move", given[1], len(parent), np.uint16, most=len(self.move_names) - 1)
        child = self._codes("moves", "child", given[2], len(parent))
        moves = MoveList(parent, move, child)
        if not self._is_plausible(codes, moves):
            fault = fault_of_moves(self, codes, moves)
            assert fault is not None
            raise bad(told(self, fault), *self.place_of("moves"))
        return moves

    def _is_plausible(self, codes: Codes, moves: MoveList) -> bool:
        """Whether `fault_of_moves` would find nothing: quicker than finding out what it is."""
        if not len(moves.parent) or moves.parent.view(np.uintp).max() >= len(codes):  # -1 is a huge number so
            return False
        has_move = np.zeros(len(codes), dtype=bool)
        has_move[moves.parent] = True
        return bool(has_move.all() and not np.bitwise_or.reduce(moves.child) & self._beyond)

    def mover(self, codes: Codes) -> Bytes:
        """Whose turn it is, as the file tells."""
        if not len(codes):
            return np.zeros(0, np.uint8)
        given = self.file.call("mover", _kept(codes))
        return self._whole("mover", "the player", given, len(codes), np.uint8, most=1)

    def ending(self, codes: Codes) -> Bytes:
        """How positions have ended, or UNFINISHED, as the file tells."""
        if not len(codes):
            return np.zeros(0, np.uint8)
        given = self.file.call("ending", _kept(codes))
        return self._whole("ending", "the ending", given, len(codes), np.uint8, most=3)

    def turned(self, symmetry: int, codes: Codes) -> Codes:
        """The same positions seen through a symmetry."""
        if "turned" not in self.file or not len(codes):
            return codes.copy()
        given = self.file.call("turned", symmetry, _kept(codes))
        return self._codes("turned", "the image", given, len(codes))

    def turned_move(self, symmetry: int, moves: MoveIds) -> MoveIds:
        """The moves as they are called after `turned` with the same symmetry."""
        if "turned_move" not in self.file or not len(moves):
            return moves.copy()
        given = self.file.call("turned_move", symmetry, _kept(moves))
        most = len(self.move_names) - 1
        return self._whole("turned_move", "the move", given, len(moves), np.uint16, most)

    def why_not(self, codes: Codes, moves: MoveIds) -> Bytes:
        """0 for a legal move, else which refusal.

        Where the file does not say, it is 1 for every move, but 2 or 3 for a cell held by the first or the second
        player in a game of lines.
        """
        if not len(codes):
            return np.zeros(0, np.uint8)
        if "why_not" not in self.file:
            reasons = (~self._is_legal(codes, moves)).astype(np.uint8)
            for reason, held in enumerate(self.holdings(codes) if hasattr(self, "lines") else (), 2):
                reasons[(held >> moves & np.uint64(1) != 0) & (reasons != 0)] = reason
            return reasons
        given = self.file.call("why_not", _kept(codes), _kept(moves))
        return self._whole("why_not", "the reason", given, len(codes), np.uint8, most=len(self.refusals))

    def _is_legal(self, codes: Codes, moves: MoveIds) -> npt.NDArray[np.bool_]:
        """Which of these pairs of a position and a move are legal."""
        every = distinct(codes)
        legal = np.zeros((len(every), len(self.move_names)), dtype=bool)
        open_ = np.flatnonzero(self.ending(every) == UNFINISHED)
        parent, move, _ = self.moves(every[open_])
        legal[open_[parent], move] = True
        found: npt.NDArray[np.bool_] = legal[np.searchsorted(every, codes), moves]
        return found

    def _moves_onto(self, codes: Codes, cells: Codes) -> tuple[Indices, MoveIds]:
        """The legal moves that put a mark on one of these cells, in a game of lines: sorted by place, then move."""
        parent, move, _ = by_parent(self.moves(codes))
        wanted = cells[parent] >> move & np.uint64(1) != 0
        return parent[wanted], move[wanted]

    def _gains(self, codes: Codes, moves: MoveIds) -> npt.NDArray[np.int8]:
        """What moves bring at once, in a game in which moves score."""
        if not len(codes):
            return np.zeros(0, np.int8)
        given = self.file.call("gains", _kept(codes), _kept(moves))
        return self._whole("gains", "the gain", given, len(codes), np.int8, 127, -127)

    # What people see ----------------------------------------------------------------------------------------

    def _holdings(self, codes: Codes) -> tuple[Codes, Codes]:
        """The cells that the first and the second player hold."""
        given = self.file.call("holdings", _kept(codes))
        if not isinstance(given, tuple | list) or len(given) != 2:
            raise self._wrong("holdings", f"gives {_kind_of(given)}; expected two arrays of sets of cells")
        first, second = (self._codes("holdings", "a set of cells", held, len(codes)) for held in given)
        return first, second

    def _code_of(self, first: int, second: int, mover: int) -> int:
        """The code of a board; ValueError if there is none."""
        return self._code("code_of", self.file.call("code_of", first, second, mover, kept=(ValueError,)))

    def texts(self, codes: Codes, seat: int) -> list[str]:
        """The positions as people read and type them: the file's way, or that of its cells, or the bare code."""
        if "texts" not in self.file or not len(codes):
            return self._words.texts(codes, seat)
        given = self.file.call("texts", _kept(codes), seat)
        if not _are_texts(given) or len(given) != len(codes):
            raise self._wrong(
                "texts", f"gives {_kind_of(given)}; expected a list of a text for each position"
            )
        return list(given)

    def read(self, text: str, seat: int, mover: int) -> int:
        """The code of a position as `texts` writes it.  Raises ValueError, with the reason, if the text is none."""
        if "read" not in self.file:
            return self._words.read(text, seat, mover)
        return self._code("read", self.file.call("read", text, seat, mover, kept=(ValueError,)))

    def drawing(self, code: int, seat: int, last: int | None = None, *, named: bool = False) -> list[str]:
        """A position as a small picture of plain text, row by row."""
        if "drawing" not in self.file:
            return self._words.drawing(code, seat, last, named=named)
        rows = self.file.call("drawing", code, seat, last, named=named)
        rows = rows.split("\n") if isinstance(rows, str) else rows
        if not _are_texts(rows):
            raise self._wrong("drawing", f"gives {_kind_of(rows)}; expected a list of lines")
        return list(rows)

    # What the file gives, looked at -------------------------------------------------------------------------

    def _wrong(self, function: str, message: str) -> BadInput:
        return bad(f"{function} {message}", *self.place_of(function))

    def _whole(
        self,
        function: str,
        what: str,
        given: Any,
        length: int | None,
        wanted: type[_T],
        most: int | None = None,
        least: int = 0,
    ) -> npt.NDArray[_T]:
        """Whole numbers of any type as an array of the wanted one; none of them outside bounds that are given."""
        array = self._array(function, what, given, length)
        if array.dtype.kind not in "iub":
            raise self._wrong(function, f"gives {what} as {array.dtype}; expected whole numbers")
        if most is not None and len(array) and (array.max() > most or array.min() < least):
            wrong = next(value for value in array.tolist() if not least <= value <= most)
            raise self._wrong(function, f"gives {wrong} for {what}; expected {least} to {most}")
        return _owned(array.astype(wanted, copy=False))

    def _codes(self, function: str, what: str, given: Any, length: int) -> Codes:
        array = self._array(function, what, given, length)
        if array.dtype != np.uint64:
            hint = ", which numpy makes of uint64 and signed numbers" if array.dtype.kind == "f" else ""
            raise self._wrong(function, f"gives {what} as {array.dtype}{hint}; expected uint64")
        codes: Codes = _owned(array)
        return codes

    def _array(self, function: str, what: str, given: Any, length: int | None) -> npt.NDArray[Any]:
        if not isinstance(given, np.ndarray) or given.ndim != 1:
            raise self._wrong(function, f"gives {what} as {_kind_of(given)}; expected an array with one axis")
        if length is not None and len(given) != length:
            raise self._wrong(function, f"gives {len(given):,} values for {what}; expected {length:,}")
        return given

    def _code(self, function: str, given: Any) -> int:
        is_whole = isinstance(given, int | np.integer) and not isinstance(given, bool)
        if not is_whole or not 0 <= int(given) < 1 << 64 or int(given) & int(self._beyond):
            raise self._wrong(function, f"gives {_kind_of(given)}; expected a code, or a ValueError")
        return int(given)


def _kept(values: npt.NDArray[Any]) -> npt.NDArray[Any]:
    """The same values, not to be changed: they are still needed."""
    view = values.view()
    view.flags.writeable = False
    return view


def _owned(values: npt.NDArray[_T]) -> npt.NDArray[_T]:
    """The values in an array that callers may change."""
    return values if values.flags.writeable else values.copy()


def _are_texts(given: Any) -> bool:
    return isinstance(given, list | tuple) and all(isinstance(text, str) for text in given)


def _kind_of(given: Any) -> str:
    """What a value is, in a word or two."""
    if given is None:
        return "nothing"
    if isinstance(given, np.ndarray):
        return f"an array of {given.dtype} with {given.ndim} axes"
    if isinstance(given, int | float | str | bool):
        return repr(given)
    return f"a {type(given).__name__}" + (f" of {len(given)}" if isinstance(given, tuple | list) else "")
