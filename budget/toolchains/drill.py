"""A linked program held against the conversation that is due: every input in every state, in one walk.

What it has printed must be the same, byte for byte.  A state here is one of the game's, not of the machine's store; so
this finds no fault where there is none, and closing over the store (`budget.closing`) proves it.
"""

from typing import NamedTuple

from budget.card import CostCard
from budget.closing import Differs
from budget.conversation import Conversation, State
from budget.machine.channel import printed, typed_text
from budget.toolchains.toolchain import Image, Toolchain
from budget.toolchains.tour import Step, edges_of, tour


class Worst(NamedTuple):
    """The input that takes most cycles, and the state in which it was typed."""

    cycles: int
    state: State
    typed: tuple[int, ...]


class Drilled(NamedTuple):
    """A program in which no fault was found.

    states, inputs: how many there are; steps: inputs of the walk; worst: None where cycles are not told; replies,
    cycles: how many inputs were answered by a move or by the end of a game, and the cycles of these together.
    """

    states: int
    inputs: int
    steps: int
    worst: Worst | None
    replies: int
    cycles: int | None


class Everything(NamedTuple):
    """All that can happen in a conversation, in one walk, whatever program is held against it.

    begun: what is said at the start; states, inputs: how many there are; moving: of each step of the walk whether it
    is answered by a move or by the end of a game.
    """

    begun: tuple[int, ...]
    walk: list[Step]
    states: int
    inputs: int
    moving: list[bool]


def everything(talk: Conversation) -> Everything:
    """Find it."""
    edges = edges_of(talk)
    start, begun = talk.begin()
    walk = tour(edges, start)
    moving = [talk.moves_on(step.state, step.typed) for step in walk]
    return Everything(begun, walk, len(edges), sum(map(len, edges.values())), moving)


def drill(toolchain: Toolchain, image: Image, due: Everything, card: CostCard) -> Drilled:
    """Play a program through everything.  Raises Differs at the first difference."""
    walk = due.walk
    heard = toolchain.play(image, [bytes(step.typed) for step in walk])
    _compare(heard.said, due.begun, walk, card)
    replies = sum(due.moving)
    if heard.cycles is None:
        return Drilled(due.states, due.inputs, len(walk), None, replies, None)
    _, *took = heard.cycles
    most = max(range(len(walk)), key=took.__getitem__)
    worst = Worst(took[most], walk[most].state, walk[most].typed)
    together = sum(cycles for cycles, moves in zip(took, due.moving, strict=True) if moves)
    return Drilled(due.states, due.inputs, len(walk), worst, replies, together)


def _compare(said: bytes, begun: tuple[int, ...], walk: list[Step], card: CostCard) -> None:
    """Raise Differs, with the first input after which something else was printed than is due."""
    due = bytes(begun) + b"".join(bytes(step.said) for step in walk)
    if said == due:
        return
    same = next(
        (at for at, (one, two) in enumerate(zip(said, due, strict=False)) if one != two),
        min(len(said), len(due)),
    )
    at, where, answer = len(begun), "at the start", begun
    for step in walk:
        if same < at:
            break
        where = f"in position {step.state.code:#x}, after {typed_text(card, step.typed)!r}"
        answer = step.said
        at += len(step.said)
    begin = at - len(answer)
    shown = printed(card, list(said[begin : begin + len(answer) + 1]))
    raise Differs(f"{where}: it prints {shown!r} instead of {printed(card, answer)!r}")
