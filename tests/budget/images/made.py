"""Images made at random, and their files as Wordtight writes and reads them."""

from hypothesis import strategies as st

from budget.card import parse_machine
from budget.images.formats import formats
from budget.images.image import Image, cut, image_in
from tests.budget.machine.machines import CARD, SHAPES, cards

FORMATS = formats()
RECORDS = ("intel-hex", "s-records")


def card_of(shape):
    """A card of one of the layouts of the simulator's tests."""
    names = ("word_bits", "store_words", "shape", "addresses")
    figures = dict(zip(names, shape, strict=True))
    return parse_machine(CARD.format(**figures, fixed=0, links=1, cycles=1), "random.toml")


CARDS = [card_of(shape) for shape in SHAPES]


@st.composite
def images(draw, card):
    """An image of a card: words here and there, and somewhere to begin."""
    runs = draw(st.lists(st.tuples(st.integers(0, card.store_words - 1), st.integers(1, 40)), max_size=4))
    addresses = {at for begin, length in runs for at in range(begin, min(begin + length, card.store_words))}
    words = {at: draw(st.integers(0, (1 << card.word_bits) - 1)) for at in sorted(addresses)}
    start = draw(st.integers(0, card.program.layout.places - 1))
    return Image(words, start, tuple(cut(words, draw(st.integers(1, 9)))), "random")


@st.composite
def cards_with_images(draw):
    card = draw(cards())
    return card, draw(images(card))


def write(name, image, card):
    return FORMATS[name].write(image, card)


def read(name, raw, card):
    """What a file holds, taken strictly."""
    return image_in(FORMATS[name].read(raw, card, "file"), card)


def held(image):
    """What counts of an image: its words and its start."""
    return image.words, image.start
