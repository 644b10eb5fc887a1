"""The lines of play as a tree of inputs and answers: what is still to be keyed in, and where.

An outside program cannot be stopped and copied, so every line is keyed in from its beginning.  Each is keyed in `RUNS`
times; an input that is answered otherwise on another run has two children, and both are gone through.
"""

from collections.abc import Callable, Hashable, Sequence

from workbench.drill.rules import Entry

RUNS = 2
"""How often each line is keyed in."""
STUBBORN = 20
"""How often in a row an input may lead to what is done already, before what else it once led to is given up."""


class Node:
    """A place in the tree, where the visitor is to key in something.

    code, is_over: where the game stands; left: how many wrong inputs are still to come; is_narrow: whether a single
    line is followed from here; is_first: whether nothing wrong was keyed in before; stripped: what was keyed in so
    far, but for wrong input that changed nothing; skip: what is keyed in next on a line before which all is done.
    """

    __slots__ = (
        "_kids",
        "_misses",
        "_visits",
        "code",
        "entries",
        "is_done",
        "is_first",
        "is_narrow",
        "is_over",
        "left",
        "skip",
        "stripped",
    )

    def __init__(
        self,
        code: int,
        left: int,
        stripped: tuple[bytes, ...],
        entries: Sequence[Entry],
        *,
        is_over: bool,
        is_narrow: bool = False,
        is_first: bool = True,
        skip: tuple[bytes, ...] = (),
    ) -> None:
        self.code = code
        self.is_over = is_over
        self.is_narrow = is_narrow
        self.is_first = is_first
        self.skip = skip
        self.left = left
        self.stripped = stripped
        self.entries = entries
        typed = [entry.typed for entry in entries]
        done = typed.index(skip[0]) if skip and skip[0] in typed else 0
        self._visits = [RUNS] * done + [0] * (len(entries) - done)
        self._misses = [0] * len(entries)
        self._kids: list[dict[Hashable, Node]] = [{} for _ in entries]
        self.is_done = not entries

    def choose(self) -> int | None:
        """The first input behind which there is still something to do."""
        if self.is_done:
            return None
        return next((place for place in range(len(self.entries)) if self._has_work(place)), None)

    def arrive(self, place: int, meaning: Hashable, make: Callable[[], "Node"]) -> tuple["Node", bool, bool]:
        """The child that an answer to an input leads to; whether the answer is new, and whether it is another one."""
        kids = self._kids[place]
        self._visits[place] += 1
        is_new = meaning not in kids
        is_other = is_new and bool(kids)
        if is_new:
            kids[meaning] = make()
        kid = kids[meaning]
        self._misses[place] = self._misses[place] + 1 if kid.is_done and not is_new else 0
        return kid, is_new, is_other

    def peek(self, place: int, meaning: Hashable) -> "Node | None":
        """The child that an answer to an input has led to before."""
        return self._kids[place].get(meaning)

    def settle(self) -> bool:
        """Note it as soon as all is done; whether something had to be given up for it."""
        if self.is_done or self.choose() is not None:
            return False
        self.is_done = True
        return any(not kid.is_done for kids in self._kids for kid in kids.values())

    def forget(self) -> None:
        """Forget what lies below, if all is done."""
        if self.is_done:
            self._kids = []

    def take_back(self, place: int, never_heard: Hashable | None) -> None:
        """Count an input as not keyed in after all: `RUNS` arrivals are taken back.

        never_heard: the answer that was taken for granted then and had never come before; None if it had.
        """
        self._visits[place] -= RUNS
        self.is_done = False
        if never_heard is not None:
            del self._kids[place][never_heard]

    def _has_work(self, place: int) -> bool:
        if self._visits[place] < RUNS:
            return True
        return self._misses[place] < STUBBORN and any(not kid.is_done for kid in self._kids[place].values())


def finished(code: int) -> Node:
    """A leaf: nothing is to be done below it."""
    return Node(code, 0, (), (), is_over=True)
