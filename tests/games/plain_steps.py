"""Men that step from point to point, in the slowest and most obvious way; shares no code with the rooms.

A board is a string with a sign for each point: ``F`` the first player's man, ``S`` the second's, ``.`` none.
A move is what people type.
"""

from itertools import permutations
from typing import NamedTuple

from hypothesis import strategies as st

SIGNS = "FS"
FREE = "."


class State(NamedTuple):
    """A position: the board, whose turn it is, first moves counted for each player, whether a line has just won."""

    board: str
    turn: int
    counted: tuple = (0, 0)
    line: bool = False


class PlainSteps(NamedTuple):
    """The rules; points are numbers, steps pairs, lines lists."""

    names: tuple
    steps: tuple
    lines: tuple
    men: tuple
    start: str
    begins: int = 0
    lines_while_placing: str = "win"
    blocked: str = "loses"
    barred: tuple = ()
    barred_to: str = "first-man"
    guarded: tuple = ()
    guarded_moves: int = 0

    def first_state(self):
        return State(self.start, self.begins)

    def joined(self, one, other):
        return (one, other) in self.steps or (other, one) in self.steps

    def points(self):
        return range(len(self.names))

    def in_hand(self, state, player):
        return self.men[player] - state.board.count(SIGNS[player])

    def may_place_on(self, state, point):
        none_yet = state.board.count(SIGNS[state.turn]) == 0
        if self.barred_to == "first-man":
            none_yet = state.board.count(FREE) == len(state.board)
        return not (none_yet and point in self.barred)

    def may_enter(self, state, start, end):
        if end not in self.guarded or (
            self.guarded_moves and state.counted[state.turn] >= self.guarded_moves
        ):
            return True
        other = SIGNS[1 - state.turn]
        return any(self.joined(start, near) and state.board[near] == other for near in self.points())

    def has_line(self, board, sign, through=None):
        return any(
            all(board[point] == sign for point in line) and (through is None or through in line)
            for line in self.lines
        )

    def own_moves(self, state):
        """Moves other than passing: what is typed, the board after it, and where the man now stands if he stepped."""
        sign, board = SIGNS[state.turn], state.board
        if self.in_hand(state, state.turn):
            for point in self.points():
                if board[point] == FREE and self.may_place_on(state, point):
                    yield self.names[point], put(board, point, sign), None
            return
        for start in self.points():
            for end in self.points():
                if board[start] != sign or board[end] != FREE or not self.joined(start, end):
                    continue
                if self.may_enter(state, start, end):
                    name = f"{self.names[start]}-{self.names[end]}"
                    yield name, put(put(board, start, FREE), end, sign), end

    def moves(self, state):
        """For every move that can be made the state after it."""
        after = {}
        for name, board, stepped_to in self.own_moves(state):
            after[name] = State(
                board, 1 - state.turn, self.count(state), self.makes_line(state, board, stepped_to)
            )
        if not after and self.blocked == "passes":
            after["pass"] = State(state.board, 1 - state.turn, self.count(state), False)
        return after

    def count(self, state):
        if not self.guarded or not self.guarded_moves:
            return (0, 0)
        counted = list(state.counted)
        counted[state.turn] = min(self.guarded_moves, counted[state.turn] + 1)
        return tuple(counted)

    def makes_line(self, state, board, stepped_to):
        """Whether a line is made that has to be remembered: where standing lines do not all win."""
        sign = SIGNS[state.turn]
        if not self.remembers():
            return False
        if self.lines_while_placing == "never":
            return stepped_to is not None and self.has_line(board, sign, through=stepped_to)
        return all(board.count(SIGNS[p]) == self.men[p] for p in (0, 1)) and self.has_line(board, sign)

    def remembers(self):
        """Whether standing lines do not all win, so that those that do have to be remembered."""
        return self.lines_while_placing == "never" or (self.lines_while_placing == "wait" and self.places())

    def places(self):
        return any(self.start.count(SIGNS[player]) < self.men[player] for player in (0, 1))

    def result(self, state):
        """``first``, ``second`` or ``draw`` if the game is over, else None."""
        players = ("first", "second")
        if not self.remembers():
            for player in (1, 0):
                if self.has_line(state.board, SIGNS[player]):
                    return players[player]
        elif state.line:
            return players[1 - state.turn]
        if any(True for _ in self.own_moves(state)):
            return None
        if self.blocked == "passes":
            other = state._replace(turn=1 - state.turn)
            return None if any(True for _ in self.own_moves(other)) else "draw"
        return {"loses": players[1 - state.turn], "wins": players[state.turn], "draws": "draw"}[self.blocked]

    def why_not(self, state, name):
        """The reason why a named move may not be made, None if it may."""
        stuck = not any(True for _ in self.own_moves(state))
        if self.blocked == "passes" and (name == "pass") != stuck:
            return "must-pass" if stuck else "may-not-pass"
        if name == "pass":
            return None
        start, _, end = name.rpartition("-")
        target, placing = self.names.index(end), self.in_hand(state, state.turn) > 0
        if start:
            man = self.names.index(start)
            if placing:
                return "place-first"
            if state.board[man] != SIGNS[state.turn]:
                return "not-your-piece"
            if not self.joined(man, target):
                return "no-such-step"
            if not self.may_enter(state, man, target):
                return "no-entry"
        elif not placing:
            return "nothing-to-place"
        elif not self.may_place_on(state, target):
            return "barred"
        return {"F": "taken-by-first", "S": "taken-by-second", FREE: None}[state.board[target]]

    def move_names(self):
        """Everything that is a move's name here."""
        pairs = [f"{a}-{b}" for a in self.names for b in self.names if a != b]
        return [
            *(self.names if self.places() else ()),
            *pairs,
            *(["pass"] if self.blocked == "passes" else []),
        ]

    def kind_of(self, point):
        return self.start[point], point in self.barred, point in self.guarded

    def likenesses(self, swap=False):
        """Every permutation of the points that leaves all as it is; with `swap` it exchanges the players' men."""
        exchanged = {"F": "S", "S": "F", FREE: FREE} if swap else {sign: sign for sign in "FS."}
        steps = {frozenset(step) for step in self.steps}
        lines = {frozenset(line) for line in self.lines}
        for images in permutations(self.points()):
            kinds = [(exchanged[sign], *rest) for sign, *rest in map(self.kind_of, self.points())]
            if (
                all(kinds[point] == self.kind_of(images[point]) for point in self.points())
                and {frozenset(images[point] for point in step) for step in steps} == steps
                and {frozenset(images[point] for point in line) for line in lines} == lines
            ):
                yield images


def put(board, point, sign):
    return board[:point] + sign + board[point + 1 :]


def every_state(first, after):
    """Every state that can be reached, with the ply on which it first is."""
    plies, frontier = {first: 0}, [first]
    while frontier:
        found = []
        for state in frontier:
            for child in after(state):
                if child not in plies:
                    plies[child] = plies[state] + 1
                    found.append(child)
        frontier = found
    return plies


# Random rules ---------------------------------------------------------------------------------------------


@st.composite
def rules(draw, most_points=6):
    """Any rules of the family on a few points; the game may be over before it begins."""
    size = draw(st.integers(3, most_points))
    pairs = [(a, b) for a in range(size) for b in range(a + 1, size)]
    everywhere = st.just(pairs)
    steps = draw(st.one_of(st.lists(st.sampled_from(pairs), min_size=1, unique=True), everywhere))
    line = st.lists(st.integers(0, size - 1), min_size=2, max_size=3, unique=True).map(sorted).map(tuple)
    men = draw(st.integers(1, size // 2)), draw(st.integers(1, size // 2))
    standing = draw(st.permutations("F" * men[0] + "S" * men[1] + FREE * (size - sum(men))))
    kept = draw(st.sampled_from(["none", "all", "some"]))
    if kept == "none":
        standing = FREE * size
    elif kept == "some":
        standing = [sign if draw(st.booleans()) else FREE for sign in standing]
    some_points = st.lists(st.integers(0, size - 1), max_size=2, unique=True).map(tuple)
    return PlainSteps(
        names=tuple("abcdefgh"[:size]),
        steps=tuple(sorted(steps)),
        lines=tuple(draw(st.lists(line, max_size=4, unique=True))),
        men=men,
        start="".join(standing),
        begins=draw(st.integers(0, 1)),
        lines_while_placing=draw(st.sampled_from(["win", "wait", "never"])),
        blocked=draw(st.sampled_from(["loses", "wins", "draws", "passes"])),
        barred=draw(some_points),
        barred_to=draw(st.sampled_from(["first-man", "each-first-man"])),
        guarded=draw(some_points),
        guarded_moves=draw(st.integers(0, 3)),
    )
