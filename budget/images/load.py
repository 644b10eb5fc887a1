"""Files that people name: an image in any format, or a program in orders."""

from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple

from budget.card import CostCard
from budget.images.formats import Format, format_of
from budget.images.image import Image, Reading, cut, image_in, image_of
from budget.machine.program import DATA, SPACE, Line, Program
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


def load_program(path: str | Path, card: CostCard) -> Program:
    """The same as a program; of one that is no text in orders, all that the image leaves free is workspace.

    Raises BadInput also where the file does not say where its program begins.
    """
    if str(path).lower().endswith(ORDERS):
        return program_of_file(path, card)
    return program_of_image(load_image(path, card), card, str(path))


def program_of_image(image: Image, card: CostCard, file: str) -> Program:
    """An image as a program without labels.  Raises BadInput where it does not say where it begins."""
    if image.start is None:
        message = "does not say where its program begins; expected its .orders, .hex or .srec file"
        raise bad(f"{message}, to play it through", file)
    lines = tuple(_line(row, DATA, card) for row in image.rows)
    return with_space(Program(card, file, image.words, image.start, lines, {}), range(card.store_words))


def with_space(program: Program, words: Iterable[int]) -> Program:
    """The same program, whose workspace is those of some words that are not in its image."""
    card = program.card
    gaps = cut((address for address in words if address not in program.image), card.store_words)
    others = (line for line in program.lines if line.kind != SPACE)
    lines = (*others, *(_line(gap, SPACE, card) for gap in gaps))
    return program._replace(lines=tuple(sorted(lines, key=lambda line: line.place)))


def _line(addresses: range, kind: str, card: CostCard) -> Line:
    places = card.program.layout.places_a_word
    return Line(0, addresses[0] * places, len(addresses) * places, kind, "")


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
