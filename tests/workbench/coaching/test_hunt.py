"""The bank of faulty strategies, and the odds of a sensible visitor, against plain recursion on the naive model."""

import json
from fractions import Fraction
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from games.house import load_house_rules
from games.housed import HousedGame
from games.problems import BadInput
from solver.proof import REFUTED
from solver.walk import walk
from tests import naive, naive_sheet
from tests.twins import catalogue_twins
from tests.workbench.running import wordtight
from workbench.coaching.chances import chances
from workbench.coaching.hunting import BANK, answer_to, percent, quarries, quarry_named
from workbench.coaching.visitor import odds_against

NAMES = sorted(path.stem for path in BANK.glob("*.rules"))


@pytest.fixture(scope="module")
def bank():
    return quarries()


def slow_odds(name):
    """The chance, the lines and those that lose, game by game and move by move."""
    written = quarry_named(name).written
    game = catalogue_twins(written.game.name).naive
    seat = written.seats[0]
    housed = naive.Housed(game, naive.House(), seat)
    strategy = naive_sheet.Strategy(game, seat, [rule.text for rule in written.rules], "plain")

    def machine_could_win(state):
        return any(housed.result(child) == ("first", "second")[seat] for child in housed.next(state).values())

    @cache
    def odds(state):
        result = housed.result(state)
        if result is not None:
            lost = result == ("first", "second")[1 - seat]
            return Fraction(int(lost)), 1, int(lost)
        after = housed.next(state)
        if state.turn == seat:
            moves = strategy.answer(state.board)[1]
            return odds(after[moves[0]]) if moves else (Fraction(1), 1, 1)
        wins = [child for child in after.values() if housed.result(child) == ("first", "second")[1 - seat]]
        careful = [
            child
            for child in after.values()
            if housed.result(child) is not None or not machine_could_win(child)
        ]
        kept = wins or careful or list(after.values())
        every = [odds(child) for child in after.values()]
        return (
            sum((odds(child)[0] for child in kept), Fraction(0)) / len(kept),
            sum(lines for _, lines, _ in every),
            sum(losing for _, _, losing in every),
        )

    return odds(housed.start)


@pytest.mark.parametrize("name", ["open-door", "four-winds", "back-to-front", "clear-deck", "rain-barrel"])
def test_the_odds_are_those_of_plain_recursion(name):
    found = quarry_named(name).odds
    assert (found.chance, found.lines, found.losing) == slow_odds(name)
    assert found.in_ten == 1 - (1 - found.chance) ** 10


def test_the_bank_is_large_and_everything_in_it_can_be_beaten(bank):
    assert len(bank) >= 12
    assert [each.name for each in bank] == sorted(NAMES, key=[each.name for each in bank].index)
    assert len({each.written.game.name for each in bank}) >= 6
    assert {each.written.seats for each in bank} == {(0,), (1,)}
    assert all(each.chance > 0 and each.story.isascii() and len(each.story) <= 70 for each in bank)
    assert bank[0].chance > Fraction(9, 10)
    assert [(each.odds.losing, each.odds.lines) for each in bank if each.name == "loose-board"] == [(2, 457)]
    assert [each.chance for each in bank] == sorted((each.chance for each in bank), reverse=True)


@pytest.mark.parametrize("name", ["one-eye", "last-crumb"])
def test_the_answer_is_a_line_that_beats_it_as_it_plays(name):
    assert answer_to(quarry_named(name)).verdict == REFUTED


def test_no_odds_where_moves_score(tmp_path):
    (tmp_path / "a.rules").write_text(
        "game: boxes-two-by-two\nseat: first\nlook ahead 1 ply\n", encoding="utf-8"
    )
    quarry = quarry_named("a", tmp_path)
    assert quarry.odds is None
    strategy, house = quarry.strategy, load_house_rules("usual", quarry.written.game)
    assert odds_against(walk(HousedGame(strategy.game, house, 0), strategy)) is None


def test_a_position_without_an_answer_is_beaten(tmp_path):
    text = "game: noughts-and-crosses\nseat: second\ntake the centre\n"
    (tmp_path / "short.rules").write_text(text, encoding="utf-8")
    found = quarry_named("short", tmp_path)
    assert found.chance == 1
    assert found.odds.losing == found.odds.lines


def test_chances_in_per_cent():
    told = {Fraction(1, 3): "33.3 %", Fraction(2, 3): "66.7 %", Fraction(0): "0.0 %", Fraction(1): "100.0 %"}
    told |= {Fraction(1, 10**6): "< 0.1 %", 1 - Fraction(1, 10**6): "> 99.9 %", Fraction(1, 48): "2.1 %"}
    for chance, text in told.items():
        assert percent(chance) == text


def test_a_folder_of_ones_own(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "own").mkdir()
    table = "game: two-by-two\nseat: first\nposition,move\n__/__,a1\n"
    (tmp_path / "own" / "part.csv").write_text(table, encoding="utf-8")
    sheet = 'game: two-by-two\nseat: first\nuse table "part.csv"\ntake any free cell\n'
    (tmp_path / "own" / "whole.rules").write_text(sheet, encoding="utf-8")
    assert [each.name for each in quarries(tmp_path / "own")] == ["whole"]
    record = json.loads(wordtight("hunt", "--folder", "own", "--answers", "--json").out)
    [found] = record["strategies"]
    assert (found["name"], found["story"], found["chance"], found["losing_line"]) == ("whole", "", "0", None)


def test_a_folder_that_is_of_no_use(tmp_path):
    with pytest.raises(BadInput, match="no strategy"):
        quarries(tmp_path)
    with pytest.raises(BadInput, match="no folder"):
        quarries(tmp_path / "none")
    for name in ("a", "b"):
        (tmp_path / f"{name}.rules").write_text("game: two-by-two\nseat: first\ntake z\n", encoding="utf-8")
    with pytest.raises(BadInput) as told:
        quarries(tmp_path)
    assert len(told.value.problems) == 2
    (tmp_path / "both.rules").write_text("game: two-by-two\nseat: both\ntake a1\n", encoding="utf-8")
    with pytest.raises(BadInput, match="both seats"):
        quarry_named("both", tmp_path)


def test_a_game_against_one_of_them():
    ran = wordtight("hunt", "loose-board", stdin=b"1\n9\n3\n6\nq\n")
    assert ran.status == 0
    assert "2 of 457 lines beat this sheet; nobody has found one yet." in ran.out
    assert "YOU WIN" in ran.out
    assert "1 found so far" in ran.out
    assert "Good there" not in ran.out


def test_the_answer_comes_when_it_is_asked_for():
    ran = wordtight("hunt", "loose-board", "--answers")
    assert ran.status == 0
    assert "Good there: 2, 4, 6 or 8." in ran.out
    assert max(map(len, ran.out.split("\n"))) <= 80


# Where play goes round ---------------------------------------------------------------------------------------


def rounds_of_play(after, known, plies):
    """Two bounds of each chance: what is beaten after so many plies, and what is not safe yet."""
    low = [Fraction(known.get(place, 0)) for place in range(len(after))]
    high = [Fraction(known.get(place, 1)) for place in range(len(after))]
    for _ in range(plies):
        low, high = (
            [sum((old[each] for each in others), Fraction(0)) / len(others) if others else old[place]
             for place, others in enumerate(after)]
            for old in (low, high)
        )  # fmt: skip
    return list(zip(low, high, strict=True))


ROUND = {  # what comes after each position; the ends with their chances; the chances as worked out by hand
    "a coin, until it falls on a side": ([[0, 1, 2], [], []], {1: 1, 2: 0}, ["1/2", 1, 0]),
    "to and fro": ([[1, 2], [0, 3], [], []], {2: 0, 3: 1}, ["1/3", "2/3", 0, 1]),
    "round for ever": ([[1], [0], [0, 3], []], {3: 1}, [0, 0, "1/2", 1]),
    "sooner or later": ([[0, 1], []], {1: 1}, [1, 1]),
    "twice as likely": ([[1, 1, 2], [], [0]], {1: 1}, [1, 1, 1]),
    "four on a row": ([[], [0, 2], [1, 3], [2, 4], []], {0: 0, 4: 1}, [0, "1/4", "1/2", "3/4", 1]),
}


@pytest.mark.parametrize("name", list(ROUND))
def test_chances_where_play_goes_round_are_those_worked_out_by_hand(name):
    after, known, due = ROUND[name]
    ends = {place: Fraction(chance) for place, chance in known.items()}
    assert chances(after, ends) == [Fraction(each) for each in due]


@given(data=st.data())
@settings(max_examples=60, deadline=None)
def test_chances_solve_their_own_equations_and_lie_between_what_play_of_many_plies_leaves(data):
    size = data.draw(st.integers(1, 7))
    places = st.lists(st.integers(0, size - 1), max_size=4)
    after = [data.draw(places) for _ in range(size)]
    known = {place: Fraction(data.draw(st.integers(0, 1))) for place in range(size) if not after[place]}
    found = chances(after, known)
    for place, others in enumerate(after):
        assert found[place] == (
            sum((found[each] for each in others), Fraction(0)) / len(others) if others else known[place]
        )
    for chance, (low, high) in zip(found, rounds_of_play(after, known, 12), strict=True):
        assert low <= chance <= high


def test_too_many_positions_that_go_round_have_no_chances(monkeypatch):
    monkeypatch.setattr("workbench.coaching.chances.MOST_TANGLED", 1)
    after, known, _ = ROUND["to and fro"]
    assert chances(after, {place: Fraction(chance) for place, chance in known.items()}) is None


def test_odds_where_play_goes_round_have_no_number_of_lines():
    found = quarry_named("mill-wheel")
    assert (found.odds.lines, found.odds.losing) == (None, None)
    assert 0 < found.chance < Fraction(1, 5)
    ran = wordtight("hunt", "mill-wheel", "--answers")
    assert "lines beat it" not in ran.out
    assert "It played 7-8. Good there: 9-8." in ran.out
