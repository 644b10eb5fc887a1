"""What line rules look for, as sets of cells for many positions at once.

Everything is asked of two sets of cells: `own`, a side's marks, and `free`.  All arrays are Codes of shape
(n,), bit c standing for cell c.
"""

from collections.abc import Callable, Sequence

import numpy as np

from games.codes import Codes, Flags, Indices

_ONE = np.uint64(1)
_NONE = np.uint64(0)


def _without_least(cells: Codes) -> Codes:
    """The sets without their least cell (an empty set stays empty)."""
    rest: Codes = cells & (cells - (cells != _NONE).astype(np.uint64))
    return rest


def _lacking_one(lines: Sequence[int], own: Codes, free: Codes) -> list[Codes]:
    """For each line the one free cell that `own` still lacks in it, as a set; empty where it is no threat."""
    found = []
    for line in lines:
        rest = np.uint64(line) & ~own
        is_threat = (_without_least(rest) == _NONE) & (rest & ~free == _NONE)
        found.append(np.where(is_threat, rest, _NONE))
    return found


def _lacking_two(lines: Sequence[int], own: Codes, free: Codes) -> list[Codes]:
    """For each line the two free cells that `own` still lacks in it; empty unless it is one move short of a threat."""
    found = []
    for line in lines:
        rest = np.uint64(line) & ~own
        but_one = _without_least(rest)
        is_pair = (but_one != _NONE) & (_without_least(but_one) == _NONE) & (rest & ~free == _NONE)
        found.append(np.where(is_pair, rest, _NONE))
    return found


def threat_cells(lines: Sequence[int], own: Codes, free: Codes) -> Codes:
    """The free cells that complete a line of `own`."""
    return _union(_lacking_one(lines, own, free), own)


def threat_count(lines: Sequence[int], own: Codes, free: Codes) -> Indices:
    """How many lines lack just one move of `own`."""
    count = np.zeros(len(own), dtype=np.intp)
    for rest in _lacking_one(lines, own, free):
        count += rest != _NONE
    return count


def threatening_cells(lines: Sequence[int], own: Codes, free: Codes) -> Codes:
    """The free cells on which a mark of `own` makes a threat."""
    return _union(_lacking_two(lines, own, free), own)


def double_threat_cells(lines: Sequence[int], own: Codes, free: Codes) -> Codes:
    """The free cells on which two lines meet that are both one move of `own` short of a threat."""
    once, twice = np.zeros_like(own), np.zeros_like(own)
    for rest in _lacking_two(lines, own, free):
        twice |= once & rest
        once |= rest
    return twice


def clearing_cells(lines: Sequence[int], other: Codes, free: Codes, size: int) -> Codes:
    """The free cells that, once marked against `other`, leave it without a double-threat cell."""

    def clears(cell: int) -> Flags:
        bit = _ONE << np.uint64(cell)
        cleared: Flags = double_threat_cells(lines, other, free & ~bit) == _NONE
        return cleared

    return _cells_where(clears, free, size)


def safe_threat_cells(lines: Sequence[int], own: Codes, other: Codes, free: Codes, size: int) -> Codes:
    """The free cells on which a mark of `own` makes a threat that `other` can answer, but never with two threats."""

    def is_safe(cell: int) -> Flags:
        bit = _ONE << np.uint64(cell)
        threatens = np.zeros(len(own), dtype=bool)
        punished = np.zeros(len(own), dtype=bool)
        for rest in _lacking_two([line for line in lines if line >> cell & 1], own, free):
            answer = rest & ~bit
            threatens |= answer != _NONE
            two = threat_count(lines, other | answer, free & ~bit & ~answer) >= 2
            punished |= (answer != _NONE) & two
        return threatens & ~punished

    return _cells_where(is_safe, free, size)


def only_one(cells: Codes) -> Codes:
    """The sets that hold a single cell; empty for all others."""
    return np.where(_without_least(cells) == _NONE, cells, _NONE)


def _cells_where(test: Callable[[int], Flags], free: Codes, size: int) -> Codes:
    found = np.zeros_like(free)
    for cell in range(size):
        bit = _ONE << np.uint64(cell)
        found |= np.where(test(cell), bit & free, _NONE)
    return found


def _union(sets: Sequence[Codes], like: Codes) -> Codes:
    union = np.zeros_like(like)
    for each in sets:
        union |= each
    return union
