"""Weights for each cell by itself, whose moves a program can take from one short table.

A program looks for such a table, and for a few further lines, by the moves of a sheet that is there
(`budget.lowering.answering.weights_listed`), and seldom finds any.  Here tables come first: what one takes is followed
through every line of play, and only where that keeps the claim it is put into the words of a sheet.
"""

from collections.abc import Callable, Iterator
from itertools import combinations, product
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from games.codes import Flags
from games.game import LineGame
from games.housed import HousedGame
from solver.graph import reach
from solver.least.choices import Choices, choices_of
from solver.least.model import Whole
from solver.least.weights import rule_lines
from solver.least.weights_groups import Groups, groups_of
from solver.least.weights_terms import APART, Term, terms_of
from solver.meanings import CellWeight, LineWeight
from solver.sheet.rules import Marked
from solver.sheet.weight_reader import MOST

MOST_FURTHER = 2
"""Further lines, besides those of the game."""
MOST_LISTS, MOST_TABLES = 1600, 1024
"""Lists of further lines, and tables for each, that are tried."""
LISTS_A_LOOK = 10
MOST_CELLS = 10
"""Boards with more cells have too many positions to go through for every list."""
SHORTEST = 3
"""Cells of a line: in a shorter one there is nothing to tell apart but what wins and what must be stopped."""
MOST_ROUNDS = 20_000
"""How often weights are changed before other moves are tried."""

Numbers = npt.NDArray[np.int64]
Moves = dict[int, int]
"""What is taken in each state that may come, by their numbers."""


def rules_by_cells(game: HousedGame, fair: LineGame, claim: str, goes_on: Callable[[], bool]) -> list[str]:
    """The lines of a rule that weighs each cell by itself; none where no table keeps the claim in such words.

    goes_on: looked at after some lists of lines; False asks for an end.
    Raises solver.least.choices.Hopeless where nothing keeps the claim.
    """
    is_small = fair.board.size <= MOST_CELLS and all(line.bit_count() >= SHORTEST for line in fair.lines)
    if not is_small or tuple(fair.move_names) != tuple(fair.board.names):  # a move has to be a cell
        return []
    choices = choices_of(game, claim, turned=False)
    terms = [*_cells(fair), *(term for term in terms_of(fair, APART) if isinstance(term.unit, LineWeight))]
    for moves in _Tables(choices, fair).plays(goes_on):
        weights = _weights(groups_of(_only(choices, moves), fair, terms), list(moves))
        if weights is not None:
            return rule_lines(terms, weights.tolist())
    return []


def _cells(game: LineGame) -> list[Term]:
    return [Term(name, CellWeight(1, 1 << cell)) for cell, name in enumerate(game.board.names)]


def _only(choices: Choices, moves: Moves) -> Choices:
    """The same with nothing to choose: these moves, and no other state."""
    taken = choices.pick_move[choices.step_pick]
    kept = [
        step
        for step, (state, move) in enumerate(zip(choices.step_state.tolist(), taken.tolist(), strict=True))
        if moves.get(state) == move
    ]
    steps = np.array(kept, dtype=np.intp)
    counts = np.diff(choices.first)[steps]
    return choices._replace(
        step_state=choices.step_state[steps],
        step_pick=choices.step_pick[steps],
        follow=choices.follow[reach(steps, choices.first)],
        first=np.concatenate([[0], np.cumsum(counts)]).astype(np.intp),
    )


def _weights(groups: Groups, states: list[int]) -> Whole | None:
    """Weights with which the one good group is the heaviest in each of some states; None if none are found soon.

    Whatever is least heavy against another group is given more weight, over and over: in whole numbers, so that every
    computer comes to the same.
    """
    rows = []
    for state in states:
        good = groups.good_of(state)
        if len(good) != 1:
            return None  # a cell that weighs the same is not to be taken
        others = groups.of(state)
        rows.append(groups.vector[good[0]] - groups.vector[others[others != good[0]]])
    needs = np.unique(np.concatenate(rows), axis=0)
    weights = np.zeros(needs.shape[1], dtype=np.int64)
    for _ in range(MOST_ROUNDS):
        ahead = needs @ weights
        worst = int(ahead.argmin())
        if ahead[worst] > 0:
            return weights if np.abs(weights).max() <= MOST else None
        weights += needs[worst]
    return None


class _Lists(NamedTuple):
    """Further lines, and tables: what a line adds by how many more marks of the visitor's it holds than of ours."""

    further: list[tuple[int, ...]]
    tables: Numbers

    @classmethod
    def of(cls, game: LineGame) -> "_Lists":
        """Lines of the game once more, two cells, or one; small numbers, but for what wins and what must be stopped."""
        cells = [1 << cell for cell in range(game.board.size)]
        lines = [*game.lines, *(one | other for one, other in combinations(cells, 2)), *cells]
        further = [each for count in range(MOST_FURTHER + 1) for each in combinations(lines, count)]
        inner, top = 2 * max(line.bit_count() for line in game.lines) - 3, 1
        while (top + 2) ** inner <= MOST_TABLES:
            top += 1
        numbers = product(range(top + 1), repeat=inner)
        return cls(
            further[:MOST_LISTS],
            np.array([(12 * (top + 1), *each, 5 * (top + 1)) for each in numbers], dtype=np.int64),
        )


class _Tables:
    """The states that may come to the machine, and the tables that are tried in them."""

    def __init__(self, choices: Choices, game: LineGame) -> None:
        view = Marked.of(game, choices.boards[choices.board], choices.game.seat)
        self._mine, self._visitors = view.mine.astype(np.int64), view.visitors.astype(np.int64)
        self._order = np.argsort(np.bitwise_count(view.mine | view.visitors), kind="stable").tolist()
        self._cells = np.arange(game.board.size)
        self._taken = (self._mine | self._visitors)[:, None] >> self._cells & 1 == 1
        long = max(line.bit_count() for line in game.lines)
        self._entries = np.arange(1 - long, long)
        self._lists = _Lists.of(game)
        self._held = sum((self._entries_of(line) for line in game.lines), self._entries_of(0))
        self._roots: list[int] = choices.roots.tolist()
        self._after = _after(choices)

    def _entries_of(self, line: int) -> Numbers:
        """(states, cells, entries): 1 for the entry of the table that a line adds to what a cell of it weighs."""
        more = np.bitwise_count(self._visitors & line).astype(np.int64) - np.bitwise_count(self._mine & line)
        through = line >> self._cells & 1
        held: Numbers = (more[:, None, None] == self._entries).astype(np.int64) * through[:, None]
        return held

    def plays(self, goes_on: Callable[[], bool]) -> Iterator[Moves]:
        """What is taken by each table that keeps the claim, those with the fewest further lines first."""
        for number, further in enumerate(self._lists.further):
            if number % LISTS_A_LOOK == 0 and not goes_on():
                return
            held = sum(map(self._entries_of, further), self._held)
            alive = self._alive(held)
            if alive.any():
                yield self._moves(held, self._lists.tables[int(alive.argmax())])

    def _alive(self, held: Numbers) -> Flags:
        """Which tables keep the claim, (tables,): whatever the visitor does, each move that they take keeps it."""
        tables = self._lists.tables
        alive = np.ones(len(tables), dtype=np.bool_)
        comes = {state: alive.copy() for state in self._roots}  # for which tables a state may come
        for state in self._order:
            if state not in comes:
                continue
            there = np.flatnonzero(comes.pop(state) & alive)
            taken = self._heaviest(state, held, tables[there])
            for move in np.unique(taken).tolist():
                after = self._after.get((state, move))
                some = there[taken == move]
                if after is None:
                    alive[some] = False
                    continue
                for each in after:
                    comes.setdefault(each, np.zeros(len(tables), dtype=np.bool_))[some] = True
            if not alive.any():
                break
        return alive

    def _heaviest(self, state: int, held: Numbers, tables: Numbers) -> Numbers:
        """The first of the heaviest free cells, by each table."""
        weights = held[state] @ tables.T
        weights[self._taken[state]] = -1
        heaviest: Numbers = weights.argmax(axis=0)
        return heaviest

    def _moves(self, held: Numbers, table: Numbers) -> Moves:
        """What one table takes."""
        moves: Moves = {}
        waiting = list(self._roots)
        while waiting:
            state = waiting.pop()
            if state not in moves:
                moves[state] = int(self._heaviest(state, held, table[None])[0])
                waiting.extend(self._after[state, moves[state]])
        return moves


def _after(choices: Choices) -> dict[tuple[int, int], list[int]]:
    """The states that may come after a move that keeps the claim, by state and move."""
    bounds = choices.first.tolist()
    moves = choices.pick_move[choices.step_pick].tolist()
    return {
        (state, move): choices.follow[bounds[step] : bounds[step + 1]].tolist()
        for step, (state, move) in enumerate(zip(choices.step_state.tolist(), moves, strict=True))
    }
