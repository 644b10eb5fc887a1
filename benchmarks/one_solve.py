"""Solve one workload in a process of its own and print, as JSON, what came out and the processor time it took.

usage: one_solve.py WORKLOAD MEGABYTES    what is imported is imported before the clock starts
       one_solve.py --minimax             plain minimaxes with a dictionary, for comparison
"""

from __future__ import annotations

import json
import sys
import time
from functools import partial
from importlib import import_module
from math import comb
from pathlib import Path
from pkgutil import iter_modules
from typing import Any

import numpy as np
from workloads import WORKLOADS, marks

import solver
from games.codes import DRAW
from games.load import load_game, parse_game
from solver.engines import solve_game, solve_plainly
from solver.graph import TooLarge
from solver.solve import solve

HERE = Path(__file__).resolve().parent
MINIMAX_OPENING = ((0,), (3,))
"""The cells that the two players hold before a minimax begins: a game of a million positions, with fewer moves in each
than the whole game has (4.6 instead of 5.3), which is in the minimax's favour."""


def main() -> None:
    for module in iter_modules(solver.__path__):
        if not module.ispkg:
            import_module(
                f"solver.{module.name}"
            )  # engines are loaded where they are needed, and that costs time
    found = (
        minimax_beside_solver() if sys.argv[1] == "--minimax" else solved(sys.argv[1], int(sys.argv[2]) << 20)
    )
    print(json.dumps(found))


def solved(name: str, memory: int) -> dict[str, Any]:
    workload = WORKLOADS[name]
    game = (
        load_game(HERE / workload.game) if workload.game.endswith(".py") else parse_game(workload.game, name)
    )
    engine = solve_plainly if workload.plainly else solve_game
    start = time.process_time()
    try:
        solution = solve(game, solver=partial(engine, memory=memory))
    except TooLarge as too_large:
        return {"refused": str(too_large)}
    found = {"value": solution.value, "distance": solution.distance, "positions": solution.positions}
    seconds = time.process_time() - start
    arrangements = getattr(solution.solved, "arrangements", None)
    if arrangements is not None:
        found |= {"moving": arrangements, "placing": placings(game)}
    return {**found, "engine": type(solution.solved).__name__, "seconds": seconds}


def placings(game: Any) -> int:
    """In how many ways fewer than all men can stand, seen by who is to place the next, unlawful ones included."""
    points, men = game.board.size, game.setting.men[0]
    return sum(comb(points, ply // 2) * comb(points - ply // 2, (ply + 1) // 2) for ply in range(2 * men))


# Plain minimax --------------------------------------------------------------------------------------------
#
# Four in a row on 4 x 4 by recursion and a dictionary of what is known.  Values are 0 for a draw, 100 - d for a win in
# d plies and d - 100 for a loss, seen by who is to move.

SIDE = 4
LINES = [
    *([row * SIDE + column for column in range(SIDE)] for row in range(SIDE)),
    *([row * SIDE + column for row in range(SIDE)] for column in range(SIDE)),
    [place * (SIDE + 1) for place in range(SIDE)],
    [(place + 1) * (SIDE - 1) for place in range(SIDE)],
]


class OnTexts:
    """As everybody writes it first: a board is a string."""

    def __init__(self) -> None:
        self.known: dict[str, int] = {}

    def best(self, board: str, own: str, other: str) -> int:
        if board in self.known:
            return self.known[board]
        if any(all(board[cell] == other for cell in line) for line in LINES):
            value = -100
        elif "." not in board:
            value = 0
        else:
            value = -100
            for cell in range(len(board)):
                if board[cell] == ".":
                    value = max(value, -self.best(board[:cell] + own + board[cell + 1 :], other, own))
            value -= (value > 0) - (value < 0)  # one ply farther away
        self.known[board] = value
        return value


class OnBits:
    """The same by somebody who has thought about it: a board is two sets of bits."""

    def __init__(self) -> None:
        self.lines = [sum(1 << cell for cell in line) for line in LINES]
        self.full = (1 << SIDE**2) - 1
        self.known: dict[tuple[int, int], int] = {}

    def best(self, own: int, other: int) -> int:
        known = self.known.get((own, other))
        if known is not None:
            return known
        if any(other & line == line for line in self.lines):
            value = -100
        elif own | other == self.full:
            value = 0
        else:
            value = -100
            free = self.full & ~(own | other)
            while free:
                cell = free & -free
                free ^= cell
                value = max(value, -self.best(other, own | cell))
            value -= (value > 0) - (value < 0)  # one ply farther away
        self.known[own, other] = value
        return value


def minimax_beside_solver() -> dict[str, Any]:
    """Time both, and hold every value of theirs against the solver's."""
    first, second = (sum(1 << cell for cell in cells) for cells in MINIMAX_OPENING)
    board = "".join(
        "FS."[0 if first >> cell & 1 else 1 if second >> cell & 1 else 2] for cell in range(SIDE**2)
    )
    start = time.process_time()
    on_texts = OnTexts()
    on_texts.best(board, "F", "S")
    middle = time.process_time()
    on_bits = OnBits()
    on_bits.best(first, second)
    end = time.process_time()
    found = values_of_solver(first, second, list(on_bits.known))
    same_texts = {_text(own, other): value for (own, other), value in on_bits.known.items()} == on_texts.known
    if found != list(on_bits.known.values()) or not same_texts:
        sys.exit("the minimaxes and the solver do not agree")
    return {"positions": len(on_bits.known), "seconds": middle - start, "seconds_on_bits": end - middle}


def values_of_solver(first: int, second: int, positions: list[tuple[int, int]]) -> list[int]:
    """The values of these positions, in the minimax's way of saying them, by functions on arrays."""
    game = parse_game(marks(SIDE, SIDE, SIDE), "four-by-four.toml")
    codes = np.array([_code(game, *position) for position in positions], dtype=np.uint64)
    found = solve_plainly(game, start=game.code_of(first, second, 0)).look_up(codes)
    wins = np.where(found.value == DRAW, 0, np.where(found.value == game.mover(codes) + 1, 1, -1))
    values: list[int] = (wins * (100 - found.distance)).tolist()
    return values


def _text(own: int, other: int) -> str:
    signs = "FS." if bin(own | other).count("1") % 2 == 0 else "SF."
    return "".join(signs[0 if own >> cell & 1 else 1 if other >> cell & 1 else 2] for cell in range(SIDE**2))


def _code(game: Any, own: int, other: int) -> int:
    mover = bin(own | other).count("1") % 2
    return int(game.code_of(*((own, other) if mover == 0 else (other, own)), mover))


if __name__ == "__main__":
    main()
