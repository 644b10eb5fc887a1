"""Run the commands shown in the documents and write down what they print.

A document shows a command and its output in a fenced block marked ``console``::

    ```console
    $ wordtight prove my.rules
    never-loses: proved.
    ```

Each line ``$ wordtight ...`` is run, in order, in one temporary folder per document, and the lines
below it are replaced by what it printed on both outputs together. Lines above the first such
command, and other commands with the lines below them, stay as they are. Three HTML comments, which
readers do not see, prepare what the commands need:

``<!-- files: examples -->``
    copies a folder or file of the repository into the temporary folder.
``<!-- file: my.rules -->``
    writes the content of the fenced block that follows into a file of that name.
``<!-- stdin: 1 -->``
    feeds the rest of the comment, which may run over several lines, to each command of the
    ``console`` block that follows.

Run ``python docs/regenerate.py`` to rewrite all documents, ``--check`` to only show what would
change, and name documents to do only these. Exit status: 0 all is up to date or rewritten, 1 with
``--check`` something would change, 2 a document cannot be used.
"""

from __future__ import annotations

import argparse
import difflib
import os
import re
import shlex
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parent.parent
PROMPT = "$ wordtight"
SECONDS = 600  # no command in a document may take longer, on a machine however busy

# A document is the same wherever it is made: one width, no colour, both outputs in the order of writing.
WANTED = {"COLUMNS": "80", "LINES": "24", "NO_COLOR": "1"}
WANTED |= {"PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": "1", "PYTHONUTF8": "1"}
UNWANTED = {"FORCE_COLOR", "CLICOLOR_FORCE", "PYTHONWARNINGS"}

FENCE = re.compile(r"^(?P<indent> *)(?P<ticks>`{3,})\s*(?P<info>[^`]*)$")
DIRECTIVE = re.compile(r"\s*<!--\s*(files|file|stdin):[ \t]*\n?(.*?)\s*-->\s*", re.DOTALL)


class DocumentError(Exception):
    """A document that cannot be used: the message names the line and what was expected."""


class Piece(NamedTuple):
    """Some lines of a document that belong together."""

    kind: str  # "fence", "comment" or "prose" (always one line)
    number: int  # of its first line, from 1
    lines: list[str]  # without line ends


class Directive(NamedTuple):
    """What a comment asks for: ``files``, ``file`` or ``stdin``, and which or what."""

    name: str
    value: str


def main() -> int:
    parser = argparse.ArgumentParser(
        description="Run the commands in the documents, write down what they print."
    )
    parser.add_argument("--check", action="store_true", help="change nothing, show what would change")
    parser.add_argument("documents", nargs="*", type=Path, help="default: every document of the project")
    arguments = parser.parse_args()
    status = 0
    for document in arguments.documents or all_documents():
        try:
            before = document.read_text(encoding="utf-8")
            after = refreshed(before)
        except (OSError, DocumentError) as mistake:
            print(f"{document}: {mistake}", file=sys.stderr)
            return 2
        if after != before and arguments.check:
            print(difference(document, before, after))
            status = 1
        elif after != before:
            replace(document, after)
            print(f"{document}: rewritten")
    return status


def all_documents() -> list[Path]:
    folders = (ROOT, ROOT / "examples", ROOT / "benchmarks")
    return sorted([*(ROOT / "docs").rglob("*.md"), *(page for each in folders for page in each.glob("*.md"))])


def refreshed(text: str) -> str:
    """Give the document's text with the output of every command as it is now."""
    with tempfile.TemporaryDirectory() as folder:
        lines = [line for piece in refreshed_pieces(text, Path(folder)) for line in piece]
    return "".join(line + "\n" for line in lines)


def refreshed_pieces(text: str, folder: Path) -> Iterator[list[str]]:
    waiting: Directive | None = None  # until its block comes
    for piece in pieces(text):
        directive = directive_of(piece)
        if waiting and (directive or is_text(piece)):
            raise DocumentError(f"line {piece.number}: expected the block that '{waiting.name}:' is for")
        if directive and directive.name == "files":
            copy_in(directive.value, folder, piece.number)
        elif directive:
            waiting = directive
        if piece.kind == "fence":
            yield refreshed_block(piece, waiting or Directive("", ""), folder)
            waiting = None
        else:
            yield piece.lines
    if waiting:
        raise DocumentError(f"the end: expected the block that '{waiting.name}:' is for")


def refreshed_block(piece: Piece, directive: Directive, folder: Path) -> list[str]:
    if directive.name == "file":
        write_shown_file(directive.value, piece, folder)
    elif info(piece) == "console":
        return list(rerun(piece, directive.value, folder))
    elif directive.name == "stdin":
        raise DocumentError(f"line {piece.number}: expected a 'console' block, which 'stdin:' is for")
    refuse_unchecked(piece)
    return piece.lines


def pieces(text: str) -> Iterator[Piece]:
    lines = text.splitlines()
    start = 0
    while start < len(lines):
        kind, length = "prose", 1
        if fence := FENCE.match(lines[start]):
            kind, length = "fence", length_until(rf" *{fence['ticks']}`*\s*$", lines, start, 1)
        elif lines[start].lstrip().startswith("<!--"):
            kind, length = "comment", length_until(r".*-->", lines, start, 0)
        yield Piece(kind, start + 1, lines[start : start + length])
        start += length


def length_until(end: str, lines: list[str], start: int, opening: int) -> int:
    """Count the lines from `start` to the first that matches `end`, not looking at the `opening` ones."""
    for index in range(start + opening, len(lines)):
        if re.match(end, lines[index]):
            return index - start + 1
    raise DocumentError(f"line {start + 1}: this block or comment is never closed")


def directive_of(piece: Piece) -> Directive | None:
    match = DIRECTIVE.fullmatch("\n".join(piece.lines)) if piece.kind == "comment" else None
    return Directive(*match.groups()) if match else None


def is_text(piece: Piece) -> bool:
    return piece.kind == "prose" and bool(piece.lines[0].strip())


def info(piece: Piece) -> str:
    """Give the language written beside the opening ticks of a fenced block."""
    match = FENCE.match(piece.lines[0])
    return match["info"].strip() if match else ""


def inside(piece: Piece) -> list[str]:
    """Give the lines between the ticks, without the indentation that the block has in a list."""
    indent = indentation(piece)
    return [line[indent:] if not line[:indent].strip() else line for line in piece.lines[1:-1]]


def indentation(piece: Piece) -> int:
    return len(piece.lines[0]) - len(piece.lines[0].lstrip())


def refuse_unchecked(piece: Piece) -> None:
    """A command shown in a block of another kind would never be run, and its output could be wrong."""
    for number, line in enumerate(inside(piece), piece.number + 1):
        if line.startswith(PROMPT):
            raise DocumentError(f"line {number}: expected a 'console' block around '{line}'")


def copy_in(name: str, folder: Path, number: int) -> None:
    source = ROOT / name
    if source.is_dir():
        shutil.copytree(
            source, folder / name, ignore=shutil.ignore_patterns("__pycache__"), dirs_exist_ok=True
        )
    elif source.is_file():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(source, folder / name)
    else:
        raise DocumentError(f"line {number}: expected a file or folder of the repository, got '{name}'")


def write_shown_file(name: str, piece: Piece, folder: Path) -> None:
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text("".join(line + "\n" for line in inside(piece)), encoding="utf-8", newline="\n")


def rerun(piece: Piece, stdin: str, folder: Path) -> Iterator[str]:
    """Give the lines of a ``console`` block with the output of its commands as it is now."""
    indent = piece.lines[0][: indentation(piece)]
    closing = piece.lines[-1].strip()
    yield piece.lines[0]
    for line in rerun_lines(piece, stdin, folder):
        if line.lstrip().startswith(closing):
            raise DocumentError(f"line {piece.number}: the output holds a line of ticks: '{line}'")
        yield indent + line if line else line
    yield piece.lines[-1]


def rerun_lines(piece: Piece, stdin: str, folder: Path) -> Iterator[str]:
    command = ""  # the lines so far of a command that is not yet complete
    ours = False  # whether the lines now passing are old output of a command of ours
    for number, line in enumerate(inside(piece), piece.number + 1):
        if command or line.startswith(PROMPT):
            yield line
            command += line.removesuffix("\\")
            if not line.endswith("\\"):
                yield from output(command, stdin, folder, number)
                command, ours = "", True
        elif line.startswith("$ "):
            ours = False
            yield line
        elif not ours:
            yield line
    if command:
        raise DocumentError(f"line {piece.number}: expected a line after the last backslash of this block")


def output(command: str, stdin: str, folder: Path, number: int) -> list[str]:
    """Run a command line that begins with the prompt; give the lines that it printed."""
    words = shlex.split(command.removeprefix("$ "), comments=True)
    environment = {name: value for name, value in os.environ.items() if name not in UNWANTED} | WANTED
    try:
        done = subprocess.run(
            [sys.executable, "-m", "workbench", *words[1:]],
            cwd=folder,
            env=environment,
            input=stdin + "\n" if stdin else "",
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            encoding="utf-8",
            timeout=SECONDS,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise DocumentError(f"line {number}: this command takes more than {SECONDS} seconds") from None
    if "Traceback (most recent call last)" in done.stdout:
        raise DocumentError(f"line {number}: this command fails\n{done.stdout}")
    return [line.rstrip() for line in done.stdout.splitlines()]


def difference(document: Path, before: str, after: str) -> str:
    lines = difflib.unified_diff(
        before.splitlines(),
        after.splitlines(),
        f"{document} as it is",
        f"{document} as it should be",
        lineterm="",
    )
    return "\n".join(lines)


def replace(document: Path, text: str) -> None:
    """Write the document whole or not at all."""
    temporary = document.with_name(document.name + ".new")
    temporary.write_text(text, encoding="utf-8", newline="\n")
    temporary.replace(document)


if __name__ == "__main__":
    sys.exit(main())
