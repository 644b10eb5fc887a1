"""Rows as people type them: an address, its words, and their sum after `=`, all in the machine's base but the sum.

The sum is that of the listing: the address, and each word times its place in the row, modulo 997.  Spaces, capitals,
a colon after the address, zeros in front and sums are free; `#` begins a remark.  `START` and a place end the rows.
"""

import re
from typing import NamedTuple

from budget.card import LONGEST_WORD, CostCard
from budget.images.digits import BASES, digits_in
from budget.images.image import Cell, Check, Image, Notation, Reading, Row, Text, plain_lines
from budget.machine.listing import ROOM, in_base, row_sum
from games.problems import BadInput, Problem

NAME = "rows"
TITLE = "rows to type"
SUFFIX = ".rows.txt"
ORDER = 9
NAMED = ""
START = "START"
SUM = "="
MOST_SHOWN = 50
"""Characters of what stands for a word; a word has 40 digits at most."""
LONGEST_SUM = 9
"""Digits: whoever types more has typed something else."""


def begins(raw: bytes) -> bool:
    """Whether a file is meant to be rows: it is, if it is nothing else and not empty."""
    return bool(raw.strip())


def notation_of(card: CostCard) -> Notation:
    """Words and addresses as the machine's listing has them."""
    base = card.program.base
    digits = len(in_base((1 << card.word_bits) - 1, base))
    return Notation(base, digits, base, len(in_base(card.store_words - 1, base)))


def words_a_row(card: CostCard) -> int:
    """How many words a row of the listing holds at most."""
    return max(1, ROOM // (notation_of(card).digits + 1))


def write(image: Image, card: CostCard) -> bytes:
    """The rows, with a remark above them that says what they are."""
    return f"# {image.name} for {card.name}: address, words, = sum\n{written(image, card)}".encode()


def written(image: Image, card: CostCard) -> str:
    """The rows without a remark, each ended by a line end."""
    notation = notation_of(card)
    lines = []
    for row in image.rows:
        words = [image.words[address] for address in row]
        shown = " ".join(map(notation.word, words))
        lines.append(f"{notation.address(row.start)} {shown} {SUM} {row_sum(row.start, words)}\n")
    if image.start is not None:
        lines.append(f"{START} {notation.address(image.start)} {SUM} {row_sum(image.start, ())}\n")
    return "".join(lines)


def read(raw: bytes, card: CostCard, file: str) -> Reading:
    """What the file says.  Raises BadInput with every row that is none."""
    return read_text(plain_lines(raw, file), card)


def read_text(text: Text, card: CostCard) -> Reading:
    """The same for lines already at hand."""
    reader = _Reader(text, card)
    for number, line in enumerate(text.lines, 1):
        reader.take(number, line)
    if reader.problems:
        raise BadInput(reader.problems)
    return Reading(text, reader.notation, tuple(reader.rows), reader.start, tuple(reader.faults))


def _shown(text: str) -> str:
    """What stands for a word, as it can be told: capitals, not too long, and nothing that would steer a terminal."""
    return "".join(
        sign if sign.isascii() and sign.isprintable() else "?" for sign in text[:MOST_SHOWN]
    ).upper()


class _Token(NamedTuple):
    text: str
    column: int


class _Reader:
    """Takes the lines one by one."""

    def __init__(self, text: Text, card: CostCard) -> None:
        self.text = text
        self.notation = notation_of(card)
        self.rows: list[Row] = []
        self.start: int | None = None
        self.problems: list[Problem] = []
        self.faults: list[Problem] = []
        self._card = card

    def take(self, line: int, text: str) -> None:
        """Take a line: a row, the start, or nothing."""
        signs = text.partition("#")[0]
        tokens = [_Token(found[0], found.start() + 1) for found in re.finditer(rf"{SUM}|[^\s{SUM}]+", signs)]
        if not tokens:
            return
        marks = [place for place, token in enumerate(tokens) if token.text == SUM]
        place = marks[0] if marks else len(tokens)
        head, tail = tokens[:place], tokens[place:]
        if not head:
            self._note(line, tokens[0], f"expected an address before '{SUM}'")
        elif self._has_sum(line, tail):
            is_start = head[0].text.upper() == START
            (self._take_start if is_start else self._take_row)(line, head, tail)

    def _note(self, line: int, token: _Token, message: str) -> None:
        self.problems.append(self.text.problem(line, token.column, message))

    def _has_sum(self, line: int, tail: list[_Token]) -> bool:
        """Whether what begins with `=`, if anything does, is a sum; if not, it is noted."""
        is_number = len(tail) > 1 and re.fullmatch(rf"[0-9]{{1,{LONGEST_SUM}}}", tail[1].text)
        if not tail or (is_number and len(tail) == 2):
            return True
        wrong = tail[2] if is_number else tail[min(1, len(tail) - 1)]
        self._note(line, wrong, f"expected one number after '{SUM}', the sum of the row")
        return False

    def _check(self, line: int, tail: list[_Token], address: int, words: list[int | None]) -> Check | None:
        if not tail:
            return None
        right = row_sum(address, [word or 0 for word in words])
        return Check(int(tail[1].text), right, line, tail[1].column, "sum", "d")

    def _take_start(self, line: int, head: list[_Token], tail: list[_Token]) -> None:
        places = self._card.program.layout.places
        place = self._number(head[1].text) if len(head) == 2 else None
        if place is None or place >= places:
            most = in_base(places - 1, self.notation.address_base)
            self._note(line, head[min(len(head), 2) - 1], f"expected '{START}' and one place, up to {most}")
            return
        if self.start is not None:
            self._note(line, head[0], f"there is a '{START}' already; expected it once")
        self.start = place
        check = self._check(line, tail, place, [])
        if check is not None and check.is_wrong:
            message = f"the sum of the start is {check.given}, and {head[1].text} needs {check.right}"
            self.faults.append(self.text.problem(line, check.column, message))

    def _take_row(self, line: int, head: list[_Token], tail: list[_Token]) -> None:
        address = self._number(head[0].text.removesuffix(":"))
        most = self._card.store_words - 1
        if address is None or address > most:
            base, last = BASES[self.notation.base], self.notation.address(most)
            self._note(line, head[0], f"'{head[0].text}' is no address; expected {base} digits, up to {last}")
            return
        if len(head) == 1:
            self._note(line, head[0], "expected words after the address")
            return
        cells = tuple(
            Cell(_shown(token.text), self._word(token.text), line, token.column) for token in head[1:]
        )
        if address + len(cells) > most + 1:
            token = head[1 + most + 1 - address]
            self._note(line, token, f"runs over the end of the store, {self.notation.address(most)}")
            return
        words = [cell.word for cell in cells]
        self.rows.append(Row(line, address, cells, self._check(line, tail, address, words)))

    def _word(self, text: str) -> int | None:
        """The word that some digits are; None if they are none."""
        number = self._number(text)
        return number if number is not None and number >> self._card.word_bits == 0 else None

    def _number(self, text: str) -> int | None:
        """The number that a text is in the machine's base, without a sign; None if it is none."""
        known = digits_in(self.notation.base)
        digits = text.upper().lstrip("0")
        is_number = len(digits) <= LONGEST_WORD and all(sign in known for sign in digits)
        return int(digits or "0", self.notation.base) if is_number else None
