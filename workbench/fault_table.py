"""A table of faults, as `drill --faults -o` has written it, read again."""

import json
from typing import Any

from budget.drilling.table import KIND
from games.problems import bad
from games.tomlfile import read_text

LARGEST_TABLE = 1_000_000_000
"""Bytes: every fault with all that it prints takes megabytes, on a small board already."""


def read_fault_table(path: str) -> dict[str, Any]:
    """A table of faults.  Raises BadInput where the file is none."""
    text = read_text(path, LARGEST_TABLE)
    try:
        table = json.loads(text)
    except json.JSONDecodeError as error:
        raise bad(
            f"line {error.lineno}, column {error.colno}: is no JSON; expected a table of faults", path
        ) from None
    if not isinstance(table, dict) or table.get("kind") != KIND:
        raise bad(
            f'is no table of faults; expected what `wordtight drill --faults -o FILE` writes ("{KIND}")', path
        )
    return table
