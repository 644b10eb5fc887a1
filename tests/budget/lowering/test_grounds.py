"""Boards of every family in programs: each answers as the play does and says what it should, in every state.

A program finds its move by the digits of its board alone (`naive`), so that these are right wherever it plays on.
"""

import random

import pytest

from budget.card import load_machine
from budget.closing import Differs, Patience, TooSlow, close
from budget.conversation import Conversation
from budget.lowering.ground import DRAWN, LOST, WON
from budget.lowering.lower import endings_of
from budget.lowering.text import NotLowered
from budget.programs import program_for
from games.codes import FIRST, SECOND
from games.house import load_house_rules, parse_house_rules
from games.housed import HousedGame
from games.inputs import classes_of
from games.load import load_game, parse_game
from solver.fixed import PLAIN
from tests.budget.lowering.naive import Naive, closed, lowered
from tests.budget.plays import any_move, legal, one, play_of
from tests.sampled import sampled

GAMES = {
    "heaps": 'family = "take"\nplay = "heaps"\nheaps = [2, 3]',
    "one heap": 'family = "take"\nplay = "heaps"\nheaps = [7]\ntake = [1, 3]\nmisere = true',
    "octal heaps": 'family = "take"\nplay = "heaps"\nheaps = [4, 5]\noctal = "0.3012"',
    "pins": 'family = "take"\nplay = "pins"\nrows = [3, 2]\noctal = "0.73"',
    "odd pins": 'family = "take"\nplay = "pins"\nrows = [6]\noctal = "0.07"\nmisere = true',
    "strips": 'family = "take"\nplay = "northcott"\nstrips = ["F__S", "S_F_"]\nforward-only = true',
    "strips to and fro": 'family = "take"\nplay = "northcott"\nstrips = ["F_S", "_SF"]\nmisere = true',
    "marks": 'family = "marks"\ncolumns = 3\nrows = 2\nin-a-row = 2\nmisere = true',
    "falling": 'family = "marks"\ncolumns = 3\nrows = 2\nin-a-row = 2\ngravity = true',
    "falling without lines": 'family = "marks"\ncolumns = 2\nrows = 3\nin-a-row = 3\ngravity = true',
    "the same mark": 'family = "marks"\ncolumns = 3\nrows = 2\nin-a-row = 3\nmarks = "same"',
    "either mark": 'family = "marks"\ncolumns = 2\nrows = 2\nin-a-row = 2\nmarks = "either"\nmisere = true',
    "hex": 'family = "fill"\nplay = "hex"\ncolumns = 2\nrows = 3',
    "misere hex": 'family = "fill"\nplay = "hex"\ncolumns = 2\nrows = 2\nmisere = true',
    "chomp": 'family = "fill"\nplay = "chomp"\ncolumns = 3\nrows = 2',
    "dominoes": 'family = "fill"\nplay = "dominoes"\ncolumns = 3\nrows = 3\nholes = ["5"]',
    "pawns": 'family = "advance"\ncolumns = 2\nrows = 3',
    "pawns that must": 'family = "advance"\ncolumns = 3\nrows = 3\nmust-capture = true\nfar-edge = "nothing"\n'
    'no-men = "wins"\nblocked = "wins"',
    "pawns that pass": 'family = "advance"\ncolumns = 2\nrows = 3\nblocked = "passes"\nfar-edge = "loses"\n'
    'no-men = "draws"',
    "pawns that leave": 'family = "advance"\ncolumns = 2\nrows = 2\nstart = ["S_", "_F"]\nsecond-goes = "right"\n'
    'steps = ["forward", "sideways"]\ncaptures = []\nfar-edge = "leaves"\nno-men = "wins"\nblocked = "wins"',
    "points": 'family = "steps"\ncolumns = 3\nrows = 1\ncells = ["1", "2", "3"]\nmen = 1\nbarred = ["2"]\n'
    'steps = [["1", "2", "3"]]\nply-limit = 6',
    "points and lines": 'family = "steps"\ncolumns = 2\nrows = 2\npattern = "anywhere"\nmen = 2\nin-a-row = 2\n'
    "ply-limit = 6",
    "points always guarded": 'family = "steps"\ncolumns = 2\nrows = 2\ncells = ["1", "2", "3", "4"]\n'
    'start = ["F_", "S_"]\nsteps = [["1", "2", "4", "3", "1"]]\nguarded = ["4"]\nblocked = "wins"\nply-limit = 5',
    "marks with a limit": 'family = "marks"\ncolumns = 3\nrows = 2\nin-a-row = 2\nply-limit = 3',
}
CARD = load_machine("twelve-bit")
CARDS = ("twelve-bit", "transistor-39", "flash-8k", "drum-desk")
HOUSES = ("usual", "lost-turn", "three-warnings")


def fair(name):
    text = GAMES.get(name)
    return load_game(name) if text is None else parse_game(f'kind = "game"\n{text}\n', "test.toml")


def told_apart(game):
    """House rules that say something else for every class of wrong input."""
    said = "".join(
        f'[[rule]]\nwhen = ["{each}"]\nsay = "{each.replace("-", " ").upper()}"\n'
        for each in classes_of(game)
    )
    return parse_house_rules(f'kind = "house-rules"\n{said}', "told-apart.toml", game)


def play(name, seat, house="told apart", choose=None):
    game = fair(name)
    rules = told_apart(game) if house == "told apart" else load_house_rules(house, game)
    return play_of(HousedGame(game, rules, seat), PLAIN, choose or any_move(3))


def by_holdings(game, code):
    """A move that depends on who holds what, and on nothing that is counted beside it, as long as it can be made."""
    moves, _ = legal(game, code)
    board = game.fair.texts(one(code), game.seat)[0].split()[0]
    order = random.Random(board).sample(range(len(game.fair.move_names)), len(game.fair.move_names))
    return min(moves, key=order.index)


# Every ground -----------------------------------------------------------------------------------------


EACH_GAME = [(number, name, turn) for number, name in enumerate(GAMES) for turn in range(3)]


@pytest.mark.parametrize(("number", "name", "turn"), sampled(EACH_GAME, every=5))
def test_says_what_it_should(number, name, turn):
    seat = (FIRST, SECOND)[(number + (turn > 0)) % 2]
    house = "lost-turn" if turn == 1 else "told apart"
    card = load_machine(CARDS[(number + turn) % len(CARDS)])
    closed(play(name, seat, house), card, picked={"messages": "inline"} if card.word_bits < 12 else None)


@pytest.mark.parametrize("name", ["heaps", "pawns", "marks with a limit"])
def test_warnings_are_counted(name):
    closed(play(name, FIRST, "three-warnings"), load_machine("flash-8k"))


@pytest.mark.parametrize("seat", [FIRST, SECOND])
@pytest.mark.parametrize(
    "name", sampled(["nim-1-2-3", "hexapawn", "pong-hau-ki", "chomp-four-by-three"], every=2)
)
def test_games_of_the_catalogue(name, seat):
    closed(play(name, seat), load_machine("twelve-bit"))


def test_points_that_are_guarded_at_first():
    closed(play("small-mu-torere", FIRST, choose=by_holdings), load_machine("twelve-bit"))


@pytest.mark.parametrize("name", ["pawns", "chomp", "marks with a limit", "pins"])
def test_every_verdict_written(name):
    closed(play(name, SECOND), CARD, keep_verdicts=True)


def test_one_of_every_ending_comes_up():
    plays = [play(name, seat) for name in GAMES for seat in (FIRST, SECOND)]
    assert {ending for each in plays for ending in endings_of(each)} == {
        (who, how) for who in ("machine", "visitor") for how in (WON, LOST, DRAWN)
    }


# What is not written yet ------------------------------------------------------------------------------

REFUSED = {
    'family = "steps"\ncolumns = 3\nrows = 3\nmen = 3\nin-a-row = 3\nlines-while-placing = "wait"': "lines that count",
    'family = "steps"\ncolumns = 3\nrows = 3\nmen = 3\nin-a-row = 3\nrepetition-limit = 3': "every position",
    'family = "fill"\nplay = "boxes"\ncolumns = 1\nrows = 1': "written yet",
}


@pytest.mark.parametrize(("text", "reason"), [*REFUSED.items()])
def test_refused_with_the_reason(text, reason):
    game = parse_game(f'kind = "game"\n{text}\n', "test.toml")
    housed = HousedGame(game, load_house_rules("usual", game), SECOND)
    with pytest.raises(NotLowered, match=reason):
        lowered(play_of(housed, PLAIN, lambda game, code: legal(game, code)[0][0]), CARD)


# Names ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("names", ["parts", "list"])
@pytest.mark.parametrize("card", ["twelve-bit", "delay-line"])
def test_cells_named_by_letter_and_number(card, names):
    closed(play("two-by-two", SECOND), load_machine(card), picked={"names": names})


NAMED_WRONGLY = {
    # what: the game, how names are found, two lines of the program, what is written instead of the second
    "the second sign alone": ("two-by-two", "list", "store name\nseek1: set -2", "seek1: set -1"),
    "every row is the one below": ("two-by-two", "parts", "add column\nplus 2", "plus 1"),
    "another sign between two cells": ("pawns", None, "load key\nplus -45", "plus -46"),
}


@pytest.mark.parametrize("what", NAMED_WRONGLY)
def test_a_wrong_name_is_noticed(what):
    name, names, lines, instead = NAMED_WRONGLY[what]
    some_play = play(name, SECOND)
    text = lowered(some_play, CARD, picked={"names": names} if names else None).text
    text = "\n".join(" ".join(line.split()) for line in text.splitlines())
    assert text.count(lines) == 1
    wrong = program_for(text.replace(lines, f"{lines.splitlines()[0]}\n{instead}"), CARD, "wrong")
    talk, patience = Conversation(some_play, CARD), Patience(100_000, None)
    with pytest.raises((Differs, TooSlow)):
        close(wrong, talk, patience=patience)


# Mistakes ---------------------------------------------------------------------------------------------

JUMPS = ("ifzero", "ifnonzero", "ifminus")
MISTAKES = {
    # what: the game, the seat, the method, the order and how its operand begins, what is written instead
    "a heap is overdrawn": ("heaps", FIRST, "judge", "ifminus rule", None),
    "two reasons in the wrong order": ("octal heaps", FIRST, "judge", "ifzero rule", None),
    "a heap is not set up again": ("heaps", SECOND, "set_up", "store heaps+1", None),
    "what is taken is not": ("one heap", SECOND, "play", "subtract took", None),
    "a gap stands like a pin": ("pins", SECOND, "set_up", "store pins+4", None),
    "only the first pin falls": ("pins", FIRST, "play", "ifnonzero fall", None),
    "a line is missing": ("marks", SECOND, "ends", "set -", "set -2"),
    "the draw is told as a win": ("pawns that pass", FIRST, "ends", "jump drawn", "jump won"),
    "a full column takes one more": ("falling without lines", FIRST, "judge", "ifminus rule", None),
    "marks do not pile up": ("falling", SECOND, "play", "plus -3", None),
    "a taken cell is taken again": ("the same mark", SECOND, "judge", "ifnonzero rule", None),
    "an X is put for an O": ("either mark", SECOND, "play", "plus 1", None),
    "chains grow to one side only": ("hex", SECOND, "ends", "add chain+1", None),
    "an eaten cell is eaten": ("chomp", SECOND, "judge", "ifzero rule", None),
    "only one row is cut": ("chomp", SECOND, "play", "ifnonzero cut", None),
    "a domino covers one cell": ("dominoes", FIRST, "play", "by goal", None),
    "a domino is laid the other way": ("dominoes", FIRST, "judge", "ifzero rule", None),
    "a pawn captures ahead": ("pawns", SECOND, "judge", "ifzero rule", None),
    "the man does not leave its cell": ("pawns", SECOND, "play", "by source", None),
    "a man steps that must capture": ("pawns that must", FIRST, "judge", "ifnonzero rule", None),
    "a man on the barred point": ("points", SECOND, "judge", "ifzero rule", None),
    "men in hand are not set anew": ("points", SECOND, "set_up", "store visitor_hand", None),
    "a man jumps": ("strips", FIRST, "judge", "jump rule", None),
    "plies are not counted": ("marks with a limit", FIRST, "ends", "count plies", None),
    "the count is not reset": ("marks with a limit", SECOND, "set_up", "store plies", None),
}


@pytest.mark.parametrize("what", MISTAKES)
def test_mistake_is_noticed(what):
    name, seat, method, wrong, instead = MISTAKES[what]
    some_play = play(name, seat)
    with pytest.raises(Differs):
        closed(some_play, CARD, answerer=mistaken(method, wrong, instead))


def mistaken(method, wrong, instead):
    """An answerer that makes one mistake on the ground: an order is left out, or another written for it."""

    def answerer(setting, ground):
        text, right, op = setting.text, getattr(ground, method), setting.text.op
        made = []

        def wrong_op(order, operand="", remark=""):
            if not made and f"{order} {operand}".startswith(wrong):
                made.append(order)
                if instead:
                    op(*instead.split(" ", 1))
                return
            op(order, operand, remark)

        def with_mistake(*given):
            text.op = wrong_op
            right(*given)
            text.op = op

        setattr(ground, method, with_mistake)
        return Naive(setting, ground)

    return answerer
