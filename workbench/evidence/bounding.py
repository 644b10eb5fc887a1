"""A proof that no strategy stores fewer answers, in the plain rows that the checker works out by itself.

The rows are those of `workbench.evidence.checker.fewest`; `solver.least.bound` divides all strategies into parts and
finds weights with which each part costs enough.  What is written down are these parts as cases, each with its weights.
"""

from collections.abc import Callable, Iterator, Sequence
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from games.codes import Indices
from games.game import Game, on_board, with_lines
from solver.least.bound import Part, Prover
from solver.least.model import Model, Whole
from workbench.evidence.checker.fewest import Fewest
from workbench.evidence.checker.picks import all_of
from workbench.evidence.checker.terms import State

Case = list[tuple[int, int | None]]
"""Boards by number, each with the number of its pick, or None where it is not stored."""
Record = dict[str, Any]
Progress = Callable[[int, int], bool]


def turnings_of(game: Game, names: list[str]) -> list[list[str]] | None:
    """For each symmetry where each cell goes, by name; None where that cannot be told by the cells."""
    if with_lines(game) is not None:
        images = game.cell_images  # type: ignore[attr-defined]
        return [[names[cell] for cell in image] for image in images]
    board = on_board(game)
    if board is None:
        return None
    turnings = []
    for symmetry in range(game.symmetries):
        codes = np.array([board.code_of(1 << cell, 0, 0) for cell in range(len(names))], dtype=np.uint64)
        cells, _ = board.holdings(board.turned(symmetry, codes))
        turnings.append([names[int(cell).bit_length() - 1] for cell in cells])
    return turnings


class Proved(NamedTuple):
    """The figure that is proved, and the cases that prove it."""

    bound: int
    cases: list[Record]


def proved_bound(fewest: Fewest, figure: int, seconds: float, progress: Progress | None = None) -> Proved:
    """Prove that no strategy stores fewer than `figure` answers, or as much of that as can be shown in the time.

    progress: told how many parts are done and the bound so far; False asks for an end.
    """
    program = _Program(fewest)
    provers = [_Recording(program.model_after(first), figure, first) for first in program.first_cases()]
    bounds = [prover.run(seconds / len(provers), progress).bound for prover in provers]
    cases = [
        {"case": program.named(case), "weights": program.weighted(weights)}
        for prover in provers
        for case, weights in prover.leaves()
    ]
    return Proved(min(bounds), cases)


class _Recording(Prover):
    """A prover that keeps the cases into which it has divided all strategies, each with its weights."""

    def __init__(self, model: Model, figure: int, first: Case) -> None:
        super().__init__(model, figure)
        self._first = first
        self._last = np.zeros(0, dtype=np.int64)
        self._cases: dict[int, Case] = {}
        self._weights: dict[int, Whole] = {}
        self._leaves: set[int] = set()

    def leaves(self) -> Iterator[tuple[Case, Whole]]:
        """The cases that were not divided any further, with the weights of the rows in each."""
        for number in sorted(self._leaves):
            yield self._cases[number], self._weights[number]

    def _relaxed(self, lower: Whole, upper: Whole) -> tuple[Whole, npt.NDArray[np.float64]]:
        self._last, point = super()._relaxed(lower, upper)
        return self._last, point

    def _part(self, lower: Whole, upper: Whole, at_least: int = 0) -> Part:
        part = super()._part(lower, upper, at_least)
        self._weights[part.number] = self._last
        if not self._cases:
            self._cases[part.number] = self._first
            self._leaves = {part.number}
        return part

    def _pieces(self, part: Part, board: int) -> list[Part]:
        pieces = super()._pieces(part, board)
        picks = np.flatnonzero(self.model.pick_board == board).tolist()
        for piece in pieces:
            made = next((pick for pick in picks if piece.lower[self.model.pick[pick]]), None)
            self._cases[piece.number] = [*self._cases[part.number], (board, made)]
        return pieces

    def _divided(self, part: Part) -> list[Part]:
        pieces = super()._divided(part)
        if pieces:
            self._leaves = self._leaves - {part.number} | {piece.number for piece in pieces}
        self._weights = {number: self._weights[number] for number in self._leaves}
        self._cases = {number: self._cases[number] for number in self._leaves}
        return pieces


class _Program:
    """The rows of the checker as an integer program, and back again into its words."""

    def __init__(self, fewest: Fewest) -> None:
        self._fewest = fewest
        self._boards = list(fewest.boards)
        self._picks = [(board, pick) for board in self._boards for pick in fewest.picks[board]]
        self._rows = list(_rows(fewest))
        self._number: dict[State, int] = {}
        """Of each question, the boards first."""
        for question in (*self._boards, *self._picks, *map(fewest.comes, fewest.next)):
            self._number.setdefault(question, len(self._number))
        self._model = self._written()

    def _written(self) -> Model:
        rows = [self._fewest.row(*row) for row in self._rows]
        entries = [(self._number[question], times) for row, _ in rows for question, times in row.items()]
        column, value = np.array(entries, dtype=np.int64).reshape(-1, 2).T
        lower = np.zeros(len(self._number), dtype=np.int64)
        lower[[self._number[self._fewest.comes(state)] for state in self._fewest.always]] = 1
        lower[[self._number[state[:2]] for state in self._fewest.always]] = 1
        board_of = {board: number for number, board in enumerate(self._boards)}
        return Model(
            row=_whole([0, *np.cumsum([len(row) for row, _ in rows])]),
            column=column.astype(np.intp),
            value=value,
            at_least=np.array([least for _, least in rows], dtype=np.int64),
            lower=lower,
            upper=np.ones_like(lower),
            cost=(np.arange(len(lower)) < len(self._boards)).astype(np.int64),
            board=_whole(range(len(self._boards))),
            pick=_whole([self._number[pick] for pick in self._picks]),
            pick_board=_whole([board_of[board] for board, _ in self._picks]),
        )

    # -- the first move -----------------------------------------------------------------------

    def first_cases(self) -> list[Case]:
        """A case for each kind of first move, where there are fewer kinds than moves; else all at once."""
        roots = list(self._fewest.roots)
        board = self._boards.index(roots[0][:2])
        picks = np.flatnonzero(self._model.pick_board == board).tolist()
        kinds: dict[Any, int] = {}
        for pick in picks:
            kind = self._fewest.turned.stored(roots[0], self._picks[pick][1] + roots[0][2:])
            kinds.setdefault(kind, pick)
        if len(roots) > 1 or len(kinds) == len(picks):
            return [[]]
        return [[(board, pick)] for pick in kinds.values()]

    def model_after(self, case: Case) -> Model:
        """The program with some picks made."""
        model = self._model
        lower, upper = model.lower.copy(), model.upper.copy()
        for board, pick in case:
            upper[model.pick[model.pick_board == board]] = 0
            lower[model.pick[pick]] = upper[model.pick[pick]] = lower[model.board[board]] = 1
        return model._replace(lower=lower, upper=upper)

    # -- in the checker's words ---------------------------------------------------------------

    def named(self, case: Case) -> list[list[str | None]]:
        """A case as positions with moves."""
        told: list[list[str | None]] = []
        for board, pick in case:
            at = self._fewest.boards[self._boards[board]][0]
            name = None if pick is None else _move(self._fewest, at, self._picks[pick][1])
            told.append([self._fewest.game.text(at), name])
        return told

    def weighted(self, weights: Whole) -> list[list[Any]]:
        """The rows that count, each with its weight."""
        return [[*self._rows[row], int(weights[row])] for row in np.flatnonzero(weights).tolist()]


def _whole(numbers: Sequence[int]) -> Indices:
    return np.array(numbers, dtype=np.intp)


def _move(fewest: Fewest, at: State, pick: State) -> str:
    """The first move in a position that is a pick."""
    moves = fewest.game.moves(at)
    return min(str(name) for name, after in moves.items() if fewest.alike.stored(at, after)[1] == pick)


def _rows(fewest: Fewest) -> Iterator[tuple[str, str, str]]:
    """The rows that are worth a weight, as `Fewest.row` takes them."""
    text = fewest.game.text
    for states in fewest.boards.values():
        yield "pick", text(states[0]), ""
        if len(states) > 1:
            yield from (("stored", text(state), "") for state in states)
            yield from (
                ("bad", text(state), _move(fewest, state, pick))
                for state in states
                for pick in fewest.picks[state[:2]]
                if pick not in fewest.next[state]
            )
    states, brings = list(fewest.next), _brings(fewest)
    for state, picks in fewest.next.items():
        sure = [all_of(fewest.sure[each] for each in after) for after in picks.values()]
        for number in _members(all_of(sure)):
            target = states[number]
            together = -1
            for each in sure:
                together &= each if each >> number & 1 else -1
            earlier = together & brings[target] & ~fewest.sure[target] & ~brings[state]
            if target not in fewest.always and not earlier:
                yield "brings", text(state), text(target)


def _brings(fewest: Fewest) -> dict[State, int]:
    """For each position the set of those with which it comes for certain."""
    states = list(fewest.next)
    brings = dict.fromkeys(states, 0)
    for number, state in enumerate(states):
        for other in _members(fewest.sure[state]):
            brings[states[other]] |= 1 << number
    return brings


def _members(of: int) -> Iterator[int]:
    """The numbers whose bits are set, rising."""
    while of:
        lowest = of & -of
        yield lowest.bit_length() - 1
        of ^= lowest
