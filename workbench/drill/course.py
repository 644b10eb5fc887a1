"""Where a game stands while an answer is gone through, and what was found wrong on the way."""

from typing import NamedTuple

from games.house import AT_ONCE
from workbench.drill.faults import CLAIM_FAILS, PLAY, Finding, Ply
from workbench.drill.reading import Said
from workbench.drill.rules import Entry, Rules
from workbench.drill.worth import Worth


class Judged(NamedTuple):
    """What has come of an input.

    code, is_over: where the game stands.  is_next: whether that is the next game already.  goes_on: whether the
    program can be played on from here.  plies: of the game in which the input was keyed in; opening: of the next
    one.  finals: the final positions that were reached.
    """

    said: Said
    code: int
    is_over: bool
    is_next: bool
    goes_on: bool
    plies: tuple[Ply, ...]
    opening: tuple[Ply, ...]
    finals: tuple[int, ...]
    findings: tuple[Finding, ...]

    @property
    def meaning(self) -> tuple[object, ...]:
        """What makes two answers the same: not their wording."""
        said = self.said
        return said.moves, said.outcomes, said.texts, self.code, self.is_over, self.is_next, self.goes_on


class Course:
    """Where a game stands while an answer is gone through."""

    def __init__(self, rules: Rules, worth: Worth, claim: str, code: int, *, is_over: bool = False) -> None:
        self._rules = rules
        self._worth = worth
        self._claim = claim
        self.code = code
        self.is_over = is_over
        self.is_next = False
        self.goes_on = True
        self.outcome: str | None = None
        self.finals: list[int] = []
        self.plies: list[Ply] = []
        self.opening: list[Ply] = []
        self.findings: list[Finding] = []

    @property
    def begins_at_once(self) -> bool:
        """Whether the next game begins without anything being keyed in, and has not begun yet."""
        return self._rules.game.house.next_game == AT_ONCE and not self.is_next

    def note(self, battery: str, cause: str, detail: str) -> None:
        """Note what is wrong, and that the game can be played on all the same."""
        self.findings.append(Finding(battery, cause, detail))

    def stop(self, battery: str, cause: str, detail: str) -> None:
        """Note what is wrong, and that nobody can say how the game stands in the program now."""
        self.note(battery, cause, detail)
        self.goes_on = False

    def next_game(self) -> None:
        """The next game begins; its plies are kept apart."""
        self.code = self._rules.game.start
        self.is_over = False
        self.is_next = True

    def enter(self, entry: Entry) -> None:
        """What the visitor's input does to the game."""
        if entry.move is not None:
            self.make(entry.move, by_machine=False)
            return
        child = self._rules.after_wrong(self.code, entry.kind)
        if child is not None:
            self.plies.append(Ply(self.code, self._rules.game.fair_moves, child, by_machine=False))
            self._arrive(child)

    def make(self, move: int, *, by_machine: bool) -> None:
        """Make a move, and see what the claim says of it."""
        ply = Ply(self.code, move, self._rules.spot(self.code).moves[move], by_machine)
        (self.opening if self.is_next else self.plies).append(ply)
        if by_machine and self._worth.breaks(self._claim, ply):
            self.note(PLAY, CLAIM_FAILS, f"the machine plays {self._rules.name(move)}")
        self._arrive(ply.after)

    def _arrive(self, code: int) -> None:
        self.code = code
        outcome = self._rules.spot(code).outcome
        if outcome is None:
            return
        self.outcome = outcome
        self.finals.append(code)
        self.is_over = True
        if outcome == "visitor-wins" and self._claim == "never-loses":
            self.note(PLAY, CLAIM_FAILS, "the visitor wins")

    def judged(self, said: Said) -> Judged:
        """What has come of it all."""
        if self.goes_on and self.is_over and self.begins_at_once:
            self.next_game()
        return Judged(
            said,
            self.code,
            self.is_over,
            self.is_next,
            self.goes_on,
            tuple(self.plies),
            tuple(self.opening),
            tuple(self.finals),
            tuple(self.findings),
        )
