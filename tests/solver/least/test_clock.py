"""How time runs out, by a clock that the tests turn; and the bound where the machine was too busy for any other."""

import math
from itertools import pairwise
from types import SimpleNamespace

import pytest

from games.codes import FIRST, SECOND
from games.house import load_house_rules
from games.housed import HousedGame
from games.load import load_game
from solver.least import search
from solver.least.choices import choices_as_alike, choices_of
from solver.least.clock import Clock
from solver.least.front import front_bound
from solver.least.highs import Found, _listen, minimise
from solver.least.model import model_of
from solver.least.narrow import narrowed
from solver.least.onward import GATHERING
from solver.least.stopped import NotFound
from solver.progress import counted
from solver.sheet.reader import SheetReader
from solver.strategy import Strategy

GAME = load_game("noughts-and-crosses")
HOUSED = HousedGame(GAME, load_house_rules("usual", GAME), SECOND)


class Turned:
    """A clock that shows what a test says."""

    def __init__(self):
        self.shows = 100.0

    def __call__(self):
        return self.shows


def test_what_is_left_of_the_time():
    now = Turned()
    clock = Clock(10, now=now)
    now.shows += 4
    assert (clock.left(), clock.left(0.5), clock.left(0.3)) == (6, 1, 0)
    clock.report(counted(1, 1))
    now.shows += 6
    assert clock.left() == 0
    with pytest.raises(NotFound, match=r"^nothing was found in time; it takes 0 at least$") as caught:
        clock.report(counted(1, 1))
    assert caught.value.bound == 0


def test_whoever_asks_for_an_end_leaves_no_time():
    heard = []
    clock = Clock(10, lambda *told: heard.append(told) or len(heard) < 2, now=Turned())
    assert clock.tell("searching", None, 3)
    assert clock.left() == 10
    assert not clock.tell("proving", 5, 4)
    assert heard == [("searching", None, 3), ("proving", 5, 4)]
    assert clock.left() == 0


def test_time_that_runs_out_while_choices_are_gathered_ends_it():
    now, stages = Turned(), []
    clock = Clock(10, now=now)

    def report(progress):
        stages.append(progress.stage)
        now.shows += 11 if progress.stage is GATHERING else 0
        clock.report(progress)

    with pytest.raises(NotFound):
        choices_of(HOUSED, "never-loses", turned=True, report=report)
    assert stages.index(GATHERING) == len(stages) - 1 > 0


def test_the_bound_of_what_comes_first_is_told_until_an_end_is_asked_for_or_time_is_out(monkeypatch):
    monkeypatch.setattr("solver.least.front.FIRST_MANY", 20)
    choices = narrowed(choices_of(HOUSED, "never-loses", turned=True))

    def told(figure, left=math.inf, most=99):
        heard = []
        bound = front_bound(choices, figure, lambda: left, lambda at: heard.append(at) or len(heard) < most)
        return bound, heard

    bound, heard = told(71)
    assert heard == sorted(heard)
    assert 0 < heard[0] < heard[-1] <= bound <= 71
    assert len(heard) > 2  # twenty states, then forty, then eighty, ...
    assert told(71, most=1) == (heard[0], heard[:1])
    assert told(71, left=0.0) == (heard[0], heard[:1])
    assert told(heard[0]) == (heard[0], [])


def test_the_parts_of_the_search_end_one_after_the_other():
    shares = (
        search.SHARE_OF_START,
        search.SHARE_OF_FIRST_PROOF,
        search.SHARE_OF_NEARBY,
        search.SHARE_OF_SECOND_PROOF,
        search.SHARE_OF_SEARCH,
    )
    assert shares[0] > 0
    assert list(shares) == sorted(set(shares))
    assert shares[-1] < 1


def test_a_search_tells_what_it_knows_and_gives_each_part_its_share_of_the_time(monkeypatch):
    housed = HousedGame(GAME, load_house_rules("usual", GAME), FIRST)
    choices = narrowed(choices_of(housed, "never-loses", turned=True))
    heard, asked = [], []
    looks = search.Search(
        choices, [], Clock(80, lambda *told: heard.append(told) or len(heard) != 3, now=Turned())
    )
    looks._begin()
    looks._look_nearby(0.5)
    assert len(heard) == 3
    for stage, best, bound in heard:
        assert stage == search.SEARCHING
        assert 22 <= looks.cost <= best
        assert 0 < bound <= 22
    looks.clock.ended = False

    def minimise(part, seconds, progress):
        asked.append(seconds)
        assert progress(None, 7)
        return Found(None, 7.0 + len(asked))

    monkeypatch.setattr(search, "minimise", minimise)
    assert looks._look(0.5) == 8.0
    parts = len(looks.parts)
    assert parts == 3  # a corner, an edge or the centre
    assert asked == [40 / 3, 40 / 2, 40 / 1]
    assert heard[3:] == [(search.SEARCHING, looks.cost, 7)] * parts


def test_highs_prints_nothing(capfd):
    minimise(model_of(narrowed(choices_of(HOUSED, "never-loses", turned=True))))
    assert capfd.readouterr().out == ""


def test_what_highs_says_is_passed_on_four_times_a_second_at_most(monkeypatch):
    now = Turned()
    monkeypatch.setattr("solver.least.highs.time.monotonic", now)
    hearers, heard = [], []
    _listen(
        SimpleNamespace(cbMipInterrupt=SimpleNamespace(subscribe=hearers.append)),
        lambda best, bound: heard.append((best, bound)) or len(heard) < 3,
    )
    [hear] = hearers

    def asks_for_an_end(seconds, best, bound):
        now.shows += seconds
        asked = SimpleNamespace(user_interrupt=False)
        hear(
            SimpleNamespace(
                data_in=asked, data_out=SimpleNamespace(mip_primal_bound=best, mip_dual_bound=bound)
            )
        )
        return asked.user_interrupt

    assert not asks_for_an_end(0, math.inf, -math.inf)
    assert not asks_for_an_end(0.125, 9.0, 3.0)
    assert not asks_for_an_end(0.125, 8.0000001, 3.2)
    assert not asks_for_an_end(0.125, 7.0, 3.5)
    assert asks_for_an_end(0.25, 7.0, 4.0000001)
    assert heard == [(None, 0), (8, 4), (7, 4)]


def test_choices_are_told_of_also_where_boards_that_are_alike_are_taken_each_for_itself():
    """The second try, with every board for itself, is the only one that comes to gather anything."""
    rules = Strategy("s", "", GAME, FIRST, SheetReader("s", ["take 1"], GAME).read(0))
    told = []
    housed = HousedGame(GAME, load_house_rules("usual", GAME), FIRST)
    found = choices_as_alike(housed, "never-loses", turned=True, rules=rules, report=told.append)
    assert not found.turned
    gathered = [progress for progress in told if progress.stage == GATHERING]
    assert gathered == told[-len(gathered) :] != []
    assert gathered[0].done == 1
    assert all(after.done in (1, before.done + 1) for before, after in pairwise(gathered))
    assert {progress.total for progress in gathered} == {0}
    [positions] = {progress.positions for progress in gathered}
    assert positions >= len(found.states)


def test_a_bound_does_not_hang_on_how_busy_the_machine_is(monkeypatch):
    """No time is left, and no relaxation may take any: what comes first is gone through all the same."""
    monkeypatch.setattr("solver.least.bound.LEAST_SECONDS", 0.0)
    choices = narrowed(choices_of(HOUSED, "never-loses", turned=True))
    bounds = [front_bound(choices, 71, lambda left=left: left, lambda _: False) for left in (0.0, 1e9)]
    assert bounds[0] == bounds[1] >= 60
