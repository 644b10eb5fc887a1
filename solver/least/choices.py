"""What there is to choose: the boards that may need a stored answer, the moves that keep the claim, what follows.

An and-or graph.  The machine picks one move on each board that comes to it; whatever the visitor does then leads
to further boards, and each of those needs an answer too.  Boards are shared between lines of play, which is why
the fewest answers are no matter of going down a tree.

Positions in which a sheet answers first, and all of the visitor's, are not shown here: only which boards follow
when they have been passed through.
"""

from typing import NamedTuple

import numpy as np

from games.codes import RESULTS, UNFINISHED, Codes, Flags, Indices, MoveIds, MoveList, distinct, win_of
from games.game import inverse_symmetries, least_images
from games.housed import HousedGame
from solver.engines import solve_any
from solver.graph import Graph, explore, reach, without
from solver.least.keeping import keeping
from solver.least.onward import Onward
from solver.progress import Report
from solver.scores import SolvedScores
from solver.solved import Solved, start_values
from solver.strategy import NO_RULE, TURNED, Strategy


class Hopeless(Exception):
    """Whatever is stored, the claim cannot hold: the rules that answer first give it away, or it is lost."""


class NotAlike(Exception):
    """Boards that are alike when turned are not answered alike by the rules that answer first."""


class Choices(NamedTuple):
    """Boards, picks and what follows them.

    boards: (b,) codes of the fair game with the machine to move, least images if `turned`, sorted.
    states: (s,) the same with what house rules count, sorted; board: (s,) the board of each.  Without counters
    states and boards are the same.
    pick_board, pick_move: (p,) what may be stored, sorted by board, then move.
    step_state, step_pick: (t,) each pick in each state of its board in which it keeps the claim, sorted by both;
    follow, first: what may come to the machine next, states ``follow[first[i]:first[i + 1]]`` for step i.
    barred_state, barred_pick: (k,) pairs of a state and a pick of its board that gives the claim away there.
    roots: the states that come to the machine before anything has been picked.
    """

    game: HousedGame
    turned: bool
    boards: Codes
    states: Codes
    board: Indices
    pick_board: Indices
    pick_move: MoveIds
    step_state: Indices
    step_pick: Indices
    follow: Indices
    first: Indices
    barred_state: Indices
    barred_pick: Indices
    roots: Indices


def choices_of(
    game: HousedGame,
    claim: str,
    *,
    turned: bool,
    rules: Strategy | None = None,
    solved: Solved | SolvedScores | None = None,
    report: Report | None = None,
) -> Choices:
    """Everything that may be stored so that `claim` holds, boards alike by symmetry taken as one if `turned`.

    rules: what answers before anything stored is looked up.  solved: the values of `game`, if known already.
    Raises Hopeless where the claim cannot hold, NotAlike where `rules` see more than boards that are alike share,
    solver.graph.TooLarge where there are too many positions.
    """
    values = solved or solve_any(game, report=report)
    if claim == "never-loses" and _is_lost(values, game.seat):
        raise Hopeless
    explorer = _Explorer(game, claim, rules, values, turned=turned)
    start = int(explorer.seen(np.array([game.start], dtype=np.uint64))[0])
    graph = explore(game, explorer.successors, report, start=start)
    safe = _safe(graph, explorer.stored(graph), explorer.at_fault(graph))
    return _gathered(game, graph, explorer.stored(graph), safe, report, turned=turned)


def choices_as_alike(
    game: HousedGame,
    claim: str,
    *,
    turned: bool,
    rules: Strategy | None = None,
    solved: Solved | SolvedScores | None = None,
    report: Report | None = None,
) -> Choices:
    """The same, with every board for itself where the rules that answer first see a difference between those alike.

    `turned` of what comes back says whether boards that are alike were taken as one.
    """
    try:
        return choices_of(game, claim, turned=turned, rules=rules, solved=solved, report=report)
    except NotAlike:
        return choices_of(game, claim, turned=False, rules=rules, solved=solved, report=report)


def _is_lost(solved: Solved | SolvedScores, seat: int) -> bool:
    return not isinstance(solved, SolvedScores) and start_values(solved)[0] == RESULTS[win_of(1 - seat)]


class _Explorer:
    """Follows every move of the visitor's, those that a rule allows, and else the machine's that keep the claim."""

    def __init__(
        self,
        game: HousedGame,
        claim: str,
        rules: Strategy | None,
        solved: Solved | SolvedScores,
        *,
        turned: bool,
    ) -> None:
        self.game, self.claim, self.rules, self.solved, self.turned = game, claim, rules, solved, turned
        self._ruled: list[Codes] = []
        self._faulty: list[Codes] = []

    def seen(self, codes: Codes) -> Codes:
        """Positions as they are stored: their least images if boards that are alike count as one."""
        return least_images(self.game, codes)[0] if self.turned else codes

    def stored(self, graph: Graph) -> Flags:
        """Which positions (n,) need a stored answer: the machine is to move and no rule answers."""
        machine: Flags = (graph.mover == self.game.seat) & (graph.ending == UNFINISHED)
        machine[graph.places(_joined(self._ruled))] = False
        return machine

    def at_fault(self, graph: Graph) -> Flags:
        """The positions (n,) in which a rule allows a move that gives the claim away."""
        faulty = np.zeros(len(graph), dtype=bool)
        faulty[graph.places(_joined(self._faulty))] = True
        return faulty

    def successors(self, codes: Codes) -> MoveList:
        """The moves that are followed from unfinished positions."""
        every = self.game.moves(codes)
        followed = np.ones(len(every.parent), dtype=bool)
        machine = np.flatnonzero(self.game.mover(codes) == self.game.seat)
        if len(machine):
            place = np.full(len(codes), -1, dtype=np.intp)
            place[machine] = np.arange(len(machine))
            own = np.flatnonzero(place[every.parent] >= 0)
            mine = MoveList(place[every.parent[own]], every.move[own], every.child[own])
            followed[own] = self._followed(codes[machine], mine)
        return MoveList(every.parent[followed], every.move[followed], self.seen(every.child[followed]))

    def _followed(self, codes: Codes, moves: MoveList) -> Flags:
        """Which of the machine's moves are followed; notes which positions rules answer, and where they do so badly."""
        kept = keeping(self.solved, self.claim, self.game.seat, codes, moves)
        if self.rules is None:
            return kept
        width = len(self.game.move_names)
        ruled, allowed = _rules_answer(self.rules, self.game.fair_codes(codes), width, turned=self.turned)
        legal = moves.parent * width + moves.move
        by_rule = np.isin(legal, allowed)
        illegal = allowed[~np.isin(allowed, legal)] // width
        self._ruled.append(codes[ruled])
        self._faulty.append(codes[distinct(np.concatenate([illegal, moves.parent[by_rule & ~kept]]))])
        return np.where(ruled[moves.parent], by_rule, kept)


def _joined(parts: list[Codes]) -> Codes:
    return np.concatenate(parts) if parts else np.zeros(0, dtype=np.uint64)


def _rules_answer(rules: Strategy, codes: Codes, width: int, *, turned: bool) -> tuple[Flags, Indices]:
    """Which boards (n,) a rule answers, and what is allowed there: place * width + move, sorted.

    Raises NotAlike if boards that are alike should count as one and are not answered alike.
    """
    answers = rules.answers(codes)
    allowed = answers.place * width + answers.move
    if turned and rules.choice != TURNED:
        back = inverse_symmetries(rules.game)
        for symmetry in range(1, rules.game.symmetries):
            there = rules.answers(rules.game.turned(symmetry, codes))
            moves = rules.game.turned_move(back[symmetry], there.move)
            if not np.array_equal(np.sort(there.place * width + moves), allowed):
                raise NotAlike
    return answers.rule != NO_RULE, allowed


def _safe(graph: Graph, stored: Flags, at_fault: Flags) -> Flags:
    """From which positions (n,) the claim can still hold, whatever the visitor does: the greatest such set."""
    safe = ~at_fault
    unfinished = graph.ending == UNFINISHED
    while True:
        good = safe[graph.child]
        ways = np.bincount(graph.parent[good], minlength=len(graph))
        every = np.bincount(graph.parent, minlength=len(graph))
        now = safe & (~unfinished | np.where(stored, ways > 0, ways == every))
        if np.array_equal(now, safe):
            return safe
        safe = now


def _gathered(
    game: HousedGame, graph: Graph, stored: Flags, safe: Flags, report: Report | None, *, turned: bool
) -> Choices:
    """The choices in a graph, without what cannot come while only safe moves are picked."""
    if not safe[graph.start]:
        raise Hopeless
    met = _met(graph, safe)
    where = np.flatnonzero(stored & met)
    number = np.full(len(graph), -1, dtype=np.intp)
    number[where] = np.arange(len(where))
    onward = Onward(graph, number, report)
    boards, board = np.unique(game.fair_codes(graph.codes[where]), return_inverse=True)
    edges = np.flatnonzero((number[graph.parent] >= 0) & safe[graph.child])
    state = number[graph.parent[edges]]
    width = len(game.move_names)
    picks, pick = np.unique(board[state] * width + graph.move[edges], return_inverse=True)
    follow, first = onward.states_after(graph.child[edges])
    barred = _barred(board, picks // width, state * len(picks) + pick)
    return Choices(
        game=game,
        turned=turned,
        boards=boards,
        states=graph.codes[where],
        board=board,
        pick_board=picks // width,
        pick_move=(picks % width).astype(np.uint16),
        step_state=state,
        step_pick=pick,
        follow=follow,
        first=first,
        barred_state=barred // len(picks) if len(picks) else barred,
        barred_pick=barred % len(picks) if len(picks) else barred,
        roots=onward.states_after(np.array([graph.start], dtype=np.intp))[0],
    )


def _met(graph: Graph, safe: Flags) -> Flags:
    """Which positions (n,) can come while nobody leaves the safe ones; from a safe one the visitor cannot."""
    met = np.zeros(len(graph), dtype=bool)
    frontier = np.array([graph.start], dtype=np.intp)
    while len(frontier):
        met[frontier] = True
        children = graph.child[reach(frontier, graph.first_edge)]
        frontier = distinct(children[safe[children] & ~met[children]])
    return met


def _barred(board: Indices, pick_board: Indices, steps: Indices) -> Indices:
    """State * picks + pick for each pick that its board has in another state, but not in this one."""
    bounds = np.searchsorted(pick_board, np.arange(len(board) and board.max() + 2))
    counts = np.diff(bounds)[board]
    state = np.repeat(np.arange(len(board)), counts)
    pick = reach(board, bounds.astype(np.intp))
    return without(distinct(state * len(pick_board) + pick), steps)
