"""Every optimisation switched off: the same answers from all engines, caches and journals, and from plain rounds.

The plain rounds know a game only by its functions, one position at a time; that these functions are right is held
against naive models family by family (tests/games, tests/naive.py).
"""

import json
from itertools import count

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

import solver.kept
from games.codes import DRAW, FIRST, FIRST_WINS, SECOND_WINS, UNFINISHED, win_of
from games.game import scored
from games.load import catalogue_names, game_digest, load_game, parse_game
from games.marks.marks import Marks
from solver.engines import solve_any, solve_plainly
from solver.halves import solve_halves
from solver.journal import Journal
from solver.kept import keep, read_kept
from solver.layers import Layers, solve_by_layers
from solver.loops import Loops, solve_loops
from solver.scores import SolvedScores
from solver.slides import slide_game, solve_slides
from tests import fill_twins, take_twins, twins
from tests.games.test_advance import playable
from tests.games.test_shared_marks import shared_games
from tests.games.test_steps import pairs as step_pairs
from tests.workbench.running import wordtight

FEW, SOME, MOST = 100, 2_000, 8_000
"""Positions of a game that plain rounds go through in every run and in a long one; and of one that engines alone do."""
STORED = {name: load_game(name) for name in catalogue_names()}


def sized(least, most):
    """The games of the catalogue with so many positions, as `make catalogue` has stored it."""
    from workbench.stored import RESULTS

    results = json.loads(RESULTS.read_text("utf-8"))
    return [name for name in STORED if least < results[name]["positions"] <= most]


def cases(most):
    """The games up to a size; those that are not small are for the long tests."""
    long = [pytest.param(name, id=name, marks=pytest.mark.long) for name in sized(FEW, most)]
    return [*(pytest.param(name, id=name) for name in sized(0, FEW)), *long]


# The slow, obvious way --------------------------------------------------------------------------------------------


def every_position(game):
    """Each position that can arise, with the positions after it; one is looked at at a time."""
    after, waiting = {}, [game.start]
    while waiting:
        code = waiting.pop()
        if code in after:
            continue
        here = np.array([code], dtype=np.uint64)
        is_over = game.ending(here)[0] != UNFINISHED
        after[code] = [] if is_over else sorted(set(game.moves(here).child.tolist()))
        waiting += after[code]
    return after


def by_plain_rounds(game):
    """Value and distance of every position: round by round, what is decided by what was decided before.

    Whoever moves wins as soon as one position after it is won for him, and loses when all are lost; what is never
    decided is a draw.
    """
    after = every_position(game)
    values, movers = {}, {}
    for code in after:
        here = np.array([code], dtype=np.uint64)
        movers[code] = int(game.mover(here)[0])
        ending = int(game.ending(here)[0])
        if ending in (FIRST_WINS, SECOND_WINS):
            values[code] = (ending, 0)
    for plies in count(1):
        found = {}
        for code in after.keys() - values.keys():
            wins = win_of(movers[code])
            known = [values[child][0] for child in after[code] if child in values]
            if wins in known:
                found[code] = (wins, plies)
            elif after[code] and len(known) == len(after[code]) and DRAW not in known:
                found[code] = (known[0], plies)
        if not found:
            break
        values |= found
    return after, values


def assert_as_slow(solved, after, values):
    """Positions, values and distances are those of the plain rounds."""
    codes = np.array(sorted(after), dtype=np.uint64)
    found = solved.look_up(codes)
    assert solved.positions == len(codes)
    for code, value, distance in zip(
        codes.tolist(), found.value.tolist(), found.distance.tolist(), strict=True
    ):
        if code in values:
            assert (value, distance) == values[code]
        else:
            assert value == DRAW


def engines_for(game):
    """Every way to solve a game that is won and lost: all that can."""
    yield solve_any(game)
    yield solve_plainly(game)
    yield solve_loops(game)
    if not game.can_repeat:
        yield solve_by_layers(game)
    if type(game) is Marks:
        yield solve_halves(game)
    slides = slide_game(game)
    if slides is not None:
        yield solve_slides(slides)


def assert_all_agree(game):
    slow = by_plain_rounds(game)
    for solved in engines_for(game):
        assert_as_slow(solved, *slow)


# The catalogue ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", cases(SOME))
def test_every_engine_says_what_plain_rounds_say(name):
    game = STORED[name]
    if scored(game) is None:
        assert_all_agree(game)
    else:
        assert_scores_agree(game)


def assert_same(found, wanted):
    """Values and distances, or differences to come, are alike."""
    if isinstance(wanted, np.ndarray):
        assert np.array_equal(found, wanted)
        return
    assert np.array_equal(found.value, wanted.value)
    decided = wanted.value != DRAW
    assert np.array_equal(found.distance[decided], wanted.distance[decided])


@pytest.mark.long
@pytest.mark.parametrize("name", sized(SOME, MOST))
def test_every_engine_says_the_same(name):
    game = STORED[name]
    if scored(game) is not None:
        assert_scores_agree(game)
        return
    first, *others = engines_for(game)
    for other in others:
        assert other.positions == first.positions
        for codes, due in zip(other.plies(), first.plies(), strict=True):
            assert np.array_equal(codes, due)
            assert_same(other.look_up(due), first.look_up(due))


def assert_scores_agree(game):
    """Games in which moves score: the difference to come, by plain recursion from the end."""
    solved, after = solve_any(game), every_position(game)
    due = {}

    def difference(code):
        if code not in due:
            here = np.array([code], dtype=np.uint64)
            moves, best = game.moves(here), max if int(game.mover(here)[0]) == FIRST else min
            gains = scored(game).gains(here[moves.parent], moves.move).tolist()
            to_come = [
                gain + difference(child) for gain, child in zip(gains, moves.child.tolist(), strict=True)
            ]
            due[code] = best(to_come) if after[code] else 0
        return due[code]

    codes = np.array(sorted(after), dtype=np.uint64)
    assert [difference(code) for code in codes.tolist()] == solved.look_up(codes).tolist()


@pytest.mark.parametrize("name", cases(MOST))
def test_kept_and_journaled_results_are_those_of_a_fresh_run(name, tmp_path, monkeypatch):
    for switch in ("solver.journal.WAIT", "solver.journal.AGAIN"):
        monkeypatch.setattr(switch, 0.0)
    game = STORED[name]
    solved = solve_any(game)
    resumed = [solve_any(game, journal=Journal(tmp_path / "part", resume=again)) for again in (False, True)]
    others = list(resumed)
    if isinstance(solved, Layers | Loops | SolvedScores):
        keep(tmp_path / "file.solved", solved, game_digest(name))
        others.append(read_kept(tmp_path / "file.solved", game, game_digest(name)))
    for other in others:
        for codes, due in zip(other.plies(), solved.plies(), strict=True):
            assert np.array_equal(np.asarray(codes), np.asarray(due))
            assert_same(other.look_up(due), solved.look_up(due))


@pytest.mark.parametrize("name", cases(MOST))
def test_turned_positions_have_the_same_values(name):
    """Symmetry is only used where this holds: everywhere."""
    game = STORED[name]
    solved = solve_any(game)
    for codes in solved.plies():
        for symmetry in range(game.symmetries):
            turned = game.turned(symmetry, codes)
            try:
                found = solved.look_up(turned)
            except KeyError:
                continue  # the image of a start that is not symmetric cannot arise
            assert_same(found, solved.look_up(codes))


@pytest.mark.long
@pytest.mark.parametrize("name", sized(0, FEW))
def test_solve_says_the_same_whatever_is_switched_off(name, tmp_path, monkeypatch):
    """The command itself: kept, read back, without the cache, taken up again."""
    monkeypatch.setenv("WORDTIGHT_CACHE", str(tmp_path))
    monkeypatch.setattr(solver.kept, "WORTH_KEEPING", 0.0)
    told = []
    for options in ((), (), ("--no-cache",), ("--resume",), ("--no-cache", "--memory", "300")):
        ran = wordtight("solve", name, "--json", *options)
        assert ran.status == 0, ran.err
        found = json.loads(ran.out)
        del found["measured"]
        told.append(found)
    assert all(found == told[0] for found in told)


# Games made at random ---------------------------------------------------------------------------------------------


def fair(pairs):
    """The game alone, without its naive twin, where it is won and lost."""
    return pairs.map(lambda pair: pair[0]).filter(lambda game: scored(game) is None)


RANDOM = {
    "marks": fair(twins.games(6)),
    "gravity": fair(twins.falling_games(6)),
    "shared-marks": fair(shared_games(5)),
    "steps": step_pairs(5).map(lambda pair: pair[1]),
    "advance": playable(6).map(lambda rules: parse_game(rules.toml(), "drawn.toml")),
    "fill": fair(fill_twins.games()),
    "heaps": fair(take_twins.heap_games()),
    "pins": fair(take_twins.pin_games()),
    "strips": fair(take_twins.strip_games()),
}
"""Boards, lines, steps, holes, heaps and rules at random, misere too."""


LENGTHY = ("advance", "fill", "heaps", "pins", "strips")


@pytest.mark.parametrize(
    "family",
    [pytest.param(name, marks=[pytest.mark.long] if name in LENGTHY else [], id=name) for name in RANDOM],
)
def test_every_engine_says_what_plain_rounds_say_on_games_at_random(family):
    @settings(max_examples=max(4, settings().max_examples // 6), suppress_health_check=list(HealthCheck))
    @given(RANDOM[family])
    def any_game(game):
        if len(every_position(game)) <= 2 * FEW:
            assert_all_agree(game)

    any_game()
