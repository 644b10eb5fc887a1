"""Positions of the family *steps* for people: as text, and drawn with the steps between the points.

Behind the board stands what else belongs to the position: ``M_V/_._/V_M moved 1/0`` says that the machine
has made one of the first moves that are counted and the visitor none; ``line`` that the last move has made a
line that wins.
"""

import re
import textwrap
from abc import abstractmethod
from typing import NamedTuple

import numpy as np

from games.board import FREE, WIDEST, Board
from games.codes import UNFINISHED, Bytes, Codes, MoveList, turn_of
from games.onboard import OnBoard
from games.steps.moves import StepMoves
from games.steps.points import draw_with_steps
from games.steps.rules import StepRules, joined_names

MOVED, LINE = "moved", "line"


class Tail(NamedTuple):
    """What belongs to positions besides the men.

    counted: how many of the first moves that are counted the first and the second player have made, (n,) each;
    line: whether the last move has made a line that wins, (n,).
    """

    counted: tuple[Codes, Codes]
    line: np.ndarray


class StepTexts(OnBoard):
    """The text side of a game of the family; the game itself gives the rest."""

    setting: StepRules
    counts_moves: bool
    marks_lines: bool
    _moves: StepMoves

    @property
    def board(self) -> Board:
        """The points as people see them."""
        return self.setting.board

    @abstractmethod
    def moves(self, codes: Codes) -> MoveList:
        """Every legal move of these unfinished positions."""

    @abstractmethod
    def ending(self, codes: Codes) -> Bytes:
        """Who has won, or a draw, or UNFINISHED."""

    @abstractmethod
    def tail(self, codes: Codes) -> Tail:
        """What belongs to the positions besides the men."""

    @abstractmethod
    def with_tail(self, code: int, counted: tuple[int, int], *, line: bool) -> int:
        """The code of a position with what belongs to it besides the men."""

    def texts(self, codes: Codes, seat: int) -> list[str]:
        """The positions as people read and type them."""
        texts = super().texts(codes, seat)
        tail = self.tail(codes)
        if self.counts_moves:
            mine, visitors = tail.counted[seat].tolist(), tail.counted[1 - seat].tolist()
            texts = [f"{text} {MOVED} {m}/{v}" for text, m, v in zip(texts, mine, visitors, strict=True)]
        if self.marks_lines:
            texts = [f"{text} {LINE}" if made else text for text, made in zip(texts, tail.line, strict=True)]
        return texts

    def read(self, text: str, seat: int, mover: int) -> int:
        """The code of a position as `texts` writes it.  Raises ValueError, with the reason, if it is none."""
        board, *rest = text.split() or [""]
        code = super().read(board, seat, mover)
        self._check_men(code, seat)
        counted = (0, 0)
        if self.counts_moves:
            mine, visitors = self._read_counted(rest, text)
            counted = (mine, visitors) if seat == 0 else (visitors, mine)
            rest = rest[2:]
        line = self.marks_lines and rest == [LINE]
        if rest and not line:
            raise ValueError(f"expected nothing behind the board but '{self._tail_example()}', not '{text}'")
        return self.with_tail(code, counted, line=line)

    def _tail_example(self) -> str:
        return " ".join([f"{MOVED} 0/0"] * self.counts_moves + [LINE] * self.marks_lines) or FREE

    def _read_counted(self, words: list[str], text: str) -> tuple[int, int]:
        most = self.setting.guarded_moves
        found = re.fullmatch(r"(\d{1,2})/(\d{1,2})", words[1]) if words[:1] == [MOVED] and words[1:] else None
        if not found or max(int(found[1]), int(found[2])) > most:
            raise ValueError(
                f"expected the board, then '{MOVED}' and how many of the first {most} moves the machine and the "
                f"visitor have made, such as '{MOVED} {most}/0', not '{text}'"
            )
        return int(found[1]), int(found[2])

    def _check_men(self, code: int, seat: int) -> None:
        """Raises ValueError if a side has men on the board that it cannot have.

        A table is read before anybody knows for which seat, so men that are right in the other seat are let pass.
        """
        held = self.holdings(np.array([code], dtype=np.uint64))
        found = [int(cells[0]).bit_count() for cells in held]
        least, most = [len(points) for points in self.setting.standing], self.setting.men
        for those in (found, found[::-1]):
            if all(low <= men <= high for low, men, high in zip(least, those, most, strict=True)):
                return
        for player in (seat, 1 - seat):
            if not least[player] <= found[player] <= most[player]:
                who = "machine" if player == seat else "visitor"
                few, many = least[player], most[player]
                wanted = f"{many}" if few == many else f"{few} to {many}"
                raise ValueError(f"the {who} has {found[player]} men on this board; expected {wanted}")

    def drawing(self, code: int, seat: int, last: int | None = None, *, named: bool = False) -> list[str]:
        """The points row by row, the one to which the move `last` leads in brackets; or named, with the steps.

        named: a held point shows its sign before its name, and below stands what can be played.
        """
        codes = np.array([code], dtype=np.uint64)
        held = self.holdings(codes)
        mine, visitors = int(held[seat][0]), int(held[1 - seat][0])
        signs = self.board.signs(mine, visitors)
        if not named:
            return self.board.drawn(signs, None if last is None else self._moves.leads_to(last))
        named_signs = zip(signs, self.board.names, strict=True)
        shown = [name if sign == FREE else f"{sign}{name}" for sign, name in named_signs]
        steps = () if self.setting.leads_anywhere else self.setting.steps
        rows, not_shown = draw_with_steps(self.board, shown, steps)
        notes = [f"joined as well: {', '.join(joined_names(self.board, not_shown))}"] if not_shown else []
        notes += self._men_to_place((mine, visitors), seat) + self._steps_to_make(codes, seat)
        below = [row for note in notes for row in textwrap.wrap(note, WIDEST, subsequent_indent="  ")]
        return [*rows, "", *below] if below else rows

    def _men_to_place(self, held: tuple[int, int], seat: int) -> list[str]:
        """Who has how many men in hand."""
        mine, visitors = (self.setting.men[p] - held[i].bit_count() for i, p in enumerate((seat, 1 - seat)))
        if not mine and not visitors:
            return []
        return [f"to place: machine {mine}, visitor {visitors}"]

    def _steps_to_make(self, codes: Codes, seat: int) -> list[str]:
        """Who is to move, and the steps that can be made, unless men are placed: the board shows where."""
        if self.ending(codes)[0] != UNFINISHED:
            return []
        moves = np.sort(self.moves(codes).move)
        if self._moves.placed[moves].all():
            return []
        who = "machine" if turn_of(codes)[0] == seat else "visitor"
        return [f"{who} can play: {', '.join(self._moves.names[move] for move in moves)}"]
