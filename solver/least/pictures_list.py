"""A list of pictures tried out: which picture answers in which state, and which signs could as well be left out."""

from collections.abc import Callable, Sequence
from typing import NamedTuple

from solver.least.pictures_boards import Boards, Picture
from solver.least.pictures_tree import Node, Order, Slot


class Tried(NamedTuple):
    """What comes of a list: the states that each picture answers well, and those met where none does."""

    answered: tuple[int, ...]
    failed: int


def try_out(boards: Boards, pictures: Sequence[Picture]) -> Tried:
    """Follow a list through every state that can arise; where it has no good answer, nothing is followed."""
    sights = [boards.sight(picture) for picture in pictures]
    answered, failed = [0] * len(pictures), 0
    met = waiting = boards.roots
    while waiting:
        state = (waiting & -waiting).bit_length() - 1
        waiting &= waiting - 1
        number = next((i for i, sight in enumerate(sights) if sight.found >> state & 1), None)
        if number is None or sights[number].wrong >> state & 1:
            failed |= 1 << state
            continue
        answered[number] |= 1 << state
        new = boards.after(pictures[number], state) & ~met
        met |= new
        waiting |= new
    return Tried(tuple(answered), failed)


def in_order(node: Node) -> list[Picture]:
    """The pictures of a node in which all is answered, as a list."""
    return [node.slots[number].picture for number in Order(node.slots).in_line()]


def loosened(
    boards: Boards, pictures: Sequence[Picture], goes_on: Callable[[], bool] = lambda: True
) -> list[Picture]:
    """The same list with every sign left out that is not needed, tried from the last picture to the first.

    The list plays something else then, in which it may meet more, but it still keeps the claim.
    goes_on: whether there is time for another try.
    """
    list_ = list(pictures)
    for number in reversed(range(len(list_))):
        for _, cell in boards.signs_of(list_[number]):
            if not goes_on():
                return list_
            looser = [*list_[:number], boards.without(list_[number], cell), *list_[number + 1 :]]
            if not try_out(boards, looser).failed:
                list_ = looser
    return list_


def narrowed(boards: Boards, pictures: Sequence[Picture]) -> Node:
    """A list in which some states may fail as a node to go on from: each picture shows all that its states share.

    Pictures that answer nothing are left out.
    """
    slots, met = [], boards.roots
    for picture, states in zip(pictures, try_out(boards, pictures).answered, strict=True):
        if states:
            slot = Slot(boards, boards.shared(picture, states), states)
            slots.append(slot)
            met |= slot.after()
    return Node(tuple(slots), met)
