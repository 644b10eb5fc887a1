"""Where codes stand among sorted ones: what the engines that go ply by ply spend most of their time on."""

import numpy as np
import numpy.typing as npt

from games.codes import Codes, Indices

LONG_RUN = 128
"""Codes in a row that rise, on average, from which on the runs are worth being looked at one by one."""
SPARSE = 5
"""Where so many times as many codes are passed over as are looked for, looking for each is the quicker way."""


def places(sorted_codes: Codes, codes: Codes) -> tuple[Indices, npt.NDArray[np.bool_]]:
    """Where codes stand among sorted ones, and which of them do at all."""
    at = np.minimum(np.searchsorted(sorted_codes, codes), max(len(sorted_codes) - 1, 0))
    found = sorted_codes[at] == codes if len(sorted_codes) else np.zeros(len(codes), dtype=bool)
    return at, found


def places_of_children(layer: Codes, codes: Codes) -> Indices:
    """Where codes stand in a layer, sorted and each once, that holds all of them.

    Moves nearly always come in a few rising runs, one for each cell, say.  A run is looked for only between the places
    of its first and its last code.
    """
    begins = np.append(0, np.flatnonzero(codes[1:] < codes[:-1]) + 1)
    if len(begins) * LONG_RUN > len(codes):
        return np.searchsorted(layer, codes)
    ends = np.append(begins[1:], len(codes))
    lows, highs = np.searchsorted(layer, codes[begins]), np.searchsorted(layer, codes[ends - 1]) + 1
    found = np.empty(len(codes), dtype=np.intp)
    for begin, end, low, high in np.column_stack([begins, ends, lows, highs]).tolist():
        np.add(_places_of_run(layer[low:high], codes[begin:end]), low, out=found[begin:end])
    return found


def _places_of_run(window: Codes, run: Codes) -> Indices:
    """The same for rising codes; where they are a good part of the window, the two are merged instead."""
    if len(window) > SPARSE * len(run):
        return np.searchsorted(window, run)
    merged = np.concatenate([window, run])
    merged.sort(kind="stable")  # the sort that takes two sorted runs as they are
    # Each code of the run now stands right behind its like, and the codes of the run before it have moved that on.
    twice = np.flatnonzero(merged[1:] == merged[:-1])
    return twice - np.arange(len(run))
