"""Codes are found among sorted ones by whichever way is quickest, and always where plain searching finds them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.places import LONG_RUN, SPARSE, places, places_of_children

CODES = st.sets(st.integers(0, (1 << 64) - 1), min_size=1, max_size=200)


def as_codes(numbers):
    return np.array(sorted(numbers), dtype=np.uint64)


@pytest.mark.parametrize("long_run", [1, LONG_RUN, 10**9])
@pytest.mark.parametrize("sparse", [0, SPARSE, 10**9])
def test_children_are_found_in_their_layer(long_run, sparse, monkeypatch):
    """In rising runs with and without repetitions, and in no order; with each way of looking for them."""
    monkeypatch.setattr("solver.places.LONG_RUN", long_run)
    monkeypatch.setattr("solver.places.SPARSE", sparse)

    @given(CODES, st.lists(st.lists(st.integers(0, 199), max_size=50), max_size=5), st.booleans())
    def found_where_plain_searching_finds_them(numbers, runs, rising):
        layer = as_codes(numbers)
        at = [place % len(layer) for run in runs for place in (sorted(run) if rising else run)]
        found = places_of_children(layer, layer[np.array(at, dtype=np.intp)])
        assert found.dtype == np.intp
        assert found.tolist() == at

    found_where_plain_searching_finds_them()


@given(CODES | st.just(set()), st.lists(st.integers(0, (1 << 64) - 1)))
def test_what_is_not_there_is_told_apart(numbers, others):
    codes = as_codes([*others, *sorted(numbers)[::2]])
    at, found = places(as_codes(numbers), codes)
    assert found.tolist() == [code in numbers for code in codes.tolist()]
    assert all(sorted(numbers)[place] == code for place, code in zip(at[found], codes[found], strict=True))
