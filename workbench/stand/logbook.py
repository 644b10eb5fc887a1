"""The log of a stand on disk: one line an event, on the disk before the visitor sees what came of it.

Every line is written at its end and pushed through to the disk (fsync).  A power cut can tear the line that is being
written and no other; a torn last line is passed over in reading, and cut off when the stand is opened again.
While a stand is open its log is locked, so that no second stand can write to it.
"""

import os
import sys
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Any, NamedTuple

from games.problems import bad
from workbench.stand.events import OPENED, Event, event_in, line_of, object_in

KIND, VERSION = "stand-log", 1
LARGEST = 1_000_000_000
"""Bytes of a log that is read: some ten thousand days."""
_LOCKED_BYTE = 1 << 30
"""Where Windows locks: beyond what is read, for there a locked byte cannot be read either."""
_DIGESTS = {
    "game_digest": "another game",
    "house_rules_digest": "other house rules",
    "play_digest": "another strategy",
}


class Log(NamedTuple):
    """What a log says: its header, its events with the line of each, and how many bytes all of these take.

    A last line that lacks nothing but its end is taken, and its end counted.
    """

    header: dict[str, Any]
    events: list[Event]
    lines: list[int]
    whole: int


def utc_now() -> str:
    """Date and time, to the second."""
    return datetime.now(UTC).isoformat(timespec="seconds")


def read_log(path: str | Path) -> Log:
    """A log as it stands; a torn last line is passed over.  Raises BadInput where it is none, or damaged."""
    try:
        with Path(path).open("rb") as file:
            content = file.read(LARGEST)
    except OSError as error:
        raise bad(f"cannot be read: {_why(error, 'file')}", str(path)) from None
    return parse_log(content, str(path))


def parse_log(content: bytes, file: str) -> Log:
    """The same from bytes already at hand."""
    lines = content.split(b"\n")
    header = object_in(lines[0])
    if header is None or header.get("kind") != KIND:
        raise bad("is no log of a stand; expected one that wordtight serve has written", file)
    if header.get("version") != VERSION:
        raise bad(f"is a log of version {header.get('version')}; expected version {VERSION}", file, 1)
    log = Log(header, [], [], len(lines[0]) + 1)
    last = max(number for number, line in enumerate(lines, 1) if line.strip(b"\0"))
    whole = log.whole
    for number, line in enumerate(lines[1:last], 2):
        told = object_in(line)
        if told is None and number == last:
            break
        if told is None:
            raise bad("expected an event, a JSON object on one line: the log is damaged here", file, number)
        log.events.append(event_in(told, file, number))
        log.lines.append(number)
        whole += len(line) + 1
    return log._replace(whole=whole)


def require_bond(log: Log, bond: dict[str, Any], file: str) -> None:
    """Raise BadInput unless a log is of the strategy with this `workbench.stand.course.bond`."""
    for key, what in _DIGESTS.items():
        if log.header.get(key) != bond[key]:
            named = log.header.get({"game_digest": "game", "play_digest": "strategy"}.get(key, "house_rules"))
            raise bad(f"is the log of {what} ({named}); expected that of this one, or a new name", file, 1)


class Logbook:
    """A log that is open for writing; a context manager, which closes and unlocks it.

    log: what it said when it was opened.  clock: seconds from anywhere; now: date and time as text.
    """

    def __init__(
        self,
        path: str | Path,
        bond: dict[str, Any],
        clock: Callable[[], float] = time.monotonic,
        now: Callable[[], str] = utc_now,
    ) -> None:
        """Open it, or begin it.  Raises BadInput where another stand has it, or it is another strategy's."""
        self.path = str(path)
        self._clock, self._now = clock, now
        self._opened = clock()
        try:
            self._handle = os.open(
                path, os.O_RDWR | os.O_CREAT | os.O_APPEND | getattr(os, "O_BINARY", 0), 0o666
            )
        except OSError as error:
            raise bad(f"cannot be written: {_why(error, 'folder')}", self.path) from None
        try:
            if not lock(self._handle):
                raise bad("is in use by another stand; expected another name (--log NAME)", self.path)
            self.log = self._mended(bond)
            self.append(Event(OPENED))
        except BaseException:
            os.close(self._handle)
            raise

    def _mended(self, bond: dict[str, Any]) -> Log:
        """What the log says, its torn end cut off; a log that is empty, or torn in its first line, is begun."""
        header = line_of({"kind": KIND, "version": VERSION, **bond})
        content = _all_of(self._handle)
        if header.startswith(content):
            os.ftruncate(self._handle, 0)
            self._write(header)
            _push_folder(self.path)
            content = header
        log = parse_log(content, self.path)
        require_bond(log, bond, self.path)
        if log.whole > len(content):  # all of the last line is there but its end
            self._write(b"\n")
        else:
            os.ftruncate(self._handle, log.whole)
        return log

    def append(self, event: Event) -> None:
        """Write an event, with the time.  It is on the disk when this returns."""
        up = round(self._clock() - self._opened, 1)
        self._write(line_of(event._replace(at=self._now(), up=up).as_json()))

    def _write(self, line: bytes) -> None:
        """Write a line whole, or take back what is there of it: another may follow, such as that of the closing."""
        before = os.fstat(self._handle).st_size
        try:
            while line:
                line = line[os.write(self._handle, line) :]
            os.fsync(self._handle)
        except OSError as error:
            raise bad(f"cannot be written: {_why(error, 'folder')}", self.path) from None
        finally:
            if line:
                os.ftruncate(self._handle, before)

    def __enter__(self) -> "Logbook":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        os.close(self._handle)


def _all_of(handle: int) -> bytes:
    """All that a file holds, from its beginning."""
    os.lseek(handle, 0, os.SEEK_SET)
    content = bytearray()
    while part := os.read(handle, 1 << 20):
        content += part
    return bytes(content)


def lock(handle: int) -> bool:
    """Lock an open file until it is closed; False where somebody else has locked it."""
    try:
        if sys.platform == "win32":
            import msvcrt

            os.lseek(handle, _LOCKED_BYTE, os.SEEK_SET)
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def is_open(path: str | Path) -> bool:
    """Whether a stand has this log open now."""
    with Path(path).open("rb") as file:
        return not lock(file.fileno())


def _push_folder(path: str) -> None:
    """Push a new file's name through to the disk, where the system can do that."""
    if sys.platform == "win32":
        return
    folder = os.open(Path(path).absolute().parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    except OSError as error:
        raise bad(f"cannot be written: {_why(error, 'folder')}", path) from None
    finally:
        os.close(folder)


def _why(error: OSError, missing: str) -> str:
    """Why a log cannot be used, in words of our own where there are some; `missing` is what may not be there."""
    if isinstance(error, FileNotFoundError | NotADirectoryError):
        return f"there is no such {missing}"
    if isinstance(error, IsADirectoryError):
        return "it is a folder"
    if isinstance(error, PermissionError):
        return "the system does not permit it"
    return str(error.strerror or error)
