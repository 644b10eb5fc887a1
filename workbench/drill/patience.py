"""How long an answer is waited for: by the clock, but a program that the machine does not let run has longer.

On a busy machine a program may stand still for a second in the middle of a line that it prints, and then silence
does not mean that it waits.  Linux tells of every process whether it sleeps or wants to run, and how long it has
run; where no system tells, only the clock counts.
"""

import os
import time
from pathlib import Path
from typing import NamedTuple

LONGEST = 5
"""At most so many times the time of an answer passes by the clock, however little of it the program had."""
_PROCESSES = Path("/proc")
_STATE, _SESSION, _TICKS = 0, 3, slice(11, 15)
"""Places of proc(5) after the name; the ticks are those of the process and of its children that have ended."""
_BUSY = frozenset("RD")
"""States of a process that wants to go on: it runs or waits for its turn to run, or for a disk."""


class Effort(NamedTuple):
    """What the processes of a session do.  is_busy: whether one of them wants to run.  ticks: of processor time."""

    is_busy: bool
    ticks: int


class Session:
    """The processes of a session, as the system tells of them; only those that are known are looked at every time."""

    def __init__(self, leader: int) -> None:
        self._leader = leader
        self._known = {leader}
        self._is_told = bool(_fields(os.getpid()))

    def glance(self) -> Effort | None:
        """What the processes do that are known already; None where the system does not tell."""
        if not self._is_told:
            return None
        told = [fields for fields in map(_fields, self._known) if fields]
        return Effort(
            any(fields[_STATE] in _BUSY for fields in told),
            sum(int(ticks) for fields in told for ticks in fields[_TICKS]),
        )

    def look(self) -> Effort | None:
        """The same of all of them, those included that were started since."""
        if _PROCESSES.is_dir():
            numbers = (int(each.name) for each in _PROCESSES.iterdir() if each.name.isdigit())
            self._known |= {each for each in numbers if self._is_ours(_fields(each))}
        return self.glance()

    def _is_ours(self, fields: list[str]) -> bool:
        return bool(fields) and int(fields[_SESSION]) == self._leader


class Patience:
    """How long one answer of a program is waited for, in a session of its own."""

    def __init__(self, session: Session, milliseconds: int) -> None:
        self._session = session
        self._seconds = milliseconds / 1000
        self._begun = time.monotonic()
        self._before = self._heard = session.glance()

    def hear(self) -> None:
        """It has printed something just now."""
        self._heard = self._session.glance()

    @property
    def left(self) -> float:
        """Seconds until the clock says that its time is over; not below 0."""
        return max(0.0, self._begun + self._seconds - time.monotonic())

    def has_settled(self, seconds: float) -> bool:
        """Whether it does nothing, as far as one can see, or has run for so long since it printed something.

        An emulator never sleeps: it asks its keyboard again and again.
        """
        now = self._session.look()
        return now is None or self._heard is None or not now.is_busy or _ran(self._heard, now) >= seconds

    @property
    def is_over(self) -> bool:
        """Whether the program has had its time."""
        passed = time.monotonic() - self._begun
        if passed < self._seconds:
            return False
        now = self._session.look()
        if now is None or self._before is None or not now.is_busy or passed >= LONGEST * self._seconds:
            return True
        return _ran(self._before, now) >= self._seconds


def _ran(before: Effort, now: Effort) -> float:
    """Seconds of processor time between two looks."""
    return (now.ticks - before.ticks) / os.sysconf("SC_CLK_TCK")


def _fields(process: int) -> list[str]:
    """What the system tells of a process after its name: state, parent, group, session ...; nothing if it is gone."""
    try:  # every answer looks here: a path object would take longer than all the rest
        with open(f"{_PROCESSES}/{process}/stat", "rb") as file:  # noqa: PTH123
            told = file.read()
    except OSError:
        return []
    return told.decode("utf-8", "replace").rpartition(")")[2].split()
