"""Messages that can never be said."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from games.codes import UNFINISHED
from games.house import load_house_rules
from games.load import parse_game
from solver.proof import prove
from solver.sheet.reader import SheetReader
from solver.strategy import Strategy
from tests import naive, naive_sheet, twins


def proofs(pair, house, seat, sheet):
    strategy, naive_strategy = twins.strategy_twins(pair, seat, sheet)
    model = naive.Housed(pair.naive, house.naive, seat)
    return prove(strategy, "never-loses", house.rules), naive_sheet.Checked(model, naive_strategy)


@given(st.data())
def test_what_is_never_said_is_what_no_input_at_all_brings_about(data):
    """On boards so small that classes of input are often impossible."""
    pair = data.draw(twins.games(most_cells=3))
    house = data.draw(twins.house_rules(pair.game))
    sheet = data.draw(twins.sheets(pair.naive))
    proof, checked = proofs(pair, house, data.draw(st.integers(0, 1)), sheet)
    assert set(proof.never_said) == set(house.rules.all_messages()) - checked.said()


def test_a_warning_that_is_never_used_up():
    """The visitor marks once: nothing is taken yet, and what comes after the end is not counted."""
    pair = twins.game_twins(2, 1, [[0, 1]])
    house = twins.house_twins(pair.game, [(["taken-by-machine", "taken-by-visitor", "after-end"], "game", 1)])
    proof, checked = proofs(pair, house, 1, ["take any free cell"])
    assert "rule 1" in proof.never_said
    assert "rule 1 forgiven" not in proof.never_said
    assert set(proof.never_said) == set(house.rules.all_messages()) - checked.said()


def test_where_nobody_can_win_neither_win_is_ever_told():
    pair = twins.game_twins(2, 1, [[0, 1]])
    proof, _ = proofs(pair, twins.house_twins(pair.game, []), 1, ["take any free cell"])
    assert proof.never_said == ("machine-wins", "visitor-wins")


@pytest.mark.parametrize("seat", [0, 1])
def test_who_plays_perfectly_never_has_to_say_you_win(seat):
    pair = twins.catalogue_twins("noughts-and-crosses")
    strategy, _ = twins.strategy_twins(pair, seat, ["look ahead 9 plies"])
    assert prove(strategy, "never-loses", load_house_rules("usual", pair.game)).never_said == (
        "visitor-wins",
    )


def test_the_turn_is_never_lost_by_what_cannot_be_keyed_in():
    """By key there is no empty line, and with ten cells called by all digits no key is off the board."""
    pair = twins.game_twins(5, 2, [[0, 1, 2, 3, 4]], "0123456789")
    house = twins.house_twins(pair.game, [(["empty", "off-board", "too-long"], "turn", 0)], kind="key")
    strategy, _ = twins.strategy_twins(pair, 1, ["block a line", "take any free cell"])
    assert "rule 1" in prove(strategy, "never-loses", house.rules).never_said


# Games in which moves score ---------------------------------------------------------------------------------


def final_totals(game, strategy):
    """What every line of play can come to, first minus second, found by following them one by one."""
    found = set()

    def follow(code, total):
        one = np.array([code], dtype=np.uint64)
        if game.ending(one)[0] != UNFINISHED:
            found.add(total)
            return
        moves = game.moves(one)
        allowed = strategy.answers(one).move if game.mover(one)[0] == strategy.seat else moves.move
        gains = game.gains(np.repeat(one, len(moves.move)), moves.move)
        for move, gain, child in zip(moves.move.tolist(), gains.tolist(), moves.child.tolist(), strict=True):
            if move in allowed:
                follow(child, total + gain)

    follow(game.start, 0)
    return found


@pytest.mark.parametrize("rule", ["look ahead 1 ply", "look ahead 9 plies", None])
@pytest.mark.parametrize("seat", [0, 1])
@pytest.mark.parametrize("columns", [1, 2])
def test_who_can_win_a_game_of_boxes_is_told_and_nobody_else(columns, seat, rule):
    """One box falls to whoever draws the last of its four lines; two can be shared."""
    text = f'kind = "game"\nfamily = "fill"\nplay = "boxes"\ncolumns = {columns}\nrows = 1\n'
    game = parse_game(text, "boxes.toml")
    rules = SheetReader("s.rules", [rule], game).read(0) if rule else []
    strategy = Strategy("s", "s.rules", game, seat, rules)
    proof = prove(strategy, "best-value", load_house_rules("usual", game))
    ahead = [total if seat == 0 else -total for total in final_totals(game, strategy)]
    told = {"machine-wins": any(each > 0 for each in ahead), "visitor-wins": any(each < 0 for each in ahead)}
    told["draw"] = 0 in ahead
    assert {name: name not in proof.never_said for name in told} == told
    if columns == 1 and rule:
        assert told == {"machine-wins": seat == 1, "visitor-wins": seat == 0, "draw": False}
