"""Which files of a folder are attempts, what kind each is, and what it is called."""

import hashlib
import os
from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from games.problems import bad
from workbench.drill.command import INTERPRETERS
from workbench.grading.handed_in import name_of, tables_named, told_apart

RULES, TABLE, PROGRAM, UNKNOWN = "rules", "table", "program", "unknown"
SHEET_ENDINGS = ("", ".rules", ".txt")
COMPANION = ".toml"
"""Conversations, house rules and games stand beside attempts and are none."""
CONVERSATION = "conversation.toml"
"""How the programs of a folder converse that have no file of their own."""


class Attempt(NamedTuple):
    """Something that was handed in.

    name: what it is called in reports; path: its file; kind: RULES, TABLE, PROGRAM or UNKNOWN.
    command: how a program is started; conversation: its conversation file, if there is one.
    """

    name: str
    path: str
    kind: str
    command: tuple[str, ...] = ()
    conversation: str | None = None

    @property
    def is_anonymous(self) -> bool:
        """Whether it is called by a number, and not as its file is."""
        return self.name not in (name_of(Path(self.path).stem), name_of(Path(self.path).name))

    def digest(self) -> str:
        """SHA-256 in hexadecimal of all that was handed in: the file, tables that it names, its conversation."""
        files = [self.path, *self.tables(), *([] if self.conversation is None else [self.conversation])]
        texts = map(os.fsencode, (self.name, self.kind, *self.command))
        parts = [*texts, *map(told_apart, files)]
        return hashlib.sha256(b"".join(len(part).to_bytes(8, "big") + part for part in parts)).hexdigest()

    def tables(self) -> list[str]:
        """The tables that a sheet names, as files beside it."""
        return tables_named(self.path) if self.kind == RULES else []


def attempts_in(
    folder: str | Path,
    *,
    anonymous: bool = False,
    starts: Mapping[str, Sequence[str]] | None = None,
    conversation: str | None = None,
    apart: Sequence[str | None] = (),
) -> list[Attempt]:
    """The attempts of a folder, in the order of their files' names, be their letters capital or small.

    anonymous: whether they are called by their numbers in this order.  starts: what starts a file, by its ending
    (``.bas``).  conversation: for programs without one in the folder.  apart: files that are no attempts wherever
    they lie.  Raises BadInput if there is no such folder, or nothing in it.
    """
    path = Path(folder)
    if not path.is_dir():
        what = "is no folder" if path.exists() else "there is no such folder"
        raise bad(f"{what}; expected a folder of attempts", str(folder))
    try:
        files = sorted((each for each in path.iterdir() if _is_handed_in(each)), key=_as_in_a_register)
    except OSError as error:
        raise bad(f"cannot be read: {error.strerror}", str(folder)) from None
    others = {os.path.realpath(name) for name in apart if name is not None}
    shared = path / CONVERSATION
    usual = str(shared) if shared.is_file() else conversation
    found = [_attempt(each, starts or {}, usual) for each in files if os.path.realpath(each) not in others]
    parts = {os.path.realpath(table) for each in found for table in each.tables()}
    kept = [each for each in found if os.path.realpath(each.path) not in parts]
    if not kept:
        raise bad("holds no attempts; expected rule sheets, tables or programs", str(folder))
    names = _numbers(len(kept)) if anonymous else _names(kept)
    return [each._replace(name=name) for each, name in zip(kept, names, strict=True)]


def _as_in_a_register(path: Path) -> tuple[str, str]:
    """By what names are put in order, on every system alike: Ben stands before cy, and Cy just before cy."""
    return path.name.casefold(), path.name


def _is_handed_in(path: Path) -> bool:
    """Whether a file may be an attempt: not what editors and systems leave behind, and no companion."""
    return not path.name.startswith((".", "~", "__")) and path.suffix.lower() != COMPANION


def _attempt(path: Path, starts: Mapping[str, Sequence[str]], usual: str | None) -> Attempt:
    ending = path.suffix.lower()
    kind = UNKNOWN
    command: tuple[str, ...] = ()
    if not path.is_file():
        pass
    elif ending in starts:
        kind, command = PROGRAM, (*starts[ending], str(path))
    elif ending in INTERPRETERS or (ending not in (*SHEET_ENDINGS, ".csv") and os.access(path, os.X_OK)):
        kind, command = PROGRAM, (str(path),)
    elif ending == ".csv":
        kind = TABLE
    elif ending in SHEET_ENDINGS:
        is_program = not ending and os.access(path, os.X_OK)
        kind, command = (PROGRAM, (str(path),)) if is_program else (RULES, ())
    own = path.with_suffix(COMPANION)
    conversation = (str(own) if own.is_file() else usual) if kind == PROGRAM else None
    return Attempt(name_of(path.stem), str(path), kind, command, conversation)


def _names(attempts: Sequence[Attempt]) -> list[str]:
    """What stands before the last dot of each file's name; all of it where that is not one attempt's alone."""
    often = Counter(each.name.lower() for each in attempts)
    return [
        each.name if often[each.name.lower()] == 1 else name_of(Path(each.path).name) for each in attempts
    ]


def _numbers(count: int) -> list[str]:
    """1, 2, ... with as many digits as the last."""
    digits = len(str(count))
    return [f"{number:0{digits}}" for number in range(1, count + 1)]
