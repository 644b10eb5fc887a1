"""The shortest lists of pictures whose choices are settled: against every list tried out, and known figures."""

from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from games.codes import FIRST, SECOND
from games.game import with_lines
from games.house import load_house_rules
from games.housed import HousedGame
from games.load import load_game
from solver.header import CLAIMS
from solver.least.choices import Hopeless, choices_of
from solver.least.pictures import least_pictures
from solver.least.pictures_boards import Boards, members
from solver.proof import PROVED
from solver.strategy import OPEN, PLAIN, TURNED, Strategy
from tests import naive, twins
from tests.solver.least import naive_pictures
from tests.solver.least.test_pictures import repaired

MOST = 2
NOUGHTS = load_game("noughts-and-crosses")


def nothing_first(game, seat, choice):
    return Strategy("nothing", "", game, seat, (), choice)


def length_of(game, claim, *, turned, rules):
    """The length of the shortest list, MOST + 1 if it is longer, None if there is none."""
    try:
        found = least_pictures(game, claim, turned=turned, rules=rules)
    except Hopeless:
        return None
    assert found.proved_least
    assert found.strategy.choice == rules.choice
    return min(len(found.pictures), MOST + 1)


def check_against_all(pair, house, seat, claim, choice, *, turned, before=()):
    rules = twins.strategy_twins(pair, seat, before, choice)[0]
    fast = length_of(HousedGame(pair.game, house.rules, seat), claim, turned=turned, rules=rules)
    slow = naive.Housed(pair.naive, house.naive, seat)
    lost = claim == "never-loses" and slow.value(slow.start)[0] == naive.LOSS
    length = (
        None
        if lost
        else naive_pictures.shortest(slow, claim, turned=turned, most=MOST, before=before, choice=choice)
    )
    assert fast == (MOST + 1 if length is None and not lost else length) or (fast is None and length is None)


@pytest.mark.parametrize("choice", [PLAIN, TURNED])
@pytest.mark.parametrize("claim", CLAIMS)
def test_two_by_two(claim, choice):
    pair = twins.catalogue_twins("two-by-two")
    check_against_all(pair, twins.house_twins(pair.game, []), FIRST, claim, choice, turned=True)


@settings(max_examples=10, deadline=None)
@given(st.data())
def test_any_tiny_game(data):
    pair = data.draw(twins.games(most_cells=4) | twins.falling_games(most_cells=4))
    house, seat = data.draw(twins.house_rules(pair.game, 1)), data.draw(st.integers(0, 1))
    claim, choice = data.draw(st.sampled_from(CLAIMS)), data.draw(st.sampled_from([PLAIN, TURNED]))
    before = data.draw(st.just([]) | st.lists(twins.cell_rules(pair.naive), min_size=1, max_size=2))
    turned = data.draw(st.booleans())
    check_against_all(pair, house, seat, claim, choice, turned=turned, before=before)


@pytest.mark.parametrize(("seat", "claim", "length"), [(FIRST, "best-value", 5), (SECOND, "never-loses", 8)])
def test_noughts_and_crosses_turned(seat, claim, length):
    """As many as with open choices: what is found there is enough, and fewer do not even do so."""
    game = HousedGame(NOUGHTS, load_house_rules("usual", NOUGHTS), seat)
    found = least_pictures(game, claim, rules=nothing_first(NOUGHTS, seat, TURNED))
    assert (len(found.pictures), found.bound) == (length, length)
    assert found.strategy.choice == TURNED
    assert found.proof.verdict == PROVED


@cache
def boards_of(seat, *, settled):
    game = HousedGame(NOUGHTS, load_house_rules("usual", NOUGHTS), seat)
    choices = choices_of(game, "never-loses", turned=True)
    return Boards(choices, with_lines(NOUGHTS), turned=True, settled=settled)


@given(st.data())
def test_one_cell_is_played_and_sights_know_where_it_is_wrong(data):
    both = [boards_of(SECOND, settled=settled) for settled in (False, True)]
    states = st.integers(0, both[0].size - 1)
    picture = data.draw(st.sampled_from(both[0].whole(data.draw(states))))
    for _ in range(data.draw(st.integers(0, 8))):
        picture = both[0].without(
            picture, data.draw(st.sampled_from([c for c in range(9) if c != picture.target]))
        )
    state = data.draw(states)
    every, one = (list(members(boards.played(picture, state))) for boards in both)
    assert one == every[:1]
    sight = both[1].sight(picture)
    assert sight.found == both[0].sight(picture).found
    assert sight.found >> state & 1 == bool(one)
    assert sight.wrong >> state & 1 == any(not both[1].good[state] >> cell & 1 for cell in one)


def test_every_list_on_the_way_keeps_the_claim():
    repaired(boards_of(SECOND, settled=True))


@pytest.mark.parametrize(("choice", "length"), [(OPEN, 3), (PLAIN, 2), (TURNED, 2)])
def test_fewer_may_do_where_the_choice_is_settled(choice, length):
    """3 x 2 cells and three in a row; ours only."""
    pair = twins.twins_in_a_row(3, 2, 3)
    game = HousedGame(pair.game, load_house_rules("usual", pair.game), FIRST)
    found = least_pictures(game, "best-value", rules=nothing_first(pair.game, FIRST, choice))
    assert (len(found.pictures), found.bound) == (length, length)
