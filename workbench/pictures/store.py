"""The map of a store as a picture: a small square for each word, told apart by what is drawn in it."""

from budget.images.store_map import UNUSED, store_letters
from budget.machine.listing import address_digits, in_base
from budget.machine.program import CONSTANT, DATA, INSTRUCTION, SPACE, Program
from workbench.pictures.positions import FAINT, INK, PAPER
from workbench.pictures.whole import whole_svg
from workbench.svg import Point, element, line_path, words

SIDE, TOP, GAP, KEY, MARGIN = 12, 34, 6, 30, 10
LEFT = 64
"""Room for addresses."""
BESIDE = 116
"""Room for an entry of the key."""
ACROSS = 32
"""Words in a row."""
MEANINGS = {"I": INSTRUCTION, "C": CONSTANT, "D": DATA, "s": SPACE, UNUSED: "unused"}
"""What a letter of `budget.images.store_map` stands for."""
INSIDE: dict[str, list[tuple[Point, Point]]] = {
    "C": [((0, 0), (1, 1)), ((1, 0), (0, 1))],
    "D": [((0, 0.5), (1, 0.5))],
    "s": [((0.5, 0.35), (0.5, 0.65))],
}
"""The lines inside a square, in parts of its side; instructions are solid, and unused words pale and empty."""


def store_svg(program: Program) -> str:
    """The words of a machine's store, row by row, and how many there are of each kind; rows without any use left out.

    Each row has the address of its first word on its left, written as the machine's listings write it.
    """
    card = program.card
    letters = store_letters(program)
    rows = [
        begin for begin in range(0, len(letters), ACROSS) if letters[begin : begin + ACROSS].strip(UNUSED)
    ]
    parts, level, before = [], TOP, -ACROSS
    corners: dict[str, list[Point]] = {}
    for begin in rows:
        level += 0 if begin == before + ACROSS else GAP
        address = in_base(begin, card.program.base, address_digits(program))
        parts.append(words("text", address, x=LEFT - 6, y=level + SIDE - 3, text_anchor="end"))
        for column, letter in enumerate(letters[begin : begin + ACROSS]):
            corners.setdefault(letter, []).append((LEFT + column * SIDE, level))
        level, before = level + SIDE, begin
    counts = {letter: letters.count(letter) for letter in MEANINGS if letter in letters}
    wide, high = max(LEFT + ACROSS * SIDE, LEFT + BESIDE * len(counts)) + MARGIN, level + KEY
    title = f"The store of {card.name}: {card.store_words:,} words, {ACROSS} in a row"
    parts += [part for letter, places in corners.items() for part in _drawn(letter, places)]
    parts += [part for at, letter in enumerate(counts) for part in _key(at, letter, counts[letter], high)]
    parts.append(words("text", title, x=LEFT, y=20))
    told = ", ".join(f"{count:,} {MEANINGS[letter]}" for letter, count in counts.items())
    return whole_svg(parts, wide, high, title=title, told=told)


def _key(place: int, letter: str, count: int, high: float) -> list[str]:
    x, y = LEFT + place * BESIDE, high - MARGIN
    return [
        *_drawn(letter, [(x, y - 9)]),
        words("text", f"{MEANINGS[letter]}: {count:,}", x=x + 16, y=y),
    ]


def _drawn(letter: str, corners: list[Point]) -> list[str]:
    """Squares of one kind."""
    side = SIDE - 2
    frame = "".join(f"M{x} {y}h{side}v{side}h-{side}z" for x, y in corners)
    ink = FAINT if letter == UNUSED else INK
    parts = [element("path", d=frame, fill=INK if letter == "I" else PAPER, stroke=ink, stroke_width=0.8)]
    lines = [
        line_path([(x + begin[0] * side, y + begin[1] * side), (x + end[0] * side, y + end[1] * side)])
        for x, y in corners
        for begin, end in INSIDE.get(letter, ())
    ]
    if lines:
        parts.append(element("path", d="".join(lines), stroke=INK))
    return parts
