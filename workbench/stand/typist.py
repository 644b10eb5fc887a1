"""What is typed at the stand, line by line, or the silence when nothing is."""

import queue
import threading
from typing import BinaryIO, Protocol

LONGEST_LINE = 10_000
"""Bytes; what is longer is too long under any house rules, and its rest is not kept."""


class TypedOut(Exception):
    """There will be no more lines: the input has ended."""


class Typist(Protocol):
    """Where lines come from."""

    def line(self, seconds: float) -> bytes | None:
        """The next line without its end, or None if nothing comes for so long.  Raises TypedOut at the end."""
        ...


class Keyboard:
    """Lines of a stream, read beside the stand, so that it can wait for them and give up waiting.

    Nothing else tells on every system whether a whole line is there; the reader ends with the process.
    """

    def __init__(self, stream: BinaryIO) -> None:
        self._stream = stream
        self._lines: queue.SimpleQueue[bytes | None] = queue.SimpleQueue()
        threading.Thread(target=self._read, daemon=True).start()

    def line(self, seconds: float) -> bytes | None:
        """The next line without its end, or None if nothing comes for so long.  Raises TypedOut at the end."""
        try:
            line = self._lines.get(timeout=seconds)
        except queue.Empty:
            return None
        if line is None:
            raise TypedOut
        return line

    def _read(self) -> None:
        while line := self._stream.readline(LONGEST_LINE):
            rest = line
            while rest and not rest.endswith(b"\n"):
                rest = self._stream.readline(LONGEST_LINE)
            self._lines.put(line.rstrip(b"\r\n"))
        self._lines.put(None)
