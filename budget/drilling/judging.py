"""What is made of one reply of a faulty machine."""

from typing import NamedTuple

from budget.conversation import Conversation, Course, State
from budget.drilling.replies import Reply
from budget.faulty import DIFFERS, LOSES, SAME, STOPS, STRAYS, is_lost
from budget.machine.simulator import HALTED, WAITING

CAUGHT = "caught by its check"
CLASSES = (LOSES, STOPS, STRAYS, DIFFERS, CAUGHT, SAME)
"""What comes of a fault, the worst first: as in `budget.faulty`, and besides that the check-sum has stopped it."""


class Judged(NamedTuple):
    """What is made of it, where the game stands if it goes on, and whether a game has ended in it."""

    found: str
    after: State | None
    ends: bool = False


class Judge:
    """Judges replies by the rules of the game; `sign` is what a check-sum prints that is wrong, None without one."""

    def __init__(self, talk: Conversation, sign: tuple[int, ...] | None) -> None:
        self._talk = talk
        self._sign = sign
        self._any: dict[tuple[State | None, tuple[int, ...]], list[Course]] = {}

    def judged(self, before: State | None, typed: tuple[int, ...], reply: Reply, *, differs: bool) -> Judged:
        """What is made of a reply; before: None for the start of the machine; differs: whether it has before."""
        courses = self._courses(before, typed)
        taken = next((course for course in courses if course.said == reply.sent), None)
        differs = differs or not self.is_due(before, typed, reply.sent)
        if differs and is_lost(courses, taken, reply.sent):
            return Judged(LOSES, None)
        if reply.status == HALTED and self._sign is not None and reply.sent[-len(self._sign) :] == self._sign:
            return Judged(CAUGHT, None)
        if reply.status != WAITING:
            return Judged(STOPS, None)
        if taken is None:
            return Judged(STRAYS, None)
        return Judged(DIFFERS if differs else SAME, taken.state, taken.final is not None)

    def is_due(self, before: State | None, typed: tuple[int, ...], sent: tuple[int, ...]) -> bool:
        """Whether the play itself would have said this; it knows only positions that it can meet."""
        try:
            return (self._talk.begin() if before is None else self._talk.enter(before, typed))[1] == sent
        except KeyError:
            return False

    def _courses(self, before: State | None, typed: tuple[int, ...]) -> list[Course]:
        if (before, typed) not in self._any:
            found = self._talk.any_begin() if before is None else self._talk.any_enter(before, typed)
            self._any[before, typed] = found
        return self._any[before, typed]
