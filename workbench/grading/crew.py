"""An executor whose processes can be ended one by one: what one attempt does to its process harms no other.

`concurrent.futures.ProcessPoolExecutor` breaks as a whole when one of its processes dies, and cannot end one that takes
too long.
"""

import contextlib
import os
import pickle  # both ends are ours: see `workbench.grading.worker`
import queue
import subprocess
import sys
import threading
from collections.abc import Callable
from concurrent.futures import Executor, Future
from pathlib import Path
from typing import Any, ParamSpec, TypeVar

_P = ParamSpec("_P")
_T = TypeVar("_T")
_HOUSE = Path(__file__).resolve().parent.parent.parent
Call = tuple[Callable[..., Any], tuple[Any, ...]]
"""A module-level function and its arguments."""
_Task = tuple["Future[Any]", Call]


class TookTooLong(Exception):
    """A task was not done after so many seconds, and its process was ended."""


class ProcessEnded(Exception):
    """The process ended before its task was done."""


class Crew(Executor):
    """Processes that each do one task after another; use it in a `with` block.

    seconds: that a task may take.  Tasks are module-level functions without keyword arguments.  A process is started
    when there is first something for it to do.  prepare: a function with its arguments that each process calls before
    its first task, however long that takes.
    """

    def __init__(self, processes: int, seconds: float, prepare: Call | None = None) -> None:
        self._waiting: queue.SimpleQueue[_Task | None] = queue.SimpleQueue()
        self._is_over = threading.Event()
        self._hands = [_Hand(seconds, prepare) for _ in range(processes)]
        self._threads = [
            threading.Thread(target=self._work, args=(hand,), daemon=True) for hand in self._hands
        ]
        for thread in self._threads:
            thread.start()

    def submit(self, fn: Callable[_P, _T], /, *args: _P.args, **kwargs: _P.kwargs) -> "Future[_T]":
        """Have a function called in one of the processes."""
        if kwargs:
            raise TypeError("a crew's tasks take no keyword arguments")
        future: Future[_T] = Future()
        self._waiting.put((future, (fn, args)))
        return future

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        """Let what was submitted be done, or with `cancel_futures` end every process at once."""
        if cancel_futures:
            self._is_over.set()
            for hand in self._hands:
                hand.close()
        for _ in self._threads:
            self._waiting.put(None)
        if wait:
            for thread in self._threads:
                thread.join()

    def _work(self, hand: "_Hand") -> None:
        while (task := self._waiting.get()) is not None:
            future, call = task
            if self._is_over.is_set():
                future.cancel()
            elif future.set_running_or_notify_cancel():
                try:
                    future.set_result(hand.do(call))
                except BaseException as error:  # noqa: BLE001 - it belongs to who waits for the result
                    future.set_exception(error)
        hand.end()


class _Hand:
    """One process, started anew after it has ended."""

    def __init__(self, seconds: float, prepare: Call | None) -> None:
        self._seconds = seconds
        self._prepare = prepare
        self._is_closed = False
        self._process: subprocess.Popen[bytes] | None = None

    def do(self, call: Call) -> Any:
        """What the function gives.  Raises what it raises, TookTooLong or ProcessEnded."""
        process = self._process or self._start()
        is_late = threading.Event()

        def late() -> None:
            is_late.set()
            process.kill()

        timer = threading.Timer(self._seconds, late)
        timer.start()
        try:
            is_well, answer = _ask(process, call)
        except (EOFError, OSError, ValueError, pickle.UnpicklingError):  # ValueError: it was closed meanwhile
            self.end()
            if is_late.is_set():
                raise TookTooLong from None
            raise ProcessEnded from None
        finally:
            timer.cancel()
            timer.join()
        if is_late.is_set():
            self.end()  # the answer came, and its process was ended right after it
        if is_well:
            return answer
        raise answer

    def close(self) -> None:
        """End the process, and start no other."""
        self._is_closed = True
        self.end()

    def end(self) -> None:
        """End the process, if there is one."""
        process, self._process = self._process, None
        if process is None:
            return
        process.kill()
        process.wait()
        for stream in (process.stdin, process.stdout):
            if stream is not None:
                with contextlib.suppress(OSError):  # what was not sent any more
                    stream.close()

    def _start(self) -> "subprocess.Popen[bytes]":
        """A process of its own session, so that Ctrl-C reaches us alone and no attempt is left half judged."""
        path = os.pathsep.join(filter(None, [str(_HOUSE), os.environ.get("PYTHONPATH")]))
        self._process = process = subprocess.Popen(
            [sys.executable, "-m", "workbench.grading.worker"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            env={**os.environ, "PYTHONPATH": path},
            start_new_session=True,
        )
        if self._is_closed:
            self.end()  # it was just being started
        elif self._prepare is not None:
            with contextlib.suppress(
                EOFError, OSError, ValueError
            ):  # the first task will show that it has ended
                _ask(process, self._prepare)
        return process


def _ask(process: "subprocess.Popen[bytes]", task: Call) -> tuple[bool, Any]:
    """Send a task and wait for its answer."""
    assert process.stdin is not None
    assert process.stdout is not None
    pickle.dump(task, process.stdin)
    process.stdin.flush()
    answer: tuple[bool, Any] = pickle.load(process.stdout)  # noqa: S301 - it comes from a process that we have started
    return answer


def cores() -> int:
    """How many processes can work at a time."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
