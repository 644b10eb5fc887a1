"""One running copy of the program, game after game: as long as it goes on by itself it is not started anew."""

from collections.abc import Sequence

from workbench.drill.course import Judged
from workbench.drill.faults import Step
from workbench.drill.judging import Judge
from workbench.drill.process import Heard, Running
from workbench.drill.rules import Entry
from workbench.drill.sandbox import Sandbox
from workbench.drill.waiting import Waiting


class Player:
    """Starts the program when it is needed, and knows how the game that is about to be played has begun."""

    def __init__(self, sandbox: Sandbox, command: Sequence[str], waiting: Waiting, judge: Judge) -> None:
        self.starts = 0
        self._sandbox = sandbox
        self._command = command
        self._waiting = waiting
        self._judge = judge
        self._running: Running | None = None
        self._opening: Judged | None = None
        self.begun = self._first = Step(None, (), ())
        """What was printed before the first input of this game, if need be after the game before."""

    def opening(self) -> Judged:
        """How the game begins: the program is started if it does not run."""
        if self._running is None:
            terminal = self._judge.rules.manner.terminal
            self._running = Running(self._sandbox, self._command, terminal=terminal)
            self.starts += 1
            heard = self._running.hear(self._waiting, is_opening=True)
            self._opening = self._judge.opening(heard)
            said, plies = self._opening.said, self._opening.opening
            self.begun = self._first = Step(None, said.pieces, plies, heard.ending)
        assert self._opening is not None
        return self._opening

    def enter(self, entry: Entry) -> Heard:
        """Key in something; what comes back."""
        assert self._running is not None
        self._running.key_in(entry.typed)
        return self._running.hear(self._waiting)

    def key_in(self, typed: bytes) -> None:
        """Key in several inputs at once."""
        assert self._running is not None
        self._running.key_in(typed)

    def hears(self, printed: str, lines: int) -> bool:
        """Whether exactly this comes back of so many lines that were keyed in at once."""
        assert self._running is not None
        return self._running.hears(printed, lines)

    def pass_on(self, judged: Judged) -> None:
        """What has come of an input; where the next game has begun, that is its opening."""
        if judged.is_next:
            self._opening = judged._replace(findings=())
            is_alike = judged.opening == self._first.plies
            self.begun = self._first if is_alike else Step(None, judged.said.pieces, judged.opening)

    def stop(self) -> None:
        """End the program; the next game begins with a new one."""
        if self._running is not None:
            self._running.end()
            self._running = None
