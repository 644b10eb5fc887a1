"""Any sheet on tiny boards: the least change, and the rules that stay, against trying everything out."""

from itertools import combinations, product

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from games.house import load_house_rules
from games.housed import HousedGame
from games.problems import BadInput
from solver.header import CLAIMS
from solver.least.choices import Hopeless
from solver.proof import PROVED, prove
from solver.repair.answers import fewest_answers
from solver.repair.overruled import overruled
from solver.repair.pictures import fewest_pictures, with_pictures
from solver.repair.spare import only, spared
from solver.sheet.reader import SheetReader
from solver.strategy import CHOICES, Strategy
from tests.solver.repair.slow import Slow
from tests.twins import FEWER, twins_in_a_row

BOARDS = [
    (4, 1, 2, False),
    (4, 1, 2, True),
    (5, 1, 2, True),
    (5, 1, 3, False),
    (3, 2, 3, False),
    (3, 2, 3, True),
]
"""Columns, rows, how many make a line, and whether who fills one loses."""
RULES = [
    "complete a line",
    "block a line",
    "make a double threat",
    "stop a double threat",
    "take the centre",
    "take a corner",
    "take the first free of b1, a1",
    "take a1",
    "take any free cell",
    "look ahead 1 ply",
    "look ahead 2 plies",
]


@st.composite
def sheets(draw):
    """A strategy that may be mended, with its claim and house rules."""
    columns, rows, length, misere = draw(st.sampled_from(BOARDS))
    game = twins_in_a_row(columns, rows, length, misere=misere).game
    chosen = draw(st.lists(st.sampled_from(RULES), min_size=1, max_size=4, unique=True))
    try:
        rules = SheetReader("drawn", chosen, game).read(0)
    except BadInput:  # a row of cells has no edges, and the like
        assume(False)
    seat, choice = draw(st.sampled_from([0, 1])), draw(st.sampled_from(CHOICES))
    house = load_house_rules(draw(st.sampled_from(["usual", "lost-turn"])), game)
    return Strategy("drawn", "", game, seat, rules, choice), draw(st.sampled_from(CLAIMS)), house


def holds(strategy, claim, house):
    return prove(strategy, claim, house).verdict == PROVED


@pytest.mark.long
@FEWER
@given(sheets())
def test_the_least_change_of_any_sheet(drawn):
    strategy, claim, house = drawn
    try:
        over = overruled(HousedGame(strategy.game, house, strategy.seat), claim, strategy)
        found = fewest_answers(strategy, claim, house, over=over)
    except Hopeless:
        assume(False)
    assert found.proved_least
    assert holds(found.proof.walk.strategy, claim, house)
    assert (found.answers == 0) == holds(strategy, claim, house)
    if claim == "never-loses" and house.name == "usual":
        tried = Slow(strategy, turned=found.turned).fewest(1)
        assert tried == (found.answers if found.answers <= 1 else None)
    check_pictures(strategy, claim, house, over, found)
    check_rules_that_stay(found.proof, in_front=int(found.answers > 0))


def check_pictures(strategy, claim, house, over, found):
    if not over.every.turned:
        return
    drawn = fewest_pictures(strategy, claim, house, over, found)
    assert drawn.proved_least
    assert len(drawn.pictures) <= found.answers
    if drawn.pictures and strategy.game.board.size == 4:
        single = ("".join(signs) for signs in product("MV_-!", repeat=4) if signs.count("!") == 1)
        does = any(holds(with_pictures(strategy, [[row]]), claim, house) for row in single)
        assert does == (len(drawn.pictures) == 1)


def check_rules_that_stay(proof, in_front):
    strategy, front = proof.walk.strategy, range(in_front)
    own = range(in_front, len(strategy.rules))
    sizes = (
        in_front + count
        for count in range(len(own) + 1)
        for rules in combinations(own, count)
        if holds(only(strategy, [*front, *rules]), proof.claim, proof.house)
    )
    assert len(spared(proof, always=in_front).stay) == next(sizes)
