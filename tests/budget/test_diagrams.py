"""Diagrams lead every board to its answer, and no guess hangs on how a computer rounds."""

import math
import random

import numpy as np
import pytest

from budget.diagrams import GUESSES, _by_entropy, _log, placed, smallest_diagram


def boards(seed, many=60, cells=5):
    luck = random.Random(seed)
    numbers = sorted(luck.sample(range(3**cells), many))
    digits = np.array([[number // 3**cell % 3 for cell in range(cells)] for number in numbers])
    return digits, np.array([luck.randrange(4) for _ in numbers])


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_every_board_is_led_to_its_answer(seed):
    digits, answers = boards(seed)
    found = placed(smallest_diagram(digits, answers), int(answers.max()) + 1)
    for board, answer in zip(digits.tolist(), answers.tolist(), strict=True):
        node = found.root
        while node < found.leaf:
            node = int(found.numbers[node + 1 + board[found.numbers[node]]])
        assert node - found.leaf == answer


def test_logarithms_are_rounded_down_exactly():
    for count in range(1, 650):
        assert 2 ** _log(count) <= count**4096 < 2 ** (_log(count) + 1)


def test_every_guess_is_a_whole_number():
    luck = np.random.default_rng(1)
    for _ in range(20):
        counts = luck.integers(0, 30, size=(3, 5))
        assert all(type(guess(counts)) is int for guess in GUESSES)
        needed = sum(count * math.log2(sum(row) / count) for row in counts.tolist() for count in row if count)
        assert _by_entropy(counts) / 4096 == pytest.approx(needed, abs=1)
