"""The reply that takes most cycles, where a simulator tells the cycles of whole runs only.

Each reply is the end of a run from the start; the run without it takes so much less.
"""

from budget.conversation import Conversation, State
from budget.toolchains.drill import Worst
from budget.toolchains.toolchain import Image, Toolchain
from budget.toolchains.tour import Edge, edges_of


def slowest(toolchain: Toolchain, image: Image, talk: Conversation) -> Worst | None:
    """Of the inputs that change the position that which takes most cycles; None where no cycles are told.

    What follows a game that has ended is not among them.
    """
    start, _ = talk.begin()
    edges = edges_of(talk)
    worst: Worst | None = None
    known: dict[State, tuple[list[Edge], int]] = {}
    begun = toolchain.play(image, []).total
    if begun is None:
        return None
    known[start] = ([], begun)
    waiting = [start]
    while waiting:
        state = waiting.pop()
        path, before = known[state]
        for edge in edges[state]:
            if state.over or not talk.moves_on(state, edge.typed):
                continue
            total = toolchain.play(image, [bytes(each.typed) for each in (*path, edge)]).total
            assert total is not None
            if worst is None or total - before > worst.cycles:
                worst = Worst(total - before, state, edge.typed)
            if edge.after not in known:
                known[edge.after] = ([*path, edge], total)
                waiting.append(edge.after)
    return worst
