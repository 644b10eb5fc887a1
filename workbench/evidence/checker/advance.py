"""Games of advance: men that go forward and capture; the far edge, having no men or no move ends the game."""

from collections.abc import Iterable
from typing import Any

from .boards import Board, Family, Way, put
from .terms import DRAW, FIRST, SEATS, SECOND, State, Toml

AHEAD = {"up": (0, -1), "down": (0, 1), "left": (-1, 0), "right": (1, 0)}


class Advance(Family):
    """Men that go forward.  A state: turn, signs."""

    def __init__(self, toml: Toml) -> None:
        self.board = board = Board(toml)
        self.far_law = toml.get("far-edge", "wins")
        self.no_men_law = toml.get("no-men", "wins" if self.far_law == "leaves" else "loses")
        self.blocked_law = toml.get("blocked", "loses")
        self.must_capture = toml.get("must-capture", False)
        ahead = [AHEAD[toml.get("first-goes", "up")], AHEAD[toml.get("second-goes", "down")]]
        self.far = [{cell for cell in range(len(board.names)) if not self.beyond(cell, way)} for way in ahead]
        self.steps = [self.pairs(way, toml.get("steps", ["forward"])) for way in ahead]
        self.captures = [self.pairs(way, toml.get("captures", ["diagonal"])) for way in ahead]
        off = {"off"} if self.far_law == "leaves" else set()
        for player in (FIRST, SECOND):
            self.steps[player] |= {(cell, "off") for cell in self.far[player] if off}
        signs = board.read(toml["start"]) if "start" in toml else self.behind(ahead)
        self.start = (FIRST, signs)
        cells = range(len(board.names))
        self.ends: dict[str, tuple[Any, Any]] = {
            self.name(a, b): (a, b) for a in cells for b in (*cells, *off) if a != b
        }
        self.ends |= {"pass": (None, None)} if self.blocked_law == "passes" else {}
        self.names = list(self.ends)

    def name(self, a: int, b: Any) -> str:
        return f"{self.board.names[a]}-{'off' if b == 'off' else self.board.names[b]}"

    def beyond(self, cell: int, way: Way) -> Way | None:
        """The place one further on, if it is on the board."""
        column, row = self.board.where[cell]
        there = (column + way[0], row + way[1])
        return there if there in self.board.cell_at else None

    def behind(self, ahead: list[Way]) -> str:
        """A row of men on the edge behind either side."""
        sides = [[not self.beyond(cell, (-right, -down)) for cell in range(len(self.board.names))]
                 for right, down in ahead]  # fmt: skip
        return "".join("F" if first else "S" if second else "_" for first, second in zip(*sides, strict=True))

    def pairs(self, way: Way, kinds: Iterable[str]) -> set[tuple[int, Any]]:
        """From where to where a side can go whose men go this way."""
        right, down = way
        aside = ((down, right), (-down, -right))
        ways = {
            "forward": [way],
            "sideways": aside,
            "diagonal": [(right + x, down + y) for x, y in aside],
        }
        going = {(cell, self.beyond(cell, each)) for kind in kinds for each in ways[kind]
                 for cell in range(len(self.board.names))}  # fmt: skip
        return {(cell, self.board.cell_at[there]) for cell, there in going if there}

    def can_capture(self, player: int, signs: str) -> bool:
        return any(signs[a] == "FS"[player] and signs[b] == "SF"[player] for a, b in self.captures[player])

    def is_stuck(self, player: int, signs: str) -> bool:
        can_step = any(
            signs[a] == "FS"[player] and (b == "off" or signs[b] == "_") for a, b in self.steps[player]
        )
        return not can_step and not self.can_capture(player, signs)

    def why_not(self, state: State, name: str) -> str:
        turn, signs = state
        (a, b), passes = self.ends[name], name == "pass"
        if self.blocked_law == "passes" and self.is_stuck(turn, signs) != passes:
            return "may-not-pass" if passes else "must-pass"
        if passes:
            return ""
        if signs[a] != "FS"[turn]:
            return "not-your-piece"
        there = "_" if b == "off" else signs[b]
        steps = (a, b) in self.steps[turn] and there == "_"
        known = (a, b) in self.steps[turn] or (a, b) in self.captures[turn]
        if not steps and not (known and there != "_"):
            return "no-such-step"
        if steps:
            return "must-capture" if self.must_capture and self.can_capture(turn, signs) else ""
        if (a, b) in self.captures[turn] and there == "SF"[turn]:
            return ""
        return "taken-by-first" if there == "F" else "taken-by-second"

    def after(self, state: State, name: str) -> State:
        turn, signs = state
        a, b = self.ends[name]
        if name == "pass":
            return (1 - turn, signs)
        return (1 - turn, put(signs, [(a, "_")] + ([] if b == "off" else [(b, "FS"[turn])])))

    def ending(self, state: State) -> str | None:
        turn, signs = state
        stuck = [self.is_stuck(player, signs) for player in (FIRST, SECOND)]
        blocked = [stuck[player] and turn == player for player in (FIRST, SECOND)]
        if self.blocked_law == "passes":
            blocked = [all(stuck)] * 2
        across = [any(signs[cell] == "FS"[player] for cell in self.far[player]) for player in (FIRST, SECOND)]
        gone = ["FS"[player] not in signs for player in (FIRST, SECOND)]
        for law, happened in ((self.far_law, across), (self.no_men_law, gone), (self.blocked_law, blocked)):
            for player in (FIRST, SECOND):
                if happened[player] and law not in ("leaves", "nothing"):
                    return {"wins": SEATS[player], "loses": SEATS[1 - player]}.get(law, DRAW)
        return None
