"""Paper tape: the rows of an image as characters in the machine's code, between two lengths of blank tape.

A tape with several cases begins with the shift to the first.  Where the code has no line end, `/` ends each row.  Blank
tape, which is the code that ends a message, is passed over wherever it stands.
"""

from collections.abc import Sequence

from budget.card import CostCard
from budget.characters import CharacterCode
from budget.images.formats import rows
from budget.images.image import Image, Reading, Text
from budget.machine.channel import printed

LEADER = 20
"""Characters of blank tape before the first row and after the last."""
ROW_END = "/"


def punched(image: Image, card: CostCard) -> list[int]:
    """The codes on the tape of an image.  Raises BadInput where the machine's code lacks a sign."""
    code = card.characters.code
    text = rows.written(image, card)
    codes = code.encode(text if code.line_end else text.replace("\n", ROW_END))
    first = code.cases[0].shift
    blank = [code.end] * LEADER
    return [*blank, *([] if first is None else [first]), *codes, *blank]


def read_codes(codes: Sequence[int], card: CostCard, file: str) -> Reading:
    """What a tape says.  Mistakes are told by line and column of what it prints."""
    text = as_printed(codes, card)
    if not card.characters.code.line_end:
        text = text.replace(ROW_END, "\n")
    return rows.read_text(Text(f"{file} (as it prints)", tuple(text.split("\n"))), card)


def as_printed(codes: Sequence[int], card: CostCard) -> str:
    """What a tape prints, blank tape left out: here every character passes whole, however short a word is."""
    whole = card.characters._replace(words_each=1)
    blank = card.characters.code.end
    return printed(card._replace(characters=whole), [code for code in codes if code != blank])


def signs(codes: Sequence[int], code: CharacterCode) -> list[str]:
    """What stands beside each code of a drawn tape: the sign that it prints, the name of its case, or nothing."""
    case = code.cases[0]
    shifts = {each.shift: each for each in code.cases if each.shift is not None}
    shown = []
    for each in codes:
        case = shifts.get(each, case)
        printing = {number: sign for sign, number in case.codes.items()}
        shown.append(case.name if each in shifts else printing.get(each, ""))
    return shown
