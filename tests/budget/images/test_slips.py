"""Slips made on purpose, hundreds of every kind, are each named rightly."""

from itertools import combinations, pairwise
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from budget.card import load_machine
from budget.images import slips as kinds
from budget.images.formats import format_of
from budget.images.image import Cell, Image, Notation, cut
from budget.images.in_a_row import GAP, _aligned, _cost
from budget.images.load import Read
from budget.images.octets import words_a_record
from budget.images.pairing import rising
from budget.images.proofread import proofread
from budget.images.slips import KINDS, Slip
from tests.budget.images.made import CARDS, FORMATS, RECORDS, images, write
from tests.budget.images.typing_rows import IN_A_ROW, Sheet

WIDE = [card for card in CARDS if card.word_bits >= 8 and card.store_words >= 50]
OCTAL = Notation(8, 2, 8, 2)
TIMES = 40
"""Sheets on which each slip is made, on every machine in turn."""


def sheet_of(seed, least=4):
    """A sheet of an image without two equal words; every row follows the one before, with a gap here and there."""
    random = Random(seed)
    card = WIDE[seed % len(WIDE)]
    count = random.randint(least * 4, min(40, card.store_words // 2, (1 << card.word_bits) - 1))
    gap = random.randrange(3)
    addresses = [at + (gap if at > count // 2 else 0) for at in range(count)]
    words = random.sample(range(1 << min(card.word_bits, 30)), count)
    most = random.randint(1, 4)
    image = Image(
        dict(zip(addresses, words, strict=True)), random.randrange(count), tuple(cut(addresses, most))
    )
    return Sheet(image, card, random)


def dumped(raw, card):
    found = format_of(raw, "typed.txt")
    return Read(found, found.read(raw, card, "typed.txt"))


def proofed(sheet):
    sheet.rows = [row for row in sheet.rows if row is not None]
    return proofread(sheet.image, dumped(sheet.text().encode(), sheet.card), sheet.card)


def assert_named(slip, expected, address):
    kind, word, remark = expected
    assert (slip.kind, slip.address) == (kind, address)
    assert word in (None, slip.word)
    assert remark in slip.remark


@pytest.mark.parametrize("spoil", IN_A_ROW)
def test_one_slip_in_a_row(spoil):
    made = 0
    for seed in range(TIMES):
        sheet = sheet_of(seed)
        place = sheet.random.randrange(len(sheet.rows))
        address = sheet.address(place)
        expected = spoil(sheet, place)
        if expected:
            found = proofed(sheet)
            assert len(found.slips) == 1, (seed, found.slips)
            assert_named(found.slips[0], expected, address)
            made += 1
    assert made > TIMES // 4


@pytest.mark.parametrize("seed", range(TIMES))
def test_several_slips_beside_each_other(seed):
    sheet = sheet_of(seed, least=6)
    places = sheet.random.sample(range(0, len(sheet.rows), 2), min(3, (len(sheet.rows) + 1) // 2))
    expected = {}
    for place in sorted(places, reverse=True):
        told = sheet.random.choice(IN_A_ROW)(sheet, place)
        if told:
            expected[sheet.address(place)] = told
    found = proofed(sheet)
    assert len(found.slips) == len(expected), (expected, found.slips)
    for slip in found.slips:
        assert_named(slip, expected[slip.address], slip.address)


@pytest.mark.parametrize("seed", range(TIMES))
def test_a_row_doubled(seed):
    sheet = sheet_of(seed)
    place, at = (sheet.random.randrange(len(sheet.rows)) for _ in range(2))
    sheet.rows.insert(at, sheet.rows[place])
    found = proofed(sheet)
    assert [(slip.kind, slip.address) for slip in found.slips] == [(kinds.ROW_DOUBLED, sheet.address(place))]
    assert found.right == found.due


@pytest.mark.parametrize("seed", range(TIMES))
def test_a_row_doubled_and_wrong(seed):
    sheet = sheet_of(seed)
    place = sheet.random.randrange(len(sheet.rows))
    row = sheet.rows[place]
    words = sheet.random.sample(row.words, len(row.words) - 1)
    digit = sheet.other_digit(row.words[0][0])
    sheet.rows.insert(place + 1, row._replace(words=(digit + row.words[0][1:], *words)))
    (slip,) = proofed(sheet).slips
    assert (slip.kind, slip.address, slip.remark) == (
        kinds.ROW_DOUBLED,
        sheet.address(place),
        "and not alike",
    )


@pytest.mark.parametrize("seed", range(TIMES))
def test_two_rows_that_have_changed_places(seed):
    sheet = sheet_of(seed)
    one, two = sorted(sheet.random.sample(range(len(sheet.rows)), 2))
    sheet.rows[one], sheet.rows[two] = sheet.rows[two], sheet.rows[one]
    (slip,) = proofed(sheet).slips
    assert slip == Slip(kinds.ROWS_CHANGED, one + 1, sheet.address(one), other=sheet.address(two))


@pytest.mark.parametrize("seed", range(TIMES))
def test_a_row_that_stands_elsewhere(seed):
    sheet = sheet_of(seed)
    one, two = sheet.random.sample(range(len(sheet.rows)), 2)
    if abs(one - two) > 1:
        address = sheet.address(one)
        sheet.rows.insert(two, sheet.rows.pop(one))
        assert proofed(sheet).slips == (Slip(kinds.ROW_MOVED, two + 1, address),)


@pytest.mark.parametrize("seed", range(TIMES))
def test_two_rows_with_each_others_words(seed):
    sheet = sheet_of(seed)
    one, two = sorted(sheet.random.sample(range(len(sheet.rows)), 2))
    rows = sheet.rows
    rows[one], rows[two] = (
        rows[one]._replace(words=rows[two].words),
        rows[two]._replace(words=rows[one].words),
    )
    (slip,) = proofed(sheet).slips
    assert slip == Slip(kinds.ROWS_MIXED, one + 1, sheet.address(one), other=sheet.address(two))


@pytest.mark.parametrize("seed", range(TIMES))
@pytest.mark.parametrize("step", [1, -1])
def test_words_that_have_slid_by_one(seed, step):
    sheet = sheet_of(seed)
    words, rows = sheet.image.words, sheet.image.rows
    fit = [place for place, row in enumerate(rows) if all(at + step in words for at in row)]
    first = sheet.random.choice(fit)
    last = first
    while last + 1 in fit and sheet.random.random() < 0.6:
        last += 1
    if sum(map(len, rows[first : last + 1])) < 2:
        return
    for place in range(first, last + 1):
        shifted = sheet.typed(0, [words[at + step] for at in rows[place]])
        sheet.rows[place] = sheet.rows[place]._replace(words=shifted.words)
    (slip,) = proofed(sheet).slips
    other = rows[last].start if last > first else None
    assert (slip.kind, slip.line, slip.address, slip.other) == (
        kinds.SHIFTED,
        first + 1,
        rows[first].start,
        other,
    )
    assert ("further on" in slip.remark) == (step == 1)


@pytest.mark.parametrize("seed", range(TIMES))
def test_a_row_that_nobody_asked_for(seed):
    sheet = sheet_of(seed)
    address = sheet.card.store_words - 1
    place = sheet.random.randrange(len(sheet.rows))
    sheet.rows.insert(place, sheet.typed(address, [0]))
    (slip,) = proofed(sheet).slips
    assert (slip.kind, slip.line, slip.address) == (kinds.ROW_STRANGE, place + 1, address)


def test_a_wrong_start():
    for seed in range(TIMES):
        sheet = sheet_of(seed)
        assert proofed(sheet).slips == ()
        sheet.start = "1" if sheet.start == "0" else "0"
        assert [slip.kind for slip in proofed(sheet).slips] == [kinds.START]


@pytest.mark.parametrize("name", RECORDS)
@pytest.mark.parametrize("seed", range(TIMES))
def test_records_with_a_slip(name, seed):
    """Lines left out, doubled or exchanged, and a digit of a word: S-records also count themselves."""
    sheet = sheet_of(seed)
    random, image, card = sheet.random, sheet.image, sheet.card
    lines = write(name, image, card).decode().splitlines()
    rows = list(cut(image.words, words_a_record(card)))
    first = 1 if name == "s-records" else 0
    place = random.randrange(len(rows))
    address, line = rows[place].start, first + place
    what = random.choice(["left out", "doubled", "digit", "check"])
    if what == "left out":
        del lines[line]
        expected = {(kinds.ROW_MISSING, address)}
    elif what == "doubled":
        lines.insert(line, lines[line])
        expected = {(kinds.ROW_DOUBLED, address)}
    else:
        head = 9 if name == "intel-hex" else 8
        at = len(lines[line]) - 1 if what == "check" else random.randrange(head, len(lines[line]) - 2)
        digit = random.choice([each for each in "0123456789ABCDEF" if each != lines[line][at]])
        lines[line] = lines[line][:at] + digit + lines[line][at + 1 :]
        expected = {(kinds.CHECK_BYTE if what == "check" else kinds.WORD, address)}
    if name == "s-records" and what in ("left out", "doubled"):
        expected.add((kinds.FILE, 0))
    found = proofread(image, dumped("\n".join(lines).encode(), card), card)
    assert {(slip.kind, slip.address) for slip in found.slips} == expected
    assert len(found.slips) == len(expected)


@pytest.mark.parametrize("seed", range(TIMES))
def test_a_machine_that_prints_its_whole_store(seed):
    """Words beside the image hold anything, and rows are cut anyhow: only a word of the image can be wrong."""
    sheet = sheet_of(seed)
    random, image, card = sheet.random, sheet.image, sheet.card
    store = [random.getrandbits(card.word_bits) for _ in range(card.store_words)]
    for address, word in image.words.items():
        store[address] = word
    is_wrong = random.random() < 0.5
    wrong = random.choice(list(image.words))
    store[wrong] ^= is_wrong
    length = random.choice([5, 8, 13])
    sheet.rows = [sheet.typed(at, store[at : at + length]) for at in range(0, card.store_words, length)]
    found = proofed(sheet)
    assert [slip.kind for slip in found.slips] == [kinds.WORD] * is_wrong
    assert found.right == found.due - is_wrong
    assert found.beside == card.store_words - found.due
    if is_wrong:
        (slip,) = found.slips
        assert slip.address <= wrong < slip.address + length


@given(st.sampled_from(WIDE), st.data())
def test_whatever_stands_there_nothing_wrong_is_overlooked(card, data):
    """Few different words, rows thrown about: no slips only where every row stands once, in order, with its words."""
    image = data.draw(images(card))
    sheet = Sheet(image, card, Random(0))
    right = list(sheet.rows)
    for _ in range(data.draw(st.integers(0, 3))):
        if sheet.rows:
            place = data.draw(st.integers(0, len(sheet.rows) - 1))
            row = sheet.rows.pop(place)
            words = data.draw(st.permutations(row.words))
            sheet.rows[data.draw(st.integers(0, len(sheet.rows))) : 0] = [
                row._replace(words=tuple(words))
            ] * data.draw(st.integers(0, 2))
    if not sheet.rows or not image.words:
        return
    text = sheet.text()
    found = proofread(image, dumped(text.encode(), card), card)
    assert (not found.slips) == (sheet.rows == right)
    assert {slip.kind for slip in found.slips} <= set(KINDS)
    held = {}
    for line in text.splitlines()[:-1]:
        address, *words = line.partition("=")[0].split()
        held.update({int(address, sheet.base) + at: int(word, sheet.base) for at, word in enumerate(words)})
    assert found.loaded == held
    assert found.right == sum(held.get(at) == word for at, word in image.words.items())


@pytest.mark.parametrize("name", FORMATS)
@given(st.sampled_from(CARDS), st.data())
def test_no_slips_in_what_was_written(name, card, data):
    image = data.draw(images(card))
    if image.words:
        found = proofread(image, dumped(write(name, image, card), card), card)
        assert (found.slips, found.right, found.loaded) == ((), len(image.words), image.words)


@given(st.lists(st.integers(0, 9), max_size=9))
def test_a_longest_part_that_rises(numbers):
    places = rising(numbers)
    chosen = [numbers[place] for place in places]
    assert places == sorted(set(places))
    assert all(one < two for one, two in pairwise(chosen))
    longer = combinations(numbers, len(places) + 1)
    assert not any(all(one < two for one, two in pairwise(part)) for part in longer)


@pytest.mark.parametrize("length", [9, 300, 4096])
def test_the_whole_store_in_one_row(length):
    """Rows of any length: a word that is wrong, left out or too many is found at once."""
    card = WIDE[-2]
    words = Random(length).sample(range(1 << 30), min(length, card.store_words))
    image = Image(dict(enumerate(words)), 0, (range(len(words)),))
    for spoil, kind in (
        (lambda typed: [*typed[:5], typed[5] ^ 8, *typed[6:]], kinds.WORD),
        (lambda typed: typed[:5] + typed[6:], kinds.WORD_MISSING),
        (lambda typed: [typed[5], *typed[1:5], typed[0], *typed[6:]], kinds.WORDS_CHANGED),
    ):
        sheet = Sheet(image, card, Random(0))
        sheet.rows = [sheet.typed(0, spoil(words))]
        assert [slip.kind for slip in proofed(sheet).slips] == [kind]


def test_rows_that_have_nothing_in_common():
    card = load_machine("twelve-bit")
    image = Image({at: at for at in range(4096)}, 0, (range(4096),))
    sheet = Sheet(image, card, Random(0))
    sheet.rows = [sheet.typed(0, [4095 - at ^ 0o1111 for at in range(4096)])]
    found = proofed(sheet)
    assert {slip.kind for slip in found.slips} <= {kinds.WORD, kinds.WORDS_CHANGED}
    assert found.right == sum(at == 4095 - at ^ 0o1111 for at in range(4096))


def test_words_of_any_length():
    card = load_machine("twelve-bit")
    image = Image({0: 0o17, 1: 0o4017}, 0, (range(2),))
    for typed, told in (("0" * 900 + "17", []), ("1" + "0" * 900, [kinds.WORD]), ("Z" * 900, [kinds.WORD])):
        found = proofread(image, dumped(f"0 {typed} 4017".encode(), card), card)
        assert [slip.kind for slip in found.slips] == told
        assert all(len(slip.stands) <= 50 for slip in found.slips)


def least_cost(words, cells):
    """The cost of the cheapest account, found by trying every one."""
    if not words or not cells:
        return GAP * (len(words) + len(cells))
    pair = _cost(words[0], cells[0], OCTAL) + least_cost(words[1:], cells[1:])
    return min(pair, GAP + least_cost(words[1:], cells), GAP + least_cost(words, cells[1:]))


@given(st.lists(st.integers(0, 11), max_size=5), st.lists(st.integers(0, 11), max_size=5))
def test_no_account_of_a_row_is_cheaper(words, typed):
    cells = [Cell(OCTAL.word(word), word, 1, 1) for word in typed]
    cost = 0
    places, stand = [], []
    for place, at in _aligned(words, cells, OCTAL):
        cost += GAP if place is None or at is None else _cost(words[place], cells[at], OCTAL)
        places.extend([] if place is None else [place])
        stand.extend([] if at is None else [at])
    assert (places, stand) == (list(range(len(words))), list(range(len(typed))))
    assert cost == least_cost(words, cells)
