"""*Use table*: what the table says, and all that rules after it would, looked up in one of the encodings."""

from collections.abc import Callable
from functools import lru_cache

from budget.lowering.answering import Answering
from budget.lowering.answering.asked import Asked, Stored
from budget.lowering.ground import Ground, Setting
from budget.lowering.text import NotLowered
from budget.packed import NotApplicable
from solver.fixed import FixedPlay

ENCODINGS = ("sorted-keys", "dense", "hashed", "diagram")
"""Those that can store some boards of a play; a reply tree needs all."""


def answering(asked: Asked, setting: Setting, ground: Ground) -> Answering | None:
    """The way for a table."""
    if not isinstance(asked.meaning, Stored):
        return None
    encoding = setting.choices.pick("encoding", ENCODINGS, is_weighty=True)
    try:
        return _answerer(asked.meaning.play, encoding)(setting, ground)
    except NotApplicable as refusal:
        raise NotLowered(str(refusal)) from refusal


@lru_cache(maxsize=16)
def _answerer(play: FixedPlay, encoding: str) -> Callable[[Setting, Ground], Answering]:
    from budget.lowering.answering.table import table_answerer  # which imports all encodings

    return table_answerer(play, encoding)
