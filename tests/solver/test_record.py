"""A proof as data is enough for a checker of its own: it is replayed here by the naive model alone."""

import json

from hypothesis import given
from hypothesis import strategies as st

from games.house import load_house_rules
from games.load import load_game
from solver.proof import prove
from solver.record import proof_record
from solver.sheet.reader import SheetReader
from solver.strategy import Strategy
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


# Whole records that can be gone through by hand ----------------------------------------------------------------


def record_of(pair, lines, claim, house):
    rules = SheetReader("s.rules", lines, pair.game).read(0)
    strategy = Strategy("s", "s.rules", pair.game, 0, rules)
    return proof_record(prove(strategy, claim, load_house_rules(house, pair.game)))


ROW = twins.twins_in_a_row(3, 1, 2)
"""Three cells in a row, two to win: who begins in the middle wins with the next mark, and else should not."""


def test_a_proof_as_data_word_for_word():
    assert record_of(ROW, ["take b1", "take any free cell"], "quickest", "usual") == {
        "verdict": "proved",
        "game": "drawn",
        "strategy": "s",
        "claim": "quickest",
        "seat": "first",
        "house_rules": "usual",
        "positions": 3,
        "positions_up_to_symmetry": 2,
        "answers": 0,
        "answers_fixed_board": 0,
        "unanswered": 0,
        "illegal": 0,
        "longest_line": 3,
        "losing_line": None,
        "loop_from": None,
        "repetition_limit": None,
        "first_losing_decision": None,
        "lost_from_start": False,
        "house_rules_give_game_away": False,
        "rules": [
            {"line": 1, "rule": "take b1", "used": 1},
            {"line": 2, "rule": "take any free cell", "used": 2},
        ],
        "never_said": ["visitor-wins", "draw"],
        "witness": {"kind": "answers", "answers": {"___": ["b1"], "VM_": ["c1"], "_MV": ["a1"]}},
    }


def test_a_refutation_as_data_word_for_word():
    """The win is given away at once; behind that the visitor's best is to take the middle, and the sheet is silent."""
    ply = {"class": "legal", "effect": "move"}
    assert record_of(ROW, ["take a1", "", "take b1"], "best-value", "usual") == {
        "verdict": "refuted",
        "game": "drawn",
        "strategy": "s",
        "claim": "best-value",
        "seat": "first",
        "house_rules": "usual",
        "positions": 3,
        "positions_up_to_symmetry": 3,
        "answers": 1,
        "answers_fixed_board": 1,
        "unanswered": 1,
        "illegal": 0,
        "longest_line": 3,
        "losing_line": ["a1", "b1"],
        "loop_from": None,
        "repetition_limit": None,
        "first_losing_decision": {
            "ply": 1,
            "position": "___",
            "move": "a1",
            "rule": "take a1",
            "rule_line": 1,
            "better": ["b1"],
        },
        "lost_from_start": False,
        "house_rules_give_game_away": False,
        "rules": [{"line": 1, "rule": "take a1", "used": 1}, {"line": 3, "rule": "take b1", "used": 1}],
        "never_said": ["visitor-wins", "draw"],
        "witness": {
            "kind": "line",
            "start": "___",
            "plies": [
                {"by": "machine", "input": "a1", "position": "M__", **ply},
                {"by": "visitor", "input": "b1", "position": "MV_", **ply},
            ],
        },
    }


def test_a_game_that_house_rules_give_away_as_data():
    """Two cells that must not both be one's own: a visitor who loses the turn wins."""
    record = record_of(
        twins.game_twins(2, 1, [[0, 1]], misere=True), ["take any free cell"], "never-loses", "lost-turn"
    )
    move = {"by": "machine", "class": "legal", "effect": "move"}
    wrong = {"by": "visitor", "input": "a0", "class": "off-board", "effect": "turn lost"}
    assert (
        record.items()
        >= {
            "verdict": "refuted",
            "positions": 3,
            "positions_up_to_symmetry": 2,
            "longest_line": 3,
            "losing_line": ["a1", "'a0' (off the board): turn lost", "b1"],
            "loop_from": None,
            "first_losing_decision": None,
            "lost_from_start": True,
            "house_rules_give_game_away": True,
            "rules": [{"line": 1, "rule": "take any free cell", "used": 3}],
            "never_said": ["machine-wins"],
            "witness": {
                "kind": "line",
                "start": "__",
                "plies": [
                    {"input": "a1", "position": "M_", **move},
                    {"position": "M_", **wrong},
                    {"input": "b1", "position": "MM", **move},
                ],
            },
        }.items()
    )


def test_a_loop_and_a_place_without_an_answer_as_data():
    game = load_game("small-mu-torere")
    house = load_house_rules("usual", game)
    rules = SheetReader("s.rules", ["look ahead 1 ply"], game).read(0)
    record = proof_record(prove(Strategy("s", "s.rules", game, 0, rules), "best-value", house))
    assert record["longest_line"] is None
    silent = proof_record(prove(Strategy("s", "s.rules", game, 0, []), "never-loses", house))
    assert (silent["verdict"], silent["losing_line"], silent["unanswered"]) == ("no-answer", [], 1)
    decision = silent["first_losing_decision"]
    assert (decision["ply"], decision["move"], decision["rule"], decision["rule_line"]) == (
        1,
        None,
        None,
        None,
    )
    assert decision["better"]
