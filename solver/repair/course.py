"""Play followed through the choices in front of a strategy: what is met, and the first line that fails."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import NamedTuple

from solver.least.choices import Choices
from solver.least.pictures_boards import members, set_of
from solver.repair.overruled import keeping, tolls

Made = Mapping[int, int]
"""By board the pick that overrules the strategy there."""


class Followed(NamedTuple):
    """The boards met, and the states along a shortest line to one that has no good answer; None if there is none."""

    boards: set[int]
    losing: list[int] | None


class Course:
    """The choices, ready to be followed: the strategy is kept wherever nothing is made and it may be kept.

    overruling: pairs of a board and a pick that overrules the strategy there, sorted.
    """

    def __init__(self, choices: Choices) -> None:
        is_toll, keep = tolls(choices), keeping(choices)
        self.overruling: list[tuple[int, int]] = []
        self._keep_of: dict[int, int] = {}
        for pick, board in enumerate(choices.pick_board.tolist()):
            if keep[pick]:
                self._keep_of[board] = pick
            elif not is_toll[board]:
                self.overruling.append((board, pick))
        self._board = choices.board.tolist()
        pairs = zip(choices.step_state.tolist(), choices.step_pick.tolist(), strict=True)
        self._step_of = {pair: step for step, pair in enumerate(pairs)}
        self._roots = set_of(choices.roots.tolist())
        goes_on = ~is_toll[choices.board[choices.follow]]
        parts = zip(choices.first[:-1].tolist(), choices.first[1:].tolist(), strict=True)
        self._after = [set_of(choices.follow[a:b][goes_on[a:b]].tolist()) for a, b in parts]

    def pick(self, board: int, made: Made) -> int:
        """What is picked on a board; -1 where the strategy is not overruled and cannot be kept."""
        return made.get(board, self._keep_of.get(board, -1))

    def followed(self, made: Made) -> Followed:
        """Follow everything that can come."""
        met: set[int] = set()

        def after(state: int) -> int | None:
            board = self._board[state]
            met.add(board)
            step = self._step_of.get((state, self.pick(board, made)))
            return None if step is None else self._after[step]

        return Followed(met, losing_line(self._roots, after))

    def boards(self, line: list[int]) -> list[int]:
        """The boards of the states on a line, the last first."""
        return [self._board[state] for state in reversed(line)]

    def mending(self, boards: Sequence[int], made: Made) -> Iterator[tuple[int, int]]:
        """On each of some boards, in their order, every pick that overrules the strategy and is not made yet."""
        for board in boards:
            if board not in made:
                yield from ((at, pick) for at, pick in self.overruling if at == board)


def losing_line(roots: int, after: Callable[[int], int | None]) -> list[int] | None:
    """The states along a shortest line to one without a good answer, the least where several are as short.

    roots: the set of states that come first; after: the set of those that come after one, None where there is no good
    answer.  None if every state that can come has one.
    """
    before = dict.fromkeys(members(roots), -1)
    waiting = list(before)
    for state in waiting:
        following = after(state)
        if following is None:
            return _back(before, state)
        for follower in members(following):
            if follower not in before:
                before[follower] = state
                waiting.append(follower)
    return None


def _back(before: Mapping[int, int], state: int) -> list[int]:
    """The states on the way to one, itself last."""
    line = []
    while state >= 0:
        line.append(state)
        state = before[state]
    return line[::-1]
