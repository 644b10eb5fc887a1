"""Slips within a row whose address is settled: its words against those that should stand there.

Words that have changed places are found first.  What is left is aligned so that the fewest slips explain it: a word
that is wrong, one left out, one too many.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from itertools import zip_longest

from budget.images.digits import mistake, remark
from budget.images.image import Cell, Notation, Row
from budget.images.slips import WORD, WORD_EXTRA, WORD_MISSING, WORDS_CHANGED, Due, Slip

Pair = tuple[int | None, int | None]
"""The place of a word that is due and of the one that stands for it; None where there is none."""
MOST_COMPARED = 1 << 14
"""Pairs of words that are compared: rows that people type have far fewer."""
NEAR, FAR, GAP = 3, 5, 4
"""What it costs to take a word for one that one slip of the hand explains, for any other, and for none."""


def slips_in_row(due: Due, row: Row, notation: Notation) -> list[Slip]:
    """What is wrong with the words of a row, in their order."""
    if row.words == due.words:
        return []
    aligned = list(_told(due, row, notation, _aligned(due.words, row.cells, notation)))
    if len(due.words) != len(row.cells):
        return aligned
    in_place = list(_in_place(due, row, notation))
    return in_place if len(in_place) <= len(aligned) else aligned


def _in_place(due: Due, row: Row, notation: Notation) -> Iterator[Slip]:
    """The slips if every word stands where it is or has changed places with another."""
    wrong = [place for place, word in enumerate(row.words) if word != due.words[place]]
    changed = _changed(due.words, row.words, wrong)
    for place in wrong:
        other = changed.get(place)
        if other is None:
            yield _wrong(due, row, notation, place, place)
        elif place < other:
            should, stands = notation.word(due.words[place]), notation.word(due.words[other])
            yield Slip(WORDS_CHANGED, row.line, due.address, place + 1, should, stands, other + 1)


def _changed(due: Sequence[int], stands: Sequence[int | None], wrong: Sequence[int]) -> dict[int, int]:
    """Which of the wrong words have changed places: each with the other."""
    waiting: dict[tuple[int | None, int | None], list[int]] = defaultdict(list)
    changed: dict[int, int] = {}
    for place in wrong:
        others = waiting[stands[place], due[place]]
        if others:
            other = others.pop()
            changed[place], changed[other] = other, place
        else:
            waiting[due[place], stands[place]].append(place)
    return changed


def _wrong(due: Due, row: Row, notation: Notation, place: int, at: int) -> Slip:
    should, stands = notation.word(due.words[place]), row.cells[at].text
    what = remark(should, stands, notation.base)
    return Slip(WORD, row.line, due.address, place + 1, should, stands, remark=what)


def _told(due: Due, row: Row, notation: Notation, pairs: Iterable[Pair]) -> Iterator[Slip]:
    """The slips of an alignment."""
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


def _aligned(words: Sequence[int], cells: Sequence[Cell], notation: Notation) -> Iterator[Pair]:
    """The cheapest way to take the words of a row for those that are due.

    What is right at the beginning and at the end is taken as it is.  Where too much is left between them to compare
    each word with each, the words are taken in turn.
    """
    short = min(len(words), len(cells))
    begin = next((at for at in range(short) if words[at] != cells[at].word), short)
    same = (at for at in range(short - begin) if words[-1 - at] != cells[-1 - at].word)
    end = next(same, short - begin)
    yield from ((at, at) for at in range(begin))
    middle, between = words[begin : len(words) - end], cells[begin : len(cells) - end]
    if len(middle) * len(between) <= MOST_COMPARED:
        pairs: Iterable[Pair] = _cheapest(middle, between, notation)
    else:
        pairs = zip_longest(range(len(middle)), range(len(between)))
    for place, at in pairs:
        yield None if place is None else place + begin, None if at is None else at + begin
    yield from ((len(words) - at, len(cells) - at) for at in range(end, 0, -1))


def _cheapest(words: Sequence[int], cells: Sequence[Cell], notation: Notation) -> Iterator[Pair]:
    """The same by comparing each with each; the earliest gap where several cost the same."""
    taken = [[_cost(word, cell, notation) for cell in cells] for word in words]
    left = [
        [GAP * (len(words) - place + len(cells) - at) for at in range(len(cells) + 1)]
        for place in range(len(words) + 1)
    ]  # what everything from a word and a cell on costs
    for place in reversed(range(len(words))):
        for at in reversed(range(len(cells))):
            one_gap = min(left[place + 1][at], left[place][at + 1]) + GAP
            left[place][at] = min(left[place + 1][at + 1] + taken[place][at], one_gap)
    place = at = 0
    while place < len(words) and at < len(cells):
        if left[place][at] == left[place + 1][at + 1] + taken[place][at]:
            yield place, at
            place, at = place + 1, at + 1
        elif left[place][at] == left[place + 1][at] + GAP:
            yield place, None
            place += 1
        else:
            yield None, at
            at += 1
    yield from ((rest, None) for rest in range(place, len(words)))
    yield from ((None, rest) for rest in range(at, len(cells)))


def _cost(word: int, cell: Cell, notation: Notation) -> int:
    """What it costs to take what stands in a row for a word."""
    if cell.word == word:
        return 0
    return NEAR if mistake(notation.word(word), cell.text).is_near else FAR
