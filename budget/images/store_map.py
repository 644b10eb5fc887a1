"""The map of the store: a letter for each word, and where the labels are."""

from collections.abc import Iterator
from itertools import groupby

from budget.machine.listing import address_digits, in_base
from budget.machine.program import CONSTANT, DATA, INSTRUCTION, SPACE, Program

LETTERS = {SPACE: "s", DATA: "D", CONSTANT: "C", INSTRUCTION: "I"}
"""What a word is for.  Capitals are loaded; where a word has two uses, the later of these is shown."""
UNUSED = "."
LEGEND = "I instruction   C constant   D data   s space that it writes   . unused"
FIXED = "from here on the store cannot be written"
LINE, GROUP = {2: 32, 8: 64, 10: 50, 16: 64}, {2: 8, 8: 8, 10: 10, 16: 16}
"""Words in a line of the map and in a group of it, by the base of addresses."""


def map_lines(program: Program) -> Iterator[str]:
    """The map of a program's store, and its labels."""
    card = program.card
    yield f"{card.name}: {card.store_words:,} words of {card.word_bits} bits."
    yield LEGEND
    yield ""
    letters = store_letters(program)
    lines = [(begin, letters[begin:end]) for begin, end in _line_ends(program)]
    for is_unused, some in groupby(lines, key=lambda line: not line[1].strip(UNUSED)):
        several = list(some)
        if card.fixed_words and several[0][0] <= card.first_fixed <= several[-1][0]:
            yield from _both_sides(program, several, is_unused=is_unused)
        else:
            yield from _shown(program, several, is_unused=is_unused)
    yield ""
    yield from _labels(program)


def store_letters(program: Program) -> str:
    """A letter for each word of the store, in the order of addresses."""
    letters = [UNUSED] * program.card.store_words
    for kind, letter in LETTERS.items():
        for line in program.lines:
            if line.kind == kind:
                for address in program.addresses(line):
                    letters[address] = letter
    return "".join(letters)


def _line_ends(program: Program) -> Iterator[tuple[int, int]]:
    """The first address of each line of the map, and the one after its last; the fixed part begins a new line."""
    card = program.card
    size = LINE[card.program.base]
    begins = sorted({*range(0, card.store_words, size), card.first_fixed} - {card.store_words})
    return zip(begins, [*begins[1:], card.store_words], strict=True)


def _both_sides(program: Program, lines: list[tuple[int, str]], *, is_unused: bool) -> Iterator[str]:
    """Lines among which the fixed part begins."""
    before = [line for line in lines if line[0] < program.card.first_fixed]
    if before:
        yield from _shown(program, before, is_unused=is_unused)
    yield f"-- {FIXED} --"
    yield from _shown(program, lines[len(before) :], is_unused=is_unused)


def _shown(program: Program, lines: list[tuple[int, str]], *, is_unused: bool) -> Iterator[str]:
    """Lines of the map; those without a used word as one line that counts them."""
    base, digits = program.card.program.base, address_digits(program)
    group = GROUP[base]
    first, words = lines[0][0], sum(len(letters) for _, letters in lines)
    if is_unused and len(lines) > 1:
        yield f"{in_base(first, base, digits)}  ({words:,} words unused)"
        return
    for begin, letters in lines:
        groups = (letters[at : at + group] for at in range(0, len(letters), group))
        yield f"{in_base(begin, base, digits)}  {' '.join(groups)}"


def _labels(program: Program) -> Iterator[str]:
    """The labels by their addresses, and in which half of a word where there are two."""
    base, digits = program.card.program.base, address_digits(program)
    per_word = program.card.program.layout.places_a_word
    for name, place in sorted(program.labels.items(), key=lambda each: (each[1], each[0])):
        address, half = divmod(place, per_word)
        yield f"{in_base(address, base, digits)}{' upper half' if half else ''}  {name}"
    address, half = divmod(program.start, per_word)
    yield f"{in_base(address, base, digits)}{' upper half' if half else ''}  (the program begins here)"
