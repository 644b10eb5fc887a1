"""C programs say what they should: every input in every state, against the model told from the rules alone."""

import pytest

from budget.c90 import tree_bits, tree_calls
from budget.c90.turning import images_of
from budget.card import load_machine
from budget.closing import Differs
from budget.conversation import Conversation
from budget.lowering.text import NotLowered, WrongWay
from budget.toolchains.tour import edges_of, tour
from games.codes import FIRST, SECOND
from games.house import load_house_rules
from games.housed import HousedGame
from games.load import load_game
from games.take.heaps import Heaps
from games.take.octal import Octal
from solver.fixed import PLAIN, TURNED
from tests.budget.c90.programs import CAREFUL, drilled_text, house, sheet_play, written_as
from tests.budget.plays import any_move, housed, never_losing, play_of
from tests.budget.test_closing import HOUSE as TERSE

FORMS = ["dense", "sorted-keys", "reply-tree"]
REST = "stop a double threat\ntake the centre\ntake a corner\ntake any free cell\n"
SHEETS = {
    "weights": CAREFUL + "take the heaviest cell\n    1 for a line with no marks\n    1 for the centre\n",
    "threats": CAREFUL + "make a double threat\nstop a double threat\ntake the centre\n"
    "take the opposite corner\ntake any free cell\n",
    "other ways": CAREFUL
    + "stop a double threat by occupying the only one or a clearing threat, else any threat, "
    "else an occupying threat, else occupying it\ntake any free cell\n",
    "pictures": CAREFUL
    + "picture\n    M _ _\n    _ V _\n    _ _ !\ntake the first free of 1, 3, 9\ntake any free cell\n",
}
COUNTED = """
kind = "house-rules"
longest = 3
print = "close"
[[rule]]
when = ["off-board"]
say = "WHERE?"
cost = "turn"
forgive = 1
say-forgiven = "CAREFUL"
[[rule]]
when = ["too-long"]
say = "SHORTER"
[[rule]]
when = ["empty"]
say = "SAY SOMETHING"
[[rule]]
when = ["taken-by-visitor"]
say = "YOURS"
[[rule]]
when = ["taken-by-machine"]
say = "MINE"
cost = "game"
"""


def best(game, reading=PLAIN):
    """A play that never loses."""
    return play_of(game, reading, never_losing(game))


@pytest.mark.parametrize("sheet", sorted(SHEETS))
def test_rules(tmp_path, sheet):
    play = sheet_play(tmp_path, SHEETS[sheet], TERSE.replace('"key"', '"line"'))
    text, _ = written_as(play, "as-written")
    assert drilled_text(text, play).states > 10


@pytest.mark.parametrize("form", FORMS)
def test_tables(form):
    play = best(housed())
    text, _ = written_as(play, form)
    found = drilled_text(text, play)
    assert found.steps >= found.inputs > found.states > 50


@pytest.mark.parametrize("form", ["dense", "sorted-keys"])
def test_boards_are_turned(form):
    play = best(housed(), TURNED)
    text, _ = written_as(play, form)
    assert "turn();" in text
    assert drilled_text(text, play).states > 50


def test_boards_that_look_the_same_turned_may_be_odd(tmp_path):
    play = sheet_play(tmp_path, CAREFUL.replace("first", "second") + REST, TERSE, TURNED)
    assert 0 < len(images_of(play, play.game.fair).odd) < 5
    text, _ = written_as(play, "sorted-keys")
    assert drilled_text(text, play).states > 50


@pytest.mark.parametrize("game", ["noughts-and-crosses", "two-by-two"])
def test_least_images_are_few_and_steps_lead_home(game):
    play = play_of(housed(game), TURNED, any_move(5))
    found = images_of(play, load_game(game))
    assert len(found.moves) == len(set(found.numbers)) < len(play.codes)
    assert len(set(found.path)) == 8
    assert found.path[-1] == tuple(range(len(found.path[0])))


@pytest.mark.parametrize("seat", [FIRST, SECOND], ids=["first", "second"])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_lines_that_either_side_ends_are_played_through(seat, seed):
    play = play_of(housed("two-by-two", seat=seat), PLAIN, any_move(seed))
    text, _ = written_as(play, "reply-tree", {"tree": "in bits"})
    assert "goto branch;" in text
    assert drilled_text(text, play).states >= 4


def test_a_tree_in_bits_is_played_through():
    play = best(housed())
    text, _ = written_as(play, "reply-tree", {"tree": "in bits"})
    assert drilled_text(text, play).states > 50


@pytest.mark.parametrize("cells", ["by number", "by address"])
@pytest.mark.parametrize("rules", ["usual", "lost-turn"])
@pytest.mark.parametrize("seat", [FIRST, SECOND], ids=["first", "second"])
def test_branches_are_passed_over_by_calls(seat, rules, cells):
    play = play_of(housed("two-by-two", rules, seat), PLAIN, any_move(2))
    picked = {"tree": "in bits, by calls", "cells of branches": cells}
    text, _ = written_as(play, "reply-tree", picked)
    assert ("branch();\n    }\n    " in text) == (rules == "lost-turn"), "a lost turn is the last branch"
    assert drilled_text(text, play).states >= 4


def test_lines_on_which_turns_are_lost_are_passed_over_by_calls_only(tmp_path):
    play = sheet_play(tmp_path, CAREFUL + REST, "lost-turn")
    with pytest.raises(WrongWay, match="in one loop"):
        written_as(play, "reply-tree", {"tree": "in bits"})
    text, _ = written_as(play, "reply-tree", {"tree": "in bits, by calls"})
    assert drilled_text(text, play).states == 94


def test_lines_that_are_too_many_are_not_played_through(monkeypatch):
    monkeypatch.setattr(tree_bits, "MOST_ANSWERS", 1)
    monkeypatch.setattr(tree_calls, "MOST_ANSWERS", 1)
    for way in ("in bits", "in bits, by calls"):
        with pytest.raises(NotLowered, match="more than 1 answers"):
            written_as(best(housed()), "reply-tree", {"tree": way})


def test_an_ending_is_told_by_its_sign(tmp_path):
    play = sheet_play(tmp_path, SHEETS["pictures"], TERSE)
    text, offered = written_as(play, "as-written", {"endings": "by its sign"})
    assert offered["endings"] == ("each by itself", "by its sign")
    assert "put_char(ending);" in text
    assert drilled_text(text, play).states > 10
    assert written_as(best(housed()), "sorted-keys")[1]["endings"] == ("each by itself",)


@pytest.mark.parametrize(
    ("form", "lines"),
    [
        ("as-written", "the first line"),
        ("as-written", "the least cell of all"),
        ("sorted-keys", "the first line"),
    ],
)
def test_sums_that_are_kept(tmp_path, form, lines):
    play = sheet_play(tmp_path, SHEETS["pictures"], TERSE)
    text, _ = written_as(
        play, form, {"sums": "kept", "lines to fill": lines, "lines": "all cells, from the last"}
    )
    assert "put_mark(move, MINE)" in text
    assert drilled_text(text, play).states > 10


def test_what_house_rules_count_and_charge():
    fair = load_game("two-by-two")
    play = play_of(HousedGame(fair, house(COUNTED, "two-by-two"), FIRST), PLAIN, any_move(2))
    text, _ = written_as(play, "sorted-keys")
    assert drilled_text(text, play).states > 10


@pytest.mark.parametrize(
    ("right", "wrong"),
    [
        ('"I PLAY "', '"I PLAI "'),
        ("typed[0] - '1'", "typed[0] - '0'"),
    ],
)
def test_a_fault_is_found(right, wrong):
    play = best(housed())
    text, _ = written_as(play, "sorted-keys")
    assert right in text
    with pytest.raises(Differs, match="instead of"):
        drilled_text(text.replace(right, wrong), play)


def test_the_walk_takes_every_input_in_every_state_and_goes_nowhere_by_leaps():
    talk = Conversation(
        play_of(housed("two-by-two", "lost-turn"), PLAIN, any_move(1)), load_machine("host"), thorough=False
    )
    edges, (start, _) = edges_of(talk), talk.begin()
    here, seen = start, set()
    for step in tour(edges, start):
        assert step.state == here
        here, said = talk.enter(here, step.typed)
        assert step.said == said
        seen.add((step.state, step.typed))
    assert seen == {(state, edge.typed) for state, out in edges.items() for edge in out}


HEAPED = """
kind = "house-rules"
[[rule]]
when = ["heap-gone"]
say = "NOTHING THERE"
[[rule]]
when = ["too-many"]
say = "NOT SO MANY"
cost = "turn"
"""


@pytest.mark.parametrize("form", ["dense", "sorted-keys"])
@pytest.mark.parametrize("game", ["nim-1-2-3", "misere-nim-3-4-5", "twenty-one"])
def test_heaps(game, form):
    fair = load_game(game)
    play = play_of(HousedGame(fair, house(HEAPED, game), SECOND), PLAIN, any_move(1))
    text, _ = written_as(play, form)
    assert "NOTHING THERE" in text
    assert drilled_text(text, play).states > 10


def test_which_heaps_are_not_written_is_said():
    play = play_of(housed("nim-1-2-3"), PLAIN, any_move(1))
    with pytest.raises(NotLowered, match="only dense tables and sorted keys"):
        written_as(play, "reply-tree")
    for heaps, octal, reason in (((300,), (3, 3), "255 counters"), ((5,), (3, 0, 3), "any number up to")):
        other = Heaps("other", heaps, Octal(octal), title="Other heaps")
        odd = play_of(HousedGame(other, load_house_rules("usual", other), SECOND), PLAIN, any_move(1))
        with pytest.raises(NotLowered, match=reason):
            written_as(odd, "dense")
    turned = play_of(housed("misere-nim-3-4-5"), TURNED, any_move(1))
    with pytest.raises(NotLowered, match="for games of marks only"):
        written_as(turned, "dense")


def test_what_cannot_be_written_is_said():
    with pytest.raises(NotLowered, match="least images"):
        written_as(best(housed(), TURNED), "reply-tree")
    with pytest.raises(NotLowered, match="Hexapawn"):
        written_as(play_of(housed("hexapawn"), PLAIN, any_move(1)), "sorted-keys")
    with pytest.raises(NotLowered, match="not written in C"):
        written_as(best(housed()), "diagram")


@pytest.mark.long
@pytest.mark.parametrize("form", ["as-written", "reply-tree"])
def test_every_wording_says_the_same(tmp_path, form):
    play = sheet_play(tmp_path, SHEETS["pictures"], TERSE.replace('"key"', '"line"'))
    _, offered = written_as(play, form)
    for name, ways in sorted(offered.items()):
        for way in ways[1:]:
            text, _ = written_as(play, form, {name: way})
            drilled_text(text, play)


@pytest.mark.long
@pytest.mark.parametrize("game", ["misere-noughts-and-crosses"])
def test_other_games_of_marks(game):
    play = best(housed(game))
    text, _ = written_as(play, "sorted-keys")
    assert drilled_text(text, play).states > 100
