"""Finding games: by name in the catalogue, in a TOML file, or in a Python file of the user's."""

import os
from importlib import import_module
from pathlib import Path

from games.game import Game
from games.limits import read_limits
from games.problems import BadInput, bad, near_miss
from games.tomlfile import Table, parse_toml, read_text

FIRST_LOOK = 1_000
"""Positions of a game in Python at which a look is taken before anything else is done with it."""
_CATALOGUE = Path(__file__).parent / "catalogue"
FAMILIES = {
    "marks": ("games.marks.file", "read_marks"),
    "steps": ("games.steps.file", "read_steps"),
    "advance": ("games.advance.advance", "read_advance"),
    "take": ("games.take.take", "read_take"),
    "fill": ("games.fill.fill", "read_fill"),
}
"""The families of games: where the function stands that reads a family's keys from a TOML table.

A family is imported when a game of it is read, so that a command on one game loads no other family.
"""


def catalogue_names() -> tuple[str, ...]:
    """The games that come with Wordtight, by name."""
    return tuple(sorted(path.stem for path in _CATALOGUE.glob("*.toml")))


def load_game(which: str | Path) -> Game:
    """A game by its catalogue name, or from a TOML or Python file.  Raises BadInput with every mistake found.

    A Python file is run, and a first look is taken at what it promises.  So `which` is what the user names, and never
    what stands in some file, which may be anybody's: whoever takes a name from there asks `is_program` first.
    """
    name = str(which)
    if name.lower().endswith(".toml"):
        return parse_game(read_text(name), name)
    if is_program(name):
        return _load_program(name)
    known = catalogue_names()
    if name not in known and os.path.isfile(name):  # noqa: PTH113 - pathlib's own raises where a name is too long
        raise bad(
            "is no game; expected a .toml or .py file, or a name of the catalogue (wordtight games)", name
        )
    if name not in known:
        raise bad(
            f"there is no game called '{name}'; expected a .toml or .py file, "
            f"or one of the catalogue (wordtight games){near_miss(name, known)}"
        )
    text = read_text(_CATALOGUE / f"{name}.toml")
    return parse_game(text, f"{name}.toml")


def _load_program(name: str) -> Game:
    from games.own.file import load_python_game
    from games.own.lawful import problems_of  # only games of the user's own need these

    game = load_python_game(name)
    problems = problems_of(game, FIRST_LOOK)
    if problems:
        raise BadInput(problems)
    return game


def is_program(which: str | Path) -> bool:
    """Whether this names a game written in Python, which is run when it is loaded."""
    return str(which).lower().endswith(".py")


def game_text(which: str | Path) -> str:
    """What the file of a game says, be it of the catalogue or the user's own.  Raises BadInput if there is none."""
    name = str(which)
    return read_text(
        name if is_program(name) or name.lower().endswith(".toml") else _CATALOGUE / f"{name}.toml"
    )


def game_digest(which: str | Path) -> str:
    """A name for a game's rules: the same for files that describe the same game, whatever they call it.

    SHA-256 in hexadecimal, of what the TOML file says but for its title and where the game comes from; of a game in
    Python its whole text, which need not be all that the game hangs on.
    """
    import hashlib  # only kept results need it
    import json
    import tomllib

    text = game_text(which)
    if is_program(which):
        return hashlib.sha256(text.encode()).hexdigest()
    rules = {key: value for key, value in tomllib.loads(text).items() if key not in ("title", "from")}
    return hashlib.sha256(json.dumps(rules, sort_keys=True).encode()).hexdigest()


def parse_game(text: str, file: str) -> Game:
    """A game from TOML text; `file` is what messages call it, and its stem names the game."""
    table = parse_toml(text, file, "game")
    family = table.text("family", one_of=tuple(FAMILIES))
    game = read_limits(table, _read(family, table, Path(file).stem))
    table.finish()
    table.raise_problems()
    assert game is not None, "whoever reads no game notes why"
    return game


def _read(family: str, table: Table, name: str) -> Game | None:
    module, function = FAMILIES[family]
    game: Game | None = getattr(import_module(module), function)(table, name)
    return game
