"""What a drill of faults comes to: how many of each kind end how, which words are worst, and a map of the store."""

from collections.abc import Iterator, Sequence

from budget.drilling.drill import Outcome
from budget.drilling.faults import BIT, KINDS, Fault
from budget.drilling.judging import CAUGHT, CLASSES
from budget.faulty import DIFFERS, LOSES, SAME, STOPS, STRAYS
from budget.images.store_map import GROUP, LINE, UNUSED
from budget.machine.listing import address_digits, in_base
from budget.machine.program import Program

LETTERS = {LOSES: "L", STOPS: "S", STRAYS: "W", DIFFERS: "d", CAUGHT: "c", SAME: "-"}
"""What a word shows on the map: the worst that any one of its bits brings about."""
LEGEND = "L loses a game  S stops  W prints wrong  d differs  c caught  - harmless"


def counts(faults: Sequence[Fault], outcomes: Sequence[Outcome]) -> dict[str, dict[str, int]]:
    """How many faults of each kind come to what; kinds of which there are none are left out."""
    found = {kind: dict.fromkeys(CLASSES, 0) for kind in KINDS}
    for fault, outcome in zip(faults, outcomes, strict=True):
        found[fault.kind][outcome.found] += 1
    return {kind: each for kind, each in found.items() if any(each.values())}


def worst_words(
    faults: Sequence[Fault], outcomes: Sequence[Outcome], kind: str = BIT, most: int = 5
) -> list[tuple[int, int, int]]:
    """The words of which most bits lose a game, and after that most stop it: address, and how many bits do each."""
    losing: dict[int, list[int]] = {}
    for fault, outcome in zip(faults, outcomes, strict=True):
        if fault.kind == kind:
            each = losing.setdefault(fault.where[0], [0, 0])
            each[0] += outcome.found == LOSES
            each[1] += outcome.found == STOPS
    order = sorted(losing, key=lambda address: (-losing[address][0], -losing[address][1], address))
    return [(address, *losing[address]) for address in order[:most] if losing[address][0]]  # type: ignore[misc]


def worst_letters(faults: Sequence[Fault], outcomes: Sequence[Outcome], kind: str) -> dict[int, str]:
    """For each word the worst that any of its bits brings about, as a letter."""
    worst: dict[int, int] = {}
    for fault, outcome in zip(faults, outcomes, strict=True):
        if fault.kind == kind:
            rank = CLASSES.index(outcome.found)
            worst[fault.where[0]] = min(rank, worst.get(fault.where[0], rank))
    return {address: LETTERS[CLASSES[rank]] for address, rank in worst.items()}


def map_of_faults(program: Program, letters: dict[int, str]) -> Iterator[str]:
    """A letter for each word of the image, in lines that begin with an address; lines without a word are left out."""
    base, digits = program.card.program.base, address_digits(program)
    size, group = LINE[base], GROUP[base]
    for begin in range(0, program.card.store_words, size):
        line = "".join(letters.get(address, UNUSED) for address in range(begin, begin + size))
        if line.strip(UNUSED):
            parts = (line[at : at + group] for at in range(0, size, group))
            yield f"{in_base(begin, base, digits)}  {' '.join(parts)}"


def word_text(program: Program, address: int) -> str:
    """A word by its address, and what the program has there."""
    told = in_base(address, program.card.program.base, address_digits(program))
    texts = [line.text.split("#")[0].split() for line in program.lines if address in program.addresses(line)]
    return f"{told} ({' '.join(texts[0])})" if texts and texts[0] else told
