"""Games of steps: men that go from point to point; a full line, or having no move, ends the game."""

from itertools import pairwise, product
from typing import Any

from .boards import Board, Family, Way, put
from .terms import DRAW, FIRST, SEATS, SECOND, State, Toml


class Steps(Family):
    """Men that go from point to point.  A state: turn, signs, counted first moves of both, whether a line was made."""

    def __init__(self, toml: Toml) -> None:
        self.board = board = Board(toml)
        size = len(board.names)
        self.lines = board.lines(toml) if "lines" in toml or "in-a-row" in toml else []
        self.joined = self.joined_points(toml)
        standing = board.read(toml["start"]) if toml.get("start") else "_" * size
        first = toml.get("men", standing.count("F"))
        second = toml.get("second-men", first if "men" in toml else max(1, standing.count("S")))
        self.men = (first, second)
        self.places = self.men != (standing.count("F"), standing.count("S"))
        self.while_placing = toml.get("lines-while-placing", "win")
        waits = self.while_placing == "wait" and self.places
        self.marks_lines = bool(self.lines) and (waits or self.while_placing == "never")
        self.blocked_law = toml.get("blocked", "loses")
        self.barred = {board.names.index(name) for name in toml.get("barred", [])}
        self.barred_to = toml.get("barred-to", "first-man")
        self.guarded = {board.names.index(name) for name in toml.get("guarded", [])}
        self.early = toml.get("guarded-moves", 0)
        self.start = (SEATS.index(toml.get("begins", "first")), standing, (0, 0), False)
        pairs = [(a, b) for a in range(size) for b in range(size) if a != b]
        self.ends: dict[str, tuple[Any, Any]] = (
            {board.names[a]: (None, a) for a in range(size)} if self.places else {}
        )
        self.ends |= {f"{board.names[a]}-{board.names[b]}": (a, b) for a, b in pairs}
        self.ends |= {"pass": (None, None)} if self.blocked_law == "passes" else {}
        self.names = list(self.ends)

    def joined_points(self, toml: Toml) -> set[tuple[int, int]]:
        """Pairs of points between which a man may go, both ways."""
        board = self.board
        if "steps" in toml:
            paths = [[board.names.index(name) for name in path] for path in toml["steps"]]
            joined = {pair for path in paths for pair in pairwise(path)}
        else:
            joined = {
                (a, b) for a, b in product(range(len(board.names)), repeat=2)
                if a != b and self.pattern_joins(toml.get("pattern", "orthogonal"), board.where[a], board.where[b])
            }  # fmt: skip
        return joined | {(b, a) for a, b in joined}

    def pattern_joins(self, pattern: str, a: Way, b: Way) -> bool:
        right, down = b[0] - a[0], b[1] - a[1]
        if pattern == "anywhere":
            return True
        if max(abs(right), abs(down)) != 1:
            return False
        if pattern == "all-neighbours" or 0 in (right, down):
            return True
        # a diagonal goes through the middle of the board if both its ends lie on it
        column, row = 2 * a[0] + 1 - self.board.columns, 2 * a[1] + 1 - self.board.rows
        return pattern == "centre-diagonals" and column * down == row * right

    def placing(self, state: State) -> bool:
        return self.places and state[1].count("FS"[state[0]]) < self.men[state[0]]

    def is_unbarred(self, state: State) -> bool:
        """Whether enough men stand already for barred points to be open."""
        counting = "FS"[state[0]] if self.barred_to == "each-first-man" else "FS"
        return any(sign in counting for sign in state[1])

    def may_enter(self, state: State, a: int, b: int) -> bool:
        """Whether a man may step from a to b as far as guarded points go."""
        if b not in self.guarded or (self.early and state[2][state[0]] >= self.early):
            return True
        other = "SF"[state[0]]
        return any((a, near) in self.joined and sign == other for near, sign in enumerate(state[1]))

    def is_blocked(self, state: State) -> bool:
        turn, signs = state[:2]
        if self.placing(state):
            return not any(sign == "_" and (at not in self.barred or self.is_unbarred(state))
                           for at, sign in enumerate(signs))  # fmt: skip
        return not any(
            signs[a] == "FS"[turn] and signs[b] == "_" and self.may_enter(state, a, b) for a, b in self.joined
        )

    def why_not(self, state: State, name: str) -> str:
        turn, signs = state[:2]
        (a, b), passes = self.ends[name], name == "pass"
        if self.blocked_law == "passes" and self.is_blocked(state) != passes:
            return "may-not-pass" if passes else "must-pass"
        if passes:
            return ""
        if a is not None and self.placing(state):
            return "place-first"
        if a is None and not self.placing(state):
            return "nothing-to-place"
        if a is not None and signs[a] != "FS"[turn]:
            return "not-your-piece"
        if a is not None and (a, b) not in self.joined:
            return "no-such-step"
        if a is None and b in self.barred and not self.is_unbarred(state):
            return "barred"
        if a is not None and not self.may_enter(state, a, b):
            return "no-entry"
        return {"_": "", "F": "taken-by-first", "S": "taken-by-second"}[signs[b]]

    def after(self, state: State, name: str) -> State:
        turn, signs, counted, _ = state
        a, b = self.ends[name]
        if name != "pass":
            signs = put(signs, [(b, "FS"[turn])] + ([] if a is None else [(a, "_")]))
        if self.guarded and self.early:
            more = min(counted[turn] + 1, self.early)
            counted = (more, counted[1]) if turn == FIRST else (counted[0], more)
        return (1 - turn, signs, counted, self.marks_lines and self.makes_line(turn, signs, a, b))

    def makes_line(self, turn: int, signs: str, a: Any, b: Any) -> bool:
        """Whether a move has made a line that counts, where not every line does."""
        held = [line for line in self.lines if all(signs[cell] == "FS"[turn] for cell in line)]
        if b is None:
            return False
        if self.while_placing == "never":
            return a is not None and any(b in line for line in held)
        return bool(held) and (signs.count("F"), signs.count("S")) == self.men

    def ending(self, state: State) -> str | None:
        turn, signs, _, made = state
        if made:
            return SEATS[1 - turn]
        if not self.marks_lines:
            for side in (SECOND, FIRST):
                if any(all(signs[cell] == "FS"[side] for cell in line) for line in self.lines):
                    return SEATS[side]
        if not self.is_blocked(state):
            return None
        if self.blocked_law == "passes":
            return DRAW if self.is_blocked(self.turn_lost(state)) else None
        return {"loses": SEATS[1 - turn], "wins": SEATS[turn], "draws": DRAW}[self.blocked_law]

    def text(self, state: State, seat: int) -> str:
        text = super().text(state, seat)
        if self.guarded and self.early:
            text += f" moved {state[2][seat]}/{state[2][1 - seat]}"
        return f"{text} line" if state[3] else text
