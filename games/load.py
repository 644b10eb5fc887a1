"""Finding games: by name in the catalogue, or in a TOML file."""

from collections.abc import Callable
from pathlib import Path

from games.advance import read_advance
from games.game import Game
from games.marks_file import read_marks
from games.problems import bad, listed, near_miss
from games.take import read_take
from games.tomlfile import Table, parse_toml, read_text

_CATALOGUE = Path(__file__).parent / "catalogue"
FAMILIES: dict[str, Callable[[Table, str], Game | None]] = {
    "marks": read_marks,
    "advance": read_advance,
    "take": read_take,
}
"""The families of games: each reads its own keys from a TOML table."""


def catalogue_names() -> tuple[str, ...]:
    """The games that come with Wordtight, by name."""
    return tuple(sorted(path.stem for path in _CATALOGUE.glob("*.toml")))


def load_game(which: str | Path) -> Game:
    """A game by its catalogue name or from a TOML file.  Raises BadInput with every mistake found."""
    name = str(which)
    if Path(name).suffix == ".toml":
        return parse_game(read_text(name), name)
    known = catalogue_names()
    if name not in known:
        raise bad(
            f"there is no game called '{name}'; expected a .toml file, "
            f"or one of the catalogue (wordtight games){near_miss(name, known)}"
        )
    text = read_text(_CATALOGUE / f"{name}.toml")
    return parse_game(text, f"{name}.toml")


def parse_game(text: str, file: str) -> Game:
    """A game from TOML text; `file` is what messages call it, and its stem names the game."""
    table = parse_toml(text, file, "game")
    family = table.text("family", one_of=tuple(FAMILIES))
    game = FAMILIES[family](table, Path(file).stem)
    table.finish()
    table.raise_problems()
    if game is None:
        raise bad(f"cannot be read as a game of the family {listed([family])}", file)
    return game
