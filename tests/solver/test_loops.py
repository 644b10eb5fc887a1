"""Games in which play can go round for ever: values, distances, claims and their witnesses, on drawn graphs."""

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from games.house import load_house_rules
from solver.counts import lines_of_play, longest_line
from solver.graph import explore
from solver.header import CLAIMS
from solver.proof import prove
from solver.values import best_play, sure_results
from tests.solver.toy import Plain, Toy, strategy

VALUES = {0: 1, 1: 2, None: 3}


@st.composite
def drawings(draw, most=10):
    """A random graph whose start is unfinished."""
    size = draw(st.integers(2, most))
    child = st.integers(0, size - 1)
    node = st.tuples(st.integers(0, 1), st.lists(child, min_size=1, max_size=3, unique=True))
    ending = st.sampled_from(["first", "second", "draw"])
    return [draw(node), *(draw(st.one_of(node, node, node, ending)) for _ in range(size - 1))]


@st.composite
def strategies(draw, drawing, seat, *, total=True):
    """For each position of the machine's some of its moves (at least one, if `total`)."""
    allowed = {}
    for position, entry in enumerate(drawing):
        if isinstance(entry, tuple) and entry[0] == seat:
            every = st.integers(0, len(entry[1]) - 1)
            least = 1 if total else draw(st.integers(0, 1))
            allowed[position] = draw(st.sets(every, min_size=least, max_size=2))
    return allowed


def position_of(graph, place):
    return int(graph.codes[place]) & 63


@given(drawings())
def test_values_and_distances_are_those_of_the_definition(drawing):
    graph = explore(Toy(drawing))
    values = best_play(graph)
    plain = Plain(drawing)
    for place in range(len(graph)):
        winner, plies = plain.value(position_of(graph, place))
        assert values.value[place] == VALUES[winner]
        assert values.distance[place] == (-1 if plies is None else plies)


@given(drawings(), st.integers(0, 1))
def test_a_player_who_chooses_everything_gets_what_some_path_gives(drawing, chooser):
    """Checked by plain walks of networkx: a win if a path leads to one, else no loss if a path can avoid it."""
    graph = explore(Toy(drawing))
    values = sure_results(graph, chooser)
    plays = nx.DiGraph()
    plays.add_nodes_from(range(len(graph)))
    plays.add_edges_from(zip(graph.parent.tolist(), graph.child.tolist(), strict=True))
    for place in plays:
        paths = nx.single_source_shortest_path_length(plays, place)
        wins = [plies for end, plies in paths.items() if graph.ending[end] == chooser + 1]
        circles = any(
            len(part) > 1 or plays.has_edge(*2 * tuple(part))
            for part in nx.strongly_connected_components(plays.subgraph(paths))
        )
        if wins:
            assert (values.value[place], values.distance[place]) == (chooser + 1, min(wins))
        elif circles or any(graph.ending[end] == 3 for end in paths):
            assert (values.value[place], values.distance[place]) == (3, -1)
        else:
            assert (values.value[place], values.distance[place]) == (
                2 - chooser, nx.dag_longest_path_length(plays.subgraph(paths)))  # fmt: skip


@given(drawings())
def test_play_without_end_is_told_by_counts_that_are_none(drawing):
    graph = explore(Toy(drawing))
    plays = nx.MultiDiGraph(zip(graph.parent.tolist(), graph.child.tolist(), strict=True))
    if nx.is_directed_acyclic_graph(plays):
        assert longest_line(graph) == nx.dag_longest_path_length(plays)
        ends = [end for end in plays if not plays.out_degree(end)]
        lines = sum(1 for end in ends for _ in nx.all_simple_edge_paths(plays, graph.start, end))
        assert lines_of_play(graph)["all"] == lines
    else:
        assert longest_line(graph) is None
        assert lines_of_play(graph) is None


def test_a_way_back_to_the_start_is_play_without_end():
    assert (
        longest_line(explore(Toy([(0, [3, 5, 0]), (1, [5]), "second", (0, [4, 5, 2]), "second", "second"])))
        is None
    )
    assert longest_line(explore(Toy([(0, [1]), (1, [0])]))) is None


class Checked:
    """A strategy on a drawing, judged by definition."""

    def __init__(self, drawing, seat, allowed):
        self.drawing, self.seat, self.allowed = drawing, seat, allowed
        self.best = Plain(drawing)
        self.sure = Plain(drawing, self.children, lambda _: 1 - seat)
        self.met = {0}
        waiting = [0]
        while waiting:
            new = set(self.children(waiting.pop())) - self.met
            self.met |= new
            waiting += new
        self.machine = [p for p in self.met if isinstance(drawing[p], tuple) and drawing[p][0] == seat]

    def children(self, position):
        entry = self.drawing[position]
        if isinstance(entry, str):
            return []
        if entry[0] != self.seat:
            return entry[1]
        return [entry[1][move] for move in sorted(self.allowed.get(position, ()))]

    def holds(self, claim):
        if claim == "never-loses":
            return all(self.drawing[position] != ("second", "first")[self.seat] for position in self.met)
        return all(self._holds_at(claim, position) for position in self.met)

    def _holds_at(self, claim, position):
        winner, plies = self.best.value(position)
        sure, sure_plies = self.sure.value(position)
        if winner == self.seat:
            return sure == self.seat and (claim == "best-value" or sure_plies <= plies)
        return winner is not None or sure != 1 - self.seat

    def keeps(self, claim, before, after):
        """Whether the claim can still hold after a machine move."""
        (old, old_plies), (new, new_plies) = self.best.value(before), self.best.value(after)
        if claim == "never-loses":
            return new != 1 - self.seat or old == 1 - self.seat
        if old == self.seat:
            return new == self.seat and (claim != "quickest" or new_plies == old_plies - 1)
        return old == 1 - self.seat or new != 1 - self.seat


def check_visitors_best(line, checked, positions):
    """Behind the decision the visitor makes the most of it: no less than the strategy is sure of comes out."""
    winner, plies = checked.sure.value(positions[0])
    if winner is not None:
        assert line.loop is None
        assert checked.drawing[positions[-1]] == ("first", "second")[winner]
        assert len(positions) - 1 == plies
    else:
        assert line.loop is not None or checked.drawing[positions[-1]] == "draw"


def check_witness(proof, claim, checked):
    graph, line = proof.walk.graph, proof.failure.line
    places = [graph.start, *(int(graph.child[edge]) for edge in line.edges)]
    assert all(graph.parent[edge] == place for edge, place in zip(line.edges, places, strict=False))
    positions = [position_of(graph, place) for place in places]
    by_machine = [ply for ply in range(len(positions) - 1) if positions[ply] in checked.machine]
    wrong = [ply for ply in by_machine if not checked.keeps(claim, positions[ply], positions[ply + 1])]
    if line.loop is not None:
        assert positions[line.loop] == positions[-1]
    if claim == "never-loses":
        assert checked.drawing[positions[-1]] == ("second", "first")[checked.seat]
        assert proof.failure.decision == (wrong[0] if wrong else None)
        assert bool(wrong) or checked.best.value(0)[0] == 1 - checked.seat
    elif wrong:
        assert proof.failure.decision == wrong[0]
        check_visitors_best(line, checked, positions[wrong[0] + 1 :])
    else:  # nothing is given away, and yet the win never comes: a loop through won positions
        assert claim == "best-value"
        assert all(checked.best.value(position)[0] == checked.seat for position in positions[line.loop :])
        distances = [checked.best.value(position)[1] for position in positions]
        late = [ply for ply in by_machine if ply >= line.loop and distances[ply + 1] != distances[ply] - 1]
        assert proof.failure.decision == late[0]
    decision = proof.decision()
    if decision is not None:
        assert decision.move == graph.move[line.edges[decision.ply]]
        assert decision.move not in decision.better
        assert decision.better or checked.drawing[positions[decision.ply]][0] != checked.seat


@given(st.data())
def test_verdicts_and_witnesses_are_those_of_the_definition(data):
    drawing, seat = data.draw(drawings()), data.draw(st.integers(0, 1))
    allowed = data.draw(strategies(drawing, seat))
    checked = Checked(drawing, seat, allowed)
    game = Toy(drawing)
    for claim in CLAIMS:
        proof = prove(strategy(game, seat, allowed), claim, load_house_rules("usual", game))
        assert proof.verdict == ("proved" if checked.holds(claim) else "refuted"), claim
        if proof.verdict == "refuted":
            check_witness(proof, claim, checked)


ROUND = [
    (0, [1, 2]),  # 0: the machine can win at once, or dawdle
    "first",
    (1, [0, 3]),  # 2: the visitor can go back, or on
    (0, [4]),
    (1, [1]),
]


def proof_of(drawing, seat, allowed, claim):
    game = Toy(drawing)
    return prove(strategy(game, seat, allowed), claim, load_house_rules("usual", game))


def test_staying_in_won_positions_for_ever_is_not_a_win():
    proof = proof_of(ROUND, 0, {0: {1}, 3: {0}}, "best-value")
    assert proof.verdict == "refuted"
    graph, line = proof.walk.graph, proof.failure.line
    assert [position_of(graph, graph.child[edge]) for edge in line.edges] == [2, 0]
    assert line.loop == 0
    assert proof.failure.decision == 0
    assert proof.decision().move == 1
    assert proof.decision().better == (0,)
    assert proof.longest_line is None
    assert proof_of(ROUND, 0, {0: {1}, 3: {0}}, "never-loses").verdict == "proved"


def test_a_slow_but_sure_win_is_best_value_and_not_quickest():
    drawing = [(0, [1, 2]), "first", (1, [3]), (0, [1])]
    assert proof_of(drawing, 0, {0: {1}, 3: {0}}, "best-value").verdict == "proved"
    proof = proof_of(drawing, 0, {0: {1}, 3: {0}}, "quickest")
    assert proof.verdict == "refuted"
    assert proof.failure.decision == 0
    assert proof.decision().better == (0,)
    assert proof_of(drawing, 0, {0: {0}, 3: {0}}, "quickest").verdict == "proved"


def test_behind_the_decision_a_visitor_who_loses_holds_out_as_long_as_can_be():
    drawing = [(0, [1, 2]), "first", (1, [3, 4]), (0, [1]), (0, [5]), (1, [6]), (0, [1])]
    proof = proof_of(drawing, 0, {0: {1}, 3: {0}, 4: {0}, 6: {0}}, "quickest")
    assert proof.failure.decision == 0
    graph = proof.walk.graph
    assert [position_of(graph, graph.child[edge]) for edge in proof.failure.line.edges] == [2, 4, 5, 6, 1]


def test_the_decision_is_in_the_loop_and_not_on_the_way_to_it():
    """The first machine move loses time but leads nowhere in a circle; the one in the loop is to blame."""
    drawing = [
        (0, [1, 2]),
        "first",
        (1, [3]),
        (0, [1, 4]),  # 3: dawdling here leads into the loop 4, 5
        (1, [5]),
        (0, [1, 4]),
    ]
    proof = proof_of(drawing, 0, {0: {1}, 3: {1}, 5: {1}}, "best-value")
    assert proof.verdict == "refuted"
    positions = [position_of(proof.walk.graph, proof.walk.graph.parent[e]) for e in proof.failure.line.edges]
    assert positions == [0, 2, 3, 4, 5]
    assert proof.failure.line.loop == 3
    assert proof.failure.decision == 4
    assert proof.decision().better == (0,)


def test_a_machine_move_that_keeps_the_distance_is_not_among_the_better_ones_for_quickest():
    """The machine may move twice running, so distances need not change by odd numbers."""
    drawing = [(0, [1, 2]), (0, [3, 3]), (0, [1, 1]), "first"]
    proof = proof_of(drawing, 0, {0: {1}, 1: {0}, 2: {0}}, "quickest")
    assert proof.verdict == "refuted"
    assert proof.decision().better == (0,)


BROKEN_OFF = [(0, [1, 2]), (1, [0, 3]), "first", (0, [2])]


@pytest.mark.parametrize("claim", CLAIMS)
def test_a_line_that_breaks_off_for_want_of_an_answer_is_no_refutation(claim):
    proof = proof_of([(0, [1]), (1, [2]), (0, [3]), "first"], 0, {0: {0}}, claim)
    assert proof.verdict == "no-answer"
    assert proof.failure.decision == 2
    assert proof.decision().better == (0,)


@pytest.mark.parametrize("claim", CLAIMS)
def test_an_illegal_answer_in_a_won_position_is_told_as_such(claim):
    proof = proof_of(
        [(0, [1]), (1, [2, 4]), (0, [3]), "first", (0, [3, 3])], 0, {0: {0}, 2: {1}, 4: {0}}, claim
    )
    assert proof.verdict == "illegal-answer"
    assert proof.failure.decision == 2
    assert proof.decision().move == 1


def test_a_loop_outweighs_a_missing_answer():
    assert proof_of(BROKEN_OFF, 0, {0: {0}}, "best-value").verdict == "refuted"
    assert proof_of(BROKEN_OFF, 0, {0: {0}}, "never-loses").verdict == "no-answer"


@given(st.data())
def test_where_play_breaks_off_nothing_is_lost_yet(data):
    """A hole in the strategy counts as an ending with the result that best play would still give."""
    drawing, seat = data.draw(drawings(most=8)), data.draw(st.integers(0, 1))
    allowed = {p: moves for p, moves in data.draw(strategies(drawing, seat, total=False)).items() if moves}
    game, best = Toy(drawing), Plain(drawing)
    holes = [p for p, entry in enumerate(drawing) if entry[0] == seat and p not in allowed]
    results = {0: "first", 1: "second", None: "draw"}
    for claim in CLAIMS:
        cut = list(drawing)
        for hole in holes:
            cut[hole] = "draw" if claim == "never-loses" else results[best.value(hole)[0]]
        checked = Checked(cut, seat, allowed)
        holds = checked.holds("best-value" if claim == "quickest" else claim)
        if claim == "quickest":
            moves = [(p, drawing[p][1][move]) for p in checked.machine for move in allowed[p]]
            holds = all(Checked(drawing, seat, allowed).keeps(claim, *move) for move in moves)
        proof = prove(strategy(game, seat, allowed), claim, load_house_rules("usual", game))
        answered = not checked.met & set(holes)
        assert proof.verdict == ("refuted" if not holds else "proved" if answered else "no-answer"), claim
