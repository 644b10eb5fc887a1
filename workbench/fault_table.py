"""A table of faults, as `drill --faults -o` has written it, read again."""

import json
from typing import Any

from budget.drilling.lines import START
from budget.drilling.table import KIND
from games.problems import bad
from games.tomlfile import read_text

LARGEST_TABLE = 1_000_000_000
"""Bytes: every fault with all that it prints takes megabytes, on a small board already."""
_SHAPE = {
    "machine": "",
    "words": {},
    "begins": "",
    "steps": [{"after": 0, "typed": "", "printed": ""}],
    "faults": [
        {
            "kind": "",
            "where": [],
            "addresses": [0],
            "found": "",
            "shown": [{"step": 0, "printed": "", "then": ""}],
        }
    ],
}
"""A value of the right kind for each key; a list with the like of each of its entries, if they are all alike."""
_CALLED = {str: "a text", int: "a whole number", list: "a list", dict: "an object"}


def read_fault_table(path: str) -> dict[str, Any]:
    """A table of faults.  Raises BadInput where the file is none, or damaged."""
    text = read_text(path, LARGEST_TABLE)
    try:
        table = json.loads(text)
    except json.JSONDecodeError as error:
        raise bad(
            f"line {error.lineno}, column {error.colno}: is no JSON; expected a table of faults", path
        ) from None
    except (ValueError, RecursionError):  # a number of thousands of digits, brackets in brackets without end
        table = None
    if not isinstance(table, dict) or table.get("kind") != KIND:
        raise bad(
            f'is no table of faults; expected what `wordtight drill --faults -o FILE` writes ("{KIND}")', path
        )
    wrong = _misfit(table, _SHAPE, "the table") or _astray(table)
    if wrong:
        raise bad(f"is damaged: {wrong}; expected a table as it was written", path)
    return table


def _misfit(value: Any, like: Any, where: str) -> str:
    """What is not of the kind that it should be, in words; nothing where all is."""
    if type(value) is not type(like):
        return f"{where} is not {_CALLED[type(like)]}"
    if isinstance(like, dict):
        missing = next((key for key in like if key not in value), None)
        if missing is not None:
            return f"{where} has no '{missing}'"
        return next(filter(None, (_misfit(value[key], like[key], f"'{key}'") for key in like)), "")
    if isinstance(like, list) and like:
        each = f"an entry of {where}"
        return next(filter(None, (_misfit(entry, like[0], each) for entry in value)), "")
    return ""


def _astray(table: dict[str, Any]) -> str:
    """What points to nothing: at a step that there is not, at a word without a name; nothing where all is well."""
    count, words = len(table["steps"]), table["words"]
    if not all(isinstance(name, str) for name in words.values()):
        return "a word has no name"
    if not all(START <= step["after"] < place for place, step in enumerate(table["steps"])):
        return "a step comes after one that is not before it"
    for fault in table["faults"]:
        if not fault["addresses"] or not all(str(address) in words for address in fault["addresses"]):
            return "a fault is in a word that is not told"
        if not all(START <= shown["step"] < count for shown in fault["shown"]):
            return "a fault shows at a step that there is not"
    return ""
