"""Commented examples to begin with: one of each kind of file."""

import os
from pathlib import Path
from typing import NamedTuple

from games.codes import SECOND
from games.game import Game
from games.load import load_game
from games.problems import BadInput, bad, listed, near_miss
from solver.header import is_file
from solver.load import read_sheet_header
from solver.sheet.reader import SheetReader
from workbench.files import write_new

_TEMPLATES = Path(__file__).parent / "templates"
USUAL_GAME, ANY_GAME = "noughts-and-crosses", "any-game.rules"
FIRST_SEAT = (
    "seat: second              # the machine moves second; also: first, both",
    "seat: first               # the machine moves first; also: second, both",
)
"""What a sheet says of the seat, and in its place where whoever moves second has lost."""


class Kind(NamedTuple):
    """A kind of file: its template, the name that it gets unless told, and what comes next."""

    template: str
    name: str
    next_command: str
    purpose: str


KINDS = {
    "rules": Kind(
        "rules.rules", "my.rules", "wordtight play noughts-and-crosses --against {}", "can you beat it?"
    ),
    "table": Kind("table.csv", "my-table.csv", "wordtight prove {}", "does it never lose?"),
    "house-rules": Kind(
        "house-rules.toml",
        "my-house-rules.toml",
        "wordtight prove my.rules --house-rules {}",
        "what do they change?",
    ),
    "machine": Kind(
        "machine.toml", "my-machine.toml", "wordtight size my.rules --machine {}", "does it fit?"
    ),
    "characters": Kind(
        "characters.toml", "my-code.toml", "wordtight check {}", "has every code at most one meaning?"
    ),
    "order-sheet": Kind(
        "order-sheet.toml", "my-orders.toml", "wordtight check {}", "does something stand for every order?"
    ),
    "conversation": Kind(
        "conversation.toml",
        "my-conversation.toml",
        "wordtight check {}",
        "is it well written? then drill --conversation",
    ),
    "rubric": Kind(
        "rubric.toml",
        "my-rubric.toml",
        "wordtight check {}",
        "is it well written? then grade --rubric",
    ),
    "program": Kind(
        "program.orders",
        "my.orders",
        "wordtight run {} --machine home-1k --input 123 --trace",
        "what does each instruction do?",
    ),
    "game": Kind("game.toml", "my-game.toml", "wordtight show {}", "how does it look?"),
    "python-game": Kind(
        "python-game.txt", "my_game.py", "wordtight check {}", "does it keep its promises in every position?"
    ),
}


def template(kind: str) -> str:
    """The commented example of a kind of file."""
    if kind not in KINDS:
        raise bad(
            f"there is no kind of file called '{kind}'; expected {listed(tuple(KINDS))}{near_miss(kind, tuple(KINDS))}"
        )
    return (_TEMPLATES / KINDS[kind].template).read_text(encoding="utf-8")


def rules_for(game_name: str) -> str:
    """A rule sheet to begin with for any game: rules about lines where it has lines of three, else a search.

    The machine moves second, unless that seat is known to be lost.
    """
    game = load_game(game_name)
    named = os.path.relpath(game_name) if is_file(game_name) else game_name
    text = template("rules").replace(USUAL_GAME, named)
    if not _can_be_read(text, game):
        text = (_TEMPLATES / ANY_GAME).read_text(encoding="utf-8").replace("GAME", named)
    return text.replace(*FIRST_SEAT) if _loses_second(game_name) else text


def _loses_second(game_name: str) -> bool:
    """Whether it is known of a game that comes with Wordtight that whoever moves second loses from the start."""
    from workbench.stored import stored_entries  # of all results, which no other kind of file needs

    entry = stored_entries().get(game_name)
    return entry is not None and entry.is_lost(SECOND)


def _can_be_read(text: str, game: Game) -> bool:
    """Whether every rule of a sheet makes sense in a game."""
    lines = text.split("\n")
    _, begin = read_sheet_header(lines, "")
    try:
        SheetReader("", lines, game).read(begin)
    except BadInput:
        return False
    return True


def write_example(
    kind: str, path: str | None = None, *, game: str | None = None, overwrite: bool = False
) -> str:
    """Write the example of a kind of file, a rule sheet for a game if one is named; the path that was written."""
    if game is not None and kind != "rules":
        raise bad("only 'new rules' is for a game; expected no --game")
    text = template(kind) if game is None else rules_for(game)
    target = path or KINDS[kind].name
    write_new(target, text, overwrite=overwrite)
    return target
