"""A program that runs: what is keyed in goes to it, and what it prints until it waits comes back."""

import math
import os
import subprocess
import threading
from collections.abc import Sequence
from queue import Empty, SimpleQueue
from typing import NamedTuple

from workbench.drill.patience import LONGEST, Patience, Session
from workbench.drill.sandbox import IS_POSIX, Sandbox, kill_all
from workbench.drill.waiting import PAUSE, SETTLE, Waiting

WAITS, ENDED, LATE, FLOOD = "waits", "ended", "late", "flood"
_CHUNK = 65_536
_LOOK = 0.1
"""Seconds between two looks at a program whose time is over by the clock."""
_END = 1_000
"""Bytes at the end of what is printed in which it shows that a program waits."""


class Heard(NamedTuple):
    """What a program has printed since it was last heard.

    how: WAITS for input; ENDED, with its exit status (below 0: the signal that stopped it); LATE, neither asked nor
    ended in time; FLOOD, printed more than it may.
    """

    text: str
    how: str
    status: int | None = None

    @property
    def ending(self) -> str:
        """How it came to its end, in one word: what `how` says, but "failed" with any status that is not 0."""
        return "failed" if self.how == ENDED and self.status != 0 else self.how


class Running:
    """One running program, on a terminal of its own where it may think that it has one."""

    def __init__(self, sandbox: Sandbox, command: Sequence[str], *, terminal: bool) -> None:
        self._sandbox = sandbox
        self._limits = sandbox.limits
        self._chunks: SimpleQueue[bytes | None] = SimpleQueue()
        self._is_gone = False
        self._came = self._taken = 0
        """Bytes that the reading thread has put down, and that were picked up again."""
        if terminal and IS_POSIX:
            self._in, self._out, self._process = _on_a_terminal(sandbox, command)
        else:
            self._in, self._out, self._process = _on_pipes(sandbox, command)
        self._session = Session(self._process.pid)
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def key_in(self, typed: bytes) -> None:
        """Give it an input; one that has ended does not hear it, which shows when it is heard next."""
        try:
            os.write(self._in, typed)
        except OSError:
            return

    def hear(self, waiting: Waiting, *, is_opening: bool = False) -> Heard:
        """What it prints until it waits, ends, or has had its time.

        is_opening: whether nothing was keyed in yet; then a program that asks with nothing may have nothing to say.
        """
        said = bytearray()
        patience = self._patience()
        while True:
            is_known = waiting.is_known(_as_text(said[-_END:]))
            pause = min(PAUSE, waiting.settle) if is_known else waiting.settle
            try:
                chunk = self._chunks.get(timeout=min(patience.left or pause, pause))
            except Empty:
                text = _as_text(said)
                if (
                    said
                    and (is_known or waiting.may_settle(text))
                    and self._is_silent(patience, waiting.settle)
                ):
                    waiting.learn(text)
                    return Heard(text, WAITS)
                if patience.is_over:
                    may_be_silent = is_opening and not text and waiting.asks_with_nothing
                    return Heard(text, WAITS if may_be_silent else LATE)
                continue
            if chunk is None:
                self._chunks.put(None)  # for whoever listens again
                return Heard(_as_text(said), ENDED, self._status())
            said += chunk
            self._taken += len(chunk)
            if len(said) > self._limits.output_kb * 1024:
                return Heard(_as_text(said[: self._limits.output_kb * 1024]), FLOOD)
            patience.hear()
            if self._chunks.empty() and waiting.is_met(_as_text(said[-_END:])):
                return Heard(_as_text(said), WAITS)

    def hears(self, printed: str, lines: int) -> bool:
        """Whether it prints just this, and no more as far as one can see; each line has the time of an answer."""
        said = bytearray()
        patience = Patience(self._session, lines * self._limits.milliseconds)
        while len(said) < len(printed) or not self._chunks.empty():
            try:
                chunk = self._chunks.get(timeout=min(patience.left or _LOOK, SETTLE))
            except Empty:
                if patience.is_over or patience.has_settled(math.inf):
                    break  # it sleeps, and has said something else
                continue
            if chunk is None:
                self._chunks.put(None)
                return False
            said += chunk
            self._taken += len(chunk)
            if len(said) > self._limits.output_kb * 1024:
                return False
        return said.decode("utf-8", "replace") == printed

    def end(self) -> None:
        """Stop it, and wait until it is gone; once more does nothing."""
        if self._is_gone:
            return
        self._is_gone = True
        kill_all(self._process)
        self._reader.join(timeout=1)
        if self._reader.is_alive():
            return  # something in another session keeps it open; a number that is read must not be given away
        for handle in {self._in, self._out}:
            os.close(handle)

    def _patience(self) -> Patience:
        return Patience(self._session, self._limits.milliseconds)

    def _is_silent(self, patience: Patience, settle: float) -> bool:
        """Whether the program has had time to print more, and nothing of it is under way to us."""
        return patience.has_settled(settle) and self._chunks.empty()

    def _status(self) -> int | None:
        """How it has ended; None where it has closed its output and goes on all the same."""
        seconds = LONGEST * self._limits.milliseconds / 1000
        try:
            return self._sandbox.true_status(self._process.wait(timeout=seconds))
        except subprocess.TimeoutExpired:
            return None

    def _read(self) -> None:
        """Pass on what comes until there is no more, or far too much of it."""
        while self._came - self._taken <= 2 * self._limits.output_kb * 1024 + _CHUNK:
            try:
                chunk = os.read(self._out, _CHUNK)
            except OSError:
                break  # a terminal says so that nobody is there any more
            if not chunk:
                break
            self._came += len(chunk)
            self._chunks.put(chunk)
        self._chunks.put(None)


def _as_text(said: bytes | bytearray) -> str:
    return said.decode("utf-8", "replace")


def _on_a_terminal(sandbox: Sandbox, command: Sequence[str]) -> tuple[int, int, "subprocess.Popen[bytes]"]:
    """Start it on a terminal that neither echoes nor alters anything, so that it prints at once what it prints."""
    import pty
    import tty

    ours, its = pty.openpty()
    try:
        tty.setraw(its)
        process = sandbox.start(command, stdin=its, stdout=its)
    except BaseException:
        os.close(ours)
        raise
    finally:
        os.close(its)
    return ours, ours, process


def _on_pipes(sandbox: Sandbox, command: Sequence[str]) -> tuple[int, int, "subprocess.Popen[bytes]"]:
    its_in, our_in = os.pipe()
    our_out, its_out = os.pipe()
    try:
        process = sandbox.start(command, stdin=its_in, stdout=its_out)
    except BaseException:
        os.close(our_in)
        os.close(our_out)
        raise
    finally:
        os.close(its_in)
        os.close(its_out)
    return our_in, our_out, process
