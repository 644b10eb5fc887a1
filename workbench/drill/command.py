"""The command that runs a program: with an interpreter before it where it is a single file of a known kind."""

import os
import shutil
import sys
from collections.abc import Sequence
from pathlib import Path

from games.problems import bad
from workbench.drill.sandbox import Sandbox

INTERPRETERS = {".py": (sys.executable, "python3"), ".sh": ("sh",), ".pl": ("perl",)}
"""What runs a single file whose name ends so: the first of these that may be run; others are commands themselves."""


def command_for(words: Sequence[str], sandbox: Sandbox) -> tuple[str, ...]:
    """What is started for the words on the command line.

    Names of files are made whole, for the program runs in a folder of its own.  Raises BadInput where there is
    no such program.
    """
    program, *arguments = words
    path = Path(program)
    if path.is_dir():
        raise bad("it is a folder; expected a program", program)
    command = (program, *map(_whole, arguments))
    if path.suffix in INTERPRETERS and path.is_file():
        command = (_interpreter(path, sandbox), _whole(program), *command[1:])
    else:
        command = (_found(program), *command[1:])
    return tuple(_in_reach(each, sandbox) for each in command)


def _in_reach(word: str, sandbox: Sandbox) -> str:
    """A word of the command; a file that who runs the program may not read is copied into its scratch folder."""
    path = Path(word)
    if not path.is_file() or sandbox.may("-r", word):
        return word
    copy = sandbox.folder / path.name
    copy.write_bytes(path.read_bytes())
    copy.chmod(0o755)
    return str(copy)


def _interpreter(path: Path, sandbox: Sandbox) -> str:
    names = INTERPRETERS[path.suffix]
    found = [shutil.which(name, path=where) for where in (None, os.defpath) for name in names]
    usable = next((each for each in found if each is not None and sandbox.may("-x", each)), None)
    if usable is None:
        raise bad(f"expected {names[-1]} to run it with, which is not there for who runs it", str(path))
    return usable


def _found(program: str) -> str:
    """A program by its path, or out of the folders in which programs lie."""
    path = Path(program)
    found = shutil.which(str(path.resolve())) if path.is_file() else shutil.which(program)
    if found is None:
        what = "it cannot be run" if path.exists() else "there is no such program"
        raise bad(f"{what}; expected a program, or the interpreter before it: -- python3 {program}", program)
    return found


def _whole(argument: str) -> str:
    """An argument; the name of a file that is there with its whole path."""
    return str(Path(argument).resolve()) if Path(argument).is_file() else argument
