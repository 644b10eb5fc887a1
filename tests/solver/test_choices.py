"""Choices: left open, or settled plain or turned; and the fixed strategy that comes of it."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from games.game import least_images
from games.house import load_house_rules
from solver import fixed
from solver.fixed import Unanswered, fix, fixed_plays
from solver.proof import prove
from solver.strategy import Strategy
from tests import naive, naive_sheet, twins
from tests.solver.test_rules import BOARDS, THREE
from tests.twins import FEWER


def answers_by_board(pair, strategy, boards):
    answers = strategy.answers(twins.codes_of(pair, boards, strategy.seat))
    moves = [[] for _ in boards]
    for place, move in zip(answers.place.tolist(), answers.move.tolist(), strict=True):
        moves[place].append(move)
    rules = [None if rule < 0 else rule for rule in answers.rule.tolist()]
    return list(zip(rules, moves, strict=True))


@given(st.data())
def test_a_strategy_answers_any_boards_as_the_naive_one_does(data):
    pair = data.draw(st.just(THREE) | twins.games(most_cells=9) | twins.falling_games(most_cells=12))
    seat, choice = data.draw(st.integers(0, 1)), data.draw(st.sampled_from(["open", "plain", "turned"]))
    sheet = data.draw(twins.sheets(pair.naive))
    drawn = data.draw(st.lists(twins.boards(pair), min_size=1, max_size=20))
    boards = [board for board in drawn if pair.naive.result(board) is None]
    strategy, model = twins.strategy_twins(pair, seat, sheet, choice)
    assert answers_by_board(pair, strategy, boards) == [model.answer(board) for board in boards]


@given(st.data())
def test_a_turned_choice_is_the_same_on_all_turned_boards(data):
    """What is played on the image is the image of what is played: but where a board is its own image."""
    seat = data.draw(st.integers(0, 1))
    strategy, _ = twins.strategy_twins(THREE, seat, data.draw(twins.sheets(THREE.naive)), "turned")
    boards = data.draw(st.lists(st.sampled_from(BOARDS), min_size=1, max_size=10))
    codes = twins.codes_of(THREE, boards, seat)
    moves = {int(codes[place]): int(move) for place, move in zip(*strategy.answers(codes)[1:], strict=True)}
    for symmetry in range(8):
        images = THREE.game.turned(symmetry, codes)
        answers = strategy.answers(images)
        for place, move in zip(answers.place, answers.move, strict=True):
            turned = THREE.game.turned_move(symmetry, np.array([moves[int(codes[place])]], dtype=np.uint16))
            after = [int(m) for m in (turned[0], move)]
            children = [_after(images[place], m, seat) for m in after]
            assert len(set(least_images(THREE.game, np.array(children, dtype=np.uint64))[0].tolist())) == 1


def _after(code, move, seat):
    moves = THREE.game.moves(twins.one(int(code)))
    if move in moves.move.tolist():
        return int(moves.child[moves.move.tolist().index(move)])
    return int(code) | 1 << 62 | 1 << move  # an illegal answer: only its own image is the same


@FEWER
@given(st.data())
def test_a_fixed_strategy_is_what_the_naive_turner_plays(data):
    pair = data.draw(twins.games(most_cells=6) | twins.falling_games())
    house, seat = data.draw(twins.house_rules(pair.game)), data.draw(st.integers(0, 1))
    sheet = [*data.draw(twins.sheets(pair.naive)), "take any free cell"]
    proof = prove(twins.strategy_twins(pair, seat, sheet)[0], "never-loses", house.rules)
    for reading in ("plain", "turned"):
        checked = naive_sheet.Checked(
            naive.Housed(pair.naive, house.naive, seat), twins.strategy_twins(pair, seat, sheet, reading)[1]
        )
        if checked.illegal:
            with pytest.raises(Unanswered):
                fix(proof, reading)
            continue
        play = fix(proof, reading)
        boards = sorted({state.board for state in checked.machine})
        wanted = dict(
            zip(
                twins.codes_of(pair, boards, seat).tolist(), map(checked.strategy.answer, boards), strict=True
            )
        )
        assert play.codes.tolist() == sorted(wanted)
        assert [([move]) for move in play.moves.tolist()] == [wanted[code][1] for code in play.codes.tolist()]
        assert len(play.graph) == len(checked.plies)
        assert play.proof.verdict == checked.verdict("never-loses")
        assert play.reading == reading


def test_a_fixed_strategy_without_an_answer_is_refused():
    strategy = twins.strategy_twins(THREE, 0, ["take the centre"])[0]
    proof = prove(strategy, "never-loses", load_house_rules("usual", THREE.game))
    for reading in fixed.readings_of(strategy):
        with pytest.raises(Unanswered, match=f"^{reading}$"):
            fix(proof, reading)


def test_what_the_module_says_it_offers_is_there():
    assert (
        {"fix", "PLAIN", "TURNED"}
        <= {name for name in fixed.__all__ if hasattr(fixed, name)}
        == {*fixed.__all__}
    )


@pytest.mark.parametrize(
    ("choice", "last", "readings"),
    [
        ("open", "take any free cell", ["plain", "turned"]),
        ("plain", "take any free cell", ["plain"]),
        ("turned", "take any free cell", ["turned"]),
        ("open", "take the centre", []),
    ],
    ids=["open", "plain", "turned", "without an answer"],
)
def test_a_strategy_is_fixed_in_every_reading_in_which_it_answers(choice, last, readings):
    pair = twins.twins_in_a_row(3, 2, 2)
    strategy = twins.strategy_twins(pair, 0, [last], choice)[0]
    proof = prove(strategy, "never-loses", load_house_rules("usual", pair.game))
    assert [play.reading for play in fixed_plays(proof)] == readings
    for play in fixed_plays(proof):
        assert play.proof.walk.strategy.choice == play.reading
        assert play.codes.tolist() == fix(proof, play.reading).codes.tolist()


def test_least_is_first_in_the_order_of_the_games_own_cells():
    [rule] = twins.read_rules(THREE.game, ["take 9, 3, 5"])
    code = twins.codes_of(THREE, ["........."], 0)
    plain = Strategy("x", "x", THREE.game, 0, [rule], "plain").answers(code)
    assert plain.move.tolist() == [2]
    open_ = Strategy("x", "x", THREE.game, 0, [rule]).answers(code)
    assert open_.move.tolist() == [2, 4, 8]


def test_turned_back_by_the_first_symmetry_that_leads_to_the_least_image():
    """A cross in corner 9: the least image has it in corner 1, and a half turn is the first way there."""
    strategy = twins.strategy_twins(THREE, 1, ["take an edge"], "turned")[0]
    answer = strategy.answers(twins.codes_of(THREE, ["........F"], 1))
    assert answer.move.tolist() == [7]  # cell 2 on the least image, turned half round
    answer = strategy.answers(twins.codes_of(THREE, ["..F......"], 1))
    assert answer.move.tolist() == [5]  # a quarter turn back leads there: cell 2 comes from cell 6
