"""Slips: what goes wrong when words are typed, punched or read back, each with what should stand there."""

from typing import NamedTuple

ROW_MISSING, ROW_DOUBLED, ROW_STRANGE = "row missing", "row doubled", "row not in the image"
ROWS_CHANGED, ROW_MOVED, ROWS_MIXED = (
    "rows have changed places",
    "row out of order",
    "words of two rows exchanged",
)
ADDRESS, WORD, WORDS_CHANGED = "wrong address", "wrong word", "words have changed places"
WORD_MISSING, WORD_EXTRA, SHIFTED = "word left out", "word too many", "shifted by a word"
SUM, CHECK_BYTE, START, FILE = "wrong sum", "wrong check byte", "wrong start", "wrong file"
KINDS = (
    *(
        ROW_MISSING,
        ROW_DOUBLED,
        ROW_STRANGE,
        ROWS_CHANGED,
        ROW_MOVED,
        ROWS_MIXED,
        ADDRESS,
        WORD,
        WORDS_CHANGED,
    ),
    *(WORD_MISSING, WORD_EXTRA, SHIFTED, SUM, CHECK_BYTE, START, FILE),
)


class Slip(NamedTuple):
    """One slip.

    kind: one of KINDS; line: of the file that was typed, 0 where nothing stands there; address: of the row in the
    image; word: the place of the word in its row from 1, 0 for the whole row; should, stands: what was expected and
    what is there, as written; other: where two have changed places, the other row's address or the other word's place;
    where several rows are shifted, the last row's address; remark: what has probably happened.
    """

    kind: str
    line: int
    address: int
    word: int = 0
    should: str = ""
    stands: str = ""
    other: int | None = None
    remark: str = ""


def weight(slip: Slip) -> int:
    """How much a slip counts among explanations: a missing row as many as it has words, so that none is favoured."""
    return len(slip.should.split()) if slip.kind == ROW_MISSING else 1


class Due(NamedTuple):
    """A row as it should be."""

    address: int
    words: tuple[int, ...]
