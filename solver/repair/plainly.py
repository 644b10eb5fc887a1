"""Answers in front of a strategy out of best play: not the fewest there are, but there at once.

Wherever the strategy, with what stands in front of it by now, gives something away, it is overruled by the least of the
best moves; then what it meets is gone through again.  In the end each answer is left out that can be.
"""

import math
import time

import numpy as np

from games.codes import Codes, Flags, Indices, MoveIds, by_parent, distinct
from games.game import least_images, scored
from games.house import HouseRules
from games.housed import HousedGame
from solver.engines import solve_any
from solver.least.answers import LeastAnswers
from solver.played import Judged, judge_moves, on_least_image
from solver.proof import PROVED, prove
from solver.repair.answers import with_answers
from solver.scores import SolvedScores
from solver.solved import Solved
from solver.strategy import Strategy
from solver.walk import Walk, walk

Stored = dict[int, int]
"""The move stored for a board."""


def plain_answers(
    strategy: Strategy, claim: str, house: HouseRules, *, turned: bool, bound: int, seconds: float = math.inf
) -> LeastAnswers | None:
    """Answers in front of a strategy with which `claim` holds; None where no move is best with all counts.

    turned: whether boards that are alike count as one.  bound: how few there can be, as it is known.
    seconds: how long to look for answers that are not needed.
    """
    end = time.monotonic() + seconds
    game = HousedGame(strategy.game, house, strategy.seat)
    solved = solve_any(game)
    stored: Stored = {}
    while True:
        found = walk(game, _in_front(strategy, stored, turned=turned))
        more = _mended(found, solved, _gives_away(found, solved, claim), turned=turned)
        if not more:
            break
        if None in more.values() or more.keys() & stored.keys():
            return None
        stored |= {board: move for board, move in more.items() if move is not None}
    for board in sorted(stored):
        fewer = {each: move for each, move in stored.items() if each != board}
        if time.monotonic() > end:
            break
        if prove(_in_front(strategy, fewer, turned=turned), claim, house).verdict == PROVED:
            stored = fewer
    proof = prove(_in_front(strategy, stored, turned=turned), claim, house)
    if proof.verdict != PROVED:
        return None
    return LeastAnswers(turned, *_arrays(stored), bound, bound, 0, proof)


def _arrays(stored: Stored) -> tuple[Codes, MoveIds]:
    boards = sorted(stored)
    return np.array(boards, dtype=np.uint64), np.array([stored[board] for board in boards], dtype=np.uint16)


def _in_front(strategy: Strategy, stored: Stored, *, turned: bool) -> Strategy:
    return with_answers(strategy, *_arrays(stored), turned=turned)


def _gives_away(found: Walk, solved: Solved | SolvedScores, claim: str) -> Indices:
    """The places of positions met in which the claim may be lost, or a win be put off."""
    graph = found.graph
    edges = np.flatnonzero(found.machine[graph.parent])
    played = (graph.parent[edges], graph.move[edges], graph.child[edges])
    judged = judge_moves(found.game, solved, graph.codes, played)
    worse: Flags = judged.after < judged.before
    if claim == "never-loses" and scored(found.game) is None:
        worse &= judged.after == 0
    else:
        worse |= judged.later > 0
    illegal = np.array([place for place, _ in found.illegal], dtype=np.intp)
    return distinct(np.concatenate([played[0][worse], illegal, found.unanswered]))


def _mended(
    found: Walk, solved: Solved | SolvedScores, places: Indices, *, turned: bool
) -> dict[int, int | None]:
    """For the board of each place the least move that is best whatever house rules have counted; None for none."""
    game, graph = found.game, found.graph
    fair = game.fair_codes(graph.codes)
    boards = least_images(game.fair, fair)[0] if turned else fair
    places = np.flatnonzero(found.machine & np.isin(boards, boards[places]))
    moves = by_parent(game.moves(graph.codes[places]))
    known = distinct(np.concatenate([graph.codes[places], moves.child]))
    at = np.searchsorted(known, graph.codes[places])
    judged: Judged = judge_moves(
        game, solved, known, (at[moves.parent], moves.move, np.searchsorted(known, moves.child))
    )
    best = (judged.after == judged.before) & (judged.later == 0)
    names = on_least_image(game.fair, fair[places][moves.parent], moves.move)[1] if turned else moves.move
    common: dict[int, set[int]] = {}
    for number, place in enumerate(places.tolist()):
        allowed = set(names[best & (moves.parent == number)].tolist())
        board = int(boards[place])
        common[board] = common.get(board, allowed) & allowed
    return {board: min(allowed, default=None) for board, allowed in common.items()}
