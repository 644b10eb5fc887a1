"""The day at the stand: title, game, result, and again, until the attendant closes it.

The stand knows nothing of terminals and clocks: lines, or silence, come from a `Typist`, views go to a `Screen`, and
what happens goes to a `Logbook` before it is shown.
"""

from typing import NamedTuple

from workbench.stand.course import Course, Step
from workbench.stand.events import (
    ALIVE,
    BEGUN,
    CLOSED,
    DROPPED,
    ENTERED,
    GONE_ON,
    LEFT,
    Event,
)
from workbench.stand.history import Played, history_of
from workbench.stand.logbook import Logbook, read_log
from workbench.stand.screen import Screen, View
from workbench.stand.typist import RETURN, TypedOut, Typist

RETURN_ALONE = (b"", RETURN)
BEAT = 60.0
"""Seconds of silence after which the log says that the stand is running: so exactly are running hours known."""


class Pace(NamedTuple):
    """Seconds: how long a result stays, how long a visitor may think, and how long to wait for one who is asked."""

    result: float = 10.0
    patience: float = 120.0
    last_call: float = 30.0


class Closed(Exception):
    """The attendant has closed the stand, or there is no more input."""


class Stand:
    """Visitors one after another, at one screen.

    title: what is said while nobody plays, a line each; word: what the attendant types to close.
    """

    def __init__(
        self,
        course: Course,
        logbook: Logbook,
        screen: Screen,
        typist: Typist,
        *,
        pace: Pace,
        word: str,
        title: tuple[str, ...],
    ) -> None:
        self._course = course
        self._logbook = logbook
        self._screen = screen
        self._typist = typist
        self._pace = pace
        self._word = word.strip().lower().encode()
        self._title = title
        history = history_of(logbook.log, logbook.path)
        self._number = len(history.games)
        self._interrupted = history.unfinished

    def run(self, go_on: bool | None = None) -> None:
        """Play until the stand is closed.

        go_on: whether with a game in which the stand was interrupted; None to ask the attendant.
        """
        try:
            if self._interrupted is not None:
                self._take_up(self._interrupted, go_on)
            while True:
                self._wait_for_a_visitor()
                while self._play_one():
                    pass
        except (Closed, TypedOut):
            pass
        finally:
            self._close()

    def _close(self) -> None:
        """A game that is being played ends here; and the log says that the stand was closed, and did not fail.

        What is being played is told by the log alone: whatever broke in, a line of it is there whole or not at all.
        """
        log = read_log(self._logbook.path)
        unfinished = history_of(log, self._logbook.path).unfinished
        since_opened = log.events[len(self._logbook.log.events) :]
        if unfinished is not None and any(event.kind in (BEGUN, GONE_ON) for event in since_opened):
            self._logbook.append(Event(LEFT, unfinished.number))
        self._logbook.append(Event(CLOSED))

    def _take_up(self, played: Played, go_on: bool | None) -> None:
        """Go on with an interrupted game, where it stood; or say in the log that it is given up.

        Where nobody answers, it goes on: its visitor is likelier to be there than the attendant.
        """
        step = self._course.begin()
        for event in played.inputs:
            step = self._course.enter(event.text.encode("latin-1"))
        if go_on is None:
            self._show(
                (f"Game {played.number} was interrupted here.",), "Return: go on with it. n: give it up."
            )
            go_on = not (self._hear(BEAT) or b"").strip().lower().startswith(b"n")
        if not go_on:
            self._note(DROPPED)
            return
        self._note(GONE_ON)
        if self._finish(step):
            while self._play_one():
                pass

    def _wait_for_a_visitor(self) -> None:
        self._course.begin()
        self._show(self._title, "Press Return to play.")
        while self._hear(BEAT) is None:
            pass

    def _play_one(self) -> bool:
        """One game, from the first board to its result; whether another is wanted at once."""
        step = self._course.begin()
        self._number += 1
        self._logbook.append(Event(BEGUN, self._number, answers=step.answers, result=step.result))
        return self._finish(step)

    def _finish(self, step: Step) -> bool:
        """Play a game to its result; whether another is wanted at once, and not the title."""
        while not step.result:
            inputs = self._inputs(step)
            if inputs is None:
                self._note(LEFT)
                return False
            steps = [self._enter(text) for text in inputs] or [step]
            step = steps[-1]._replace(said=tuple(line for each in steps for line in each.said))
        return self._show_result(step)

    def _inputs(self, step: Step) -> list[bytes] | None:
        """What the visitor types; None if nobody is there.  Return alone answers the question whether somebody is."""
        said = self._with_points(step.said)
        self._show(said, self._ask)
        line = self._hear(self._pace.patience)
        while line is None:
            self._show((*said, "ARE YOU STILL THERE? PRESS RETURN TO GO ON."), self._ask)
            line = self._hear(self._pace.last_call)
            if line is None:
                return None
            if line in RETURN_ALONE:
                self._show(said, self._ask)
                line = self._hear(self._pace.patience)
        return self._course.inputs_in(line)

    def _enter(self, text: bytes) -> Step:
        """Take one input, and see it written before it is shown."""
        plies = self._course.plies
        step = self._course.enter(text)
        kept = text[: self._course.game.house.form.longest + 1]  # what is too long stays so
        self._logbook.append(
            Event(
                ENTERED,
                self._number,
                plies,
                kept.decode("latin-1"),
                step.input_class,
                step.effect,
                step.answers,
                step.result,
            )
        )
        return step

    def _show_result(self, step: Step) -> bool:
        """The result for a while; whether somebody wants to play again at once.  What else is typed comes too late."""
        said = self._with_points(step.said)
        while True:
            self._show(said, f"Again in {self._pace.result:.0f} s. Press Return to play at once.")
            line = self._hear(self._pace.result)
            if line is None or line in RETURN_ALONE:
                return line is not None
            said = tuple(word for text in self._course.inputs_in(line) for word in self._enter(text).said)

    def _hear(self, seconds: float) -> bytes | None:
        """A line, or None after so many seconds of silence.  Raises Closed at the attendant's word."""
        while seconds > 0:
            waiting = min(seconds, BEAT)
            line = self._typist.line(waiting)
            if line is not None:
                if line.strip().lower() == self._word:
                    raise Closed
                return line
            if waiting == BEAT:
                self._logbook.append(Event(ALIVE))
            seconds -= waiting
        return None

    def _with_points(self, said: tuple[str, ...]) -> tuple[str, ...]:
        """What is said, and who is ahead where moves score."""
        points = self._course.points()
        return (*said, points) if points else said

    @property
    def _ask(self) -> str:
        return f"{self._course.game.house.messages['ask']}?"

    def _note(self, kind: str) -> None:
        self._logbook.append(Event(kind, self._number))

    def _show(self, said: tuple[str, ...], ask: str) -> None:
        self._screen.show(View(self._course.drawing(), said, ask))
