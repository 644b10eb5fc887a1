"""Files written whole or not at all, and nothing overwritten without being asked."""

import os
import tempfile
from collections.abc import Collection, Iterable, Mapping
from pathlib import Path

from games.problems import bad

IS_THERE = "is there already; expected another name (-o NAME), or --force to write over it"


def write_new(path: str | Path, text: str, *, overwrite: bool = False) -> None:
    """Write a text file as UTF-8 with line ends of one character.

    The text is written beside the target and then put in its place, so that an interruption leaves the old file
    or the new one.  Raises BadInput if the file is there already (unless `overwrite`) or cannot be written.
    """
    target = Path(path)
    if os.path.lexists(target) and not overwrite:
        raise bad(IS_THERE, str(path))
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


def refuse_existing(*paths: str | Path | None) -> None:
    """Raise BadInput for the first of these files that is there already: before long work, not after it."""
    for path in paths:
        if path is not None and os.path.lexists(path):
            raise bad(IS_THERE, str(path))


def write_folder(
    path: str | Path, files: Mapping[str, bytes], *, overwrite: bool = False, ours: Iterable[str] = ()
) -> None:
    """Write a folder of files, which appears whole or not at all.

    The files are written into a folder beside it, which is then put in its place.  `ours` are names of files that we
    may have written at another time.  Raises BadInput if the folder is there already (unless `overwrite`), if it holds
    anything but files of these names, or if it cannot be written.
    """
    target = Path(path)
    there = os.path.lexists(target)
    if there and not overwrite:
        raise bad(IS_THERE, str(path))
    if there:
        _refuse_others(target, {*files, *ours})
    try:
        with tempfile.TemporaryDirectory(
            dir=target.parent, prefix=f".{target.name}.", ignore_cleanup_errors=True
        ) as beside:
            made = Path(beside) / "new"
            made.mkdir()
            for name, content in files.items():
                (made / name).write_bytes(content)
            _put_in_place(made, target, Path(beside) / "old")
    except OSError as error:
        raise bad(f"cannot be written: {_why(error)}", str(path)) from None


def _put_in_place(made: Path, target: Path, aside: Path) -> None:
    """Give a folder its name; what had that name goes aside, and comes back if this fails or is interrupted."""
    there = os.path.lexists(target)
    if there:
        target.rename(aside)
    try:
        made.rename(target)
    except BaseException:
        if there:
            aside.rename(target)
        raise


def _refuse_others(target: Path, known: Collection[str]) -> None:
    """Raise BadInput where writing over something would lose what we have not written."""
    if target.is_symlink() or not target.is_dir():
        raise bad("is no folder; expected another name (-o NAME)", str(target))
    others = sorted(each.name for each in target.iterdir() if each.name not in known)
    if others:
        message = f"holds other files, such as {others[0]}; expected a folder of its own (-o NAME)"
        raise bad(message, str(target))


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
