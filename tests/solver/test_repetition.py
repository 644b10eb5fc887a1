"""A limit of repetitions against a solver that carries the whole history of visits: nothing that is said changes.

The theorem and its proof stand in games/repetition.py.
"""

from functools import cache

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from games.house import load_house_rules
from games.housed import HousedGame
from games.load import load_game, parse_game
from games.repetition import repeated, repetition_limit, without_repetition_limit
from solver.coming import coming_again
from solver.engines import solve_game
from solver.graph import explore
from solver.limit_cost import limit_cost
from solver.proof import PROVED, prove
from solver.solved import start_values
from solver.values import best_play
from tests.solver.test_loops import VALUES, drawings, position_of, strategies
from tests.solver.toy import Plain, Toy, strategy

CLAIMS = ("never-loses", "best-value", "quickest")
COMINGS = st.sampled_from([2, 2, 3])
SMALL = 7


class WithHistory:
    """A drawing in which a position that comes for the n-th time is a draw: how often each has come is the state.

    `children` and `chooser` are as in `Plain`: who picks among what.
    """

    def __init__(self, drawing, comings, children=None, chooser=None):
        self.drawing, self.comings = drawing, comings
        self.children = children or (lambda position: drawing[position][1])
        self.chooser = chooser or (lambda position: drawing[position][0])
        self.result = cache(self._result)

    def begun_at(self, position):
        return self.after((0,) * len(self.drawing), position)

    def after(self, visits, position):
        """The state in which a position comes once more."""
        return (*visits[:position], visits[position] + 1, *visits[position + 1 :]), position

    def next(self, state):
        visits, position = state
        if isinstance(self.drawing[position], str) or visits[position] >= self.comings:
            return []
        return [self.after(visits, child) for child in self.children(position)]

    def _result(self, state):
        """Who wins and in how many plies, or (None, None)."""
        entry = self.drawing[state[1]]
        if entry in ("first", "second"):
            return ("first", "second").index(entry), 0
        results = [self.result(after) for after in self.next(state)]
        if not results:
            return None, None
        player = self.chooser(state[1])

        def rank(result):
            winner, plies = result
            return (0, plies) if winner == player else (1, 0) if winner is None else (2, -plies)

        winner, plies = min(results, key=rank)
        return (None, None) if winner is None else (winner, plies + 1)

    def states(self):
        """Every state that can be met from the start."""
        found, waiting = set(), [self.begun_at(0)]
        while waiting:
            state = waiting.pop()
            if state not in found:
                found.add(state)
                waiting += self.next(state)
        return found


@given(drawings(most=SMALL + 1), COMINGS)
def test_values_and_distances_are_those_of_the_game_without_the_limit(drawing, comings):
    graph = explore(repeated(Toy(drawing), comings))
    values, history = best_play(graph), WithHistory(drawing, comings)
    for place in range(len(graph)):
        winner, plies = history.result(history.begun_at(position_of(graph, place)))
        assert values.value[place] == VALUES[winner]
        assert values.distance[place] == (-1 if plies is None else plies)


class Judged:
    """A strategy on a drawing with a limit of repetitions, judged by definition."""

    def __init__(self, drawing, comings, seat, allowed):
        self.seat, self.drawing, self.allowed = seat, drawing, allowed
        self.best = Plain(drawing)
        self.sure = WithHistory(drawing, comings, self.children, lambda _: 1 - seat)
        self.states = self.sure.states()

    def children(self, position):
        mover, children = self.drawing[position]
        return children if mover != self.seat else [children[move] for move in sorted(self.allowed[position])]

    def holds_at(self, claim, state):
        """Whether the machine is sure, from a state on, of what its position is worth."""
        winner, plies = self.sure.result(state)
        value, distance = self.best.value(state[1])
        if claim == "never-loses":
            return winner != 1 - self.seat
        if value == 1 - self.seat:
            return True
        if value == self.seat:
            return winner == self.seat and (claim == "best-value" or plies <= distance)
        return winner != 1 - self.seat

    def holds(self, claim, *, with_history):
        """`with_history`: whatever has come before; else with counting begun at each position met."""
        if claim == "never-loses":
            return self.holds_at(claim, self.sure.begun_at(0))
        states = (
            self.states if with_history else {self.sure.begun_at(position) for _, position in self.states}
        )
        return all(self.holds_at(claim, state) for state in states)


@given(st.data())
def test_verdicts_are_those_of_the_game_without_the_limit(data):
    drawing, comings = data.draw(drawings(most=SMALL)), data.draw(COMINGS)
    seat, claim = data.draw(st.integers(0, 1)), data.draw(st.sampled_from(CLAIMS))
    allowed = data.draw(strategies(drawing, seat))
    game = repeated(Toy(drawing), comings)
    proof = prove(strategy(game, seat, allowed), claim, load_house_rules("usual", game))
    judged = Judged(drawing, comings, seat, allowed)
    proved = proof.verdict == PROVED
    assert proved == judged.holds(claim, with_history=False)
    seat_is_lost = judged.best.value(0)[0] == 1 - seat
    if proved or comings > 2 or not seat_is_lost:
        assert proved == judged.holds(claim, with_history=True)


def test_in_a_lost_seat_a_second_coming_may_give_back_what_was_given_away():
    """The visitor lets the machine off (0 to 2), which goes back (2 to 0): a draw if n is 2, and lost if it is 3."""
    drawing = [(1, [1, 2]), "second", (0, [0, 3]), "draw"]
    allowed = {2: {0}}
    for comings in (2, 3):
        game = repeated(Toy(drawing), comings)
        proof = prove(strategy(game, 0, allowed), "best-value", load_house_rules("usual", game))
        judged = Judged(drawing, comings, 0, allowed)
        assert proof.verdict == "refuted"
        assert not judged.holds("best-value", with_history=False)
        assert judged.holds("best-value", with_history=True) == (comings == 2)


@pytest.mark.parametrize("house", ["usual", "lost-turn", "three-warnings"])
@given(drawings(most=4), COMINGS, st.integers(0, 1))
def test_house_rules_make_just_another_game_that_goes_round(house, drawing, comings, seat):
    """A lost turn is a move, and what is forgiven is counted in the position: all positions have their own visits."""
    game = repeated(Toy(drawing), comings)
    graph = explore(HousedGame(game, load_house_rules(house, game), seat))
    assume(len(graph) <= 10)
    drawn, places = as_drawing(graph)
    values, history = best_play(graph), WithHistory(drawn, comings)
    for number, place in enumerate(places):
        winner, plies = history.result(history.begun_at(number))
        assert values.value[place] == VALUES[winner]
        assert values.distance[place] == (-1 if plies is None else plies)


def as_drawing(graph):
    """A graph as a drawing, and the place of each position of it."""
    places = [graph.start, *(place for place in range(len(graph)) if place != graph.start)]
    number = {place: at for at, place in enumerate(places)}
    endings = {1: "first", 2: "second", 3: "draw"}
    return [
        endings.get(graph.ending[place])
        or (int(graph.mover[place]), [number[int(graph.child[edge])] for edge in graph.edges_of(place)])
        for place in places
    ], places


SLIDE = """\
kind = "game"
family = "steps"
columns = {points}
rows = 1
cells = [{cells}]
steps = [{steps}]
start = ["{start}"]
repetition-limit = {comings}
"""


@pytest.mark.parametrize("house", [None, "usual", "lost-turn"])
@pytest.mark.parametrize("comings", [2, 3])
@pytest.mark.parametrize(
    ("start", "steps"),
    [("F_S", '["1", "2", "3"]'), ("FS_", '["1", "2", "3"], ["1", "3"]'), ("F_S_", '["1", "2", "3", "4"]')],
)
def test_tiny_games_of_sliding(start, steps, comings, house):
    cells = ", ".join(f'"{cell + 1}"' for cell in range(len(start)))
    text = SLIDE.format(points=len(start), cells=cells, steps=steps, start=start, comings=comings)
    game = parse_game(text, "tiny.toml")
    assert repetition_limit(game) == comings
    played = game if house is None else HousedGame(game, load_house_rules(house, game), 0)
    assert repetition_limit(played) == comings
    graph = explore(played)
    drawn, _ = as_drawing(graph)
    history = WithHistory(drawn, comings)
    winner, plies = history.result(history.begun_at(0))
    assert start_values(solve_game(played)) == (
        ("first", "second", "draw")[2 if winner is None else winner],
        plies,
    )
    assert start_values(solve_game(without_repetition_limit(game)))[0] == start_values(solve_game(game))[0]


def test_the_fast_layout_solves_it_too_and_keeps_the_limit():
    game = load_game("three-mens-morris")
    endless, short = solve_game(game), solve_game(repeated(game, 3))
    assert type(short) is type(endless)
    assert type(short).__name__ == "Slides"
    assert start_values(short) == start_values(endless) == ("first", 9)
    assert repetition_limit(short.game) == 3
    cost = limit_cost(short)
    assert (cost.kind, cost.positions, cost.counts) == (
        "repetitions",
        5390,
        int(coming_again(explore(game)).sum()),
    )
