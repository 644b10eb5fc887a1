"""The fewest answers: against a second method that shares no code, the exact bound, house rules, loops."""

import math
from functools import cache
from itertools import product

import numpy as np
import pytest

from games.codes import FIRST, SECOND, UNFINISHED, by_parent
from games.house import load_house_rules
from games.housed import HousedGame
from games.load import load_game
from solver.graph import explore
from solver.header import CLAIMS
from solver.least.answers import least_answers
from solver.least.bound import SCALE, Prover, exact_bound
from solver.least.choices import Hopeless, NotAlike, choices_of
from solver.least.front import front
from solver.least.highs import Found
from solver.least.keeping import keeping
from solver.least.model import model_of
from solver.least.narrow import narrowed
from solver.least.nearby import Nearby
from solver.least.start import Start
from solver.least.stopped import NotFound
from solver.least.together import together
from solver.load import load_strategy
from solver.proof import PROVED
from solver.scores import solve_scores
from solver.strategy import PLAIN
from tests.milp import least_by_milp, least_by_trying
from tests.sampled import sampled
from tests.solver.repair.test_repair import Drawn

GAME = load_game("noughts-and-crosses")
LEAST = {
    (FIRST, "never-loses"): (22, 61),
    (FIRST, "best-value"): (22, 68),
    (FIRST, "quickest"): (22, 68),
    (SECOND, "never-loses"): (71, 258),
    (SECOND, "best-value"): (72, 258),
    (SECOND, "quickest"): (72, 258),
}
"""Noughts and crosses: the fewest answers, boards that are alike as one and on a fixed board.

Ours only, without a publication: found by HiGHS, proved in exact arithmetic, and found again by scipy and other code.
"""


def least(game, seat, claim, *, turned=True, house="usual", **options):
    return least_answers(game, seat, claim, load_house_rules(house, game), turned=turned, **options)


@pytest.mark.parametrize(("seat", "claim"), LEAST)
def test_noughts_and_crosses_turned(seat, claim):
    found = least(GAME, seat, claim)
    assert (found.answers, found.bound) == (LEAST[seat, claim][0],) * 2
    assert found.proof.verdict == PROVED
    assert found.proof.walk.answers() == found.answers


@pytest.mark.parametrize(
    ("seat", "claim"),
    [(FIRST, "never-loses"), (SECOND, "never-loses"), (FIRST, "best-value"), (SECOND, "quickest")],
)
def test_noughts_and_crosses_by_the_second_method(seat, claim):
    assert least_by_milp(GAME, seat, claim, turned=True) == LEAST[seat, claim][0]


@pytest.mark.long
@pytest.mark.parametrize(("seat", "claim"), LEAST)
def test_noughts_and_crosses_on_a_fixed_board(seat, claim):
    found = least(GAME, seat, claim, turned=False)
    assert (found.answers, found.bound) == (LEAST[seat, claim][1],) * 2
    assert found.proof.walk.answers_fixed_board() == found.answers


@pytest.mark.long
@pytest.mark.parametrize(("claim", "answers"), [("never-loses", 427), ("best-value", 435), ("quickest", 435)])
def test_a_fixed_board_where_wrong_input_costs_a_turn(claim, answers):
    """The largest of the cases of noughts and crosses; they must be done in two minutes on two cores."""
    found = least(GAME, SECOND, claim, house="lost-turn", turned=False, seconds=120)
    assert (found.answers, found.bound) == (answers, answers)
    assert found.proof.walk.answers_fixed_board() == answers


def test_a_game_of_more_than_a_hundred_thousand_positions():
    """Ours only, without a publication; 111,973 positions, counted for docs/catalogue.md."""
    found = least(load_game("four-by-three"), FIRST, "never-loses")
    assert (found.answers, found.bound) == (46, 46)


@pytest.mark.long
def test_a_fixed_board_by_the_second_method():
    assert least_by_milp(GAME, SECOND, "never-loses", turned=False) == LEAST[SECOND, "never-loses"][1]


@pytest.mark.long
def test_a_fixed_board_by_the_second_method_where_the_machine_begins():
    """A corner, an edge or the centre: every other first move is one of these, turned."""
    found = [least_by_milp(GAME, FIRST, "never-loses", turned=False, first_move=move) for move in (0, 1, 4)]
    assert min(found) == LEAST[FIRST, "never-loses"][1]


TINY = [
    "two-by-two",
    "dawsons-chess",
    "nim-1-2-3",
    "chomp-four-by-three",
    "hexapawn",
    "crosses-only",
    "misere-crosses-only",
]


@pytest.mark.parametrize(("name", "seat", "claim"), list(product(TINY, (FIRST, SECOND), CLAIMS)))
def test_small_games_against_the_second_method(name, seat, claim):
    game = load_game(name)
    for turned in (True, False):
        if turned is False and claim != "never-loses":
            continue  # a lost seat has too many ways to lose for the plain program on a fixed board
        try:
            found = least(game, seat, claim, turned=turned)
        except Hopeless:
            assert claim == "never-loses"
            continue
        assert found.answers == found.bound == least_by_milp(game, seat, claim, turned=turned)


@pytest.mark.parametrize(
    ("name", "seat"), [("two-by-two", FIRST), ("chomp-four-by-three", FIRST), ("hexapawn", SECOND)]
)
def test_tiny_games_by_trying_everything(name, seat):
    game = load_game(name)
    assert least(game, seat, "never-loses").answers == least_by_trying(game, seat, "never-loses", turned=True)


@pytest.mark.parametrize("claim", CLAIMS)
@pytest.mark.parametrize("seat", [FIRST, SECOND])
def test_a_lost_turn_needs_more_answers(seat, claim):
    found = least(GAME, seat, claim, house="lost-turn")
    assert found.proved_least
    assert found.answers > LEAST[seat, claim][0]


def test_warnings_that_cost_nothing_yet_do_not_blur_the_model():
    """Each board comes with every count of warnings, so all its states are taken as one."""
    house = load_house_rules("three-warnings", GAME)
    every = choices_of(HousedGame(GAME, house, SECOND), "never-loses", turned=True)
    assert len(every.states) > len(every.boards)
    assert len(together(every).states) == len(every.boards)


def test_rules_first_leave_few_answers(tmp_path):
    sheet = tmp_path / "two.rules"
    for seat, most in (("second", 20), ("first", 10)):
        sheet.write_text(f"game: noughts-and-crosses\nseat: {seat}\ncomplete a line\nblock a line\n", "utf-8")
        written = load_strategy(sheet)
        found = least(GAME, written.seats[0], "never-loses", rules=written.strategy(written.seats[0]))
        assert found.proved_least
        assert found.answers < most


def test_rules_that_give_the_claim_away_are_hopeless(tmp_path):
    sheet = tmp_path / "bad.rules"
    sheet.write_text("game: noughts-and-crosses\nseat: second\ntake any free cell\n", "utf-8")
    with pytest.raises(Hopeless):
        least(GAME, SECOND, "never-loses", rules=load_strategy(sheet).strategy(SECOND))


def test_rules_that_look_at_the_board_as_it_stands_are_refused_for_turned_boards(tmp_path):
    sheet = tmp_path / "fixed.rules"
    sheet.write_text("game: noughts-and-crosses\nseat: first\ntake 1\n", "utf-8")
    rules = load_strategy(sheet).strategy(FIRST)
    with pytest.raises(NotAlike):
        least(GAME, FIRST, "never-loses", rules=rules)
    assert least(GAME, FIRST, "never-loses", rules=rules, turned=False).proved_least


def test_choices_settled_on_the_board_as_it_stands_are_refused_for_turned_boards(tmp_path):
    sheet = tmp_path / "plain.rules"
    sheet.write_text("game: noughts-and-crosses\nseat: first\ntake a corner\n", "utf-8")
    rules = load_strategy(sheet).strategy(FIRST)
    with pytest.raises(NotAlike):
        least(GAME, FIRST, "best-value", rules=rules.fixed(PLAIN))


def test_rows_of_three_where_men_move_for_ever():
    """Ours only, without a publication: 40 and 68, with loops in which boards bring one another."""
    game = load_game("morris-of-rows")
    for seat, answers in ((FIRST, 40), (SECOND, 68)):
        found = least(game, seat, "never-loses")
        assert (found.answers, found.bound) == (answers, answers)


@pytest.mark.parametrize("name", sampled(["small-mu-torere", "pong-hau-ki", "nine-holes"], every=3))
@pytest.mark.parametrize("claim", CLAIMS)
def test_games_that_loop(name, claim):
    for seat in (FIRST, SECOND):
        found = least(load_game(name), seat, claim)
        assert found.proof.verdict == PROVED
        assert found.proved_least


LOOPS = {
    "one": [(0, [1, 4]), (1, [0]), "draw", "draw"],
    "two": [(0, [1, 2, 4]), (1, [0]), (1, [3]), (0, [2])],
}
"""Won games in which going round for ever takes one answer or two; the way out, drawn below, takes three."""
WAY_OUT = [(1, [5]), (0, [6]), (1, [7]), (0, [8]), "first"]


@pytest.mark.parametrize("drawing", LOOPS.values(), ids=LOOPS)
def test_a_loop_that_is_cheaper_than_the_way_out_is_no_answer(drawing):
    game = Drawn([*drawing, *WAY_OUT])
    goes_round = least(game, FIRST, "never-loses")
    assert [(row.position, row.move) for row in goes_round.rows()] == [("0", 0)]
    last = len(drawing[0][1]) - 1
    for claim in ("best-value", "quickest"):
        found = least(game, FIRST, claim)
        assert (found.answers, found.bound, found.proof.verdict) == (3, 3, PROVED)
        assert [(row.position, row.move) for row in found.rows()] == [("0", last), ("5", 0), ("7", 0)]


def test_time_that_runs_out_leaves_a_gap_that_is_named():
    told = []
    found = least(
        GAME,
        FIRST,
        "never-loses",
        turned=False,
        tell=lambda stage, *_: told.append(stage) or stage == "searching",
    )
    assert found.bound < found.answers == 61
    assert not found.proved_least
    assert found.proof.verdict == PROVED


def model():
    house = load_house_rules("usual", GAME)
    return model_of(narrowed(choices_of(HousedGame(GAME, house, SECOND), "never-loses", turned=True)))


def test_the_exact_bound_holds_for_every_weights():
    """Whatever weights are tried, no strategy that is known costs less than they say."""
    program = model()
    random = np.random.default_rng(1)
    for _ in range(50):
        weights = random.integers(0, SCALE, len(program.at_least)) * random.integers(
            0, 2, len(program.at_least)
        )
        assert exact_bound(program, program.lower, program.upper, weights) <= 71 * SCALE


def test_weights_below_nothing_are_refused():
    program = model()
    with pytest.raises(ValueError, match=r"^a weight is below 0$"):
        exact_bound(program, program.lower, program.upper, np.full(len(program.at_least), -1))


def test_weights_that_64_bits_may_not_hold_are_refused():
    program = model()
    weights = np.full(len(program.at_least), 1 << 55)
    with pytest.raises(ValueError, match=r"^weights are so large that 64 bits may not hold their sums$"):
        exact_bound(program, program.lower, program.upper, weights)


@pytest.mark.long
def test_states_taken_as_one_need_as_many_answers():
    """The bound with each count of warnings a state of its own is the one found with all of them taken as one."""
    house = load_house_rules("three-warnings", GAME)
    apart = choices_of(HousedGame(GAME, house, FIRST), "never-loses", turned=True)
    found = least(GAME, FIRST, "never-loses", house="three-warnings")
    assert found.proved_least
    assert Prover(model_of(apart), found.answers).run().complete


def test_a_figure_that_can_be_beaten_is_not_proved():
    """71 answers do, so a proof that 72 are needed must fail, however far everything is divided."""
    told = []
    certificate = Prover(model(), 72).run(progress=lambda done, bound: told.append(bound) or len(told) < 100)
    assert not certificate.complete
    assert certificate.bound <= 71


def test_what_is_narrowed_needs_as_many_answers():
    house = load_house_rules("usual", GAME)
    every = choices_of(HousedGame(GAME, house, FIRST), "never-loses", turned=True)
    fewer = narrowed(every)
    assert len(fewer.pick_board) < len(every.pick_board)
    assert Prover(model_of(every), 22).run().complete


def test_games_of_scores_ask_for_best_value():
    game = load_game("boxes-two-by-two")
    with pytest.raises(ValueError, match=r"^never-loses depends on the scores so far$"):
        least(game, FIRST, "never-loses")


@pytest.mark.parametrize("seat", [FIRST, SECOND])
def test_in_a_game_of_scores_the_moves_that_give_no_point_away_keep_the_claim(seat):
    """By plain recursion over what is still to come, first minus second."""
    game = load_game("boxes-three-by-one")
    graph = explore(game)

    @cache
    def to_come(place):
        brings = [gains[edge] + to_come(int(graph.child[edge])) for edge in graph.edges_of(place)]
        return (max if graph.mover[place] == FIRST else min)(brings, default=0)

    gains = game.gains(graph.codes[graph.parent], graph.move).astype(int).tolist()
    mine = np.flatnonzero((graph.mover == seat) & (graph.ending == UNFINISHED))
    codes = graph.codes[mine]
    wanted = [
        gains[edge] + to_come(int(graph.child[edge])) == to_come(int(place))
        for place in mine
        for edge in graph.edges_of(place)
    ]
    for claim in ("best-value", "quickest"):
        kept = keeping(solve_scores(game), claim, seat, codes, by_parent(game.moves(codes)))
        assert kept.tolist() == wanted


def test_a_lost_seat_is_hopeless_for_never_loses():
    with pytest.raises(Hopeless):
        least(load_game("hexapawn"), FIRST, "never-loses")


def test_a_relaxation_that_is_broken_off_proves_no_more_than_is_true(monkeypatch):
    """With no time at all for any relaxation the bound is weak, and never false."""
    monkeypatch.setattr("solver.least.bound.LEAST_SECONDS", 0.0)
    told = []
    prover = Prover(model(), 71, left=lambda: 0.0)
    certificate = prover.run(progress=lambda done, bound: told.append(bound) or len(told) < 40)
    assert 1 <= certificate.bound <= 71


def choices_for(name, seat):
    game = load_game(name)
    house = load_house_rules("usual", game)
    return narrowed(choices_of(HousedGame(game, house, seat), "never-loses", turned=True))


@pytest.mark.parametrize("most", [1, 10, 60, 1000])
def test_a_bound_for_what_comes_first_is_a_bound_for_all(most):
    """71 answers do; with all boards at the front nearly that is the bound before anything is divided."""
    choices = choices_for("noughts-and-crosses", SECOND)
    part = front(choices, most)
    assert len(part.states) == min(most, len(choices.states))
    bound = Prover(model_of(part), 71).run(0.0).bound
    assert (most == 1000) * 60 <= bound <= min(most, 71)


def test_large_games_have_a_strategy_and_a_bound(monkeypatch):
    """Noughts and crosses taken for a large game: both figures are true, and the strategy is proved."""
    monkeypatch.setattr("solver.least.large.MOST_STATES", 10)
    monkeypatch.setattr("solver.least.front.FIRST_MANY", 20)
    found = least(GAME, SECOND, "never-loses")
    assert 60 <= found.bound <= 71 <= found.answers
    assert (found.search_bound, found.parts) == (found.bound, 1)
    assert found.proof.verdict == PROVED


def test_a_strategy_gets_better_step_by_step(monkeypatch):
    """Each step leaves as many answers or fewer, never too few, and ends with the fewest."""
    monkeypatch.setattr("solver.least.nearby.LONG", math.inf)
    choices = choices_for("noughts-and-crosses", SECOND)
    start = Start(choices, np.ones(len(choices.pick_board), dtype=bool))
    nearby = Nearby(start, start.run(0.0))
    counts = [len(nearby.picks()), *(len(nearby.step(math.inf)) for _ in range(8))]
    assert counts == sorted(counts, reverse=True)
    assert counts[0] > counts[-1] == 71


def test_a_good_strategy_to_begin_with_gets_better_round_by_round_with_the_same_chance_every_time(
    monkeypatch,
):
    choices = choices_for("noughts-and-crosses", SECOND)
    start, seeds, counts, chance = Start(choices, np.ones(len(choices.pick_board), dtype=bool)), [], [], []
    new = np.random.default_rng
    monkeypatch.setattr("numpy.random.default_rng", lambda seed: seeds.append(seed) or new(seed))
    for _ in range(2):
        heard = []
        found = start.run(math.inf, heard=lambda count, heard=heard: heard.append(count) or len(heard) < 3)
        counts.append(heard)
        chance.append(found.tolist())
    assert counts[0] == counts[1] == sorted(counts[0], reverse=True)
    assert counts[0][0] == len(start.run(0.0)) > counts[0][-1] == len(chance[0]) >= 71
    assert chance[0] == chance[1]
    assert all(isinstance(seed, int) for seed in seeds)


def test_a_step_takes_no_longer_than_it_may(monkeypatch):
    choices = choices_for("noughts-and-crosses", FIRST)
    start = Start(choices, np.ones(len(choices.pick_board), dtype=bool))
    nearby, may = Nearby(start, start.run(0.0)), []
    monkeypatch.setattr(
        "solver.least.nearby.minimise", lambda model, seconds: may.append(seconds) or Found(None, 0.0)
    )
    before = nearby.picks().tolist()
    for seconds in (0.5, math.inf):
        assert nearby.step(seconds).tolist() == before
    assert may[0] == 0.5
    assert 0.5 < may[1] < math.inf


def test_time_that_runs_out_while_positions_are_counted_ends_it():
    with pytest.raises(NotFound):
        least(load_game("four-by-three"), FIRST, "never-loses", seconds=0.0)
