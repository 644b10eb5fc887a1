"""The faults that a store can have, one after another, and what each changes."""

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from budget.drilling.lines import START
from budget.drilling.sound import Sound
from budget.images.image import image_of
from budget.machine.program import Program

BIT, IN_PLAY, BOARD = (
    "a bit before the start",
    "a bit of the program in play",
    "a bit of the workspace in play",
)
EXCHANGED, STUCK, BLOCK = "neighbouring words exchanged", "a digit stuck in all words", "a block lost"
ROW, DOUBLED = "a row of the tape lost", "a row of the tape doubled"
KINDS = (BIT, IN_PLAY, BOARD, EXCHANGED, STUCK, BLOCK, ROW, DOUBLED)
BLOCK_WORDS = 16
"""A block is so many words that follow one another, the first at a multiple of it."""


class Fault(NamedTuple):
    """One fault: the bits that are wrong in words of the store, from a wait on, or from before the start.

    wait: at which it comes, START for before the start; wrong: for each address the bits that are turned round; where:
    what is told of it, as the first address and what goes with it.
    """

    kind: str
    wait: int
    wrong: Mapping[int, int]
    where: tuple[int, int]


Wrong = tuple[tuple[int, int], ...]
"""Addresses, and the bits that are wrong there."""


def wrong_of(fault: Fault) -> Wrong:
    """What is wrong in a store, apart from when it came."""
    return tuple(sorted(fault.wrong.items()))


def faults_of(sound: Sound) -> Iterator[Fault]:
    """Every fault that is drilled."""
    program = sound.program
    for kind, wait in ((BIT, START), (IN_PLAY, 0)):
        for address in program.image:
            for bit in range(program.card.word_bits):
                yield Fault(kind, wait, {address: 1 << bit}, (address, bit))
    yield from _workspace(sound)
    for kind, where, words in _others(program):
        wrong = {address: word ^ program.image[address] for address, word in words.items()}
        wrong = {address: bits for address, bits in wrong.items() if bits}
        if wrong:
            yield Fault(kind, START, wrong, where)


def _workspace(sound: Sound) -> Iterator[Fault]:
    """Bits of the workspace, the first time that each position comes up."""
    known = set()
    for wait, state in enumerate(sound.lines.waits):
        if state in known:
            continue
        known.add(state)
        for address in sound.interest[~sound.image].tolist():
            for bit in range(sound.program.card.word_bits):
                yield Fault(BOARD, wait, {address: 1 << bit}, (address, bit))


def _others(program: Program) -> Iterator[tuple[str, tuple[int, int], dict[int, int]]]:
    """Faults of several words, by what then stands in them."""
    image = program.image
    for address in sorted(image):
        if address + 1 in image:
            yield EXCHANGED, (address, 0), {address: image[address + 1], address + 1: image[address]}
    for bit in range(program.card.word_bits):
        for held in (0, 1):
            words = {address: word & ~(1 << bit) | held << bit for address, word in image.items()}
            yield STUCK, (bit, held), words
    for first in sorted({address // BLOCK_WORDS * BLOCK_WORDS for address in image}):
        yield (
            BLOCK,
            (first, 0),
            {address: 0 for address in range(first, first + BLOCK_WORDS) if address in image},
        )
    for row in image_of(program).rows:
        yield ROW, (row[0], 0), dict.fromkeys(row, 0)
        later = {address + len(row): word for address, word in image.items() if address >= row[0]}
        yield DOUBLED, (row[0], 0), {address: word for address, word in later.items() if address in image}
