"""What is typed at the stand, line by line or key by key, or the silence when nothing is."""

import os
import queue
import select
import sys
import threading
from collections.abc import Iterator
from time import monotonic
from types import TracebackType
from typing import BinaryIO, Protocol

LONGEST_LINE = 10_000
"""Bytes; what is longer is too long under any house rules, and its rest is not kept."""
RETURN = b"\n"
_ESCAPE, _END = b"\x1b", (b"", b"\x04")
_AT_ONCE = 64
"""Bytes that one key can send: arrows and their like send several."""
_GLANCE = 0.2
"""Seconds of waiting at a stretch: Ctrl-C just before a wait begins is noticed at its end, on Windows always."""


def _glances(seconds: float) -> Iterator[float]:
    """The stretches in which so many seconds are waited; one of no time where there are none."""
    end = monotonic() + seconds
    yield min(seconds, _GLANCE)
    while (left := end - monotonic()) > 0:
        yield min(left, _GLANCE)


class TypedOut(Exception):
    """There will be no more lines: the input has ended."""


class Typist(Protocol):
    """Where lines come from; a context manager."""

    how: str
    """What visitors are told to do, with ``{}`` for an example of a move."""

    def __enter__(self) -> "Typist": ...

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None: ...

    def line(self, seconds: float) -> bytes | None:
        """The next line without its end, or None if nothing comes for so long.  Raises TypedOut at the end."""
        ...


class Lines:
    """Lines of a stream, read beside the stand, so that it can wait for them and give up waiting.

    Nothing else tells on every system whether a whole line is there; the reader ends with the process.
    """

    how = "Type your move, such as {}, and then Return."

    def __init__(self, stream: BinaryIO) -> None:
        self._stream = stream
        self._lines: queue.SimpleQueue[bytes | None] = queue.SimpleQueue()

    def __enter__(self) -> "Lines":
        threading.Thread(target=self._read, daemon=True).start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        pass

    def line(self, seconds: float) -> bytes | None:
        """The next line without its end, or None if nothing comes for so long.  Raises TypedOut at the end."""
        for glance in _glances(seconds):
            try:
                line = self._lines.get(timeout=glance)
            except queue.Empty:
                continue
            if line is None:
                raise TypedOut
            return line
        return None

    def _read(self) -> None:
        while line := self._stream.readline(LONGEST_LINE):
            rest = line
            while rest and not rest.endswith(b"\n"):
                rest = self._stream.readline(LONGEST_LINE)
            self._lines.put(line.rstrip(b"\r\n"))
        self._lines.put(None)


class Keys:
    """The keys of a POSIX terminal, each as a line of its own, for machines that read keys; Ctrl-D is the end."""

    how = "Press the key of your move, such as {}."

    def __init__(self, terminal: int) -> None:
        """`terminal`: its file descriptor."""
        self._terminal = terminal

    def __enter__(self) -> "Keys":
        import termios
        import tty

        self._before = termios.tcgetattr(self._terminal)
        tty.setcbreak(self._terminal)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        import termios

        termios.tcsetattr(self._terminal, termios.TCSADRAIN, self._before)

    def line(self, seconds: float) -> bytes | None:
        """The next key, or None if none comes for so long; Return is RETURN.  Raises TypedOut at the end."""
        if not self._waits(seconds):
            return None
        key = os.read(self._terminal, 1)
        if key in _END:
            raise TypedOut
        if key == _ESCAPE and self._waits(0):
            os.read(self._terminal, _AT_ONCE)  # the rest of what this key sends
        return RETURN if key == b"\r" else key

    def _waits(self, seconds: float) -> bool:
        """Whether something is typed within so many seconds."""
        return any(select.select([self._terminal], [], [], glance)[0] for glance in _glances(seconds))


def typist_here(*, by_key: bool) -> Typist:
    """Keys, where the house rules read keys and there is a terminal that can tell them one by one; else lines."""
    if by_key and sys.platform != "win32" and sys.stdin.isatty():
        return Keys(sys.stdin.fileno())
    return Lines(
        getattr(sys.stdin.buffer, "raw", sys.stdin.buffer)
    )  # a buffer waited for cannot be left alone
