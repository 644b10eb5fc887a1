"""The family **take**: heaps and strips, on which the last move decides.

The key ``play`` says which game it is: ``heaps``, ``pins`` or ``northcott``; each is a module beside this
one, loaded only where it is asked for.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from games.bitsets import MOST_BITS
from games.codes import UNFINISHED
from games.game import Game
from games.problems import listed
from games.take.octal import Octal, any_number, read_octal, these_numbers
from games.tomlfile import Table

KEYS = {
    "heaps": ("heaps", "take", "octal"),
    "pins": ("rows", "octal"),
    "northcott": ("strips", "forward-only"),
}
"""What can be played, and the keys of each; the first is the start, which must be given."""
LARGEST_HEAP = 999
MOST_HEAPS = 26
LONGEST_STRIP = 16
MOST_STRIPS = 8
MOST_CELLS = 64
"""The cells that a player holds must fit in one number of 64 bits."""


class Asked(NamedTuple):
    """What a file says, before it is known whether that can be played."""

    name: str
    title: str
    origin: str
    misere: bool
    heaps: tuple[int, ...]
    take: tuple[int, ...]
    rows: tuple[int, ...]
    octal: str
    strips: tuple[str, ...]
    forward_only: bool


def read_take(table: Table, name: str) -> Game | None:
    """The game that a TOML table of this family describes; None if it has mistakes, which the table has noted.

    Keys: ``play``, ``misere``, ``title``, ``from``; for heaps ``heaps`` and ``take`` or ``octal``; for pins
    ``rows`` and ``octal``; for northcott ``strips`` and ``forward-only``.
    """
    before = len(table.problems)
    play = table.text("play", one_of=tuple(KEYS))
    is_known = len(table.problems) == before
    asked = _ask(table, name, play if is_known else "")
    if is_known:
        _refuse_keys_of_others(table, play)
    if len(table.problems) > before:
        return None
    game = {"heaps": _heaps, "pins": _pins, "northcott": _northcott}[play](table, asked)
    if game is not None and game.ending(np.array([game.start], dtype=np.uint64))[0] != UNFINISHED:
        table.wrong(KEYS[play][0], "the game is over before it begins: the first player has no move")
        return None
    return game


def _ask(table: Table, name: str, play: str) -> Asked:
    return Asked(
        name,
        title=table.text("title", default=name),
        origin=table.text("from", default=""),
        misere=table.flag("misere", default=False),
        heaps=table.wholes("heaps", default=None if play == "heaps" else (), least=1, most=LARGEST_HEAP),
        take=table.wholes("take", default=(), least=1, most=LARGEST_HEAP),
        rows=table.wholes("rows", default=None if play == "pins" else (), least=1, most=MOST_BITS),
        octal=table.text("octal", default=None if play == "pins" else ""),
        strips=table.texts("strips", default=None if play == "northcott" else ()),
        forward_only=table.flag("forward-only", default=False),
    )


def _refuse_keys_of_others(table: Table, play: str) -> None:
    own = KEYS[play]
    for key in dict.fromkeys(key for keys in KEYS.values() for key in keys):
        if key in table and key not in own:
            table.wrong(key, f"'{key}' says nothing where play = \"{play}\"; expected {listed(own)}")


def _heaps(table: Table, asked: Asked) -> Game | None:
    from games.take.heaps import Heaps

    if not asked.heaps or len(asked.heaps) > MOST_HEAPS:
        table.wrong("heaps", f"'heaps' has {len(asked.heaps)} heaps; expected 1 to {MOST_HEAPS}")
        return None
    bits = sum(heap.bit_length() for heap in asked.heaps)
    if bits > MOST_BITS:
        table.wrong("heaps", f"these heaps take {bits} bits and are too large; expected at most {MOST_BITS}")
        return None
    octal = _taken_from_heaps(table, asked)
    if octal is None:
        return None
    return Heaps(asked.name, asked.heaps, octal, title=asked.title, origin=asked.origin, misere=asked.misere)


def _taken_from_heaps(table: Table, asked: Asked) -> Octal | None:
    """How many counters may be taken: any number, the numbers of a list, or what an octal code says."""
    largest = max(asked.heaps)
    if "take" in table and "octal" in table:
        table.wrong("octal", "both 'take' and 'octal' are given; expected one of them")
        return None
    if "octal" in table:
        octal = _read_octal(table, asked.octal, largest)
        if octal is not None and octal.splits:
            table.wrong(
                "octal",
                f'{asked.octal} can split a heap in two; expected digits from 0 to 3, or play = "pins"',
            )
            return None
        return octal
    if "take" not in table:
        return any_number(largest)
    if not any(number <= largest for number in asked.take) or len(set(asked.take)) < len(asked.take):
        table.wrong(
            "take", f"'take' should be different numbers, one of them at most {largest} (the largest heap)"
        )
        return None
    return these_numbers(asked.take)


def _read_octal(table: Table, text: str, largest: int) -> Octal | None:
    """An octal code of which something can be taken from rows or heaps of at most this size."""
    try:
        octal = read_octal(text)
    except ValueError as error:
        table.wrong("octal", str(error))
        return None
    if not octal.within(largest).most:
        table.wrong(
            "octal", f"{text} lets nothing be taken from {largest} or fewer; expected a digit that does"
        )
        return None
    return octal


def _pins(table: Table, asked: Asked) -> Game | None:
    from games.take.pins import MOST_ROWS, Pins

    if not 1 <= len(asked.rows) <= MOST_ROWS:
        table.wrong("rows", f"'rows' has {len(asked.rows)} rows; expected 1 to {MOST_ROWS}")
        return None
    if sum(asked.rows) > MOST_BITS:
        table.wrong(
            "rows", f"{sum(asked.rows)} pins are too many; expected at most {MOST_BITS} in all rows together"
        )
        return None
    octal = _read_octal(table, asked.octal, max(asked.rows))
    if octal is None:
        return None
    return Pins(asked.name, asked.rows, octal, title=asked.title, origin=asked.origin, misere=asked.misere)


def _northcott(table: Table, asked: Asked) -> Game | None:
    from games.take.northcott import Northcott

    if not 1 <= len(asked.strips) <= MOST_STRIPS:
        table.wrong("strips", f"'strips' has {len(asked.strips)} strips; expected 1 to {MOST_STRIPS}")
        return None
    wrong = _wrong_strip(asked.strips)
    if wrong:
        table.wrong("strips", wrong)
        return None
    return Northcott(
        asked.name,
        asked.strips,
        title=asked.title,
        origin=asked.origin,
        forward_only=asked.forward_only,
        misere=asked.misere,
    )


def _wrong_strip(strips: Sequence[str]) -> str:
    """What is wrong with strips that cannot be played on, or nothing."""
    for strip in strips:
        if sorted(strip.replace("_", "")) != ["F", "S"]:
            return f"the strip '{strip}' should hold one F (the first player's man), one S and else _ (free cells)"
        if len(strip) > LONGEST_STRIP:
            return f"the strip '{strip}' has {len(strip)} cells; expected at most {LONGEST_STRIP}"
        if len(strip) != len(strips[0]):
            return f"the strip '{strip}' has {len(strip)} cells, but the first has {len(strips[0])}; expected all alike"
    cells = len(strips) * len(strips[0])
    if cells > MOST_CELLS:
        return f"these strips have {cells} cells in all; expected at most {MOST_CELLS}"
    return ""
