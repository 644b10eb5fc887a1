"""The least change that makes a claim true, against trying whatever a losing line calls for."""

from itertools import combinations, product

import numpy as np
import pytest

from games.codes import FIRST, SECOND
from games.house import load_house_rules
from games.housed import HousedGame
from games.load import load_game
from solver.least.bound import Certificate
from solver.least.choices import Hopeless
from solver.least.highs import Found
from solver.least.stopped import NotFound
from solver.proof import PROVED, prove
from solver.repair import pictures as pictures_in_front
from solver.repair.answers import fewest_answers, with_answers
from solver.repair.overruled import overruled
from solver.repair.pictures import fewest_pictures, with_pictures
from solver.repair.plainly import plain_answers
from solver.repair.spare import only, spared
from solver.sheet.reader import SheetReader
from solver.strategy import OPEN, PLAIN, TURNED, Strategy
from tests.solver.repair.slow import Slow
from tests.solver.toy import Toy
from tests.solver.toy import strategy as played_by
from tests.twins import twins_in_a_row

FERRY = "complete a line,block a line,make a double threat,take the centre,take the opposite corner,take a corner,"
FERRY += "take an edge"
CORNERS = "complete a line,block a line,take a corner,take 5"


ROWS = {
    "four in a row of squares": (4, 1, 2, False),
    "four, misere": (4, 1, 2, True),
    "five, three to win": (5, 1, 3, False),
    "three by two, misere": (3, 2, 3, True),
}
"""Tiny boards: columns, rows, how many make a line, and whether who fills one loses."""


def game_of(name):
    if name not in ROWS:
        return load_game(name)
    columns, rows, length, misere = ROWS[name]
    return twins_in_a_row(columns, rows, length, misere=misere).game


def strategy_of(name, seat, rules, choice=OPEN):
    game = game_of(name)
    return Strategy("s", "s", game, seat, SheetReader("s", rules.split(","), game).read(0), choice)


def house_of(strategy, name="usual"):
    return load_house_rules(name, strategy.game)


def mended(strategy, claim="never-loses", house="usual", **options):
    return fewest_answers(strategy, claim, house_of(strategy, house), **options)


def pictured(strategy, claim="never-loses", house="usual", **options):
    rules = house_of(strategy, house)
    over = overruled(HousedGame(strategy.game, rules, strategy.seat), claim, strategy)
    found = fewest_answers(strategy, claim, rules, over=over)
    return found, fewest_pictures(strategy, claim, rules, over, found, **options)


# Answers -----------------------------------------------------------------------------------------------------

SMALL = [
    ("four in a row of squares", FIRST, "take any free cell", OPEN),
    ("four, misere", SECOND, "block a line,take any free cell", OPEN),
    ("four, misere", FIRST, "block a line,take any free cell", PLAIN),
    ("five, three to win", SECOND, "block a line,take any free cell", OPEN),
    ("three by two, misere", FIRST, "take a corner,take any free cell", OPEN),
    ("three by two, misere", FIRST, "take a1,take any free cell", OPEN),
    ("nim-1-2-3", SECOND, "look ahead 3 plies", OPEN),
    ("hexapawn", SECOND, "look ahead 2 plies", OPEN),
    ("hexapawn", SECOND, "look ahead 1 plies", TURNED),
    ("chomp-four-by-three", FIRST, "look ahead 2 plies", OPEN),
]


@pytest.mark.parametrize("case", SMALL, ids=["-".join(map(str, case)) for case in SMALL])
def test_the_fewest_answers_are_those_of_trying(case):
    strategy = strategy_of(*case)
    found = mended(strategy)
    assert found.proved_least
    assert found.proof.verdict == PROVED
    tried = Slow(strategy, turned=found.turned)
    assert tried.losing_line({}) is None or found.answers
    assert tried.fewest(min(found.answers, 2)) == (found.answers if found.answers <= 2 else None)


def test_a_sheet_of_noughts_and_crosses_needs_two_answers():
    found = mended(strategy_of("noughts-and-crosses", SECOND, FERRY))
    assert (found.answers, found.bound) == (2, 2)
    assert [row.position for row in found.rows()] == ["_V_/VM_/___", "__V/_M_/V__"]


@pytest.mark.long
def test_one_answer_does_not_mend_a_sheet_of_noughts_and_crosses():
    assert Slow(strategy_of("noughts-and-crosses", SECOND, FERRY)).fewest(2) == 2


def test_leaving_out_an_answer_loses():
    strategy = strategy_of("noughts-and-crosses", SECOND, CORNERS)
    found = mended(strategy)
    for gone in range(found.answers):
        codes, moves = np.delete(found.codes, gone), np.delete(found.moves, gone)
        fewer = with_answers(strategy, codes, moves, turned=True)
        assert prove(fewer, "never-loses", house_of(strategy)).verdict != PROVED


def test_what_holds_needs_nothing():
    found, drawn = pictured(strategy_of("two-by-two", FIRST, "complete a line,take any free cell"))
    assert (found.answers, found.bound, drawn.pictures, drawn.bound) == (0, 0, (), 0)


def test_a_lost_seat_cannot_be_mended():
    with pytest.raises(Hopeless):
        mended(strategy_of("two-by-two", SECOND, "take any free cell"))


def test_where_wrong_input_costs_a_turn_more_is_needed():
    strategy = strategy_of("noughts-and-crosses", SECOND, FERRY)
    found = mended(strategy, house="three-warnings")
    assert found.proved_least
    assert found.answers >= 2
    assert prove(strategy, "never-loses", house_of(strategy, "three-warnings")).verdict != PROVED


def test_a_claim_that_asks_to_get_on_in_a_game_that_can_repeat():
    strategy = strategy_of("small-mu-torere", FIRST, "look ahead 1 plies")
    found = mended(strategy, "best-value")
    assert found.proved_least
    assert found.proof.verdict == PROVED


class Drawn(Toy):
    """A game drawn by hand whose positions can be read, so that answers can be stored."""

    def read(self, text, seat, mover):
        return int(text) | mover << 63


def test_a_ring_of_won_positions_has_to_be_left_somewhere():
    """Play goes round 0, 1, 2, 3 for ever and gives nothing away; the machine can win from 0 and from 2."""
    game = Drawn([(0, [1, 4]), (1, [2]), (0, [3, 4]), (1, [0]), "first"])
    goes_round = played_by(game, FIRST, {0: {0}, 2: {0}})
    assert mended(goes_round).answers == 0
    for claim in ("best-value", "quickest"):
        found = mended(goes_round, claim)
        assert found.proved_least
        assert [(row.position, row.move) for row in found.rows()] == [("0", 1)]
    anything = played_by(game, FIRST, {0: {0, 1}, 2: {0, 1}})
    assert mended(anything, "best-value").answers == 1


def test_boards_that_rules_tell_apart_count_each():
    found = mended(strategy_of("three by two, misere", FIRST, "take a1,take any free cell"))
    assert not found.turned
    assert found.proved_least


@pytest.mark.parametrize(
    ("bound", "at_least"), [(2.3, 3), (2.0000001, 2), (-0.5, 0), (float("inf"), 0), (float("-inf"), 0)]
)
def test_where_nothing_is_found_in_time_the_bound_is_told(bound, at_least, monkeypatch):
    heard = []

    def minimise(model, seconds, tell):
        assert tell(5, 2)
        return Found(None, bound)

    monkeypatch.setattr("solver.repair.answers.minimise", minimise)
    with pytest.raises(NotFound) as caught:
        mended(
            strategy_of("two-by-two", FIRST, "complete a line,take any free cell"),
            tell=lambda *told: heard.append(told) or True,
        )
    assert caught.value.bound == at_least
    assert heard == [("searching", 5, 2)]


def test_where_there_is_no_time_for_a_proof_what_was_found_is_given(monkeypatch):
    monkeypatch.setattr(
        "solver.repair.answers.Prover.run", lambda prover, seconds, tell: Certificate(0, 0, complete=False)
    )
    found = mended(strategy_of("noughts-and-crosses", SECOND, FERRY))
    assert (found.answers, found.bound, found.search_bound) == (2, 0, 2)
    assert not found.proved_least
    assert found.proof.verdict == PROVED


# Pictures ----------------------------------------------------------------------------------------------------


def every_picture(game):
    """Every picture of a row of cells, as rows; of two that are each other's mirror image one, for it finds both."""
    cells = game.board.size
    for signs in product("MV_-!", repeat=cells):
        if signs.count("!") == 1 and signs.index("!") < cells / 2:
            yield ["".join(signs)]


ONE_OR_TWO = [
    ("four in a row of squares", "take any free cell", "best-value", 2),
    ("four in a row of squares", "take any free cell", "never-loses", 1),
    ("four, misere", "take any free cell", "never-loses", 2),
    ("four, misere", "block a line,take any free cell", "best-value", 1),
]


@pytest.mark.parametrize(("name", "rules", "claim", "count"), ONE_OR_TWO[:1])
def test_one_picture_does_just_where_that_is_said(name, rules, claim, count):
    check_single_pictures(name, rules, claim, count)


@pytest.mark.long
@pytest.mark.parametrize(("name", "rules", "claim", "count"), ONE_OR_TWO[1:])
def test_one_picture_does_just_where_that_is_said_of_others(name, rules, claim, count):
    check_single_pictures(name, rules, claim, count)


def check_single_pictures(name, rules, claim, count):
    strategy = strategy_of(name, FIRST, rules)
    found, drawn = pictured(strategy, claim)
    assert (len(drawn.pictures), drawn.bound) == (count, count)
    assert found.answers >= count
    proofs = (
        prove(with_pictures(strategy, [rows]), claim, house_of(strategy))
        for rows in every_picture(strategy.game)
    )
    assert any(proof.verdict == PROVED for proof in proofs) == (count == 1)


FIGURES = [(FERRY, 2, 2), (CORNERS, 6, 4)]


@pytest.mark.parametrize(("rules", "answers", "count"), FIGURES[:1], ids=["ferry"])
def test_pictures_in_front_of_a_sheet(rules, answers, count):
    check_figures(rules, answers, count)


@pytest.mark.long
@pytest.mark.parametrize(("rules", "answers", "count"), FIGURES[1:], ids=["corners"])
def test_pictures_in_front_of_a_worse_sheet(rules, answers, count):
    check_figures(rules, answers, count)


def check_figures(rules, answers, count):
    """Figures of our own, each with a proof that no fewer will do."""
    found, drawn = pictured(strategy_of("noughts-and-crosses", SECOND, rules))
    assert (found.answers, len(drawn.pictures), drawn.bound) == (answers, count, count)
    assert drawn.lists > count  # each list that is one picture shorter was looked at, and the one that does
    assert drawn.proof.verdict == PROVED


def test_signs_that_say_nothing_are_left_out():
    _, drawn = pictured(strategy_of("noughts-and-crosses", SECOND, FERRY))
    for number, rows in enumerate(drawn.pictures):
        for row, column in product(range(3), repeat=2):
            if rows[row][column] in "MV_":
                looser = [list(each) for each in rows]
                looser[row][column] = "-"
                others = [*drawn.pictures[:number], looser, *drawn.pictures[number + 1 :]]
                strategy = strategy_of("noughts-and-crosses", SECOND, FERRY)
                proof = prove(with_pictures(strategy, others), "never-loses", house_of(strategy))
                assert proof.verdict != PROVED


def test_where_time_is_short_there_is_a_list_and_a_bound():
    strategy = strategy_of("noughts-and-crosses", SECOND, CORNERS)
    found, drawn = pictured(strategy, told=lambda best, bound: False)
    assert 0 < drawn.bound <= len(drawn.pictures) <= found.answers
    assert drawn.proof.verdict == PROVED


def test_where_a_gap_is_left_a_list_is_tried_that_needs_nothing_of_the_strategy(monkeypatch):
    monkeypatch.setattr(pictures_in_front, "_shortest", lambda front, best, end, told: (best, 1))
    strategy = strategy_of("five, three to win", SECOND, "take a corner,take any free cell")
    heard = []
    found, drawn = pictured(strategy, told=lambda *told: heard.append(told) or True)
    assert heard
    assert drawn.proof.verdict == PROVED
    assert 1 == drawn.bound < len(drawn.pictures) <= found.answers
    alone = Strategy("s", "", strategy.game, SECOND, drawn.strategy.rules[: len(drawn.pictures)])
    assert prove(alone, "never-loses", house_of(strategy)).verdict == PROVED


def test_pictures_are_looked_for_on_boards_of_so_many_cells_and_no_more(monkeypatch):
    strategy = strategy_of("four in a row of squares", FIRST, "take any free cell")
    monkeypatch.setattr(pictures_in_front, "MOST_CELLS", 4)
    assert pictured(strategy)[1].pictures
    monkeypatch.setattr(pictures_in_front, "MOST_CELLS", 3)
    with pytest.raises(ValueError, match=r"^there are no pictures of drawn$"):
        pictured(strategy)


def test_games_and_sheets_that_have_no_such_pictures():
    for case, why in (
        (("hexapawn", SECOND, "look ahead 1 plies"), "of Hexapawn"),
        (
            ("three by two, misere", FIRST, "take a1,take any free cell"),
            "in front of rules that tell boards apart which are alike",
        ),
    ):
        with pytest.raises(ValueError, match=f"^there are no pictures {why}$"):
            pictured(strategy_of(*case))


# Rules that can go -------------------------------------------------------------------------------------------

HOLDS = "complete a line,block a line,stop a double threat,take the centre,take the opposite corner,take a corner,"
HOLDS += "take any free cell"


def test_the_rules_that_stay_are_the_fewest_of_all_sets():
    strategy = strategy_of("noughts-and-crosses", SECOND, HOLDS)
    proof = prove(strategy, "never-loses", house_of(strategy))
    found = spared(proof)
    assert found.complete
    assert found.proof.verdict == PROVED
    assert "take the opposite corner" not in [strategy.rules[rule].text for rule in found.stay]
    for rule in found.stay:
        fewer = only(strategy, [each for each in found.stay if each != rule])
        assert prove(fewer, "never-loses", proof.house).verdict != PROVED


@pytest.mark.long
def test_no_smaller_set_of_rules_holds():
    strategy = strategy_of("noughts-and-crosses", SECOND, HOLDS)
    proof = prove(strategy, "never-loses", house_of(strategy))
    size = len(spared(proof).stay)
    for rules in combinations(range(len(strategy.rules)), size - 1):
        assert prove(only(strategy, rules), "never-loses", proof.house).verdict != PROVED


def test_rules_in_front_stay():
    strategy = strategy_of("two-by-two", FIRST, "complete a line,take a1,take any free cell")
    proof = prove(strategy, "never-loses", house_of(strategy))
    assert spared(proof).stay == (2,)
    assert spared(proof, always=1).stay == (0, 1)


def test_only_what_holds_can_be_spared():
    strategy = strategy_of("noughts-and-crosses", SECOND, FERRY)
    with pytest.raises(ValueError, match=r"^the claim of s does not hold with all its rules$"):
        spared(prove(strategy, "never-loses", house_of(strategy)))


def test_an_end_that_is_asked_for_leaves_what_is_known():
    strategy = strategy_of("noughts-and-crosses", SECOND, HOLDS)
    proof = prove(strategy, "never-loses", house_of(strategy))
    found = spared(proof, goes_on=lambda: False)
    assert found.proof.verdict == PROVED
    assert not found.complete


# Answers out of best play ------------------------------------------------------------------------------------

PLAIN_ONES = [
    ("noughts-and-crosses", SECOND, FERRY, OPEN, "never-loses", "usual"),
    ("noughts-and-crosses", SECOND, FERRY, PLAIN, "best-value", "usual"),
    ("noughts-and-crosses", FIRST, CORNERS, OPEN, "quickest", "lost-turn"),
    ("noughts-and-crosses", SECOND, "take 1,take the centre", TURNED, "never-loses", "usual"),
    ("pong-hau-ki", FIRST, "look ahead 1 ply", OPEN, "best-value", "usual"),
    ("hexapawn", SECOND, "look ahead 1 ply", OPEN, "quickest", "usual"),
]


@pytest.mark.parametrize(
    ("name", "seat", "rules", "choice", "claim", "house"),
    PLAIN_ONES,
    ids=[f"{case[0]} {case[1]} {case[4]} {case[3]}" for case in PLAIN_ONES],
)
def test_answers_of_best_play_hold_the_claim_and_none_of_them_can_be_left_out(
    name, seat, rules, choice, claim, house
):
    strategy = strategy_of(name, seat, rules, choice)
    how = house_of(strategy, house)
    turned = choice != PLAIN
    found = plain_answers(strategy, claim, how, turned=turned, bound=1)
    assert (
        prove(with_answers(strategy, found.codes, found.moves, turned=turned), claim, how).verdict == PROVED
    )
    last = found.codes[:-1], found.moves[:-1]
    assert (
        not found.answers or prove(with_answers(strategy, *last, turned=turned), claim, how).verdict != PROVED
    )
    fewest = fewest_answers(strategy, claim, how)
    assert found.answers >= fewest.answers or found.turned != fewest.turned


@pytest.mark.parametrize(("name", "seat"), [("dodgem", FIRST), ("boxes-three-by-one", SECOND)])
def test_answers_of_best_play_are_there_where_play_goes_round_and_where_moves_score(name, seat):
    """A won game has to be brought to its end, and not one point may be given away."""
    strategy = strategy_of(name, seat, "look ahead 1 ply")
    found = plain_answers(strategy, "best-value", house_of(strategy), turned=True, bound=1, seconds=-1)
    assert found.proof.verdict == PROVED
    assert found.answers


def test_answers_of_best_play_are_there_at_once_though_more_than_are_needed():
    strategy = strategy_of("noughts-and-crosses", SECOND, FERRY)
    how = house_of(strategy)
    hurried = plain_answers(strategy, "never-loses", how, turned=True, bound=1, seconds=-1)
    patient = plain_answers(strategy, "never-loses", how, turned=True, bound=1)
    assert hurried.proof.verdict == PROVED
    assert hurried.answers >= patient.answers
    assert (hurried.bound, hurried.proved_least) == (1, hurried.answers == 1)


def test_where_nothing_is_lost_best_play_overrules_nothing_though_wins_are_let_go():
    strategy = strategy_of("noughts-and-crosses", FIRST, HOLDS)
    how = house_of(strategy)
    assert prove(strategy, "best-value", how).verdict != PROVED
    for claim, none in (("never-loses", True), ("best-value", False)):
        found = plain_answers(strategy, claim, how, turned=True, bound=0, seconds=-1)
        assert found.proof.verdict == PROVED
        assert (found.answers == 0) == none


def test_a_game_of_boxes_that_must_not_be_lost_is_played_without_giving_a_point_away():
    strategy = strategy_of("boxes-three-by-one", SECOND, "look ahead 1 ply")
    found = plain_answers(strategy, "never-loses", house_of(strategy), turned=True, bound=1, seconds=-1)
    assert found.proof.verdict == PROVED
    assert found.answers
