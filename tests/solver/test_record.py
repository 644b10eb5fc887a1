"""A proof as data is enough for a checker of its own: it is replayed here by the naive model alone."""

import json

from hypothesis import given
from hypothesis import strategies as st

from solver.proof import prove
from solver.record import proof_record
from tests import naive, naive_sheet, twins
from tests.twins import FEWER


def text_of(model, state):
    """A position as records write it: the board, and how often each house rule that forgives has done so."""
    signs = {naive.SIGNS[model.seat]: "M", naive.SIGNS[1 - model.seat]: "V", naive.FREE: "_"}
    board = "/".join(model.game.written([signs[sign] for sign in state.board]))
    forgiving = zip(model.house.rules, state.forgiven, strict=True)
    counts = [str(count) for rule, count in forgiving if rule.forgive]
    return f"{board} forgiven {'/'.join(counts)}" if counts else board


def replay(model, strategy, witness):
    """The last position of a line given as data; what is keyed in is sorted and charged by the naive model."""
    game, seat = model.game, model.seat
    state = model.start
    assert witness["start"] == text_of(model, state)
    for ply in witness["plies"]:
        assert ply["by"] == ("machine" if state.turn == seat else "visitor")
        typed = ply["input"].encode()
        move = game.move_names.index(ply["input"]) if ply["effect"] == "move" else ply["effect"]
        if state.turn == seat:
            assert move in strategy.answer(state.board)[1]
        else:
            found = naive.class_of(game, model.house, seat, state.board, False, typed)
            assert found == ply["class"]
            if found != "legal":
                assert model.effect(state, found) == ply["effect"]
        state = model.next(state)[move]
        assert ply["position"] == text_of(model, state)
    return state


def never_lost(model, answers):
    """Whether no line ends in a loss when the machine plays only what the record says."""
    seat = model.seat

    def follow(state):
        moves = model.next(state)
        if state.turn != seat:
            return moves
        allowed = answers[text_of(model, state)]
        return {cell: moves[cell] for cell in map(model.game.move_names.index, allowed)}

    met = naive.every_state(model, follow)
    asked = {text_of(model, s) for s in met if s.turn == seat and model.result(s) is None}
    assert asked == set(answers)
    results = [model.result(state) for state in met]
    return all(result is None or model.worth(result) != naive.LOSS for result in results)


@given(st.data())
def test_the_witness_of_a_record_holds_by_itself(data):
    pair = data.draw(twins.games(most_cells=6) | twins.falling_games())
    house, seat = data.draw(twins.house_rules(pair.game)), data.draw(st.integers(0, 1))
    sheet = data.draw(twins.sheets(pair.naive))
    proof = prove(twins.strategy_twins(pair, seat, sheet)[0], "never-loses", house.rules)
    record = json.loads(json.dumps(proof_record(proof)))
    model, strategy = naive.Housed(pair.naive, house.naive, seat), twins.strategy_twins(pair, seat, sheet)[1]
    assert record["verdict"] == naive_sheet.Checked(model, strategy).verdict("never-loses")
    witness = record["witness"]
    if record["verdict"] == "proved":
        assert witness["kind"] == "answers"
        assert never_lost(model, witness["answers"])
        return
    last = replay(model, strategy, witness)
    assert len(record["losing_line"]) == len(witness["plies"])
    if record["verdict"] == "refuted":
        assert model.worth(model.result(last)) == naive.LOSS
    else:
        assert record["first_losing_decision"]["position"] == text_of(model, last)
        assert record["first_losing_decision"]["ply"] == len(witness["plies"]) + 1


@FEWER
@given(st.data())
def test_the_decision_of_a_record_stands_on_its_line_and_names_the_rule_that_made_it(data):
    pair = twins.twins_in_a_row(3, 3, 3)
    sheet, seat = data.draw(twins.sheets(pair.naive)), data.draw(st.integers(0, 1))
    strategy, model = twins.strategy_twins(pair, seat, sheet)
    record = proof_record(prove(strategy, "best-value", twins.house_twins(pair.game, []).rules))
    decision = record["first_losing_decision"]
    if record["verdict"] == "refuted":
        ply = record["witness"]["plies"][decision["ply"] - 1]
        assert ply["by"] == "machine"
        assert ply["input"] == decision["move"]
        number, cells = model.answer(naive_sheet.board_of(pair.naive, decision["position"], seat))
        assert pair.naive.names.index(decision["move"]) in cells
        assert decision["rule"] == record["rules"][number]["rule"]
