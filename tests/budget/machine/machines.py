"""Machines and programs made at random, for the tests that hold one simulator against another."""

from random import Random

from hypothesis import strategies as st

from budget.card import parse_machine
from budget.machine.orders import ORDER_NAMED, ORDERS, Operand
from tests.budget.machine.slow import SlowMachine

CARD = """\
kind = "machine"
from = "made at random"
word-bits = {word_bits}
store-words = {store_words}
fixed-words = {fixed}

[characters]
code = "ita2"

[instructions]
layout = "{shape}"
addresses = "{addresses}"
links = {links}

[time]
cycle = "1 us"
cycles = {cycles}

[time.orders]
jump = 5
look = 7
"""
TURNING = """
[time.turning]
words = {turn}
spacing = {spacing}
"""
SHAPES = (
    # word_bits, store_words, shape, addresses
    (4, 16, "words", "full"),
    (4, 96, "words", "full"),
    (4, 128, "words", "full"),
    (5, 32, "words", "full"),
    (8, 100, "words", "full"),
    (8, 256, "words", "full"),
    (8, 700, "words", "full"),
    (9, 1024, "words", "full"),
    (10, 128, "one-word", "page"),
    (12, 300, "one-word", "page"),
    (13, 128, "one-word", "full"),
    (16, 64, "one-word", "full"),
    (18, 512, "one-word", "full"),
    (32, 50, "one-word", "full"),
    (24, 16, "two-a-word", "full"),
    (39, 120, "two-a-word", "full"),
    (39, 128, "two-a-word", "full"),
    (40, 33, "one-word", "full"),
)


@st.composite
def cards(draw):
    """A cost card of any layout, small enough for programs to meet themselves."""
    word_bits, store_words, shape, addresses = draw(st.sampled_from(SHAPES))
    fixed = draw(st.sampled_from([0, 0, store_words // 2]))
    turn = draw(st.sampled_from([0, 0, 8, 15]))
    figures = {
        "word_bits": word_bits,
        "store_words": store_words,
        "fixed": fixed,
        "shape": shape,
        "addresses": addresses,
        "links": draw(st.integers(1, 3)),
        "cycles": draw(st.integers(0, 3)),
    }
    text = CARD.format(**figures) + (
        TURNING.format(turn=turn, spacing=draw(st.sampled_from([1, 7]))) if turn else ""
    )
    return parse_machine(text, "random.toml")


PHRASES = (
    ("by", "high", "by", "load"),
    ("by", "high", "by", "jump"),
    ("load", "subtract", "carry"),
    ("look", "ifzero"),
    ("by", "store", "ifminus"),
    ("by", "right", "ifnonzero"),
)
"""Orders that mean more together than apart."""


def random_store(card, seed):
    """A store full of instructions that mostly make sense, and some words that make none.

    It begins by reading a few words, which the instructions use more than others: machines that read different things
    soon have different addresses, amounts and places to work with.
    """
    random = Random(seed)
    layout = card.program.layout
    store = [random.getrandbits(card.word_bits) for _ in range(card.store_words)]
    near = random.choice([6, 20, card.store_words])
    own = [random.randrange(min(card.first_fixed, layout.page_words or 1 << 20)) for _ in range(3)]
    prelude = [(name, word) for word in own for name in ("input", "store")]
    fill(random, card, store, first_place(card), near, own, [])
    fill(random, card, store, start_of(card, seed), near, own, prelude)
    return store


def fill(random, card, store, place, near, own, pending):
    """Write instructions from a place to the end: first those that are pending."""
    layout = card.program.layout
    pending = list(pending)
    while place < layout.places:
        address, half = divmod(place, layout.places_a_word)
        is_free = not pending
        if is_free and random.random() < 0.3:
            pending = [(name, None) for name in random.choice(PHRASES)]
        name, operand = pending.pop(0) if pending else (None, None)
        part = random_instruction(random, card, address, near, own, name, operand)
        if layout.shape == "words":
            store[address : address + len(part)] = part[: card.store_words - address]
            place += len(part)
        else:
            mask = (1 << layout.part_bits) - 1 << half * layout.part_bits
            store[address] = store[address] & ~mask | part[0] << half * layout.part_bits
            place += 1
        if is_free and random.random() < 0.03:
            place += 1


def first_place(card):
    """Where programs can begin."""
    return card.first_fixed * card.program.layout.places_a_word if card.fixed_words else 0


def start_of(card, seed):
    """Where a random program begins: not always at the beginning, so that pages matter."""
    first, places = first_place(card), card.program.layout.places
    return first if seed % 2 else first + (places - first) // 3


def random_instruction(random, card, address, near, own, name, operand):
    layout = card.program.layout
    order = ORDER_NAMED[name] if name else random.choice(ORDERS[2:] if random.random() < 0.95 else ORDERS)
    if operand is None:
        operand = random_operand(random, card, address, near, own, order)
    forms = layout.forms(order, operand, address) or (0,)
    return layout.encode(order, operand, address, random.choice(forms))


def random_operand(random, card, address, near, own, order):
    layout = card.program.layout
    if order.operand is Operand.WORD and random.random() < 0.6:
        return random.choice(own)
    if order.operand in (Operand.WORD, Operand.PLACE):
        most = layout.store_words * (layout.places_a_word if order.operand is Operand.PLACE else 1)
        return (address * layout.places_a_word + random.randint(-near, near)) % most
    if order.operand is Operand.NUMBER:
        least, most = layout.number_range
        return random.randint(max(least, -9), min(most, 9))
    return random.randint(0, 3) if order.operand is Operand.AMOUNT else 0


def random_codes(card, seed, count):
    """What so many machines read: small numbers of either sign, and some of any size."""
    random = Random(seed)
    size = 1 << card.word_bits
    return [
        [
            random.randrange(size) if random.random() < 0.2 else random.randint(-4, 9) % size
            for _ in range(random.choice([0, 2, 4, 6, 9]))
        ]
        for _ in range(count)
    ]


def slow_twin(card, store, start, angle):
    """The slow machine of a card."""
    program, characters = card.program, card.characters
    turning = program.pace.turning
    return SlowMachine(
        card.word_bits,
        card.store_words,
        program.layout.shape,
        program.layout.is_paged,
        program.links,
        card.fixed_words,
        program.pace.cycles,
        turning.words if turning else 0,
        turning.spacing if turning else 0,
        characters.bits if characters.words_each == 1 else card.word_bits,
        store,
        start,
        angle,
    )
