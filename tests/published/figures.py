"""What the files of further figures share: a figure with its source, and games written, read and solved."""

import json
from typing import NamedTuple

import pytest

from games.load import parse_game
from solver.engines import solve_game
from solver.solved import start_values
from tests.published.plainly import Found

OURS = "ours only: found published nowhere, computed by another program of ours"


class Published(NamedTuple):
    """A figure, and who says so."""

    value: object
    source: str


def read(family, **keys):
    """A game as its file would be read; what JSON writes, TOML understands."""
    lines = [f"{key.replace('_', '-')} = {json.dumps(value)}" for key, value in keys.items()]
    return parse_game("\n".join(['kind = "game"', f'family = "{family}"', *lines, ""]), "drawn.toml")


def found(game, begins=0):
    """What the solver finds, in the words of the plain program; `begins`: 1 where the second player does."""
    solved = solve_game(game, start=game.other_start if begins else None)
    return Found(*start_values(solved), solved.positions)


def long(*values):
    return pytest.param(*values, marks=pytest.mark.long)
