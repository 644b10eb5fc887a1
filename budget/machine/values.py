"""Values of a group of machines: one number where all have the same, else an array with an entry for each."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from budget.machine.rows import Array, Value


def same(values: Array) -> Value:
    """One number where all are the same."""
    first = int(values[0])
    return first if (values == first).all() else values


def part(value: Value, which: Array) -> Value:
    """What the machines at these positions of a group have."""
    return value if isinstance(value, int) else value[which]


def joined(values: Sequence[Value], sizes: Sequence[int], kind: np.dtype[Any]) -> Value:
    """The value of several groups as one, which have so many machines each; kind: of the numbers in an array."""
    first = values[0]
    if isinstance(first, int) and all(isinstance(each, int) and each == first for each in values):
        return first
    return np.concatenate(
        [
            np.full(size, each, dtype=kind) if isinstance(each, int) else each
            for each, size in zip(values, sizes, strict=True)
        ]
    )
