"""Formats: files that hold an image.

Each is one module here: a new format is a new file with what `Format` names.  Its `read` gives whatever rows it can
make out, right or wrong, and raises BadInput only for what is no row.
"""

from functools import cache
from importlib import import_module
from pkgutil import iter_modules
from typing import Protocol, cast

from budget.card import CostCard
from budget.images.image import Image, Reading
from games.problems import bad

LARGEST_FILE = 1 << 24
"""Bytes.  The largest store takes less in every format; it keeps a mistaken file from filling the memory."""
UTF_16 = (b"\xff\xfe", b"\xfe\xff")


class Format(Protocol):
    """What each module here gives."""

    NAME: str
    TITLE: str
    SUFFIX: str
    NAMED: str
    """A file whose name ends so is one, whatever it holds; empty where names say nothing."""
    ORDER: int
    """In which turn any other file is asked whether it begins like one of these."""

    def begins(self, raw: bytes) -> bool:
        """Whether a file with these bytes is meant to be one."""
        ...

    def words_a_row(self, card: CostCard) -> int:
        """How many words stand in a row at most."""
        ...

    def write(self, image: Image, card: CostCard) -> bytes:
        """The file.  Raises BadInput where the machine's characters cannot say it."""
        ...

    def read(self, raw: bytes, card: CostCard, file: str) -> Reading:
        """What the file says; `file` is what messages call it.  Raises BadInput with every row that is none."""
        ...


@cache
def formats() -> dict[str, Format]:
    """Every format by name, in the order in which files are asked."""
    modules = (import_module(f"{__name__}.{found.name}") for found in iter_modules(__path__))
    found = sorted((cast(Format, module) for module in modules), key=lambda each: each.ORDER)
    return {each.NAME: each for each in found}


def format_of(raw: bytes, name: str) -> Format:
    """The format that a file is meant to be in.  Raises BadInput for one that is in none."""
    if not raw.strip():
        raise bad("is empty; expected an image, or rows of an address and words", name)
    if raw[:2] in UTF_16:
        raise bad("this is UTF-16 text; expected plain ASCII: choose it when you save the file", name, 1)
    if len(raw) > LARGEST_FILE:
        raise bad(f"is larger than {LARGEST_FILE:,} bytes; expected the words of one store", name)
    named = (each for each in formats().values() if each.NAMED and name.lower().endswith(each.NAMED))
    return next(named, None) or next(each for each in formats().values() if each.begins(raw))
