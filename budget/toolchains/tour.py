"""A walk through all that can happen in a conversation: every input in every state, game after game."""

from collections import deque
from typing import NamedTuple

from budget.closing import MOST_STATES, Unfinished
from budget.conversation import Conversation, State

Codes = tuple[int, ...]


class Step(NamedTuple):
    """One input of a walk: the state in which it is typed, the codes, and those that are due in answer."""

    state: State
    typed: Codes
    said: Codes


class Edge(NamedTuple):
    """An input in a state, what is due, and where it leads."""

    typed: Codes
    said: Codes
    after: State


Edges = dict[State, list[Edge]]


def edges_of(talk: Conversation) -> Edges:
    """Every input in every state that can come."""
    start, _ = talk.begin()
    edges: Edges = {}
    waiting = [start]
    while waiting:
        state = waiting.pop()
        if state in edges:
            continue
        if len(edges) == MOST_STATES:
            raise Unfinished(f"there are more than {MOST_STATES:,} states")
        edges[state] = [_edge(talk, state, typed) for typed in talk.inputs(state)]
        waiting.extend(edge.after for edge in edges[state])
    return edges


def _edge(talk: Conversation, state: State, typed: Codes) -> Edge:
    after, said = talk.enter(state, typed)
    return Edge(typed, said, after)


def tour(edges: Edges, start: State) -> list[Step]:
    """A walk from the start that takes every edge at least once.

    In a state whatever leaves it as it is comes first, then what leads on.  Where nothing new is left, the walk goes to
    the nearest state in which something is, by way of the start.
    """
    todo = {state: sorted(out, key=lambda edge: edge.after == state) for state, out in edges.items()}
    home = _ways_home(edges, start)
    there = _ways_there(edges, start)
    unfinished = [state for state in there if todo[state]][::-1]
    walk: list[Step] = []
    here = start
    while True:
        if todo[here]:
            here = _take(walk, here, todo[here].pop())
            continue
        while unfinished and not todo[unfinished[-1]]:
            unfinished.pop()
        if not unfinished:
            return walk
        while here != start:
            here = _take(walk, here, home[here])
        for edge in _path(there, start, unfinished[-1]):
            here = _take(walk, here, edge)


def _take(walk: list[Step], here: State, edge: Edge) -> State:
    walk.append(Step(here, edge.typed, edge.said))
    return edge.after


def _ways_home(edges: Edges, start: State) -> dict[State, Edge]:
    """For each state the first edge of a shortest way to the start."""
    into: dict[State, list[tuple[State, Edge]]] = {state: [] for state in edges}
    for state, out in edges.items():
        for edge in out:
            into[edge.after].append((state, edge))
    home: dict[State, Edge] = {}
    waiting = deque([start])
    while waiting:
        for state, edge in into[waiting.popleft()]:
            if state not in home:
                home[state] = edge
                waiting.append(state)
    return home


def _ways_there(edges: Edges, start: State) -> dict[State, tuple[State, Edge] | None]:
    """For each state, in the order of their distance from the start, the last edge of a shortest way from there."""
    there: dict[State, tuple[State, Edge] | None] = {start: None}
    waiting = deque([start])
    while waiting:
        state = waiting.popleft()
        for edge in edges[state]:
            if edge.after not in there:
                there[edge.after] = (state, edge)
                waiting.append(edge.after)
    return there


def _path(there: dict[State, tuple[State, Edge] | None], start: State, goal: State) -> list[Edge]:
    """The edges of a shortest way from the start."""
    path = []
    while (way := there[goal]) is not None:
        goal, edge = way
        path.append(edge)
    assert goal == start
    return path[::-1]
