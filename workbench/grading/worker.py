"""A process that does what it is sent: a function and its arguments come in, and what comes of it goes out.

Started by `workbench.grading.crew`, as ``python -m workbench.grading.worker``.
"""

import os
import pickle  # both ends are ours: see `main`
import sys
import threading
import time
from typing import BinaryIO

MEMORY = 6 << 30
"""Bytes of address space: a sheet that looks too far ahead gets a MemoryError, and the machine goes on."""

LOOK = 0.5
"""Seconds between two looks whether anybody still waits for an answer."""


def main() -> None:
    """Serve until the input is closed.

    What is written to the standard output would be taken for an answer, so it goes where errors go.
    """
    answers = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())
    _limit_memory()
    threading.Thread(target=_go_with, args=(os.getppid(),), daemon=True).start()
    serve(sys.stdin.buffer, answers)


def serve(tasks: BinaryIO, answers: BinaryIO) -> None:
    """Answer each task: pairs of a function and its arguments come in; (True, result) or (False, exception) go out."""
    while True:
        try:
            function, arguments = pickle.load(tasks)  # noqa: S301 - it comes from the process that has started us
        except EOFError:
            return
        try:
            answer = (True, function(*arguments))
        except Exception as error:  # noqa: BLE001 - whoever asked decides what to do about it
            answer = (False, error)
        pickle.dump(answer, answers)
        answers.flush()


def _go_with(parent: int) -> None:
    """End in the middle of a task, too, when the process that has sent it was killed.

    A system that gives no orphan another parent (Windows) leaves it its task to the end.
    """
    while os.getppid() == parent:
        time.sleep(LOOK)
    os._exit(1)


def _limit_memory() -> None:
    """Where the system can."""
    try:
        import resource
    except ImportError:
        return
    _, most = resource.getrlimit(resource.RLIMIT_AS)
    limit = MEMORY if most == resource.RLIM_INFINITY else min(MEMORY, most)
    resource.setrlimit(resource.RLIMIT_AS, (limit, most))


if __name__ == "__main__":
    main()
