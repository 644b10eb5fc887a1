"""What is known of the games that come with Wordtight: stored results, since solving them all takes minutes.

`workbench.catalogue` writes the file; the tests work its results out again.
"""

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any, NamedTuple

from budget.packed import LayoutShape, Shape, Workspace
from games.codes import FIRST, PLAYERS
from games.load import catalogue_names

RESULTS = Path(__file__).parent / "catalogue_results.json"
FAMILY_TITLES = {
    "marks": "placing marks",
    "steps": "men that move along lines",
    "advance": "men that go forward",
    "take": "taking away, and strips",
    "fill": "boards that fill up",
}
"""The families in the order in which they are listed, with what their games are, in a few words."""


class Answers(NamedTuple):
    """How many boards best play needs a stored move for: turned (one of those alike), and on a board as it stands."""

    up_to_symmetry: int
    fixed_board: int


class Entry(NamedTuple):
    """What is known of a game; counts and values mean what they mean in `solver.solve`.

    value: a number where moves score; value_if_second_begins: None where that is the same game mirrored.
    loops: whether some line of play comes back to a position, so that play can go on for ever.
    answers, tables: by seat; None for a seat that is lost from the start.  tables: the shapes of best play's tables,
    plain and turned, in every encoding that can hold it: what their words on any machine follow from.
    """

    family: str
    size: str
    positions: int
    positions_up_to_symmetry: int
    value: str | int
    distance: int | None
    value_if_second_begins: str | int | None
    loops: bool
    answers: dict[str, Answers | None]
    tables: dict[str, tuple[Shape, ...] | None]

    def is_lost(self, seat: int) -> bool:
        """Whether the machine in this seat (FIRST or SECOND) loses, or ends behind, against best play."""
        if isinstance(self.value, int):
            return self.value < 0 if seat == FIRST else self.value > 0
        return self.value == PLAYERS[1 - seat]


def stored_entries(family: str | None = None) -> dict[str, Entry]:
    """The stored results by game, in the order of the names; of one family if it is named."""
    known = set(catalogue_names())  # a game that has just been renamed is none: the tests ask for its results
    entries = {name: _entry(record) for name, record in json.loads(RESULTS.read_text("utf-8")).items()}
    return {
        name: entry for name, entry in entries.items() if name in known and family in {None, entry.family}
    }


def _entry(record: dict[str, Any]) -> Entry:
    answers = {seat: each and Answers(**each) for seat, each in record["answers"].items()}
    tables = {seat: each and tuple(map(_shape, each)) for seat, each in record["tables"].items()}
    return Entry(**{**record, "answers": answers, "tables": tables})


def _shape(record: dict[str, Any]) -> Shape:
    layouts = tuple(
        LayoutShape(note, tuple((bits, count) for count, bits in columns))
        for note, columns in record["layouts"].items()
    )
    numbers, addresses, words = record["workspace"]
    workspace = Workspace(tuple(numbers), addresses, words)
    return Shape(**{**record, "layouts": layouts, "workspace": workspace})


def as_text(entries: Mapping[str, Entry]) -> str:
    """The file of results: an object for each game, sorted by name; a table's shape takes a line.

    Each layout of a shape is its columns, each as the count of its numbers and the bits of one.
    """
    records = {name: entry._asdict() for name, entry in sorted(entries.items())}
    lines: list[str] = []
    for record in records.values():
        record["answers"] = {seat: each and each._asdict() for seat, each in record["answers"].items()}
        record["tables"] = {
            seat: each and [_line_for(shape, lines) for shape in each]
            for seat, each in record["tables"].items()
        }
    text = json.dumps(records, indent=1)
    for place, line in enumerate(lines):
        text = text.replace(f'"{_PLACE.format(place)}"', line, 1)
    return text + "\n"


_PLACE = "(line {})"


def _line_for(shape: Shape, lines: list[str]) -> str:
    """Note the line that says a shape, and give what stands in its place until all else is indented."""
    layouts = {layout.note: [(count, bits) for bits, count in layout.columns] for layout in shape.layouts}
    lines.append(json.dumps({**shape._asdict(), "layouts": layouts}))
    return _PLACE.format(len(lines) - 1)


# For tables ---------------------------------------------------------------------------------------------------


def in_words(value: str | int) -> str:
    """A value: ``first``, ``second``, ``draw``, or where moves score ``first by 2`` or ``even``."""
    if isinstance(value, str):
        return value
    return f"{PLAYERS[value < 0]} by {abs(value)}" if value else "even"


def distance_in_words(entry: Entry) -> str:
    """The distance: a dash for a draw, and where moves score."""
    return "-" if entry.distance is None else str(entry.distance)


def yes_or_no(entry: Entry) -> str:
    """Whether the game loops."""
    return "yes" if entry.loops else "no"
