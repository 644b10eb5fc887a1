"""Every list of so many pictures, gone through: one that keeps the claim is found, or it is proved that there is none.

Take any list that keeps the claim, and let each picture show no more than it must: only the signs on which the boards
agree that it answers first.  Such a list still keeps the claim, since every picture is found in fewer places than
before; where choices are settled each picture is still found in the way in which it plays, and names no lesser cell.
So only such lists are looked for, and each picture grows with the states that are given to it to answer.

A node of the tree says which states are met so far and which slot, one for each picture, is to answer some of them; a
picture is what its states have in common, and so only ever gets wider further down.  The slots have no order: where a
picture is found on a board that another slot is to answer, it has to come later in the list, and a ring of such demands
is the end of a branch.  A node is divided by one state that is met and not yet answered: each slot may answer it, or a
new one.  Nothing is lost: what any list that keeps the claim does in this state is among the ways.
"""

from collections.abc import Iterator
from typing import NamedTuple

from solver.least.pictures_boards import Boards, Joined, Picture, members, set_of


class Slot:
    """A place in the list: the states that its picture is to answer, and what they have in common as the picture.

    found: where the picture is found.  open: the states for which it is not yet known that the slot cannot answer them;
    what a slot cannot answer it can neither when it has grown.  barred: signs of wider pictures that were gone through
    before and may not be grown into any more.
    """

    __slots__ = ("_boards", "_fits", "barred", "found", "open", "picture", "states")

    def __init__(
        self, boards: Boards, picture: Picture, states: int, open_: int = -1, barred: tuple[int, ...] = ()
    ) -> None:
        self._boards = boards
        self.picture = picture
        self.states = states
        self.open = open_ & boards.good_for(picture.target)
        self.barred = barred
        self.found = boards.sight(picture).found
        self._fits: dict[int, list[Joined]] = {}

    def fits(self, state: int) -> list[Joined]:
        """How the slot may answer a state, as far as the other slots do not mind."""
        fits = self._fits.get(state)
        if fits is None:
            fits = self._fits[state] = [
                joined
                for joined in self._boards.joined(self.picture, state)
                if not joined.wrong & self.states and not self._is_barred(joined.picture)
            ]
            if not fits:
                self.open &= ~(1 << state)
        return fits

    def _is_barred(self, picture: Picture) -> bool:
        return any(not signs & ~picture.signs for signs in self.barred)

    def answering(self, state: int, picture: Picture, barred: tuple[int, ...]) -> "Slot":
        """The slot when it has grown to answer one more state."""
        return Slot(self._boards, picture, self.states | 1 << state, self.open, barred)

    def after(self) -> int:
        """What comes after the states that the slot answers."""
        met = 0
        for state in members(self.states):
            met |= self._boards.after(self.picture, state)
        return met


class Node(NamedTuple):
    """The slots so far, and the states that are met whatever comes."""

    slots: tuple[Slot, ...]
    met: int


class Way(NamedTuple):
    """A way to answer a state: the slot, the picture it grows into, and what comes after it there."""

    slot: int
    picture: Picture
    after: int


class Tree:
    """Goes through all lists of at most so many pictures below a node, as far as it is told to.

    look_at: how many states that ask for an answer are looked at in a node; with fewer a node takes less time, and more
    of them are needed.
    found: a node in which every state that is met is answered, once there is one.  nodes: how many have been looked at.
    """

    def __init__(
        self, boards: Boards, most: int, root: Node | None = None, look_at: int | None = None
    ) -> None:
        self.boards = boards
        self.most = most
        self.look_at = look_at or boards.size
        self.nodes = 0
        self.found: Node | None = None
        self._waiting = [root or Node((), boards.roots)]
        self._trouble = [1.0] * boards.size
        """How often each state has ended a branch: such states are looked at first."""

    @property
    def is_done(self) -> bool:
        """Whether a list was found, or all has been gone through in vain."""
        return self.found is not None or not self._waiting

    def advance(self, nodes: int) -> None:
        """Look at some more nodes."""
        while nodes and not self.is_done:
            nodes -= 1
            self.nodes += 1
            self._waiting.extend(reversed(self._divided(self._waiting.pop())))

    def _divided(self, node: Node) -> list[Node]:
        """The nodes below a node; none where there is no list, or where it is found."""
        order = Order(node.slots)
        if order.has_ring:
            return []
        asked = self._asked(node, order)
        if asked is None or self._are_too_many(asked):
            return []
        node = Node(node.slots, asked.met)
        if not asked.ways:
            self.found = node
            return []
        state = min(asked.ways, key=lambda s: (self._worth(asked, s), s))
        return [*self._in_slots(node, state, asked.ways[state]), *self._in_new_slots(node, state)]

    def _worth(self, asked: "Asked", state: int) -> float:
        """States that leave few ways are looked at first, and those that end many branches."""
        ways = len(asked.ways[state]) + (len(self.boards.whole(state)) if asked.room else 0)
        return ways / self._trouble[state] if ways > 1 else 0

    def _asked(self, node: Node, order: "Order") -> "Asked | None":
        """The ways to answer states that are met; None if there is one that nothing can answer.

        What comes next in every way to answer a state is met as well.
        """
        boards, room = self.boards, self.most - len(node.slots)
        ways: dict[int, list[Way]] = {}
        met, waiting = node.met, node.met & ~order.answered
        while waiting and len(ways) < self.look_at:
            state = (waiting & -waiting).bit_length() - 1
            waiting &= waiting - 1
            found = ways[state] = order.ways(state)
            if not found and not (room and boards.whole(state)):
                self._trouble[state] += 1
                return None
            anyway = ~met & (boards.after_whole(state) if room else -1)
            for way in found:
                anyway &= way.after
            waiting |= anyway
            met |= anyway
        return Asked(met, room, ways)

    def _are_too_many(self, asked: "Asked") -> bool:
        """Whether more states than there is room for need new slots, and no two of them can share one."""
        apart: list[int] = []
        unfit = [state for state, ways in asked.ways.items() if not ways]
        for state in sorted(unfit, key=lambda s: (-self._trouble[s], s)):
            if not any(self.boards.can_share(state, other) for other in apart):
                apart.append(state)
                if len(apart) > asked.room:
                    for each in apart:
                        self._trouble[each] += 1 / len(apart)
                    return True
        return False

    def _growth(self, node: Node, way: Way) -> float:
        """By how many signs the slot's picture grows: ways that need little are gone first."""
        return way.picture.signs.bit_count() - node.slots[way.slot].picture.signs.bit_count()

    def _in_slots(self, node: Node, state: int, ways: list[Way]) -> Iterator[Node]:
        """The nodes in which a slot answers the state.

        What was gone through is barred later on; where choices are settled only among pictures that play the same cell
        here, for a wider one that plays another one has other states behind it.
        """
        gone: dict[tuple[int, int], tuple[int, ...]] = {}
        for number, picture, after in sorted(ways, key=lambda way: (self._growth(node, way), way)):
            slot = node.slots[number]
            alike = number, self.boards.played(picture, state) if self.boards.settled else 0
            barred = slot.barred + gone.get(alike, ())
            grown = slot.answering(state, picture, barred)
            met = node.met | (after if picture == slot.picture else grown.after())
            yield Node((*node.slots[:number], grown, *node.slots[number + 1 :]), met)
            gone[alike] = (*gone.get(alike, ()), picture.signs)

    def _targets(self, pictures: list[Picture]) -> list[Picture]:
        """The pictures of a whole board in the order in which they are tried."""
        return pictures

    def _in_new_slots(self, node: Node, state: int) -> Iterator[Node]:
        """The nodes in which a new slot answers the state."""
        if len(node.slots) < self.most:
            pictures = self.boards.whole(state) if node.slots else self.boards.first_of_all(state)
            for picture in self._targets(pictures):
                slot = Slot(self.boards, picture, 1 << state)
                yield Node((*node.slots, slot), node.met | slot.after())


class Asked(NamedTuple):
    """What a node asks for: the states met in any case, the room for new slots, each state's ways in the slots."""

    met: int
    room: int
    ways: dict[int, list[Way]]


class Order:
    """In which order slots have to come: a slot comes after those whose states its picture is found on.

    after: for each slot the set of those that come after it, near or far.
    """

    def __init__(self, slots: tuple[Slot, ...]) -> None:
        self._slots = slots
        self.answered = 0
        for slot in slots:
            self.answered |= slot.states
        self.after = [
            set_of([j for j, other in enumerate(slots) if other is not slot and other.found & slot.states])
            for slot in slots
        ]
        self._go_on()
        self._later = [self._states_of(after) for after in self.after]

    def _go_on(self) -> None:
        """Let what comes after what comes after a slot come after it too."""
        for middle in range(len(self.after)):
            for i, after in enumerate(self.after):
                if after >> middle & 1:
                    self.after[i] = after | self.after[middle]

    @property
    def has_ring(self) -> bool:
        """Whether the demands contradict each other."""
        return any(after >> i & 1 for i, after in enumerate(self.after))

    def ways(self, state: int) -> list[Way]:
        """The ways in which one of the slots may answer a state."""
        slots = self._slots
        able = [number for number, slot in enumerate(slots) if slot.open >> state & 1]
        finding = [number for number, slot in enumerate(slots) if slot.found >> state & 1] if able else []
        last, theirs = self._behind(finding)
        ways = []
        for number in able:
            fits = slots[number].fits(state)
            if fits and not last >> number & 1:
                others = theirs
                if number in finding:
                    _, others = self._behind([other for other in finding if other != number])
                others |= self._later[number]
                ways += [Way(number, fit.picture, fit.after) for fit in fits if not fit.found & others]
        return ways

    def _behind(self, slots: list[int]) -> tuple[int, int]:
        """The slots that come after some of these, and the states of all that come after one that these come after."""
        last = states = 0
        for number in slots:
            last |= self.after[number]
            states |= self._slots[number].states | self._later[number]
        return last, states

    def _states_of(self, numbers: int) -> int:
        states = 0
        for number in members(numbers):
            states |= self._slots[number].states
        return states

    def in_line(self) -> list[int]:
        """The slots in an order that obeys all demands."""
        before = [
            set_of([j for j, after in enumerate(self.after) if after >> i & 1])
            for i in range(len(self.after))
        ]
        return sorted(range(len(before)), key=lambda i: (before[i].bit_count(), i))
