"""What docs/smallest.py puts together from what is known of a row."""

from pathlib import Path
from runpy import run_path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.least.answers import least_answers
from solver.least.choices import Hopeless
from tests import twins

answers_of_row = run_path(str(Path(__file__).parent.parent / "docs" / "smallest.py"))["_answers"]


@pytest.mark.parametrize(
    ("figures", "best", "row"),
    [
        ({"answers": [54, 143], "fixed board": [46, 295]}, None, [[54, 143], [54, 295]]),
        ({"answers": [54, 143], "fixed board": [60, 120]}, (300, 900), [[54, 120], [60, 120]]),
        ({"answers": [54, 143]}, (200, 900), [[54, 143], [54, 900]]),
        ({"fixed board": [60, 120]}, (300, 900), [[1, 120], [60, 120]]),
        ({"answers": [9, 9], "fixed board": [9, 9]}, (9, 9), [[9, 9], [9, 9]]),
        ({}, (300, 900), [[1, 300], [1, 900]]),
        ({"answers": "time ran out"}, None, ["time ran out", "not tried"]),
    ],
    ids=["bound", "found", "best-play", "fixed-only", "settled", "nothing", "not-tried"],
)
def test_a_fixed_board_needs_what_boards_alike_need_and_what_does_there_does_for_them(figures, best, row):
    assert answers_of_row(figures, best) == row


@settings(max_examples=10, deadline=None)
@given(st.data())
def test_that_is_so_for_any_tiny_game(data):
    """The fewest answers of a fixed board are no fewer than with boards alike as one: no other claim is made."""
    pair = data.draw(twins.games(most_cells=6))
    house = data.draw(twins.house_rules(pair.game, 1)).rules
    seat, claim = data.draw(st.integers(0, 1)), data.draw(st.sampled_from(["never-loses", "quickest"]))
    try:
        alike, fixed = (
            least_answers(pair.game, seat, claim, house, turned=turned) for turned in (True, False)
        )
    except Hopeless:
        return
    assert alike.proved_least
    assert fixed.proved_least
    assert alike.answers <= fixed.answers
