"""What a strategy does in a position, and why: for every kind of rule, and against the naive model."""

import json
from typing import get_args

import pytest

from games.house import load_house_rules
from games.load import load_game
from games.problems import BadInput
from solver import meanings as means
from solver.sheet.reader import SheetReader
from solver.strategy import OPEN, TURNED, Strategy
from tests import naive, naive_sheet
from tests.twins import catalogue_twins
from tests.workbench.running import wordtight
from workbench.coaching import seen
from workbench.coaching.moment import Moment, read_and_solve, worth_in_words
from workbench.coaching.position import read_position
from workbench.coaching.seen import why_not

MARKS = "noughts-and-crosses"


def moment_of(rules, position, *, name=MARKS, seat=1, claim="never-loses", house="usual", choice=OPEN):
    game = load_game(name)
    strategy = Strategy("s", "s", game, seat, SheetReader("s", rules.split("\n"), game).read(0), choice)
    housed, solved = read_and_solve(strategy, load_house_rules(house, game))
    return Moment(read_position(position.split(), housed, strategy, solved), strategy, claim, housed, solved)


AHEAD = (
    "It looked one ply ahead: a win, the nearer the better, before what is not settled by then, and that before a "
    "loss. Of moves that look alike it takes the first, and what comes later it cannot see."
)
SAW = {
    ("complete a line", "VM_/VM_/__V"): ["Cell 8 completes the machine's line 2-5-8."],
    ("block a line", "V__/VM_/___"): ["Cell 7 would complete the visitor's line 1-4-7."],
    ("make a double threat", "M_V/_V_/__M", 0): [
        "On cell 7 lines of the machine's meet that one more mark makes a threat: 1-4-7 and 7-8-9.",
    ],
    ("take the centre", "V__/___/___"): ["Its cells: 5. Free of them: 5."],
    ("take any free cell", "VVM/MMV/V__"): ["Cells that can be taken: 8 and 9."],
    ("take the first free of 1, 5, 3", "V__/___/___"): [
        "1 is not to be had; 5 is the first in its list that is."
    ],
    ("take the first free of 5, 1", "V__/___/___"): ["5 comes first in its list, and can be taken."],
    ("take the opposite corner", "V__/_M_/_V_"): ["The visitor holds the corner 1, and 9 is opposite."],
    ("stop a double threat", "V__/_M_/__V"): [
        "The visitor could make a double threat on 3 and 7.",
        "2, 4, 6 or 8 makes a threat, and stopping it gives the visitor no two threats.",
    ],
    ("stop a double threat by occupying it", "V__/_M_/__V"): [
        "The visitor could make a double threat on 3 and 7.",
        "Such a cell can be taken itself: 3 or 7.",
    ],
    ("picture fixed\nV - _\n- M -\n! - V", "V__/_M_/__V"): [
        "The picture is on the board, as it is drawn; its '!' lies on 7."
    ],
    ("picture\n_ - V\n- M -\nV - !", "V__/_M_/__V"): [
        "The picture is on the board, turned or mirrored; its '!' lies on 3 and 7."
    ],
    ("take the heaviest cell\n3 for the centre", "VVM/M_V/_MV"): ["What the free cells weigh: 5: 3, 7: 0."],
    ("look ahead 1 ply", "V__/___/___"): [
        AHEAD,
    ],
}


@pytest.mark.parametrize("case", SAW, ids=[case[0].partition("\n")[0] for case in SAW])
def test_what_a_rule_saw(case):
    rules, position, *seat = case
    assert moment_of(rules, position, seat=seat[0] if seat else 1).saw() == SAW[case]


WAYS = {
    "occupying it": "Such a cell can be taken itself: 3 or 7.",
    "clearing it": "",
    "any threat": "2, 3, 4, 6, 7 or 8 makes a threat of the machine's own.",
    "a safe threat": "2, 4, 6 or 8 makes a threat, and stopping it gives the visitor no two threats.",
    "an occupying threat": "3 or 7 is such a cell, and makes a threat too.",
}


@pytest.mark.parametrize("way", WAYS)
def test_each_way_to_stop_a_double_threat_has_its_words(way):
    moment = moment_of(f"stop a double threat by {way}\ntake any free cell", "V__/_M_/__V")
    allowed = [option.move for option in moment.options if option.allowed]
    if WAYS[way]:
        assert moment.saw()[1:] == [WAYS[way]]
        twin = naive_sheet.Strategy(catalogue_twins(MARKS).naive, 1, [f"stop a double threat by {way}"])
        assert allowed == sorted(twin.answer("F...S...F")[1])
    else:
        assert moment.passed()[0].rule == "stop a double threat by clearing it"


def test_every_kind_of_rule_has_its_words():
    kinds = set(get_args(means.Meaning))
    assert kinds == {*seen._SAW, means.LooksUp, means.LooksAhead}
    assert kinds == {*seen._WHY_NOT, means.FillsALine}


def test_a_board_that_is_turned_first_is_told_as_it_is_looked_at():
    rules = "picture fixed\n_ _ V\n! M _\nV _ _\ntake the first free of 1, 2"
    turned = moment_of(rules, "V__/_M_/__V", choice=TURNED)
    assert turned.rule == 0
    assert turned.saw() == [
        "It first turns or mirrors the board, to __V/_M_/V__; cells are called as there.",
        "The picture is on the board, as it is drawn; its '!' lies on 4.",
    ]
    assert moment_of(rules, "V__/_M_/__V").rule == 1


def test_a_table_shows_its_row(tmp_path):
    table = "game: two-by-two\nseat: first\nposition,move\n__/__,a1\nM_/V_,b1\n"
    (tmp_path / "t.csv").write_text(table, encoding="utf-8")
    (tmp_path / "s.rules").write_text('game: two-by-two\nseat: first\nuse table "t.csv"\n', encoding="utf-8")
    told = json.loads(wordtight("explain", tmp_path / "s.rules", "M_/V_", "--json").out)
    assert told["saw"] == [
        "The table has a row for this board, or for one that is this one turned or mirrored."
    ]


def test_rules_that_had_no_move_say_why():
    rules = "complete a line\nblock a line\nmake a double threat\nstop a double threat\ntake 1\n"
    rules += "take the first free of 1\npicture\nV V -\n- - -\n- - !\ntake the opposite corner"
    moment = moment_of(rules, "V__/___/___")
    assert [each.line for each in moment.passed()] == [1, 2, 3, 4, 5, 6, 7]
    assert len({each.why for each in moment.passed()}) == 6
    assert all(why_not(rule) for rule in moment.strategy.rules)
    assert moment.rule == 7


def test_what_every_move_is_worth_is_what_the_naive_model_says():
    twins = catalogue_twins(MARKS)
    housed = naive.Housed(twins.naive, naive.House(), 1)
    for board, text in (
        ("F...S...F", "V__/_M_/__V"),
        ("F........", "V__/___/___"),
        ("FSFFS....", "VMV/VM_/___"),
    ):
        for claim in ("never-loses", "best-value", "quickest"):
            moment = moment_of("take any free cell", text, claim=claim)
            state = naive.State(board, 1)
            after = housed.next(state)
            assert [option.move for option in moment.options] == sorted(after)
            for option in moment.options:
                result, plies = housed.value(after[option.move])
                assert (option.result, option.plies) == (result, -1 if plies is None else plies + 1)
                assert option.keeps == housed.keeps(claim, state, after[option.move])


def test_worth_is_said_in_words():
    told = {
        worth_in_words(option, scores=False)
        for option in moment_of("take any free cell", "V__/_M_/__V").options
    }
    assert told == {"a draw", "a loss in 4 plies"}
    points = moment_of("look ahead 1 ply", "b1-b2", name="boxes-two-by-two", seat=1, claim="best-value")
    assert all("points to come" in worth_in_words(option, scores=points.scores) for option in points.options)
    assert any(option.keeps for option in points.options)


def test_the_line_that_follows_breaks_the_claim_or_is_the_visitors_best():
    bad = moment_of("take a corner\ntake any free cell", "1 5 9")
    assert bad.is_bad
    end = bad.proof.walk.graph.child[bad.line().edges[-1]]
    assert bad.proof.walk.graph.ending[end] == 1  # the first player, who is the visitor
    good = moment_of("complete a line\ntake any free cell", "VM_/VM_/__V")
    assert not good.is_bad
    assert good.proof.failure is None
    assert [good.game.move_names[good.proof.walk.graph.move[edge]] for edge in good.line().edges] == ["8"]


# How a position is typed -------------------------------------------------------------------------------------


def test_a_line_and_its_board_are_the_same_position():
    rules = "take the centre\ntake a corner"
    by_moves, by_board = (moment_of(rules, text) for text in ("1 5 9", "V__/_M_/__V"))
    assert by_moves.asked.code == by_board.asked.code
    assert moment_of(rules, "1,5, 9").asked == by_moves.asked
    assert (by_moves.asked.left_at, by_board.asked.left_at) == (None, None)
    assert moment_of(rules, "1 2 9").asked.left_at == 1


BAD = {
    "": "no position",
    "1 5": "the visitor is to move",
    "1 5 5": "move 3, '5', is not legal there; expected one that the visitor can make",
    "1 1 5": "move 2, '1', is not legal there; expected one that the machine can make",
    "1 5 z": "'z' is no move",
    "1 4 2 5 3 6": "'6' comes after the end of the game",
    "1 4 2 5 3": "the game is over after these moves",
    "VVV/MM_/___": "the game is over in this position",
    "VVV/VV_/___": "cannot come with the machine to move",
    "V__/_M_": "no position",
}


@pytest.mark.parametrize("position", BAD)
def test_a_position_that_is_none(position):
    with pytest.raises(BadInput, match=BAD[position]):
        moment_of("take any free cell", position)


def test_a_position_that_no_rule_answers_and_one_that_the_game_does_not_allow(tmp_path):
    assert moment_of("take the centre", "1 5 9").rule is None
    table = "game: two-by-two\nseat: first\nturning: plain\nposition,move\n__/__,a1\nMV/__,a1\n"
    (tmp_path / "t.csv").write_text(table, encoding="utf-8")
    ran = wordtight("explain", tmp_path / "t.csv", "MV/__")
    assert ran.status == 0
    assert "But the game does not allow a1 here." in ran.out


@pytest.mark.parametrize(
    ("house", "is_said"), [("usual", False), ("lost-turn", False), ("three-warnings", True)]
)
def test_what_has_been_forgiven_is_said_where_house_rules_count(tmp_path, house, is_said):
    sheet = tmp_path / "sheet.rules"
    sheet.write_text(
        f"game: {MARKS}\nseat: second\nhouse-rules: {house}\ntake any free cell\n", encoding="utf-8"
    )
    ran = wordtight("explain", str(sheet), "1")
    assert ("(No wrong input has been forgiven so far.)" in ran.out) == is_said
