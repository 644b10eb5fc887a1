"""Morning games against trying every set of lines; the table turned round; and what the batteries notice."""

import random
from itertools import combinations

import pytest

from budget.closing import Differs
from budget.drilling.drill import Outcome, Shown
from budget.drilling.lines import START
from budget.drilling.mornings import morning_of
from budget.drilling.power_up import power_up
from budget.drilling.replies import Reply
from budget.drilling.sound import play_sound
from budget.drilling.table import NoSuchLine, fitting, step_of, suspects, words_to_look_at
from budget.faulty import SAME, STRAYS
from budget.machine.assembler import assemble
from tests.budget.drilling.small import begun_otherwise, small

FAULT = {"kind": "a bit before the start", "where": [5, 0], "addresses": [5], "found": STRAYS}
TABLE = {
    "begins": "GO",
    "steps": [
        {"after": START, "typed": "1", "printed": "I PLAY 3"},
        {"after": 0, "typed": "2", "printed": "I PLAY 4"},
    ],
    "faults": [
        {**FAULT, "shown": [{"step": 0, "printed": "\nI PLAY 7", "then": "waiting"}]},
        {**FAULT, "where": [5, 1], "shown": [{"step": 0, "printed": "I PLAY 77", "then": "waiting"}]},
        {**FAULT, "addresses": [9], "shown": [{"step": 0, "printed": "I PLAY 7", "then": "halted"}]},
        {**FAULT, "addresses": [9], "shown": [{"step": 1, "printed": "I PLAY 7", "then": "halted"}]},
        {**FAULT, "addresses": [3], "shown": [{"step": START, "printed": "", "then": "halted"}]},
    ],
}


def outcome(*steps):
    return Outcome(
        STRAYS if steps else SAME, tuple(Shown(step, Reply((), "")) for step in steps), True, False
    )


def fewest(lines, outcomes):
    """The least number of lines, by trying all sets."""
    ways = [set(lines.way_to(number)) for number, step in enumerate(lines.steps) if step.leads is None]
    wanted = [{each.step for each in one.shown} for one in outcomes if one.shown]
    for size in range(len(ways) + 1):
        for picked in combinations(ways, size):
            seen = {START}.union(*picked) if picked else set()
            if all(steps & seen for steps in wanted):
                return size
    raise AssertionError


@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_as_few_lines_as_can_be_show_all_that_any_line_shows(seed):
    lines, rng = small("none", "at-once").lines, random.Random(seed)
    numbers = range(len(lines.steps))
    outcomes = [outcome(*rng.sample(numbers, rng.randint(0, 6))) for _ in range(9)] + [outcome(START)]
    morning = morning_of(lines, outcomes)
    assert morning.is_least
    assert len(morning.lines) == fewest(lines, outcomes)
    played = {START}.union(*morning.lines)
    assert all(not one.shown or {each.step for each in one.shown} & played for one in outcomes)
    assert morning.shown + morning.hidden == len(outcomes)


def test_what_shows_at_the_start_alone_needs_one_line_and_nothing_needs_none():
    lines = small("none", "at-once").lines
    assert len(morning_of(lines, [outcome(START)]).lines) == 1
    assert morning_of(lines, [outcome()]).lines == ()


def test_lines_go_to_the_end_of_a_game_and_one_input_further():
    for next_game in ("asked-for", "at-once"):
        lines = small("none", next_game).lines
        assert lines.games == 8  # the visitor's 4 x 2 moves: the machine's are fixed, and the last is forced
        for number in lines.endings():
            way = lines.way_to(number)
            assert lines.steps[way[0]].wait == 0
            after = lines.steps[number].after
            assert after.over if next_game == "asked-for" else after == lines.waits[0]


def test_a_print_out_names_the_words_that_may_be_wrong():
    assert step_of(TABLE, []) == START
    assert step_of(TABLE, ["1", "2"]) == 1
    assert words_to_look_at(suspects(TABLE, 0, "I PLAY 7")) == [(5, 1), (9, 1)]
    assert words_to_look_at(suspects(TABLE, 0, "7")) == [(5, 2), (9, 1)]
    assert words_to_look_at(suspects(TABLE, 1, "i play 9")) == []
    assert suspects(TABLE, 0, "PLAY") == []  # that is due
    assert words_to_look_at(suspects(TABLE, START, "")) == [(3, 1)]
    with pytest.raises(NoSuchLine, match="input 2, '3', is in no line of the drill; expected '2'"):
        step_of(TABLE, ["1", "3"])


def test_a_fault_has_to_fit_all_that_was_seen():
    both = {**FAULT, "addresses": [9], "shown": [*TABLE["faults"][2]["shown"], *TABLE["faults"][3]["shown"]]}
    table = {**TABLE, "faults": [*TABLE["faults"], both]}
    assert fitting(table, [(0, "I PLAY 7"), (1, "I PLAY 7")]) == [both]
    assert len(fitting(table, [(0, "I PLAY 7")])) == 3
    assert fitting(table, [(0, "I PLAY 7"), (START, "")]) == []


def test_a_sound_program_stands_after_every_ending_as_at_its_start():
    for next_game in ("asked-for", "at-once"):
        found = power_up(small("none", next_game).sound)
        assert (found.next_games, found.kept) == (8, ())
        assert found.restarts == len(small("none", next_game).lines.waits)


def altered(begins, *words):
    """The small program, which begins otherwise, and with words of workspace of its own."""
    case = small("none", "at-once")
    text = begun_otherwise(case.text, begins)
    space = "".join(f"{word}: space 1\n" for word in words)
    return case, assemble(space + text, case.program.card)


def test_a_count_of_games_is_named():
    case, program = altered("start: set 0\n           store games\ngame:      count games", "games")
    assert power_up(play_sound(program, case.lines)).kept == (program.labels["games"],)


def test_what_stood_in_the_store_before_must_not_matter():
    case, program = altered("start:     load noise\n           ifzero game\ngame:", "noise")
    with pytest.raises(Differs, match="what stood in the store before"):
        power_up(play_sound(program, case.lines))


def test_a_program_that_cannot_be_started_anew_is_noticed():
    case, program = altered("first:     word 0\nstart:     count first\n           plus -1\ngame:")
    with pytest.raises(Differs, match="started anew"):
        power_up(play_sound(program, case.lines))
