"""Rows of a hash laid over one another: whatever is given out says the right answer for every board."""

import numpy as np
import pytest

from budget.hashing import overlaid


@pytest.mark.parametrize(("boards", "answers"), [(40, 3), (300, 9), (885, 60)])
def test_every_board_has_its_own_answer(boards, answers):
    random = np.random.default_rng(boards)
    digits = np.unique(random.integers(0, 3, (2 * boards, 9)), axis=0)[:boards].astype(np.uint64)
    values = random.integers(0, answers, len(digits)).astype(np.uint64)
    for found in overlaid(digits, values, (8, 12, 18)):
        rows, columns = found.hash.of(digits)
        assert found.slots[found.shifted[rows] + columns].tolist() == values.tolist()
