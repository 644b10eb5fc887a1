"""Verdicts on boards that the play never comes to: all of them right, and seeded mistakes in the code found."""

from functools import cache

import pytest

from budget.card import load_machine
from budget.closing import Differs
from budget.conversation import Conversation
from budget.drilling.lines import Texts, lines_of
from budget.drilling.sound import play_sound
from budget.drilling.verdicts import ask_verdicts
from budget.lowering.answering.sheet import by_rules
from budget.lowering.lower import lower
from games.house import load_house_rules
from games.load import load_game
from solver.fixed import PLAIN, fix
from solver.proof import prove
from solver.sheet.reader import SheetReader
from solver.strategy import Strategy
from tests.budget.drilling.small import CHARGES, small


def test_every_final_board_of_a_small_game_has_its_verdict():
    case = small("none", "asked-for", keep=True)
    found = ask_verdicts(case.sound, case.play, case.talk, kept=True)
    assert (found.left_out, found.unjudged) == (0, 0)
    assert 0 < found.shown <= found.boards


@pytest.mark.parametrize("next_game", ["asked-for", "at-once"])
def test_verdicts_after_lost_turns_and_of_lost_games(next_game):
    """By turns that are lost, boards come up that fair play does not know; and a lost game is a verdict of its own."""
    fair = small("none", next_game, keep=True)
    case = small("none", next_game, keep=True, charges=CHARGES)
    found = ask_verdicts(case.sound, case.play, case.talk, kept=True)
    assert found.boards > ask_verdicts(fair.sound, fair.play, fair.talk, kept=True).boards
    assert (found.left_out, found.unjudged) == (0, 0)
    assert found.shown > 20


def test_verdicts_that_are_left_out_are_counted():
    case = small("none", "asked-for")
    found = ask_verdicts(case.sound, case.play, case.talk, kept=False)
    assert found.left_out > 0
    assert found.shown + found.left_out <= found.boards


@pytest.mark.parametrize("line", [0, 1])
def test_a_line_that_the_program_does_not_know_is_found(line):
    case = small("none", "asked-for", keep=True)
    word = case.program.labels["lines"] + line
    wrong = case.program._replace(image={**case.program.image, word: (1 << case.program.card.word_bits) - 1})
    with pytest.raises(Differs, match="instead of"):
        ask_verdicts(play_sound(wrong, case.lines), case.play, case.talk, kept=True)


@cache
def noughts():
    game = load_game("noughts-and-crosses")
    sheet = [
        "complete a line",
        "block a line",
        "stop a double threat",
        "take the centre",
        "take a corner",
        "take any free cell",
    ]
    rules = SheetReader("", sheet, game).read(0)
    play = fix(
        prove(Strategy("s", "", game, 1, rules), "never-loses", load_house_rules("usual", game)), PLAIN
    )
    card = load_machine("delay-line")
    return play, card, lower(play, card, by_rules, keep_verdicts=True)


@pytest.mark.long
def test_the_final_boards_of_noughts_and_crosses():
    """958 final boards, 626 wins of the first, 316 of the second, 16 draws: Aha, Tic-Tac-Toe Endgame data set, 1991."""
    play, card, lowered = noughts()
    talk = Conversation(play, card, thorough=False)
    sound = play_sound(lowered.program, lines_of(Texts(play, card, talk), talk))
    found = ask_verdicts(sound, play, talk, kept=True)
    assert found.boards == 958
    assert (found.shown, found.left_out, found.unknown) == (958, 0, 0)
