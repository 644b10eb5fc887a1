"""Slips within a row whose address is settled: its words against those that should stand there.

Words that have changed places are found first.  What is left is aligned so that the fewest slips explain it: a word
that is wrong, one left out, one too many.
"""

from collections.abc import Iterator, Sequence
from itertools import combinations

from budget.images.digits import mistake, remark
from budget.images.image import Cell, Notation, Row
from budget.images.slips import WORD, WORD_EXTRA, WORD_MISSING, WORDS_CHANGED, Due, Slip

Pair = tuple[int | None, int | None]
"""The place of a word that is due and of the one that stands for it; None where there is none."""
NEAR, FAR, GAP = 3, 5, 4
"""What it costs to take a word for one that one slip of the hand explains, for any other, and for none."""


def slips_in_row(due: Due, row: Row, notation: Notation) -> list[Slip]:
    """What is wrong with the words of a row, in their order."""
    if row.words == due.words:
        return []
    aligned = _told(due, row, notation, _aligned(due, row.cells, notation))
    if len(due.words) != len(row.cells):
        return aligned
    in_place = _in_place(due, row, notation)
    return in_place if len(in_place) <= len(aligned) else aligned


def _in_place(due: Due, row: Row, notation: Notation) -> list[Slip]:
    """The slips if every word stands where it is or has changed places with another."""
    wrong = [place for place, word in enumerate(row.words) if word != due.words[place]]
    changed: dict[int, int] = {}
    for one, two in combinations(wrong, 2):
        is_cross = (row.words[one], row.words[two]) == (due.words[two], due.words[one])
        if is_cross and not {one, two} & {*changed, *changed.values()}:
            changed[one] = two
    slips = []
    for place in wrong:
        if place in changed:
            other = changed[place]
            should, stands = notation.word(due.words[place]), notation.word(due.words[other])
            slips.append(Slip(WORDS_CHANGED, row.line, due.address, place + 1, should, stands, other + 1))
        elif place not in changed.values():
            slips.append(_wrong(due, row, notation, place, place))
    return slips


def _wrong(due: Due, row: Row, notation: Notation, place: int, at: int) -> Slip:
    should, stands = notation.word(due.words[place]), row.cells[at].text
    what = remark(should, stands, notation.base) if row.cells[at].word != due.words[place] else ""
    return Slip(WORD, row.line, due.address, place + 1, should, stands, remark=what)


def _told(due: Due, row: Row, notation: Notation, pairs: Sequence[Pair]) -> list[Slip]:
    """The slips of an alignment."""
    return list(_each(due, row, notation, pairs))


def _each(due: Due, row: Row, notation: Notation, pairs: Sequence[Pair]) -> Iterator[Slip]:
    before = 0  # words that are due up to here
    for place, at in pairs:
        if place is None and at is not None:
            stands = row.cells[at].text
            beside = [row.cells[near].word for near in (at - 1, at + 1) if 0 <= near < len(row.cells)]
            what = "it stands there twice" if row.cells[at].word in beside else ""
            yield Slip(WORD_EXTRA, row.line, due.address, before + 1, "", stands, remark=what)
        elif place is not None and at is None:
            yield Slip(WORD_MISSING, row.line, due.address, place + 1, notation.word(due.words[place]))
        elif place is not None and at is not None and due.words[place] != row.words[at]:
            yield _wrong(due, row, notation, place, at)
        before = before if place is None else place + 1


def _aligned(due: Due, cells: Sequence[Cell], notation: Notation) -> list[Pair]:
    """The cheapest way to take the words of a row for those that are due; the earliest gap where several are."""
    words = due.words
    costs = [
        [GAP * (len(words) - place + len(cells) - at) for at in range(len(cells) + 1)]
        for place in range(len(words) + 1)
    ]
    for place in reversed(range(len(words))):
        for at in reversed(range(len(cells))):
            costs[place][at] = min(
                costs[place + 1][at + 1] + _cost(words[place], cells[at], notation),
                costs[place + 1][at] + GAP,
                costs[place][at + 1] + GAP,
            )
    pairs: list[Pair] = []
    place = at = 0
    while place < len(words) or at < len(cells):
        left = costs[place][at]
        if (
            place < len(words)
            and at < len(cells)
            and left == costs[place + 1][at + 1] + _cost(words[place], cells[at], notation)
        ):
            pairs.append((place, at))
            place, at = place + 1, at + 1
        elif place < len(words) and left == costs[place + 1][at] + GAP:
            pairs.append((place, None))
            place += 1
        else:
            pairs.append((None, at))
            at += 1
    return pairs


def _cost(word: int, cell: Cell, notation: Notation) -> int:
    """What it costs to take what stands in a row for a word."""
    if cell.word == word:
        return 0
    return NEAR if mistake(notation.word(word), cell.text).is_near else FAR
