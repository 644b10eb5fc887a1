"""Sets of men and the slides between them, one set at a time."""

from itertools import combinations

import numpy as np
import pytest

from games.load import load_game
from solver.men import DirectedStep, MenSets, bit_count, chunks, directed, disjoint

POINTS, LINES = 7, [0b0000111, 0b1010100]
EVERY = list(range(POINTS))


def naive_sets(men):
    return sorted(sum(1 << point for point in chosen) for chosen in combinations(EVERY, men))


@pytest.mark.parametrize("men", [0, 1, 2, 3, 7])
def test_all_sets_stand_in_order_and_are_found_by_rank(men):
    sets, naive = MenSets(POINTS, men, LINES), naive_sets(men)
    assert sets.sets.tolist() == naive
    assert len(sets) == len(naive)
    assert sets.has_line.tolist() == [any(each & line == line for line in LINES) for each in naive]
    backward = np.array(naive[::-1], dtype=np.uint64)
    assert sets.rank(backward).tolist() == list(range(len(naive)))[::-1]
    for point in EVERY:
        assert sets.without(point).tolist() == [
            rank for rank, each in enumerate(naive) if not each >> point & 1
        ]
    assert bit_count(sets.sets).tolist() == [men] * len(naive)


def test_a_step_is_made_where_its_man_stands_and_its_target_is_free():
    sets = MenSets(POINTS, 3, LINES)
    step = DirectedStep(sets, 5, 2)
    before = [each for each in naive_sets(3) if each >> 5 & 1 and not each >> 2 & 1]
    assert (step.origin, step.target) == (5, 2)
    assert sets.sets[step.before].tolist() == before
    assert sets.sets[step.after].tolist() == [each - (1 << 5) + (1 << 2) for each in before]
    came = {int(after): int(origin) for origin, after in zip(step.before, step.after, strict=True)}
    assert step.came_from.tolist() == [came.get(rank, -1) for rank in range(len(sets))]


def test_every_joined_pair_of_points_is_a_step_both_ways():
    game = load_game("three-mens-morris")
    steps = [(step.origin, step.target) for step in directed(game, MenSets(9, 3, []))]
    both = [*game.setting.steps, *((other, one) for one, other in game.setting.steps)]
    assert sorted(steps) == sorted(both)
    assert len(set(steps)) == len(steps)


@pytest.mark.parametrize("points", [7, 17])
def test_which_sets_share_no_point(points):
    """Also where sets are told apart only by a point beyond the sixteenth."""
    mine, other = MenSets(points, 2, []), MenSets(points, 1, [])
    apart = disjoint(mine, other)
    assert apart.tolist() == [
        [one & another == 0 for another in other.sets.tolist()] for one in mine.sets.tolist()
    ]


def test_rows_are_worked_on_in_parts_that_follow_each_other():
    assert list(chunks(300)) == [slice(0, 128), slice(128, 256), slice(256, 384)]
    assert [list(range(10))[part] for part in chunks(10, 4)] == [[0, 1, 2, 3], [4, 5, 6, 7], [8, 9]]
    assert list(chunks(0)) == []
    assert bit_count(np.array([1 << 31 | 1], dtype=np.uint32)).tolist() == [2]
