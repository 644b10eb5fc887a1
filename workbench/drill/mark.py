"""Where long work stands, in a file: it is kept on the way, and taken up again by whoever asks for the same."""

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any, TypeVar

from games.problems import bad
from workbench.files import write_new

T = TypeVar("T")


def digest_of(parts: Iterable[bytes]) -> str:
    """A name for what is asked for: SHA-256 in hexadecimal of all its parts, each with its length before it."""
    return hashlib.sha256(b"".join(len(part).to_bytes(8, "big") + part for part in parts)).hexdigest()


class Mark:
    """The file in which work of some kind is kept, for one request."""

    def __init__(self, file: str, kind: str, request: str) -> None:
        self._file = Path(file)
        self._head = {"kind": kind, "request": request}

    def taken_up(self, take: Callable[[Mapping[str, Any]], T]) -> T | None:
        """What `take` makes of what was kept; None where nothing was.

        Raises BadInput where the file was made for another request, or is damaged.
        """
        if not self._file.exists():
            return None
        file = str(self._file)
        try:
            kept = json.loads(self._file.read_text(encoding="utf-8"))
            if any(kept[key] != named for key, named in self._head.items()):
                raise bad("was made by a drill of something else; expected another name", file)
            if kept["sum"] != _sum_of(kept["work"]):
                raise ValueError
            return take(kept["work"])
        except (OSError, ValueError, LookupError, TypeError, RecursionError):
            raise bad("is damaged; expected a mark of a drill", file) from None

    def keep(self, what: Mapping[str, Any]) -> None:
        """Put where the work stands into the file, in place of what was there."""
        work = dict(what)
        write_new(self._file, json.dumps({**self._head, "sum": _sum_of(work), "work": work}), overwrite=True)

    def take_away(self) -> None:
        """Nothing is left to be done."""
        self._file.unlink(missing_ok=True)


def _sum_of(work: Any) -> str:
    """By which damage is seen; what is read back gives the same text again."""
    return digest_of([json.dumps(work).encode()])
