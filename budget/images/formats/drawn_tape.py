"""A tape as it looks: a line for each character, unit 1 on the left, `o` a hole, `.` the feed hole, and what it prints.

The feed hole stands after unit 2 where there are five units at most, else after unit 3: common practice.
"""

from collections.abc import Iterator

from budget.card import CostCard
from budget.images.formats import rows
from budget.images.image import Image, Reading, Text, plain_lines
from budget.images.tape import punched, read_codes, signs
from games.problems import BadInput, Problem

NAME = "drawn-tape"
TITLE = "tape, drawn"
SUFFIX = ".tape.txt"
ORDER = 3
NAMED = ""
EDGE, HOLE, FEED = "|", "o", "."


def begins(raw: bytes) -> bool:
    """Whether a file is meant to be one: it begins at the edge of a tape."""
    return raw.removeprefix(b"\xef\xbb\xbf").lstrip().startswith(EDGE.encode())


def words_a_row(card: CostCard) -> int:
    """How many words a row holds at most."""
    return rows.words_a_row(card)


def feed_after(units: int) -> int:
    """After which unit the feed hole stands."""
    return 2 if units <= 5 else 3


def write(image: Image, card: CostCard) -> bytes:
    """The drawing.  Raises BadInput where the machine's code lacks a sign."""
    codes = punched(image, card)
    code = card.characters.code
    feed = feed_after(code.bits)
    lines = []
    for number, sign in zip(codes, signs(codes, code), strict=True):
        holes = "".join(HOLE if number >> unit & 1 else " " for unit in range(code.bits))
        lines.append(f"{EDGE}{holes[:feed]}{FEED}{holes[feed:]}{EDGE} {sign}".rstrip() + "\n")
    return "".join(lines).encode()


def read(raw: bytes, card: CostCard, file: str) -> Reading:
    """What the tape says.  Raises BadInput with every line that is none of a tape, or every row that is none."""
    text = plain_lines(raw, file)
    found = list(_codes(text, card.characters.code.bits))
    problems = [each for each in found if isinstance(each, Problem)]
    if problems:
        raise BadInput(problems)
    return read_codes([each for each in found if isinstance(each, int)], card, file)


def _codes(text: Text, units: int) -> Iterator[int | Problem]:
    """The code of each line that is not empty, or what is wrong with it."""
    feed = feed_after(units)
    for number, line in enumerate(text.lines, 1):
        if not line.strip():
            continue
        begin = line.find(EDGE)
        strip = line[begin + 1 : begin + 2 + units]
        if begin < 0 or line[begin + 2 + units : begin + 3 + units] != EDGE or strip[feed] != FEED:
            message = f"expected {units} places of '{HOLE}' or space between two '{EDGE}', with '{FEED}' after {feed}"
            yield text.problem(number, max(begin, 0) + 1, message)
            continue
        holes = strip[:feed] + strip[feed + 1 :]
        strange = next(
            (unit for unit, sign in enumerate(holes) if sign not in (HOLE, HOLE.upper(), " ")), None
        )
        if strange is None:
            yield sum(1 << unit for unit, sign in enumerate(holes) if sign != " ")
        else:
            column = begin + 2 + strange + (strange >= feed)
            yield text.problem(number, column, f"expected '{HOLE}' or a space, not '{holes[strange]}'")
