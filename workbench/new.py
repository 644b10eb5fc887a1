"""Commented examples to begin with: one of each kind of file."""

from pathlib import Path
from typing import NamedTuple

from games.problems import bad, listed, near_miss
from workbench.files import write_new

_TEMPLATES = Path(__file__).parent / "templates"


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


def write_example(kind: str, path: str | None = None, *, overwrite: bool = False) -> str:
    """Write the example of a kind of file; the path that was written."""
    text = template(kind)
    target = path or KINDS[kind].name
    write_new(target, text, overwrite=overwrite)
    return target
