"""What lies in a folder that was handed in may be anything; here it is looked at without harm.

A pipe would make its reader wait for ever, a device never end, and a large file take long: none of these is read.
"""

import hashlib
import os
import re
from pathlib import Path

from games.tomlfile import LARGEST_FILE

MOST_READ = 64 * LARGEST_FILE
"""Bytes up to which a file is told from another by all that stands in it."""
_NAMES_TABLE = re.compile(rb"^\s*use\s+table\s+\"([^\"\0\n]+)\"", re.MULTILINE | re.IGNORECASE)
NOT_KNOWN = (
    "this is no rule sheet (.rules), table (.csv) or program that can be started (.py, .sh, .pl, what may be run as it "
    "is, or what --start names)"
)


def name_of(file: str) -> str:
    r"""A file's name as text that can be written anywhere: bytes that are no UTF-8 are told by their numbers.

    >>> print(name_of(os.fsdecode(bytes([99, 97, 102, 233]))), name_of("two" + chr(10) + "lines"))
    caf\xe9 two\nlines
    """
    text = os.fsencode(file).decode("utf-8", "backslashreplace")
    return "".join(sign if sign.isprintable() else sign.encode("unicode_escape").decode() for sign in text)


def why_not_known(path: str) -> str:
    """Why something in the folder is neither a sheet, nor a table, nor a program."""
    file = Path(path)
    if file.is_symlink() and not file.exists():
        return "this is a link that leads nowhere; expected the file itself"
    if file.is_dir():
        return "this is a folder; expected a file (put each attempt beside the others)"
    return NOT_KNOWN if file.is_file() else "this is no file; expected a rule sheet, a table or a program"


def told_apart(path: str) -> bytes:
    """What tells a file from another, or from what it was before: what stands in it, or its size and time if large.

    Nothing where there is no file to read.
    """
    if not Path(path).is_file():
        return b""
    try:
        with Path(path).open("rb") as file:
            about = os.fstat(file.fileno())
            if about.st_size > MOST_READ:
                return f"{about.st_size} bytes, changed {about.st_mtime_ns}".encode()
            return hashlib.file_digest(file, "sha256").digest()
    except OSError:
        return b""


def tables_named(path: str) -> list[str]:
    """The tables that a sheet names, as files beside it; none in what is too large for a sheet."""
    try:
        with Path(path).open("rb") as file:
            text = file.read(LARGEST_FILE + 1)
    except OSError:
        return []
    if len(text) > LARGEST_FILE:
        return []
    return [str(Path(path).parent / os.fsdecode(name)) for name in _NAMES_TABLE.findall(text)]
