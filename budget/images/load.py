"""Files that people name: an image in any format, or a program in orders."""

from pathlib import Path
from typing import NamedTuple

from budget.card import CostCard
from budget.images.formats import Format, format_of
from budget.images.image import Image, Reading, image_in, image_of
from budget.programs import program_of_file
from games.problems import bad
from games.tomlfile import read_text

ORDERS = ".orders"
"""How the name of a program in Wordtight's own orders ends."""


class Read(NamedTuple):
    """What was read, and the format in which it was."""

    format: Format
    reading: Reading


def load_image(path: str | Path, card: CostCard) -> Image:
    """The image of a file, or of a program in orders.  Raises BadInput with every mistake."""
    if str(path).lower().endswith(ORDERS):
        return image_of(program_of_file(path, card))
    image = image_in(read_rows(path, card).reading, card)
    if not image.words:
        raise bad("holds no words; expected an image", str(path))
    return image


def read_rows(path: str | Path, card: CostCard) -> Read:
    """The rows of a file in any format, right or wrong.  Raises BadInput with every row that is none."""
    raw = _bytes_of(path)
    found = format_of(raw, str(path))
    return Read(found, found.read(raw, card, str(path)))


def _bytes_of(path: str | Path) -> bytes:
    """The bytes of a file.  Raises BadInput if there is none to read."""
    try:
        return Path(path).read_bytes()
    except (OSError, ValueError) as error:
        read_text(path)  # it tells why, and which file was probably meant
        raise bad(f"cannot be read: {error}", str(path)) from None
