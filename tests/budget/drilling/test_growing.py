"""Counts of games found by playing the same games again and again, and nothing else taken for one."""

import pytest

from budget.drilling.growing import Grows, growing, stopping
from budget.drilling.power_up import power_up
from budget.drilling.sound import play_sound
from tests.budget.drilling.small import small
from tests.budget.drilling.test_mornings import altered

COUNTS = "start: set 0\n           store games\ngame:      count games"


@pytest.mark.parametrize("next_game", ["asked-for", "at-once"])
def test_nothing_grows_in_a_sound_program(next_game):
    case = small("none", next_game)
    assert growing(case.program, case.lines, case.talk) == ()


def test_a_count_of_games_grows():
    case, program = altered(COUNTS, "games")
    assert growing(program, case.lines, case.talk) == (program.labels["games"],)


def test_what_is_only_written_does_not_grow_and_what_goes_round_does_not():
    case, program = altered(f"{COUNTS}\n           load games\n           store copy", "games", "copy")
    assert growing(program, case.lines, case.talk) == (program.labels["games"],)
    turns = (
        "start: set 0\n           store odd\ngame:      set 1\n           subtract odd\n           store odd"
    )
    case, program = altered(turns, "odd")
    assert growing(program, case.lines, case.talk) == ()


def test_a_harmless_count_is_no_word_in_which_something_goes_on():
    case, program = altered(COUNTS, "games")
    sound = play_sound(program, case.lines, harmless=[program.labels["games"]])
    assert power_up(sound).kept == ()


def test_a_search_is_stopped_when_there_are_many_states_and_something_grows(monkeypatch):
    monkeypatch.setattr("budget.drilling.growing.ENOUGH", 10)
    heard, asked = [], []
    still = stopping(heard.append, lambda: asked.append(1) or ())
    for states in (5, 11, 12):
        still(states)
    assert (heard, asked) == ([5, 11, 12], [1])
    with pytest.raises(Grows, match="7"):
        stopping(heard.append, lambda: (7,))(11)
