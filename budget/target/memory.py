"""What was worked out about orders before, kept for the next graph: those of one program differ in an order or two.

Each state is kept once, so that two are the same if they are the same object, and what comes of them is found by that.
"""

from collections.abc import Callable

from budget.target.facts import Facts
from budget.target.knowing import Known, State, agreed

MOST_STATES = 20_000
"""So many states are kept; with more, all of them are forgotten before the next graph."""


class Memory:
    """States, each kept once, and what came of them."""

    def __init__(self) -> None:
        self._states: dict[frozenset[tuple[str, Known]], State] = {}
        self._by_id: dict[int, State] = {}
        self._came: dict[tuple[object, ...], State] = {}
        self._numbers: dict[object, int] = {}
        self._asked: dict[tuple[int, frozenset[str]], frozenset[str]] = {}

    def begin(self) -> None:
        """A new graph begins: forget everything if there is much of it.

        Only then, for what comes of a state is found by where that lies, and a state may lie where another has lain.
        """
        if len(self._states) > MOST_STATES:
            for each in (self._states, self._by_id, self._came, self._numbers):
                each.clear()

    def number_of(self, what: object) -> int:
        """A number that stands for something."""
        return self._numbers.setdefault(what, len(self._numbers))

    # -- what is known ------------------------------------------------------------------------

    def once(self, state: State) -> State:
        """The state that is kept for all that are equal to this one."""
        kept = self._states.setdefault(frozenset(state.items()), state)
        self._by_id[id(kept)] = kept
        return kept

    def holds(self, state: State) -> bool:
        """Whether this very state is kept."""
        return self._by_id.get(id(state)) is state

    def remembered(self, key: tuple[object, ...], find: Callable[[], State]) -> State:
        """What came of something, found out the first time; the key names states that are kept by their `id`."""
        came = self._came.get(key)
        if came is None:
            came = self._came[key] = self.once(find())
        return came

    def agreed(self, one: State, other: State) -> State:
        """What is known of each name in both of two states that are kept."""
        return one if one is other else self.remembered((id(one), id(other)), lambda: agreed(one, other))

    # -- what is asked for --------------------------------------------------------------------

    def asked(self, facts: Facts, later: frozenset[str]) -> frozenset[str]:
        """What matters before an order, if `later` matters after it."""
        key = (id(facts), later)
        found = self._asked.get(key)
        if found is None:
            found = self._asked[key] = facts.asked_before(later)
        return found
