"""Shapes: what a line of the file must hold, so that everything after it may rely on that.

A shape is a type; a word or None, which stand for themselves; a list, all of one shape; a tuple, of which one must
do; an object, in which keys with ? may be missing.
"""

from typing import Any

from .terms import Record, Wrong

FILE = {"name": str, "sha256": str, "text?": str}
TEXT = {"name": str, "sha256": str, "text": str}


def fits(value: Any, shape: Any) -> bool:
    """Whether a value is of a shape."""
    if isinstance(shape, dict):
        known = {key.rstrip("?"): each for key, each in shape.items()}
        return (
            isinstance(value, dict)
            and set(value) <= set(known)
            and all(fits(value[key], known[key]) if key in value else f"{key}?" in shape for key in known)
        )
    if isinstance(shape, list):
        return isinstance(value, list) and all(fits(each, shape[0]) for each in value)
    if isinstance(shape, tuple):
        return any(fits(value, each) for each in shape)
    if isinstance(shape, type):  # to Python true and false are numbers, too, but not here
        return isinstance(value, shape) and (shape is bool or not isinstance(value, bool))
    return bool(value == shape)


def must_fit(number: int, record: Record, shape: Record) -> None:
    """Raise Wrong where a line does not hold what it should, and name the first key that is wrong."""
    if fits(record, shape):
        return
    for key in sorted({*record, *(each.rstrip("?") for each in shape)}):
        part = {each: value for each, value in record.items() if each == key}
        if not fits(part, {each: value for each, value in shape.items() if each.rstrip("?") == key}):
            raise Wrong(f"line {number}: '{key}' is missing or not what it should be")
