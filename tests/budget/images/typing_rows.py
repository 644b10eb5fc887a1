"""A person who types rows and makes slips on purpose: each function spoils the rows and says what has to be found."""

from typing import NamedTuple

from budget.images import slips as kinds
from budget.machine.listing import in_base, row_sum


class Typed(NamedTuple):
    """A row as it is typed: address, words and sum, all as text."""

    address: str
    words: tuple[str, ...]
    sum: str


class Sheet:
    """The rows of an image, to be spoilt, on a machine."""

    def __init__(self, image, card, random):
        self.image = image
        self.card = card
        self.random = random
        self.base = card.program.base
        self.digits = len(in_base((1 << card.word_bits) - 1, self.base))
        self.rows = [self.typed(row.start, [image.words[at] for at in row]) for row in image.rows]
        self.start = in_base(image.start, self.base)

    def typed(self, address, words):
        shown = tuple(in_base(word, self.base, self.digits) for word in words)
        return Typed(in_base(address, self.base), shown, str(row_sum(address, words)))

    def text(self):
        lines = [f"{row.address} {' '.join(row.words)} = {row.sum}" for row in self.rows]
        return "\n".join([*lines, f"START {self.start}", ""])

    def address(self, place):
        return self.image.rows[place].start

    def other_digit(self, digit):
        return self.random.choice([each for each in "0123456789ABCDEF"[: self.base] if each != digit])

    def respell(self, place, word, text):
        row = self.rows[place]
        self.rows[place] = row._replace(words=(*row.words[:word], text, *row.words[word + 1 :]))


def wrong_digit(sheet, place):
    word = sheet.random.randrange(len(sheet.rows[place].words))
    text = sheet.rows[place].words[word]
    at = sheet.random.randrange(len(text))
    sheet.respell(place, word, text[:at] + sheet.other_digit(text[at]) + text[at + 1 :])
    return kinds.WORD, word + 1, f"digit {at + 1} is "


def letter_for_figure(sheet, place):
    word = sheet.random.randrange(len(sheet.rows[place].words))
    text = sheet.rows[place].words[word]
    at = sheet.random.randrange(len(text))
    sheet.respell(place, word, text[:at] + "o" + text[at + 1 :])
    return kinds.WORD, word + 1, "is 'O', which is no "


def digits_swapped(sheet, place):
    word = sheet.random.randrange(len(sheet.rows[place].words))
    text = sheet.rows[place].words[word]
    pairs = [at for at in range(len(text) - 1) if text[at] != text[at + 1]]
    if not pairs:
        return None
    at = sheet.random.choice(pairs)
    sheet.respell(place, word, text[:at] + text[at + 1] + text[at] + text[at + 2 :])
    return kinds.WORD, word + 1, "two digits have changed places"


def digit_left_out(sheet, place):
    word = sheet.random.randrange(len(sheet.rows[place].words))
    text = sheet.rows[place].words[word]
    at = sheet.random.randrange(len(text))
    short = text[:at] + text[at + 1 :]
    if short.lstrip("0") == text.lstrip("0") or not short:
        return None
    sheet.respell(place, word, short)
    return kinds.WORD, word + 1, "is left out"


def digit_too_many(sheet, place):
    word = sheet.random.randrange(len(sheet.rows[place].words))
    text = sheet.rows[place].words[word]
    at = sheet.random.randrange(len(text))
    long = text[:at] + text[at] + text[at:]
    if long.lstrip("0") == text.lstrip("0"):
        return None
    sheet.respell(place, word, long)
    return kinds.WORD, word + 1, "is one too many"


def words_swapped(sheet, place):
    words = list(sheet.rows[place].words)
    if len(words) < 2:
        return None
    one, two = sorted(sheet.random.sample(range(len(words)), 2))
    words[one], words[two] = words[two], words[one]
    sheet.rows[place] = sheet.rows[place]._replace(words=tuple(words))
    return kinds.WORDS_CHANGED, one + 1, ""


def word_left_out(sheet, place):
    words = sheet.rows[place].words
    if len(words) < 2:
        return None
    at = sheet.random.randrange(len(words))
    sheet.rows[place] = sheet.rows[place]._replace(words=words[:at] + words[at + 1 :])
    return kinds.WORD_MISSING, at + 1, ""


def word_doubled(sheet, place):
    words = sheet.rows[place].words
    at = sheet.random.randrange(len(words))
    if sheet.address(place) + len(words) + 1 > sheet.card.store_words:
        return None
    sheet.rows[place] = sheet.rows[place]._replace(words=words[: at + 1] + words[at:])
    return kinds.WORD_EXTRA, None, "it stands there twice"


def wrong_sum(sheet, place):
    row = sheet.rows[place]
    at = sheet.random.randrange(len(row.sum))
    digit = sheet.random.choice([each for each in "0123456789"[at == 0 :] if each != row.sum[at]])
    sheet.rows[place] = row._replace(sum=row.sum[:at] + digit + row.sum[at + 1 :])
    return kinds.SUM, 0, f"digit {at + 1} is "


def wrong_address(sheet, place):
    row = sheet.rows[place]
    at = sheet.random.randrange(len(row.address))
    address = row.address[:at] + sheet.other_digit(row.address[at]) + row.address[at + 1 :]
    if int(address, sheet.base) + len(row.words) > sheet.card.store_words:
        return None
    sheet.rows[place] = row._replace(address=address)
    return kinds.ADDRESS, 0, "digit "


def row_left_out(sheet, place):
    sheet.rows[place] = None
    return kinds.ROW_MISSING, 0, ""


IN_A_ROW = (
    *(wrong_digit, letter_for_figure, digits_swapped, digit_left_out, digit_too_many, words_swapped),
    *(word_left_out, word_doubled, wrong_sum, wrong_address, row_left_out),
)
"""Slips that touch one row and can stand beside others."""
