"""A game with its house rules against the naive model: positions, moves, endings, what is said."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from games.codes import SECOND, UNFINISHED
from games.game import least_images
from games.house import load_house_rules
from games.housed import HousedGame
from games.inputs import classify, refusal_class
from games.problems import BadInput
from solver.graph import explore
from tests import naive, twins

RESULTS = {"first": 1, "second": 2, "draw": 3, None: 0}


def pair_of_housed(pair, house, seat):
    return HousedGame(pair.game, house.rules, seat), naive.Housed(pair.naive, house.naive, seat)


@st.composite
def housed_games(draw, most_cells=4):
    pair = draw(twins.games(most_cells) | twins.falling_games(most_cells))
    return pair_of_housed(pair, draw(twins.house_rules(pair.game)), draw(st.integers(0, 1)))


@given(housed_games())
def test_positions_and_moves_are_the_naive_ones(both):
    housed, model = both
    graph = explore(housed)
    plies = naive.every_state(model, model.next)
    codes = {twins.code_of(housed, state): state for state in plies}
    assert graph.codes.tolist() == sorted(codes)
    for place, code in enumerate(graph.codes.tolist()):
        state = codes[code]
        assert twins.state_of(housed, code) == state
        assert graph.mover[place] == state.turn
        assert graph.ending[place] == RESULTS[model.result(state)]
        assert graph.ply[place] == plies[state]
        moves = {
            twins.naive_move(housed, graph.move[edge]): int(graph.codes[graph.child[edge]])
            for edge in graph.edges_of(place)
        }
        over = model.result(state) is not None
        wanted = (
            {} if over else {move: twins.code_of(housed, child) for move, child in model.next(state).items()}
        )
        assert moves == wanted


@given(housed_games())
def test_turning_keeps_counters_and_commutes_with_the_moves(both):
    housed, _ = both
    codes = explore(housed).codes
    open_ = codes[housed.ending(codes) == 0]
    for symmetry in range(housed.symmetries):
        image = housed.turned(symmetry, codes)
        assert np.array_equal(np.sort(image), codes)
        assert np.array_equal(housed.ending(image), housed.ending(codes))
        assert np.array_equal(image & ~housed._fair_bits, codes & ~housed._fair_bits)
        before, after = housed.moves(open_), housed.moves(housed.turned(symmetry, open_))
        turned = housed.turned_move(symmetry, before.move), housed.turned(symmetry, before.child)
        assert set(zip(before.parent.tolist(), *(each.tolist() for each in turned), strict=True)) == set(
            zip(*(each.tolist() for each in after), strict=True)
        )


@given(housed_games(), st.data())
def test_each_input_is_answered_as_the_naive_model_says(both, data):
    housed, model = both
    states = [s for s in naive.every_state(model, model.next) if model.result(s) or s.turn != model.seat]
    state = data.draw(st.sampled_from(states))
    code = twins.code_of(housed, state)
    over = model.result(state) is not None
    inputs = sorted(naive.inputs_to_try(tuple(model.game.move_names), model.house.kind, model.house.longest))
    for text in data.draw(st.lists(st.sampled_from(inputs), min_size=1, max_size=10)):
        found = naive.class_of(model.game, model.house, model.seat, state.board, over, text)
        if not over:
            fair = int(housed.fair_codes(twins.one(code))[0])
            assert classify(housed.fair, housed.shape, fair, housed.seat, text)[0] == found
        if found == "legal":
            continue
        number, said = housed.message(code, found)
        rule = model.rule_for(found)
        assert number == (len(model.house.rules) if rule is None else rule)
        if rule is not None:
            mild = state.forgiven[rule] < model.house.rules[rule].forgive
            assert said == f"{'MILD' if mild else 'SAY'} {rule}"
        move = housed.answer(code, found)
        wanted = None if over else model.effect(state, found)
        assert (None if move is None else twins.naive_move(housed, move)) == wanted


@given(housed_games())
def test_every_wrong_input_that_is_a_move_has_an_example_that_brings_it_about(both):
    housed, model = both
    graph = explore(housed)
    for edge in np.nonzero(graph.move >= housed.fair_moves)[0]:
        code, move = int(graph.codes[graph.parent[edge]]), int(graph.move[edge])
        name, text = housed.example(code, move)
        state = twins.state_of(housed, code)
        found = naive.class_of(model.game, model.house, model.seat, state.board, False, text.encode())
        assert found == name
        assert model.effect(state, found) == twins.naive_move(housed, move)


@given(housed_games())
def test_every_class_that_is_possible_has_an_input_of_it_and_no_other_refusal_has(both):
    housed, _ = both
    graph = explore(housed)
    codes = graph.codes[(graph.mover == housed.visitor) & (graph.ending == UNFINISHED)][:20]
    for name, where in housed.possible(codes).items():
        for code, can_be in zip(codes.tolist(), where.tolist(), strict=True):
            if can_be:
                text = housed.input_of(code, name).encode()
                fair = int(housed.fair_codes(twins.one(code))[0])
                assert classify(housed.fair, housed.shape, fair, housed.seat, text)[0] == name
            elif name in {refusal_class(refusal, housed.seat) for refusal in housed.refusals}:
                with pytest.raises(ValueError, match=f"no input is {name} in position {code}"):
                    housed.input_of(code, name)


def test_it_is_drawn_as_the_fair_game_is_and_wrong_input_points_at_nothing():
    pair = twins.twins_in_a_row(3, 3, 3)
    housed = HousedGame(pair.game, load_house_rules("three-warnings", pair.game), SECOND)
    code = housed.fair.code_of(0b1, 0b10, 0)
    for named in (False, True):
        drawn = housed.drawing(code, SECOND, 1, named=named)
        assert drawn == housed.fair.drawing(code, SECOND, 1, named=named)
        after_wrong_input = housed.drawing(code, SECOND, housed.fair_moves, named=named)
        assert after_wrong_input == housed.fair.drawing(code, SECOND, None, named=named)
    assert housed.drawing(code, SECOND, 1) == housed.fair.drawing(code, SECOND, 1) != drawn


def test_a_turn_is_lost_only_where_some_input_costs_it():
    pair = twins.twins_in_a_row(3, 3, 3)
    housed = HousedGame(
        pair.game, twins.house_twins(pair.game, [(["taken-by-machine"], "turn", 0)]).rules, SECOND
    )
    lost = len(pair.game.move_names)
    empty = housed.moves(twins.one(housed.start))
    assert lost not in empty.move  # nothing is taken yet
    answered = housed.fair.code_of(0b1, 0b10, 0)
    assert lost in housed.moves(twins.one(answered)).move
    own_only = housed.fair.code_of(0b1, 0, 0)
    assert lost not in housed.moves(twins.one(own_only)).move  # only the visitor's own cell is taken
    machine_moves = housed.fair.code_of(0b11, 0b100, 1)
    assert lost not in housed.moves(twins.one(machine_moves)).move


def test_least_images_of_positions_with_counters_keep_the_counters():
    pair = twins.twins_in_a_row(2, 2, 2)
    housed = HousedGame(pair.game, twins.house_twins(pair.game, [(["any"], "game", 3)]).rules, SECOND)
    codes = explore(housed).codes
    least, _ = least_images(housed, codes)
    assert np.array_equal(housed.times_forgiven(least, 0), housed.times_forgiven(codes, 0))


def test_counters_that_do_not_fit_are_refused():
    pair = twins.twins_in_a_row(7, 4, 4)
    rules = [(["empty"], "game", 200)]
    for_a_small_board = twins.house_twins(twins.twins_in_a_row(3, 3, 3).game, rules).rules
    with pytest.raises(BadInput, match="do not fit in one code"):
        HousedGame(pair.game, for_a_small_board, 0)
    with pytest.raises(BadInput, match="count too much"):
        twins.house_twins(pair.game, rules)
    HousedGame(pair.game, twins.house_twins(pair.game, [(["empty"], "game", 63)]).rules, 0)


@pytest.mark.parametrize("name", ["usual", "lost-turn", "three-warnings"])
@pytest.mark.parametrize("seat", [0, 1])
def test_the_house_rules_that_come_along_cost_what_their_files_say(name, seat):
    """Read off the files by hand: classes and costs in the naive model's own form."""
    taken = ("taken-by-machine", "taken-by-visitor")
    by_hand = {
        "usual": (),
        "lost-turn": (naive.HouseRule((*taken, "off-board"), "turn"),),
        "three-warnings": (
            naive.HouseRule(("after-end",), "nothing"),
            naive.HouseRule(twins.ORDER, "game", 3),
        ),
    }
    pair = twins.twins_in_a_row(2, 2, 2)
    housed = HousedGame(pair.game, load_house_rules(name, pair.game), seat)
    model = naive.Housed(pair.naive, naive.House("line", 8, by_hand[name]), seat)
    graph = explore(housed)
    assert len(graph) == len(naive.every_state(model, model.next))
