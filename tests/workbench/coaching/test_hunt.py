"""The bank of faulty strategies, and the odds of a sensible visitor, against plain recursion on the naive model."""

import json
from fractions import Fraction
from functools import cache

import pytest

from games.house import load_house_rules
from games.housed import HousedGame
from games.problems import BadInput
from solver.proof import REFUTED
from solver.walk import walk
from tests import naive
from tests.twins import catalogue_twins
from tests.workbench.running import wordtight
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
    strategy = naive.Strategy(game, seat, [rule.text for rule in written.rules], "plain")

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


def test_no_odds_where_play_can_go_round_or_moves_score(tmp_path):
    for game in ("pong-hau-ki", "boxes-two-by-two"):
        (tmp_path / "a.rules").write_text(f"game: {game}\nseat: first\nlook ahead 1 ply\n", encoding="utf-8")
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
