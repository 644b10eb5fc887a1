"""Heaps from which players take, in a C program: a byte for the size of each.

A move's heap, and how many it takes, stand in tables.
"""

from collections.abc import Mapping

from budget.c90.setting import Setting
from budget.lowering.ground import by_last_mover
from budget.lowering.text import NotLowered
from games.take.heaps import HEAP_GONE, TOO_MANY, Heaps
from games.take.octal import UNSPLIT

LARGEST = 255
"""Heap, in a byte."""
NUMBER = """
/* The heaps as a number: the size of each in as many bits as it needs, the first heap lowest. */
static %(kind)s number(void)
{
    return (%(kind)s)(%(sum)s);
}
"""


class HeapsBoard:
    """Writes what keeps the heaps."""

    def __init__(self, setting: Setting, game: Heaps) -> None:
        if any(digit != UNSPLIT for digit in game.octal.digits):
            raise NotLowered("heaps are written in C only where any number up to the greatest may be taken")
        if max(game.heaps) > LARGEST:
            raise NotLowered(f"heaps in C have {LARGEST} counters at most")
        self._text = setting.text
        self._game = game
        self._most = len(game.octal.digits)
        self.number_bits = sum(size.bit_length() for size in game.heaps)
        moves = [
            (heap, number)
            for heap, size in enumerate(game.heaps)
            for number in range(1, min(size, self._most) + 1)
        ]
        text = self._text
        text.constant("HEAPS", len(game.heaps), "from which counters are taken")
        text.array("heaps", len(game.heaps), "how many counters each has")
        text.table("heap_of", [heap for heap, _ in moves], "from which each move takes")
        text.table("taken", [number for _, number in moves], "how many each move takes")
        text.local("move", "its place among the moves that have names")
        text.local("heap", "from which is taken")

    def set_up(self) -> None:
        """Every heap as large as it begins."""
        for heap, size in enumerate(self._game.heaps):
            self._text.put(f"heaps[{heap}] = {size};")

    def judge(self, refused: Mapping[str, str]) -> None:
        """In the family's order: nothing is there, not so many are."""
        gone = refused[HEAP_GONE]
        too_many = refused[TOO_MANY] if self._most > 1 else gone
        self._text.put("heap = FETCH(heap_of + move);")
        if gone != too_many:
            self._text.put(f"if (heaps[heap] == 0)\n    goto {gone};")
        self._text.put(f"if (heaps[heap] < FETCH(taken + move))\n    goto {too_many};")

    def play(self, who: str) -> None:
        """Take so many."""
        self._text.put(
            "heap = FETCH(heap_of + move);\nheaps[heap] = (byte)(heaps[heap] - FETCH(taken + move));"
        )

    def ends(self, who: str, labels: Mapping[str, str]) -> None:
        """When all heaps are gone."""
        over = by_last_mover(who, wins=not self._game.misere)
        if over in labels:
            self._text.put(
                "for (heap = 0; heap < HEAPS && heaps[heap] == 0; ++heap)\n    ;\n"
                f"if (heap == HEAPS)\n    goto {labels[over]};"
            )

    def write_number(self, kind: str) -> None:
        """Their sizes, bit behind bit."""
        low, parts = 0, []
        for heap, size in enumerate(self._game.heaps):
            parts.append(f"(({kind})heaps[{heap}] << {low})" if low else f"heaps[{heap}]")
            low += size.bit_length()
        self._text.function("number", NUMBER % {"kind": kind, "sum": " + ".join(parts)})
