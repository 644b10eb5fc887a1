"""A sample of many like cases for the everyday run; the others come with those marked long."""

from collections.abc import Iterable
from typing import Any

import pytest


def sampled(cases: Iterable[Any], every: int, first: int = 0) -> list[Any]:
    """All cases, for `parametrize`: each `every`-th, from the `first` on, is run every day, the rest are marked long.

    A case is one value; where `parametrize` names several, a tuple of them.
    """
    return [
        pytest.param(*(case if isinstance(case, tuple) else (case,)), marks=marks)
        for number, case in enumerate(cases)
        for marks in [() if number % every == first else pytest.mark.long]
    ]
