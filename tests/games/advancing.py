"""The slow, obvious reading of games in which men advance: boards are rows of signs, moves are words.

It shares no code with the four rooms.  A position is a pair of the board (rows of ``F``, ``S`` and ``_``, from
the top) and whose turn it is (``F`` or ``S``).
"""

from typing import NamedTuple

DIRECTIONS = {"up": (0, -1), "down": (0, 1), "left": (-1, 0), "right": (1, 0)}
RESULT_OF = {"F": "first", "S": "second"}
OTHER = {"F": "S", "S": "F"}


class Rules(NamedTuple):
    """Everything that a game's file can say."""

    start: tuple
    goes: tuple = ("up", "down")
    steps: tuple = ("forward",)
    captures: tuple = ("diagonal",)
    must_capture: bool = False
    far_edge: str = "wins"
    no_men: str = "loses"
    blocked: str = "loses"

    def toml(self):
        """The same as a file."""
        lists = {"start": self.start, "steps": self.steps, "captures": self.captures}
        words = {
            "family": "advance",
            "first-goes": self.goes[0],
            "second-goes": self.goes[1],
            "far-edge": self.far_edge,
            "no-men": self.no_men,
            "blocked": self.blocked,
        }
        lines = ['kind = "game"', f"columns = {len(self.start[0])}", f"rows = {len(self.start)}"]
        lines += [f'{key} = "{word}"' for key, word in words.items()]
        lines += [f"{key} = {list(found)}".replace("'", '"') for key, found in lists.items()]
        return "\n".join([*lines, f"must-capture = {str(self.must_capture).lower()}", ""])


class Model:
    """A game of these rules, move by move."""

    def __init__(self, rules):
        self.rules = rules
        self.columns, self.rows = len(rules.start[0]), len(rules.start)
        self.goes = {"F": DIRECTIONS[rules.goes[0]], "S": DIRECTIONS[rules.goes[1]]}
        self.start = (rules.start, "F")

    def name(self, x, y):
        if (self.columns, self.rows) == (3, 3):
            return str(3 * y + x + 1)
        return f"{'abcdefghi'[x]}{y + 1}"

    def cells(self):
        return [(x, y) for y in range(self.rows) for x in range(self.columns)]

    def inside(self, x, y):
        return 0 <= x < self.columns and 0 <= y < self.rows

    def ways(self, player, kind):
        right, down = self.goes[player]
        sides = [(0, -1), (0, 1)] if right else [(-1, 0), (1, 0)]
        if kind == "forward":
            return [(right, down)]
        return sides if kind == "sideways" else [(right + x, down + y) for x, y in sides]

    def on_far_edge(self, player, x, y):
        right, down = self.goes[player]
        return not self.inside(x + right, y + down)

    def men(self, board, player):
        return [(x, y) for x, y in self.cells() if board[y][x] == player]

    def steps(self, board, player):
        """The steps onto free cells, and off the board, by name: the board after each."""
        found = {}
        for x, y in self.men(board, player):
            for kind in self.rules.steps:
                for right, down in self.ways(player, kind):
                    to = (x + right, y + down)
                    if self.inside(*to) and board[to[1]][to[0]] == "_":
                        found[f"{self.name(x, y)}-{self.name(*to)}"] = moved(board, (x, y), to)
            if self.rules.far_edge == "leaves" and self.on_far_edge(player, x, y):
                found[f"{self.name(x, y)}-off"] = put(board, (x, y), "_")
        return found

    def captures(self, board, player):
        found = {}
        for x, y in self.men(board, player):
            for kind in self.rules.captures:
                for right, down in self.ways(player, kind):
                    to = (x + right, y + down)
                    if self.inside(*to) and board[to[1]][to[0]] == OTHER[player]:
                        found[f"{self.name(x, y)}-{self.name(*to)}"] = moved(board, (x, y), to)
        return found

    def by_men(self, position):
        board, player = position
        captures = self.captures(board, player)
        steps = {} if captures and self.rules.must_capture else self.steps(board, player)
        return {name: (after, OTHER[player]) for name, after in {**steps, **captures}.items()}

    def moves(self, position):
        """The legal moves of an unfinished position by name: the position after each."""
        board, player = position
        found = self.by_men(position)
        if not found and self.rules.blocked == "passes":
            return {"pass": (board, OTHER[player])}
        return found

    def result(self, position):
        """``first``, ``second`` or ``draw`` if the game is over, else None."""
        board, player = position
        for law, whom in (
            (
                self.rules.far_edge,
                [p for p in "FS" if any(self.on_far_edge(p, *c) for c in self.men(board, p))],
            ),
            (self.rules.no_men, [p for p in "FS" if not self.men(board, p)]),
            (self.rules.blocked, [] if self.by_men(position) else [player]),
        ):
            for found in whom:
                if law == "wins":
                    return RESULT_OF[found]
                if law == "loses":
                    return RESULT_OF[OTHER[found]]
                if law == "draws":
                    return "draw"
                if law == "passes" and not self.by_men((board, OTHER[player])):
                    return "draw"
        return None

    def why_not(self, position, name):
        """The first reason against a move that people can type; None if it is legal."""
        board, player = position
        if name in self.moves(position):
            return None
        can_go = bool(self.by_men(position))
        if self.rules.blocked == "passes" and not can_go:
            return "must-pass"
        if name == "pass":
            return "may-not-pass"
        whole = {self.name(x, y): (x, y) for x, y in self.cells()}
        (x, y), to = whole[name.split("-")[0]], whole.get(name.split("-")[1])
        if board[y][x] != player:
            return "not-your-piece"
        empty = put([self.columns * "_"] * self.rows, (x, y), player)
        everywhere = empty if to is None else put(empty, to, OTHER[player])
        could_step, could_capture = (
            name in self.steps(empty, player),
            name in self.captures(everywhere, player),
        )
        held = "_" if to is None else board[to[1]][to[0]]
        if not could_step and not (could_capture and held != "_"):
            return "no-such-step"
        if held == "_":
            return "must-capture"
        if self.rules.must_capture and could_capture and held != player:
            raise AssertionError("this would have been a legal capture")
        return {"F": "taken-by-first", "S": "taken-by-second"}[held]


def put(board, cell, sign):
    x, y = cell
    rows = list(board)
    rows[y] = rows[y][:x] + sign + rows[y][x + 1 :]
    return tuple(rows)


def moved(board, start, end):
    return put(put(board, start, "_"), end, board[start[1]][start[0]])


class LosingTurns:
    """The same game when one player, the visitor, may also lose a turn at will."""

    def __init__(self, model, visitor):
        self.model, self.visitor, self.start = model, visitor, model.start

    def result(self, position):
        return self.model.result(position)

    def moves(self, position):
        board, player = position
        lost = {"(turn lost)": (board, OTHER[player])} if player == self.visitor else {}
        return self.model.moves(position) | lost


def every_position(model, start=None):
    """All positions that can arise, each with its moves (none at the end)."""
    found, waiting = {}, [start or model.start]
    while waiting:
        position = waiting.pop()
        if position not in found:
            found[position] = {} if model.result(position) else model.moves(position)
            waiting += found[position].values()
    return found


def values(model, positions):
    """Value and plies to the end of every position, found round by round: a win as soon as can be, a loss as late."""
    known = {
        p: (model.result(p), 0 if model.result(p) != "draw" else None) for p in positions if model.result(p)
    }
    while True:
        new = {}
        for position, moves in positions.items():
            if position in known:
                continue
            mine = RESULT_OF[position[1]]
            after = [known.get(child) for child in moves.values()]
            won = [plies for value, plies in filter(None, after) if value == mine]
            if won:
                new[position] = (mine, 1 + min(won))
            elif all(after) and all(value not in (mine, "draw") for value, _ in after):
                new[position] = (RESULT_OF[OTHER[position[1]]], 1 + max(plies for _, plies in after))
        if not new:
            return {position: known.get(position, ("draw", None)) for position in positions}
        known |= new


def can_go_round(positions):
    """Whether play among these positions can be endless: whether some are left when those without a way in go."""
    into = dict.fromkeys(positions, 0)
    for moves in positions.values():
        for child in moves.values():
            into[child] += 1
    waiting = [position for position, count in into.items() if not count]
    gone = 0
    while waiting:
        gone += 1
        for child in positions[waiting.pop()].values():
            into[child] -= 1
            if not into[child]:
                waiting.append(child)
    return gone < len(positions)
