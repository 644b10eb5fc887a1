"""Turning: the walk leads through all images, to the one that is least, and brings the move home."""

from itertools import pairwise

import numpy as np
import pytest

from budget.boards import numberings
from budget.lowering.answering.asked import asked_in
from budget.lowering.digits import bases_of, digits_of
from budget.lowering.turning_walk import exchanged, walk_of
from games.codes import FIRST, SECOND
from games.game import least_images
from games.load import load_game
from solver.fixed import TURNED
from tests.budget.lowering.test_rules import play_of as by_sheet
from tests.budget.plays import any_move, housed, one, play_of

GAMES = ("noughts-and-crosses", "two-by-two", "four-by-three", "falling-three-4x3", "hexapawn", "nim-1-2-3")


def after(step, digits):
    """Digits after a step, each where it goes."""
    turned = [0] * len(digits)
    for word, target in enumerate(step):
        turned[target] = digits[word]
    return turned


@pytest.mark.parametrize("seat", [FIRST, SECOND])
@pytest.mark.parametrize("name", GAMES)
def test_the_walk_finds_the_move_of_the_least_image(name, seat):
    """As the program does it: turned step by step, the least taken, the move found there turned on and home."""
    play = play_of(housed(name, seat=seat), TURNED, any_move(3))
    bases = bases_of(play)
    walk, number, game = walk_of(play, bases), numberings(play.game)[0], play.game.fair
    some = range(0, len(play.codes), max(1, len(play.codes) // 50))
    answers = {}
    for code, move in zip(play.codes, play.moves, strict=True):
        least, by = least_images(game, one(int(code)))
        answers[int(least[0])] = int(game.turned_move(int(by[0]), np.array([move], dtype=np.uint16))[0])
    for place in some:
        code = int(play.codes[place])
        images = {
            tuple(digits_of(number(image), bases)[0].tolist()): int(image[0])
            for image in (game.turned(symmetry, one(code)) for symmetry in range(game.symmetries))
        }
        home = digits = digits_of(number(one(code)), bases)[0].tolist()
        met = []
        for at in range(walk.steps):
            digits = after(walk.words[at % len(walk.words)], digits) if walk.words else digits
            rank = walk.ranks[at] if walk.ranks else -at if walk.last_wins else at
            met.append((images[tuple(digits)], rank, at))
        assert digits == home
        assert {image for image, _, _ in met} == set(images.values())
        least, _, step = min(met)
        move = answers[least]
        for at in range(step + 1, walk.steps):
            move = walk.moves[at % len(walk.moves)][move]
        assert move == play.moves[place]


def test_exchanges_make_a_step():
    step = (2, 0, 1, 4, 3, 5)
    words = list("abcdef")
    for one_word, other in exchanged(step, 6):
        words[one_word], words[other] = words[other], words[one_word]
    assert words == after(step, list("abcdef"))


def test_rules_are_asked_about_least_images():
    """In a play that is settled turned; each rule where none before it has answered, until nothing is left."""
    play = by_sheet(
        "block a line\ntake the first free of a2, b1\ntake any free cell",
        SECOND,
        load_game("two-by-two"),
        TURNED,
        "line",
    )
    asked = asked_in(play, play.proof.walk.strategy)
    least = {int(least_images(play.game.fair, one(int(code)))[0][0]) for code in play.codes}
    assert asked[0].codes.tolist() == sorted(least)
    for rule, after in pairwise(asked):
        assert after.codes.tolist() == rule.codes[~rule.answers].tolist()
    assert asked[-1].always
    home = dict(zip(asked[0].codes.tolist(), asked[0].moves.tolist(), strict=True))
    for code, move in zip(play.codes, play.moves, strict=True):
        image, by = least_images(play.game.fair, one(int(code)))
        turned = play.game.fair.turned_move(int(by[0]), np.array([move], dtype=np.uint16))
        assert turned.tolist() == [home[int(image[0])]]
