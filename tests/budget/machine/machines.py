"""Machines and programs made at random, for the tests that hold one simulator against another."""

from random import Random

from hypothesis import strategies as st

from budget.card import parse_machine
from budget.machine.orders import ORDERS, Operand
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


def random_store(card, seed):
    """A store full of instructions that mostly make sense, and some words that make none."""
    random = Random(seed)
    layout = card.program.layout
    store = [random.getrandbits(card.word_bits) for _ in range(card.store_words)]
    near = random.choice([6, 20, card.store_words])
    address = 0
    while address < card.store_words:
        parts = [random_instruction(random, card, address, near) for _ in range(layout.places_a_word)]
        if layout.shape == "words":
            for number, word in enumerate(parts[0]):
                if address + number < card.store_words:
                    store[address + number] = word
            address += len(parts[0])
        else:
            store[address] = sum(part[0] << number * layout.part_bits for number, part in enumerate(parts))
            address += 1
        if random.random() < 0.1:
            address += 1
    return store


def random_instruction(random, card, address, near):
    layout = card.program.layout
    order = random.choice(ORDERS[2:] if random.random() < 0.95 else ORDERS)
    operand = 0
    if order.operand in (Operand.WORD, Operand.PLACE):
        most = layout.store_words * (layout.places_a_word if order.operand is Operand.PLACE else 1)
        operand = (address * layout.places_a_word + random.randint(-near, near)) % most
    elif order.operand is Operand.NUMBER:
        least, most = layout.number_range
        operand = random.randint(max(least, -9), min(most, 9))
    elif order.operand is Operand.AMOUNT:
        operand = random.randint(0, 3)
    forms = layout.forms(order, operand, address) or (0,)
    return layout.encode(order, operand, address, random.choice(forms))


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
