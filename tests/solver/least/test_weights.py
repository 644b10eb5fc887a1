"""The smallest weights are those that trying out all smaller ones finds, and they keep the claim."""

import random
from itertools import combinations, islice, product

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from games.housed import HousedGame
from games.load import load_game
from solver.least.choices import Hopeless, choices_as_alike
from solver.least.weights import least_weights
from solver.least.weights_groups import groups_of
from solver.least.weights_linear import Relaxation, Rows
from solver.least.weights_terms import ALIKE, APART, CLASSES, TOGETHER, terms_of, turn_alike
from solver.least.weights_tree import Tree
from solver.proof import PROVED, prove
from solver.sheet.reader import SheetReader
from tests import naive, naive_sheet, twins
from tests.solver.least import naive_weights
from tests.twins import FEWER

CLAIMS = ("never-loses", "best-value", "quickest")
THREE = twins.catalogue_twins("noughts-and-crosses")
USUAL = twins.house_twins(THREE.game, [])
LOST_TURN = twins.house_twins(
    THREE.game, [(["taken-by-machine", "taken-by-visitor", "off-board"], "turn", 0)]
)
HOUSES = {"usual": USUAL, "lost-turn": LOST_TURN}
TINY = (
    twins.twins_in_a_row(2, 2, 2),
    twins.twins_in_a_row(3, 2, 2),
    twins.twins_in_a_row(3, 2, 2, misere=True),
    twins.game_twins(3, 2, [[0, 1, 2], [3, 4, 5], [0, 4], [2, 4]]),
    twins.game_twins(3, 2, [[0, 1, 4], [1, 2, 5], [3, 4]], misere=True),
    twins.twins_in_a_row(3, 3, 3, falls=True),
)


def least(pair, house, seat, claim, **options):
    return least_weights(HousedGame(pair.game, house.rules, seat), claim, **options)


def housed(pair, house, seat):
    return naive.Housed(pair.naive, house.naive, seat)


def words_of(found):
    return [term.words for term in found.terms]


# Against trying out -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("lines", CLASSES)
@pytest.mark.parametrize("seat", [0, 1])
@pytest.mark.parametrize("pair", TINY, ids=range(len(TINY)))
def test_tiny_games_have_the_weights_that_trying_out_all_smaller_ones_finds(pair, seat, lines):
    house = twins.house_twins(pair.game, [])
    for claim in CLAIMS:
        try:
            found = least(pair, house, seat, claim, lines=lines)
        except Hopeless:
            assert housed(pair, house, seat).value(housed(pair, house, seat).start)[0] == naive.LOSS
            continue
        assert found.proved_least
        assert_nothing_smaller_holds(housed(pair, house, seat), claim, found)


def assert_nothing_smaller_holds(model, claim, found, before=(), most_tried=1000):
    """All smaller weights are tried out; some of them, where they are very many."""
    smaller = list(islice(_smaller(found.weights), 20 * most_tried))
    if len(smaller) > most_tried:
        smaller = random.Random(1).sample(smaller, most_tried)
    kept = naive_weights.keeping(model, claim, words_of(found), [*smaller, found.weights], before)
    assert kept.tolist() == [list(found.weights)]
    assert naive_weights.holds(model, claim, words_of(found), found.weights, before)


def _smaller(weights):
    """Weights that are smaller, with few that differ from 0 first."""
    size = naive_weights.measure(weights)
    for some in range(min(len(weights), size[1]) + 1):  # more of them make too great a sum
        for places in combinations(range(len(weights)), some):
            for values in product([w for w in range(-size[0], size[0] + 1) if w], repeat=some):
                each = [0] * len(weights)
                for place, value in zip(places, values, strict=True):
                    each[place] = value
                if naive_weights.measure(each) < size:
                    yield each


@FEWER
@given(st.data())
def test_drawn_games_have_the_weights_that_trying_out_finds_or_none(data):
    pair = data.draw(twins.games(most_cells=6) | twins.falling_games(most_cells=6))
    assume(pair.naive.lines)
    house, seat = data.draw(twins.house_rules(pair.game)), data.draw(st.integers(0, 1))
    claim, lines = data.draw(st.sampled_from(CLAIMS)), data.draw(st.sampled_from(CLASSES))
    model = housed(pair, house, seat)
    try:
        found = least(pair, house, seat, claim, lines=lines)
    except Hopeless:
        assert model.value(model.start)[0] == naive.LOSS
        return
    assert found.proved_least or found.none_at_all
    if found.weights is not None:
        assert naive_weights.holds(model, claim, words_of(found), found.weights)
    tried = st.lists(st.integers(-3, 3), min_size=len(found.terms), max_size=len(found.terms))
    for weights in data.draw(st.lists(tried, min_size=5, max_size=20)):
        if found.none_at_all or naive_weights.measure(weights) < naive_weights.measure(found.weights):
            assert not naive_weights.holds(model, claim, words_of(found), weights)


@FEWER
@given(st.data())
def test_playing_with_many_weights_at_once_finds_those_that_hold_one_by_one(data):
    """The second method, which the tests below rely on, against plain proofs."""
    pair = data.draw(twins.games(most_cells=6))
    house, seat = twins.house_twins(pair.game, []), data.draw(st.integers(0, 1))
    claim, lines = data.draw(st.sampled_from(CLAIMS)), data.draw(st.sampled_from(CLASSES))
    words = [term.words for term in terms_of(pair.game, lines)]
    model = housed(pair, house, seat)
    assume(claim != "never-loses" or model.value(model.start)[0] != naive.LOSS)
    tried = st.lists(st.integers(-2, 2), min_size=len(words), max_size=len(words))
    vectors = data.draw(st.lists(tried, min_size=1, max_size=10, unique_by=tuple))
    kept = naive_weights.keeping(model, claim, words, vectors).tolist()
    assert kept == [each for each in vectors if naive_weights.holds(model, claim, words, each)]


# Noughts and crosses ----------------------------------------------------------------------------------------

WEIGHTS = {
    ("usual", 0, "never-loses"): {TOGETHER: (1, 3), APART: (1, 3), ALIKE: (1, 3)},
    ("usual", 0, "best-value"): {TOGETHER: (2, 6), APART: (1, 5), ALIKE: (1, 6)},
    ("usual", 0, "quickest"): {TOGETHER: (2, 8), APART: (2, 8), ALIKE: (2, 8)},
    ("usual", 1, "never-loses"): {TOGETHER: None, APART: (2, 15), ALIKE: (2, 18)},
    ("usual", 1, "best-value"): {TOGETHER: None, APART: (3, 20), ALIKE: (3, 21)},
    ("usual", 1, "quickest"): {TOGETHER: None, APART: (4, 22), ALIKE: (4, 29)},
    ("lost-turn", 0, "never-loses"): {TOGETHER: (1, 3), APART: (1, 4), ALIKE: (1, 4)},
    ("lost-turn", 0, "best-value"): {TOGETHER: (2, 6), APART: (1, 8), ALIKE: (1, 10)},
    ("lost-turn", 0, "quickest"): {TOGETHER: (2, 8), APART: (2, 9), ALIKE: (2, 11)},
    ("lost-turn", 1, "never-loses"): {TOGETHER: None, APART: (2, 15), ALIKE: (2, 18)},
    ("lost-turn", 1, "best-value"): {TOGETHER: None, APART: (4, 20), ALIKE: (3, 21)},
    ("lost-turn", 1, "quickest"): {TOGETHER: None, APART: (5, 31), ALIKE: (5, 37)},
}
"""The largest absolute weight and the sum for each way to class lines; None where no weights will do."""
EVERY_CASE = [(*asked, lines) for asked, by_lines in WEIGHTS.items() for lines in by_lines]
QUICK = [case for case in EVERY_CASE if case[0] == "usual" and case[3] != ALIKE]


def assert_as_listed(house, seat, claim, lines):
    found = least(THREE, HOUSES[house], seat, claim, lines=lines)
    wanted = WEIGHTS[house, seat, claim][lines]
    assert found.none_at_all == (wanted is None)
    assert found.proved_least == (wanted is not None)
    if wanted is not None:
        assert (found.largest, found.total) == wanted
        model = housed(THREE, HOUSES[house], seat)
        assert naive_weights.holds(model, claim, words_of(found), found.weights)
    return found


@pytest.mark.parametrize(("house", "seat", "claim", "lines"), QUICK)
def test_noughts_and_crosses_has_these_weights(house, seat, claim, lines):
    assert_as_listed(house, seat, claim, lines)


@pytest.mark.long
@pytest.mark.parametrize(("house", "seat", "claim", "lines"), sorted(set(EVERY_CASE) - set(QUICK)))
def test_noughts_and_crosses_has_these_weights_too(house, seat, claim, lines):
    assert_as_listed(house, seat, claim, lines)


def test_three_weights_hold_the_first_seat_of_noughts_and_crosses(tmp_path):
    found = least(THREE, USUAL, 0, "never-loses", lines=TOGETHER)
    assert (found.strategy.name, found.strategy.file, found.strategy.seat) == ("weights", "weights", 0)
    assert found.rule.split("\n") == [
        "take the heaviest cell",
        "    1 for a line with no marks",
        "    1 for a line with 2 of mine",
        "    1 for a line with 2 of the visitor's",
        "",
    ]


@pytest.mark.parametrize("claim", CLAIMS)
def test_the_least_weights_of_the_first_seat_are_found_again_by_playing_with_all_that_are_as_small(claim):
    """The second method goes through every single vector up to the largest weight: 19,683 or 1,953,125 of them."""
    found = assert_as_listed("usual", 0, claim, TOGETHER)
    vectors = every_vector(found.largest, len(found.terms))
    vectors = vectors[np.abs(vectors).sum(axis=1) <= found.total]
    kept = naive_weights.keeping(housed(THREE, USUAL, 0), claim, words_of(found), vectors)
    assert min(kept.tolist(), key=naive_weights.measure) == list(found.weights)


def every_vector(most, count):
    """All weights up to `most` either way, as an array."""
    grid = np.indices((2 * most + 1,) * count, dtype=np.int8)
    return grid.reshape(count, -1).T - most


def test_one_score_for_all_lines_is_not_enough_for_the_second_seat():
    found = assert_as_listed("usual", 1, "never-loses", TOGETHER)
    assert found.weights is None
    assert found.rule == ""
    assert_none_up_to(1, found)


@pytest.mark.long
def test_one_score_for_all_lines_is_not_enough_for_the_second_seat_up_to_2():
    assert_none_up_to(2, least(THREE, USUAL, 1, "never-loses", lines=TOGETHER))


def assert_none_up_to(most, found):
    vectors = every_vector(most, len(found.terms))
    model = housed(THREE, USUAL, 1)
    assert naive_weights.keeping(model, "never-loses", words_of(found), vectors).tolist() == []


@pytest.mark.long
def test_weights_of_1_are_not_enough_for_the_second_seat_with_straight_and_diagonal_lines_apart():
    """All 14,348,907 of them, in three lots."""
    words = words_of(least(THREE, USUAL, 1, "never-loses"))
    rest = every_vector(1, len(words) - 1)
    for first in (-1, 0, 1):
        vectors = np.column_stack([np.full(len(rest), first, dtype=np.int8), rest])
        kept = naive_weights.keeping(housed(THREE, USUAL, 1), "never-loses", words, vectors)
        assert kept.tolist() == []


# Rules before, limits, and what cannot be asked -------------------------------------------------------------


@pytest.mark.parametrize(("seat", "lines"), [(0, TOGETHER), (1, APART)])
def test_rules_can_answer_before_cells_are_weighed(seat, lines):
    sheet = ["complete a line", "block a line"]
    rules, _ = twins.strategy_twins(THREE, seat, sheet)
    found = least(THREE, USUAL, seat, "never-loses", lines=lines, rules=rules)
    assert found.proved_least
    assert (found.largest, found.total) == (1, [1, 6][seat])
    assert [rule.text for rule in found.strategy.rules[:2]] == sheet
    assert prove(found.strategy, "never-loses", USUAL.rules).verdict == PROVED
    assert_nothing_smaller_holds(housed(THREE, USUAL, seat), "never-loses", found, sheet)


def test_rules_that_look_at_the_board_as_it_stands_can_answer_before():
    sheet = ["complete a line", "block a line", "take the first free of 1"]
    rules, _ = twins.strategy_twins(THREE, 0, sheet)
    found = least(THREE, USUAL, 0, "never-loses", lines=TOGETHER, rules=rules)
    assert found.proved_least
    model = housed(THREE, USUAL, 0)
    assert naive_weights.holds(model, "never-loses", words_of(found), found.weights, sheet)
    for weights in _smaller(found.weights):
        assert not naive_weights.holds(model, "never-loses", words_of(found), weights, sheet)


def test_where_time_is_up_only_what_was_gone_through_is_claimed():
    for options in ({"seconds": 0}, {"told": lambda best, bound: False}):
        found = least(THREE, USUAL, 1, "never-loses", **options)
        assert (found.weights, found.strategy, found.none_at_all) == (None, None, False)
        assert (found.refuted_up_to, found.proved_least, found.parts) == (-1, False, 0)


def test_what_is_told_are_the_largest_weight_and_up_to_which_all_failed():
    heard = []
    found = least(
        THREE, USUAL, 1, "never-loses", told=lambda best, bound: heard.append((best, bound)) or True
    )
    bounds = [bound for _, bound in heard]
    assert heard[0] == (None, -1)
    assert bounds == sorted(bounds)
    assert heard[-1] == (found.largest, found.refuted_up_to) == (2, 1)


def test_a_search_that_is_stopped_keeps_the_best_so_far():
    def stop_when_found(best, bound):
        return best is None

    found = least(THREE, USUAL, 1, "never-loses", told=stop_when_found)
    assert found.weights is not None
    assert not found.proved_least
    model = housed(THREE, USUAL, 1)
    assert naive_weights.holds(model, "never-loses", words_of(found), found.weights)


def test_what_makes_no_sense_is_refused():
    nim = load_game("nim-3-4-5")
    with pytest.raises(ValueError, match=r"^weights need a game of marks and lines$"):
        least_weights(HousedGame(nim, twins.house_twins(nim, []).rules, 0), "never-loses")
    rules, _ = twins.strategy_twins(THREE, 0, ["complete a line"], "plain")
    with pytest.raises(ValueError, match=r"^the rules that answer first must leave their choices open$"):
        least(THREE, USUAL, 0, "never-loses", rules=rules)
    with pytest.raises(Hopeless):
        least(TINY[0], twins.house_twins(TINY[0].game, []), 1, "never-loses")


# What may weigh ---------------------------------------------------------------------------------------------


@given(st.data())
def test_what_may_weigh_is_read_back_from_a_sheet_as_it_is_meant(data):
    pair = data.draw(twins.games(most_cells=9) | twins.falling_games(most_cells=9))
    for lines in CLASSES:
        terms = terms_of(pair.game, lines)
        sheet = [naive_weights.HEADING, *(f"1 for {term.words}" for term in terms)]
        [rule] = SheetReader("drawn", sheet, pair.game).read(0)
        assert list(rule.meaning.weights) == [term.unit for term in terms]


@given(st.data())
def test_every_cell_weighs_once_and_every_line_once_for_what_it_holds(data):
    pair = data.draw(twins.games(most_cells=9) | twins.falling_games(most_cells=9))
    board = data.draw(twins.boards(pair))
    see = naive_sheet.seen(pair.naive, board, 0)
    for lines in CLASSES:
        words = [term.words for term in terms_of(pair.game, lines)]
        for cell in naive.free_cells(board):
            counts = {what: naive_sheet._weight(see, f"1 for {what}", cell) for what in words}
            through = sum(cell in line for line in pair.naive.lines)
            assert sum(count for what, count in counts.items() if " with " not in what) == 1
            assert sum(count for what, count in counts.items() if " with " in what) == through


# Refutations ------------------------------------------------------------------------------------------------

SMALL = st.integers(-3, 3)


@st.composite
def systems(draw):
    """A few inequalities between two or three weights, and a limit."""
    terms = draw(st.integers(2, 3))
    rows = draw(st.lists(st.lists(SMALL, min_size=terms, max_size=terms), min_size=1, max_size=6))
    at_least = draw(st.lists(st.integers(0, 1), min_size=len(rows), max_size=len(rows)))
    total = draw(st.none() | st.integers(0, 4))
    return np.array(rows), np.array(at_least), draw(st.integers(0, 3)), total


def solutions(rows, at_least, most, total):
    return [
        weights
        for weights in naive_weights.all_up_to(most, rows.shape[1])
        if (rows @ np.array(weights) >= at_least).all() and (total is None or sum(map(abs, weights)) <= total)
    ]


def relaxed(rows, at_least, most, total):
    relaxation = Relaxation(rows.shape[1], most, total)
    bound = np.full(rows.shape[1], most or 0, dtype=np.int64)
    relaxation.move_to(0, Rows(rows, at_least), -bound, bound)
    return relaxation


@given(systems())
def test_what_is_refuted_has_no_solution_and_what_floating_point_refuses_is_refuted(system):
    relaxation = relaxed(*system)
    if relaxation.point() is None:
        assert relaxation.refuted()
        assert solutions(*system) == []


@given(systems())
def test_what_is_refuted_without_limits_has_no_solution_of_any_size(system):
    rows, at_least, _, _ = system
    relaxation = relaxed(rows, at_least, None, None)
    if relaxation.point() is None:
        assert relaxation.refuted()
        assert solutions(rows, at_least, 8, None) == []


@pytest.mark.parametrize("seat", [0, 1])
def test_without_any_refutation_weights_are_gone_through_one_by_one(seat, monkeypatch):
    """Nothing rests on the multipliers: where none will do, the bounds are halved until single weights are left."""
    house = twins.house_twins(TINY[1].game, [])
    wanted = least(TINY[1], house, seat, "best-value", lines=TOGETHER)
    monkeypatch.setattr(Relaxation, "_refute", lambda self, multipliers: False)
    found = least(TINY[1], house, seat, "best-value", lines=TOGETHER)
    assert (found.weights, found.proved_least) == (wanted.weights, True)
    assert found.parts > wanted.parts


def test_that_there_are_none_at_all_is_never_said_on_the_word_of_floating_point(monkeypatch):
    assert least(THREE, USUAL, 1, "never-loses", lines=TOGETHER).none_at_all
    monkeypatch.setattr(Relaxation, "refuted", lambda self: False)
    found = least(THREE, USUAL, 1, "never-loses", lines=TOGETHER, seconds=2)
    assert not found.none_at_all
    assert found.weights is None


@pytest.mark.parametrize(("most", "total"), [(None, None), (3, None), (3, 5)])
def test_what_is_refuted_is_refuted_in_whole_numbers(most, total):
    """Nothing of what the refutation adds up is a floating-point number."""
    relaxation = Relaxation(2, most, total)
    rows = Rows(np.array([[1, -1]], dtype=np.int64), np.array([1], dtype=np.int64))
    bound = np.array([3, 3], dtype=np.int64)
    assert relaxation.move_to(0, rows, -bound, bound) == 1
    exact = (relaxation._matrix, relaxation._at_least, relaxation._lower, relaxation._upper)
    assert [each.dtype for each in exact] == [np.int64] * 4


@pytest.mark.parametrize("lines", CLASSES)
@pytest.mark.parametrize("seat", [0, 1])
@pytest.mark.parametrize("pair", TINY, ids=range(len(TINY)))
def test_weights_of_any_size_hold_though_they_were_found_in_fractions(pair, seat, lines):
    """Nearly all of them are whole multiples of what the relaxation gave."""
    house = twins.house_twins(pair.game, [])
    game = HousedGame(pair.game, house.rules, seat)
    terms = terms_of(pair.game, lines)
    choices = choices_as_alike(game, "best-value", turned=turn_alike(pair.game, terms))
    found = Tree(groups_of(choices, pair.game, terms), None, None).search()
    assert found.complete
    if found.weights is not None:
        words = [term.words for term in terms]
        assert naive_weights.holds(housed(pair, house, seat), "best-value", words, found.weights.tolist())


@given(systems(), st.lists(st.integers(0, 9), min_size=13, max_size=13))
def test_no_multipliers_whatever_refute_what_has_a_solution(system, multipliers):
    rows, at_least, most, total = system
    for limit, sum_limit in ((most, total), (None, None)):
        relaxation = relaxed(rows, at_least, limit, sum_limit)
        few = np.array(multipliers[: len(relaxation._at_least)], dtype=float)
        few = np.concatenate([few, np.ones(len(relaxation._at_least) - len(few))])
        if relaxation._refute(few):
            assert solutions(rows, at_least, most, sum_limit) == []
