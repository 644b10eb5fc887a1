"""The family **fill**: games on boards that fill up or empty, so that every game comes to an end.

The key ``play`` says which game it is: ``dominoes``, ``chomp``, ``boxes`` or ``hex``; each is a module
beside this one, loaded only where it is asked for.
"""

from collections.abc import Sequence
from typing import NamedTuple

from games.bitsets import MOST_BITS, bits_of
from games.board import Board
from games.game import Game
from games.tomlfile import Table

MOST_BARS = 30_000_000
"""Bars of chocolate that can be left of a whole one: more cannot be gone through in a reasonable time."""


class Asked(NamedTuple):
    """What a file says, each key sound in itself.  named: the cells or lines that `holes` or `drawn` lists."""

    name: str
    title: str
    origin: str
    columns: int
    rows: int
    misere: bool
    named: tuple[str, ...]


def read_fill(table: Table, name: str) -> Game | None:
    """The game that a TOML table of this family describes; None if it has mistakes, which the table has noted.

    Keys: ``play``, ``columns``, ``rows``, ``title``, ``from``; for dominoes ``holes`` (names of cells) and
    ``misere``; for hex ``misere``; for boxes ``drawn`` (names of lines).
    """
    before = len(table.problems)
    play = table.text("play", one_of=tuple(_READERS))
    known = len(table.problems) == before
    own_keys = _OWN_KEYS[play] if known else {key for keys in _OWN_KEYS.values() for key in keys}
    asked = Asked(
        name,
        table.text("title", default=name),
        table.text("from", default=""),
        table.whole("columns", least=1, most=26),
        table.whole("rows", least=1, most=26),
        "misere" in own_keys and table.flag("misere", default=False),
        (table.texts("holes", default=()) if "holes" in own_keys else ())
        + (table.texts("drawn", default=()) if "drawn" in own_keys else ()),
    )
    return _READERS[play](table, asked) if len(table.problems) == before else None


def _read_dominoes(table: Table, asked: Asked) -> Game | None:
    from games.fill.domineering import UPRIGHT, Domineering, dominoes

    board = Board(asked.columns, asked.rows)
    if not _fits(table, asked, board.size, MOST_BITS, "cells"):
        return None
    before = len(table.problems)
    holes = _places(table, "holes", asked.named, board.names, "cell")
    if all(way != UPRIGHT for _, way in dominoes(board, holes)):
        where = "holes" if holes else "rows"
        table.wrong(where, "no upright domino fits on this board, so the game is over before it begins")
    if len(table.problems) > before:
        return None
    return Domineering(asked.name, board, holes, title=asked.title, origin=asked.origin, misere=asked.misere)


def _read_chomp(table: Table, asked: Asked) -> Game | None:
    from games.fill.chomp import Chomp, bars

    if not _fits(table, asked, bars(asked.columns, asked.rows), MOST_BARS, "positions"):
        return None
    return Chomp(asked.name, Board(asked.columns, asked.rows), title=asked.title, origin=asked.origin)


def _read_boxes(table: Table, asked: Asked) -> Game | None:
    from games.fill.boxes import Boxes, edge_names, line_count

    lines = line_count(asked.columns, asked.rows)
    if not _fits(table, asked, lines, MOST_BITS, "lines"):
        return None
    before = len(table.problems)
    drawn = _places(table, "drawn", asked.named, edge_names(asked.columns, asked.rows), "line")
    if drawn.bit_count() == lines:
        table.wrong("drawn", "all lines are drawn, so the game is over before it begins")
    if len(table.problems) > before:
        return None
    return Boxes(asked.name, asked.columns, asked.rows, drawn, title=asked.title, origin=asked.origin)


def _read_hex(table: Table, asked: Asked) -> Game | None:
    from games.fill.hex import Hex

    board = Board(asked.columns, asked.rows)
    if not _fits(table, asked, board.size, MOST_BITS // 2, "cells"):
        return None
    return Hex(asked.name, board, title=asked.title, origin=asked.origin, misere=asked.misere)


_READERS = {"dominoes": _read_dominoes, "chomp": _read_chomp, "boxes": _read_boxes, "hex": _read_hex}
_OWN_KEYS: dict[str, set[str]] = {
    "dominoes": {"misere", "holes"},
    "chomp": set(),
    "boxes": {"drawn"},
    "hex": {"misere"},
}


def _fits(table: Table, asked: Asked, needed: int, most: int, what: str) -> bool:
    """Whether the board is small enough; if not, that is noted."""
    if needed > most:
        board = f"a board of {asked.columns} x {asked.rows}"
        table.wrong("columns", f"{board} is too large: it has {needed:,} {what}; expected at most {most:,}")
    return needed <= most


def _places(table: Table, key: str, named: Sequence[str], names: Sequence[str], what: str) -> int:
    """The set of those of the board's places that a list names; what is wrong with it is noted."""
    for name in named:
        if name not in names:
            back = "-".join(reversed(name.split("-")))  # a line named from its other end
            meant = f"; did you mean '{back}'?" if back in names else ""
            table.wrong(key, f"'{key}' names '{name}', and there is no such {what}{meant}")
    if len(set(named)) != len(named):
        table.wrong(key, f"'{key}' names a {what} twice; expected each once")
    return bits_of([place for place, name in enumerate(names) if name in named])
