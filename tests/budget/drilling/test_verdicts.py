"""Verdicts on boards that the play never comes to: all of them right, and seeded mistakes in the code found."""

import pytest

from budget.card import load_machine
from budget.closing import Differs
from budget.conversation import Conversation
from budget.drilling.lines import Texts, lines_of
from budget.drilling.sound import play_sound
from budget.drilling.verdicts import ask_verdicts
from budget.lowering.answering.sheet import by_rules
from budget.lowering.lower import lower
from games.house import load_house_rules, parse_house_rules
from games.load import load_game
from solver.fixed import PLAIN, fix
from solver.proof import prove
from solver.sheet.reader import SheetReader
from solver.strategy import Strategy
from tests.budget.drilling.small import CHARGES, COSTS, TERSE, charging, small


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


NOUGHTS = [
    "complete a line",
    "block a line",
    "stop a double threat",
    "take the centre",
    "take a corner",
    "take any free cell",
]


def verdicts_of_noughts(game, house, machine):
    """What comes of asking for every verdict of a program that keeps all of them."""
    rules = SheetReader("", NOUGHTS, game).read(0)
    play = fix(prove(Strategy("s", "", game, 1, rules), "never-loses", house), PLAIN)
    card = load_machine(machine)
    program = lower(play, card, by_rules, keep_verdicts=True).program
    talk = Conversation(play, card, thorough=False)
    sound = play_sound(program, lines_of(Texts(play, card, talk), talk))
    return ask_verdicts(sound, play, talk, kept=True)


@pytest.mark.long
def test_the_final_boards_of_noughts_and_crosses():
    """958 final boards, 626 wins of the first, 316 of the second, 16 draws: Aha, Tic-Tac-Toe Endgame data set, 1991."""
    game = load_game("noughts-and-crosses")
    found = verdicts_of_noughts(game, load_house_rules("usual", game), "delay-line")
    assert found.boards == 958
    assert (found.shown, found.left_out, found.unknown) == (958, 0, 0)


@pytest.mark.long
def test_the_final_boards_of_noughts_and_crosses_where_wrong_input_costs_turns_and_games():
    game = load_game("noughts-and-crosses")
    house = parse_house_rules(charging(TERSE, COSTS), "costs.toml", game)
    found = verdicts_of_noughts(game, house, "twelve-bit")
    assert (found.boards, found.shown, found.left_out, found.unknown) == (11_113, 10_562, 0, 0)
