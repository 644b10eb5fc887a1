"""A drill's judge that also keeps what a program was heard to play, position by position, right or wrong."""

from workbench.drill.course import Course, Judged
from workbench.drill.faults import ENDLESS_OUTPUT, ILLEGAL_MOVE, NO_ANSWER, NO_MOVE, STOPPED
from workbench.drill.judging import Judge
from workbench.drill.process import Heard
from workbench.drill.rules import Entry

_GONE = {NO_ANSWER, STOPPED, ENDLESS_OUTPUT}
"""What a program does that ought to move and never will."""


class ListeningJudge(Judge):
    """Judges as any other, and keeps what the machine was heard to play.

    heard: the moves, by number, in each position in which it was to move; those that it may not make are among them.
    None at all where it should have moved and did not.
    """

    def __init__(self, judge: Judge) -> None:
        super().__init__(judge.rules, judge.reader, judge.worth, judge.claim)
        self.heard: dict[int, set[int]] = {}

    def opening(self, heard: Heard) -> Judged:
        """What is printed before the first input."""
        judged = self._listen(super().opening(heard))
        self._miss(judged, self.rules.game.start)
        return judged

    def answer(self, code: int, *, is_over: bool, entry: Entry, heard: Heard) -> Judged:
        """What is printed after an input in a position."""
        judged = self._listen(super().answer(code, is_over=is_over, entry=entry, heard=heard))
        if not is_over:
            course = Course(self.rules, self.worth, self.claim, code)
            course.enter(entry)
            self._miss(judged, course.code)
        return judged

    def _listen(self, judged: Judged) -> Judged:
        made = [ply for ply in (*judged.plies, *judged.opening) if ply.by_machine]
        for ply in made:
            self.heard.setdefault(ply.before, set()).add(ply.move)
        causes = {finding.cause for finding in judged.findings}
        if ILLEGAL_MOVE in causes:  # it is told after those that could be made
            self.heard.setdefault(judged.code, set()).add(judged.said.moves[len(made)])
        elif NO_MOVE in causes:
            self.heard.setdefault(judged.code, set())
        return judged

    def _miss(self, judged: Judged, code: int) -> None:
        """Note the position in which the program has gone without a move, if it was to make one."""
        is_gone = any(finding.cause in _GONE for finding in judged.findings)
        if is_gone and self.rules.spot(code).machine_to_move:
            self.heard.setdefault(code, set())
