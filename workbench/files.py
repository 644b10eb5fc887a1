"""Files written whole or not at all, and nothing overwritten without being asked."""

import os
import tempfile
from pathlib import Path

from games.problems import bad


def write_new(path: str | Path, text: str, *, overwrite: bool = False) -> None:
    """Write a text file as UTF-8 with line ends of one character.

    The text is written beside the target and then put in its place, so that an interruption leaves the old file
    or the new one.  Raises BadInput if the file is there already (unless `overwrite`) or cannot be written.
    """
    target = Path(path)
    if os.path.lexists(target) and not overwrite:
        raise bad("is there already; expected another name (-o NAME), or --force to write over it", str(path))
    try:
        handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.")
    except OSError as error:
        raise bad(f"cannot be written: {_why(error)}", str(path)) from None
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
        Path(name).chmod(0o666 & ~_umask())
        Path(name).replace(target)
    except OSError as error:
        Path(name).unlink(missing_ok=True)
        raise bad(f"cannot be written: {_why(error)}", str(path)) from None
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def _why(error: OSError) -> str:
    """Why a file could not be written, in words of our own where there are some."""
    if isinstance(error, FileNotFoundError | NotADirectoryError):
        return "there is no such folder"
    if isinstance(error, PermissionError):
        return "the system does not permit it"
    return str(error.strerror or error)


def _umask() -> int:
    """The permissions that new files are denied; the system tells only by setting it."""
    mask = os.umask(0)
    os.umask(mask)
    return mask
