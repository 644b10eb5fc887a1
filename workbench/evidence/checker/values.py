"""Values: what best play comes to in every position, and what a claim asks of a move."""

from collections import deque
from typing import Any

from .terms import SEATS, NotChecked, State

MOST_POSITIONS = 400_000
"""Of a game whose values are worked out; of a larger one they are left out, and that is said."""

Values = dict[State, tuple[str, int]]
"""Who wins a position, and in how many plies."""


def worked_out(game: Any) -> Values:
    """Who wins every position of a game, and in how many plies; positions that are not in it are draws.

    Backwards from the ends: a position is won as soon as one move leads to a won one, and lost when all lead to lost
    ones.  Ends are taken up in order of their distance: the first win found is the nearest, the last loss the farthest.
    """
    children: dict[State, set[State]] = {}
    parents: dict[State, list[State]] = {}
    waiting = [game.start]
    while waiting:
        state = waiting.pop()
        if state in children:
            continue
        if len(children) >= MOST_POSITIONS:
            raise NotChecked(f"the values of more than {MOST_POSITIONS:,} positions were not worked out")
        children[state] = set() if game.ending(state) else set(game.moves(state).values())
        for child in children[state]:
            parents.setdefault(child, []).append(state)
            waiting.append(child)
    ends = [(state, game.ending(state)) for state in children if game.ending(state) in SEATS]
    value = {state: (who, 0) for state, who in ends}
    left = {state: len(after) for state, after in children.items()}
    queue = deque(state for state, _ in ends)
    while queue:
        state = queue.popleft()
        who, plies = value[state]
        for parent in parents.get(state, ()):
            left[parent] -= 1
            if parent not in value and (SEATS[game.mover(parent)] == who or not left[parent]):
                value[parent] = (who, plies + 1)
                queue.append(parent)
    return value


def worth(value: Values, state: State, seat: int) -> int:
    """What a position is worth to the machine: 2 a win, 1 a draw, 0 a loss."""
    if state not in value:
        return 1
    return 2 if value[state][0] == SEATS[seat] else 0


def keeps(value: Values, claim: str, seat: int, before: State, after: State) -> bool:
    """Whether a move of the machine's gives away nothing of what the claim asks for."""
    here, there = worth(value, before, seat), worth(value, after, seat)
    if claim == "never-loses":
        return there >= min(here, 1)
    is_late = claim == "quickest" and here == there == 2 and value[after][1] != value[before][1] - 1
    return there >= here and not is_late
