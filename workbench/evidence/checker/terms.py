"""What all modules speak of: seats, positions, moves, lines of the file, and the ways in which a check can fail."""

from typing import Any

FIRST, SECOND = 0, 1
SEATS = ("first", "second")
DRAW = "draw"
CLAIMS = ("never-loses", "best-value", "quickest")

State = tuple[Any, ...]
"""A position: what stands in it, each game says for itself."""
Moves = dict[str, State]
"""The positions to which moves lead, by what is typed."""
Toml = dict[str, Any]
"""A text of a game or of house rules, as Python reads it."""
Record = dict[str, Any]
"""A line of the file."""
Numbered = list[tuple[int, Record]]
"""Lines of the file with their numbers."""


class Wrong(Exception):
    """The evidence does not show what it says."""


class Unreadable(Exception):
    """The file is no evidence at all."""


class NotChecked(Exception):
    """Something is right as far as it goes, but this program cannot decide the rest."""
