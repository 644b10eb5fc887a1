"""Where the weights below *take the heaviest cell* stand, found without reading them: other sheets load no more."""

import re
from collections.abc import Sequence

_BEGINNING = re.compile(r"\s*[-+0-9\u2010-\u2014\u2212]")
_HEADING = re.compile(r"\s*take\b.*\bheaviest\b", re.IGNORECASE)


def weighs(line: str) -> bool:
    """Whether weights may stand below a line: it is *take the heaviest cell*, or meant to be."""
    return _HEADING.match(line) is not None


def weight_rows(lines: Sequence[str], begin: int) -> list[tuple[int, str]]:
    """The rows of weights from line `begin` (from 0) on, each with its line counted from 1; empty lines are skipped.

    A row begins with a number, as no rule does.
    """
    rows = []
    for number in range(begin, len(lines)):
        row = lines[number].partition("#")[0].rstrip()
        if row and _BEGINNING.match(row) is None:
            break
        if row:
            rows.append((number + 1, row))
    return rows
