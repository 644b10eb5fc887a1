"""A tape as bytes: one for each character, its units as the low bits, unit 1 the least; no parity."""

from budget.card import CostCard
from budget.images.formats import rows
from budget.images.image import Image, Reading
from budget.images.tape import punched, read_codes
from games.problems import bad

NAME = "tape"
TITLE = "tape, a byte for each character"
SUFFIX = ".tape.bin"
ORDER = 4
NAMED = ".bin"
TEXT_CONTROLS = b"\t\n\r\f"


def begins(raw: bytes) -> bool:
    """Whether a file is meant to be one: it holds what no text does, such as blank tape."""
    return any(byte < 32 and byte not in TEXT_CONTROLS for byte in raw)


def words_a_row(card: CostCard) -> int:
    """How many words a row holds at most."""
    return rows.words_a_row(card)


def write(image: Image, card: CostCard) -> bytes:
    """The bytes.  Raises BadInput where the machine's code lacks a sign."""
    return bytes(punched(image, card))


def read(raw: bytes, card: CostCard, file: str) -> Reading:
    """What the tape says.  Raises BadInput for a byte that is no code, or with every row that is none."""
    code = card.characters.code
    for place, byte in enumerate(raw, 1):
        if byte >> code.bits:
            message = f"character {place} is {byte}, and {code.title} has codes of {code.bits} bits"
            raise bad(f"{message}; expected one byte for each character, without parity", file)
    return read_codes(raw, card, file)
