"""How a number was mistaken on the way from paper to keys: which digit, and what has happened to it."""

from typing import NamedTuple

WRONG, CHANGED, LEFT_OUT, EXTRA, MANY = "wrong", "changed places", "left out", "extra", "many"
BASES = {2: "binary", 8: "octal", 10: "decimal", 16: "hexadecimal"}


class Mistake(NamedTuple):
    """A mistake in a number: what it is, the place of the digit from 0, and how many digits are wrong."""

    kind: str
    place: int
    digits: int

    @property
    def is_near(self) -> bool:
        """Whether one slip of the hand explains it."""
        return self.kind != MANY


def digits_in(base: int) -> str:
    """The digits of a base, capitals."""
    return "0123456789ABCDEF"[:base]


def mistake(should: str, stands: str) -> Mistake:
    """What makes one number of another: digits as text, zeros in front among them, not the same number.

    >>> mistake("4017", "4071"), mistake("4017", "417")
    (Mistake(kind='changed places', place=2, digits=2), Mistake(kind='left out', place=1, digits=1))
    """
    if len(stands) < len(should):
        place = _dropped(should, stands)
        if place is not None:
            return Mistake(LEFT_OUT, place, 1)
    if len(stands) > len(should):
        place = _dropped(stands, should)
        if place is not None:
            return Mistake(EXTRA, place, 1)
    width = max(len(should), len(stands))
    one, two = should.zfill(width), stands.zfill(width)
    wrong = [place for place in range(width) if one[place] != two[place]]
    first, last = wrong[0], wrong[-1]
    if len(wrong) == 2 and (one[first], one[last]) == (two[last], two[first]):
        return Mistake(CHANGED, first, 2)
    kind = WRONG if len(wrong) == 1 and len(stands) <= len(should) else MANY
    return Mistake(kind, first, len(wrong))


def _dropped(longer: str, shorter: str) -> int | None:
    """The digit that has to be left out of one number to get another; None if that does not do."""
    for place in range(len(longer)):
        if (longer[:place] + longer[place + 1 :]).lstrip("0") == shorter.lstrip("0"):
            return place
    return None


def remark(should: str, stands: str, base: int) -> str:
    """The same in words.

    >>> remark("4017", "4O17", 8)
    "digit 2 is 'O', which is no octal digit"
    """
    found = mistake(should, stands)
    number = found.place + 1
    if found.kind == LEFT_OUT:
        return f"digit {number} ({should[found.place]}) is left out"
    if found.kind == EXTRA:
        return f"digit {number} ({stands[found.place]}) is one too many"
    if found.kind == CHANGED:
        return "two digits have changed places"
    if found.kind == MANY:
        return f"{found.digits} digits are wrong"
    sign = stands.zfill(len(should))[found.place]
    if sign not in digits_in(base):
        return f"digit {number} is '{sign}', which is no {BASES[base]} digit"
    return f"digit {number} is {sign}, not {should[found.place]}"
