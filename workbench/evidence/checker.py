"""Check evidence that Wordtight has written, without Wordtight.

    python checker.py EVIDENCE [--strategy FILE]

This file needs nothing but Python: copy it anywhere.  It knows by itself how games of the families *marks*, *steps* and
*advance* are played, what house rules cost, and what the three claims ask; of any other game it follows the moves that
the evidence lists, and says that it trusts them.  docs/evidence.md tells what stands in a file of evidence.

It is read from the top: boards, the three families, house rules, values (what best play comes to); then a section for
each thing that is checked: proofs and refutations, the fewest answers, conversations; last the file and its header.  No
section needs a later one, so of the families, and of what is checked, you may pass over all but the one that you care
for; docs/evidence.md says how long each is.

Status: 0 the evidence holds; 1 it does not; 2 the file is none; 3 part of it was not checked.
"""

import hashlib
import json
import re
import sys
import tomllib
from collections import deque
from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise, product
from pathlib import Path
from typing import Any

FIRST, SECOND = 0, 1
SEATS = ("first", "second")
DRAW = "draw"
CLAIMS = ("never-loses", "best-value", "quickest")
LETTERS = "abcdefghijklmnopqrstuvwxyz"
MOST_POSITIONS = 400_000
"""Of a game whose values must be worked out; for a larger one that is left out, and said."""
MOST_TURNINGS = 240
MOST_INPUTS = 2_000
"""In one game of a drill."""


State = tuple[Any, ...]
"""A position: what stands in it, each game says for itself."""
Toml = dict[str, Any]
Record = dict[str, Any]
Numbered = list[tuple[int, Record]]
"""Lines of the file with their numbers."""
Answers = dict[str, Record]
"""What the machine answers in a position, by its text."""
Moves = dict[str, State]
"""The positions to which moves lead, by what is typed."""
Met = dict[State, Moves]
Leads = dict[State, dict[State, set[State]]]
"""For positions of the machine's what each pick leads to."""
Values = dict[State, tuple[str, int]]
"""Who wins a position, and in how many plies."""
Way = tuple[int, int]
"""Columns to the right and rows down."""


class Wrong(Exception):
    """The evidence does not show what it says."""


class Unreadable(Exception):
    """The file is no evidence at all."""


class NotChecked(Exception):
    """Something is right as far as it goes, but this program cannot decide the rest."""


# Boards ---------------------------------------------------------------------------------------------------


class Board:
    """Named cells on a rectangle, in reading order; some places of it may be holes."""

    def __init__(self, toml: Toml) -> None:
        self.columns, self.rows = toml["columns"], toml["rows"]
        places = [(column, row) for row in range(self.rows) for column in range(self.columns)]
        usual = [f"{LETTERS[column]}{row + 1}" for column, row in places]
        if (self.columns, self.rows) == (3, 3):
            usual = [str(number) for number in range(1, 10)]
        holes = toml.get("holes", [])
        if not set(holes) <= set(usual):
            raise Wrong("there is a hole where there is no square")
        kept = [(place, name) for place, name in zip(places, usual, strict=True) if name not in holes]
        self.where = [place for place, _ in kept]
        self.cell_at = {place: cell for cell, place in enumerate(self.where)}
        self.names = list(toml.get("cells") or [name for _, name in kept])

    def text(self, signs: str) -> str:
        """The signs of the cells as rows, a dot in every hole."""
        rows = [
            "".join(signs[self.cell_at[column, row]] if (column, row) in self.cell_at else "."
                    for column in range(self.columns))
            for row in range(self.rows)
        ]  # fmt: skip
        return "/".join(rows)

    def read(self, rows: Sequence[str]) -> str:
        """The signs of the cells that stand in rows."""
        return "".join(rows[row][column] for column, row in self.where)

    def lines(self, toml: Toml) -> list[list[int]]:
        """The lines as lists of cells: those that are given, or all that are so long."""
        if "lines" in toml:
            return [[self.names.index(name) for name in line] for line in toml["lines"]]
        length, found = toml.get("in-a-row", 0), []
        for (column, row), (right, down) in product(self.where, ((1, 0), (0, 1), (1, 1), (-1, 1))):
            line: list[Any] = [
                self.cell_at.get((column + right * step, row + down * step)) for step in range(length)
            ]
            if line and None not in line:
                found.append(line)
        return found


def seen_from(seat: int, signs: str) -> str:
    """Men or marks as the machine in this seat sees them."""
    mine, visitors = ("F", "S") if seat == FIRST else ("S", "F")
    return signs.replace(mine, "m").replace(visitors, "V").replace("m", "M")


def put(signs: str, changes: Iterable[tuple[Any, str]]) -> str:
    """The signs with some cells changed."""
    changed = list(signs)
    for cell, sign in changes:
        changed[cell] = sign
    return "".join(changed)


class Family:
    """What all families share.  A state begins with whose turn it is and the signs of the cells."""

    board: Board
    names: list[str]
    """Everything that can be typed and looks like a move."""
    start: State

    def mover(self, state: State) -> int:
        return int(state[0])

    def why_not(self, state: State, name: str) -> str:
        """The class of wrong input that this is here; nothing for a legal move."""
        raise NotImplementedError

    def after(self, state: State, name: str) -> State:
        """The state after a legal move."""
        raise NotImplementedError

    def ending(self, state: State) -> str | None:
        """Who has won, or a draw; None while the game goes on."""
        raise NotImplementedError

    def turn_lost(self, state: State) -> State:
        """The same position with the other player to move."""
        return (1 - state[0], *state[1:])

    def text(self, state: State, seat: int) -> str:
        return self.board.text(seen_from(seat, state[1]))

    def legal(self, state: State) -> list[str]:
        return [name for name in self.names if not self.why_not(state, name)]


# Marks ----------------------------------------------------------------------------------------------------


class Marks(Family):
    """Marks on free cells; a full line ends the game."""

    def __init__(self, toml: Toml) -> None:
        self.board = Board(toml)
        self.lines = self.board.lines(toml)
        self.misere = toml.get("misere", False)
        self.falls = toml.get("gravity", False)
        self.whose = toml.get("marks", "own")
        self.names = self.board.names
        if self.falls:
            self.names = list(LETTERS[: self.board.columns])
        elif self.whose == "either":
            self.names = [sign + name for name in self.board.names for sign in "xo"]
        self.start = (FIRST, "_" * len(self.board.names))

    def cell(self, state: State, name: str) -> int | None:
        """The cell on which the mark of a move comes to stand; None in a full column."""
        if self.falls:
            column = LETTERS.index(name)
            cells = [self.board.cell_at[column, row] for row in reversed(range(self.board.rows))]
            return next((cell for cell in cells if state[1][cell] == "_"), None)
        return self.board.names.index(name[1:] if self.whose == "either" else name)

    def why_not(self, state: State, name: str) -> str:
        cell: Any = self.cell(state, name)
        if cell is None:
            return "column-full"
        sign = state[1][cell]
        if sign == "_":
            return ""
        return {"F": "taken-by-first", "S": "taken-by-second"}.get(sign, "taken")

    def after(self, state: State, name: str) -> State:
        turn, signs = state
        sign = {"own": "FS"[turn], "either": name[0].upper(), "same": "X"}[self.whose]
        return (1 - turn, put(signs, [(self.cell(state, name), sign)]))

    def ending(self, state: State) -> str | None:
        turn, signs = state
        for line in self.lines:
            held = {signs[cell] for cell in line}
            if len(held) == 1 and "_" not in held:
                by = "FS".index(*held) if self.whose == "own" else 1 - turn
                return SEATS[1 - by if self.misere else by]
        return None if "_" in signs else DRAW


# Steps ----------------------------------------------------------------------------------------------------


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


# Advance --------------------------------------------------------------------------------------------------


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


# House rules ----------------------------------------------------------------------------------------------


FAMILIES = {"marks": Marks, "steps": Steps, "advance": Advance}
KNOWN = {
    "game": "kind family title from columns rows cells ply-limit repetition-limit",
    "marks": "holes in-a-row lines misere gravity marks",
    "steps": "holes pattern steps in-a-row lines start men second-men begins lines-while-placing blocked barred "
    "barred-to guarded guarded-moves",
    "advance": "start first-goes second-goes steps captures must-capture far-edge no-men blocked",
    "house-rules": "kind input longest messages print next-game rule",
    "rule": "when say cost forgive say-forgiven",
    "when": "any after-end too-long empty not-understood off-board column-full taken taken-by-machine "
    "taken-by-visitor must-pass may-not-pass place-first nothing-to-place not-your-piece no-such-step barred "
    "no-entry must-capture",
    "cost": "nothing turn game",
}


def knows_rules(header: Record) -> bool:
    """Whether the game is there, and of a family that this program knows."""
    return tomllib.loads(header["game"].get("text", "")).get("family") in FAMILIES


def refuse_unknown(toml: Toml, house: Toml) -> None:
    """Raise Wrong for a key or a word that nobody knows: a misspelt rule would else be passed over."""
    rules = house.get("rule", [])
    said = [(toml, f"game {toml['family']}"), (house, "house-rules"), *((rule, "rule") for rule in rules)]
    said += [
        (words, kind)
        for rule in rules
        for words, kind in ((rule["when"], "when"), ([rule.get("cost", "nothing")], "cost"))
    ]
    for words, kinds in said:
        unknown = set(words) - {word for kind in kinds.split() for word in KNOWN[kind].split()}
        if unknown:
            raise Wrong(f"nobody knows the word {sorted(unknown)[0]!r} in the game or its house rules")
    if (toml.get("kind"), house.get("kind")) != ("game", "house-rules"):
        raise Wrong("the texts are not those of a game and of house rules")


class Housed:
    """A game with its limit of plies and its house rules.

    A state: that of the game, plies made, how often each house rule has forgiven, whether one has lost the game.
    """

    def __init__(self, toml: Toml, house: Toml, seat: int) -> None:
        self.fair = FAMILIES[toml["family"]](toml)
        self.seat = seat
        self.roles = {
            f"taken-by-{SEATS[seat]}": "taken-by-machine",
            f"taken-by-{SEATS[1 - seat]}": "taken-by-visitor",
        }
        self.limit = toml.get("ply-limit", 0)
        self.rules = house.get("rule", [])
        self.forgives = [rule.get("forgive", 0) for rule in self.rules]
        self.by_key = house.get("input", "line") == "key"
        self.longest = 1 if self.by_key else house.get("longest", 8)
        self.charges = any(self.forgives) or any(
            rule.get("cost", "nothing") != "nothing" for rule in self.rules
        )
        self.always = {"not-understood"} | (set() if self.by_key else {"too-long", "empty"})
        if self.charges and self.has_off_board():
            self.always.add("off-board")
        self.start = (self.fair.start, 0, (0,) * len(self.rules), False)

    def has_off_board(self) -> bool:
        """Whether some input looks like a name and names nothing: digits stand for digits, letters for letters."""
        names = {name.lower() for name in self.fair.names}
        digits = {re.sub(r"[0-9]+", "9", re.sub(r"[a-z]", "a", name)) for name in names}
        for shape in digits:
            letters, runs = shape.count("a"), shape.count("9")
            room = self.longest - len(shape) + runs  # for the digits of all runs together
            alike = [name for name in names if re.sub(r"[0-9]+", "9", re.sub(r"[a-z]", "a", name)) == shape]
            if len(shape) <= self.longest and len(alike) < 26**letters * self.digit_runs(runs, room):
                return True
        return False

    def digit_runs(self, runs: int, room: int) -> int:
        """In how many ways runs of digits fill so much room at most."""
        if not runs:
            return 1
        return sum(
            10**length * self.digit_runs(runs - 1, room - length) for length in range(1, room - runs + 2)
        )

    def mover(self, state: State) -> int:
        return self.fair.mover(state[0])

    def ending(self, state: State) -> str | None:
        inner, plies, _, lost = state
        if lost:
            return SEATS[self.seat]
        ending = self.fair.ending(inner)
        return DRAW if ending is None and self.limit and plies >= self.limit else ending

    def moves(self, state: State) -> Moves:
        """What may be played or keyed in, by name, and the state after it."""
        inner, plies, counts, lost = state
        on = plies + 1 if self.limit else 0
        found = {name: (self.fair.after(inner, name), on, counts, lost) for name in self.fair.legal(inner)}
        if self.charges and self.mover(state) != self.seat:
            for each in self.possible(inner):
                found |= self.charged(state, each, on)
        return found

    def possible(self, inner: State) -> set[str]:
        """The classes of wrong input that there are here."""
        reasons = {self.fair.why_not(inner, name) for name in self.fair.names} - {""}
        return self.always | {self.roles.get(reason, reason) for reason in reasons}

    def charged(self, state: State, each: str, on: int) -> Moves:
        """The move that input of a class amounts to; nothing where it changes nothing."""
        inner, _, counts, lost = state
        for place, rule in enumerate(self.rules):
            if each in rule["when"] or "any" in rule["when"]:
                if counts[place] < self.forgives[place]:
                    more = (*counts[:place], counts[place] + 1, *counts[place + 1 :])
                    return {f"(forgiven by rule {place + 1})": (inner, on, more, lost)}
                if rule.get("cost") == "turn":
                    return {"(turn lost)": (self.fair.turn_lost(inner), on, counts, lost)}
                if rule.get("cost") == "game":
                    return {"(game lost)": (inner, on, counts, True)}
                return {}
        return {}

    def text(self, state: State) -> str:
        inner, plies, counts, _ = state
        text = self.fair.text(inner, self.seat)
        if self.limit:
            text += f" ply {plies}"
        counting = [str(count) for count, most in zip(counts, self.forgives, strict=True) if most]
        return f"{text} forgiven {'/'.join(counting)}" if counting else text


def housed(header: Record) -> Housed:
    """The game of which the evidence is."""
    toml, house = (tomllib.loads(header[key]["text"]) for key in ("game", "house_rules"))
    refuse_unknown(toml, house)
    return Housed(toml, house, SEATS.index(header["seat"]))


class Listed:
    """A game whose moves the evidence lists: they are taken as they stand.  A state: who moves, and the position."""

    def __init__(self, records: Numbered) -> None:
        self.table: dict[State, Record] = {}
        for number, record in records:
            key = (record["listed"], record["turn"])
            if key in self.table:
                raise Wrong(f"line {number}: the position {record['listed']} is listed twice")
            self.table[key] = record
        if not records:
            raise Wrong("no moves are listed, and this program does not know the game")
        self.start = (records[0][1]["listed"], records[0][1]["turn"])

    def entry(self, state: State) -> Record:
        if state not in self.table:
            raise Wrong(f"the moves of {state[0]} ({state[1]} player to move) are not listed")
        return self.table[state]

    def mover(self, state: State) -> int:
        return SEATS.index(state[1])

    def ending(self, state: State) -> str | None:
        return self.entry(state).get("ending")

    def moves(self, state: State) -> Moves:
        return {name: tuple(after) for name, after in self.entry(state).get("moves", {}).items()}

    def text(self, state: State) -> str:
        return str(state[0])


# Values ---------------------------------------------------------------------------------------------------


def worked_out(game: Any) -> Values:
    """Who wins every position of a game, and in how many plies; positions that are not in it are draws.

    Backwards from the ends: a position is won as soon as one move leads to a won one, and lost when all lead to lost
    ones.  Ends are taken up in order of their distance: the first win found is the nearest, the last loss the farthest.
    """
    children: dict[State, set[State]] = {}
    parents: dict[State, list[State]] = {}
    waiting = [game.start]
    while waiting:
        state = waiting.pop()
        if state in children:
            continue
        if len(children) >= MOST_POSITIONS:
            raise NotChecked(f"the values of more than {MOST_POSITIONS:,} positions were not worked out")
        children[state] = set() if game.ending(state) else set(game.moves(state).values())
        for child in children[state]:
            parents.setdefault(child, []).append(state)
            waiting.append(child)
    ends = [(state, game.ending(state)) for state in children if game.ending(state) in SEATS]
    value = {state: (who, 0) for state, who in ends}
    left = {state: len(after) for state, after in children.items()}
    queue = deque(state for state, _ in ends)
    while queue:
        state = queue.popleft()
        who, plies = value[state]
        for parent in parents.get(state, ()):
            left[parent] -= 1
            if parent not in value and (SEATS[game.mover(parent)] == who or not left[parent]):
                value[parent] = (who, plies + 1)
                queue.append(parent)
    return value


def worth(value: Values, state: State, seat: int) -> int:
    """What a position is worth to the machine: 2 a win, 1 a draw, 0 a loss."""
    if state not in value:
        return 1
    return 2 if value[state][0] == SEATS[seat] else 0


def keeps(value: Values, claim: str, seat: int, before: State, after: State) -> bool:
    """Whether a move of the machine's gives away nothing of what the claim asks for."""
    here, there = worth(value, before, seat), worth(value, after, seat)
    if claim == "never-loses":
        return there >= min(here, 1)
    is_late = claim == "quickest" and here == there == 2 and value[after][1] != value[before][1] - 1
    return there >= here and not is_late


# Proofs and refutations -----------------------------------------------------------------------------------


class Check:
    """A strategy's answers in every position, or the line of play that refutes it."""

    def __init__(self, header: Record, records: Numbered) -> None:
        self.header = header
        self.seat = SEATS.index(header["seat"])
        self.claim = header["claim"]
        listed = [(number, record) for number, record in records if "listed" in record]
        if listed and knows_rules(header):
            raise Wrong(f"line {listed[0][0]}: moves are listed of a game that needs no list")
        self.game = housed(header) if knows_rules(header) else Listed(listed)
        self.answers = [(number, record) for number, record in records if "answers" in record]
        self.line = [(number, record) for number, record in records if "ply" in record]

    def run(self) -> str:
        """What is shown, in words; raises Wrong where it is not."""
        if self.header["verdict"] == "proved":
            if self.line:
                raise Wrong(f"line {self.line[0][0]}: a proof has no line of play")
            return self.proof()
        if self.answers:
            raise Wrong(f"line {self.answers[0][0]}: only a proof lists answers")
        return self.refutation()

    # -- a proof ------------------------------------------------------------------------------------------

    def proof(self) -> str:
        known = {}
        for number, record in self.answers:
            if record["position"] in known:
                raise Wrong(f"line {number}: the position {record['position']} has an answer already")
            known[record["position"]] = record
        met = self.met = self.walked(known)
        positions = {self.game.text(state) for state in met if self.is_asked(state)}
        unmet = [number for number, record in self.answers if record["position"] not in positions]
        if unmet:
            raise Wrong(f"line {unmet[0]}: this position never comes to the machine")
        if self.claim != "never-loses":
            self.gives_nothing_away(met, known)
        return f"PROVED. {len(positions):,} positions come to the machine; every line of play was gone through again."

    def is_asked(self, state: State) -> bool:
        return self.game.ending(state) is None and self.game.mover(state) == self.seat

    def walked(self, known: Answers) -> Met:
        """Every position that the answers and the visitor's moves lead to, with the moves from it."""
        met, waiting = {}, [self.game.start]
        while waiting:
            state = waiting.pop()
            if state in met:
                continue
            ending = self.game.ending(state)
            if ending == SEATS[1 - self.seat] and self.claim == "never-loses":
                raise Wrong(f"the visitor can win: {self.game.text(state)}")
            met[state] = {} if ending else self.open_moves(state, known)
            waiting += met[state].values()
        return met

    def open_moves(self, state: State, known: Answers) -> Moves:
        """The visitor's moves, or those that the strategy answers."""
        moves = self.game.moves(state)
        if self.game.mover(state) != self.seat:
            return moves
        text = self.game.text(state)
        if not known.get(text, {}).get("answers"):
            raise Wrong(f"there is no answer to {text}")
        for name in known[text]["answers"]:
            if name not in moves or name.startswith("("):
                raise Wrong(f"the answer {name} to {text} is no legal move")
        return {name: moves[name] for name in known[text]["answers"]}

    def gives_nothing_away(self, met: Met, known: Answers) -> None:
        value = worked_out(self.game)
        for state, moves in met.items():
            if not moves or self.game.mover(state) != self.seat:
                continue
            text, here = self.game.text(state), worth(value, state, self.seat)
            for name, after in moves.items():
                if not keeps(value, self.claim, self.seat, state, after):
                    raise Wrong(
                        f"the answer {name} to {text} gives something away, or wins later than it could"
                    )
                if here == 2:
                    self.comes_nearer(after, known[text].get("rank", 0), met, known)

    def comes_nearer(self, state: State, rank: int, met: Met, known: Answers) -> None:
        """Whatever comes after a won position has a lesser rank, so play cannot go round: the win comes."""
        if self.game.ending(state):
            return
        if self.game.mover(state) == self.seat:
            text = self.game.text(state)
            if known[text].get("rank", 0) >= rank:
                raise Wrong(f"the rank of {text} does not fall: {rank} before it")
        elif rank <= 0:
            raise Wrong(f"a won position before {self.game.text(state)} has no rank above 0")
        else:
            for after in met[state].values():
                self.comes_nearer(after, rank, met, known)

    # -- a refutation -------------------------------------------------------------------------------------

    def refutation(self) -> str:
        states = [self.game.start]
        for place, (number, record) in enumerate(self.line):
            states.append(self.next_state(states[-1], place, number, record))
        verdict, last = self.header["verdict"], states[-1]
        if verdict == "refuted":
            self.breaks_claim(states)
            return f"REFUTED. The line of {len(self.line)} plies was played again and breaks the claim."
        if not self.is_asked(last):
            raise Wrong("the line does not end where the machine has to answer")
        tried = self.header.get("answer")
        if verdict == "illegal-answer" and (tried is None or tried in self.game.moves(last)):
            raise Wrong(f"the answer {tried} to {self.game.text(last)} is legal")
        what = "no answer" if verdict == "no-answer" else f"the illegal answer {tried}"
        return f"REFUTED. The line of {len(self.line)} plies was played again; it ends where there is {what}."

    def next_state(self, state: State, place: int, number: int, record: Record) -> State:
        if self.game.ending(state):
            raise Wrong(f"line {number}: the game is over before this ply")
        by = "machine" if self.game.mover(state) == self.seat else "visitor"
        moves = self.game.moves(state)
        if record["ply"] != place + 1 or record["by"] != by:
            raise Wrong(f"line {number}: expected ply {place + 1}, by the {by}")
        if record["move"] not in moves or (by == "machine" and record["move"].startswith("(")):
            raise Wrong(f"line {number}: {record['move']} cannot be played in {self.game.text(state)}")
        if record["position"] != self.game.text(moves[record["move"]]):
            raise Wrong(f"line {number}: the position after {record['move']} is another one")
        return moves[record["move"]]

    def breaks_claim(self, states: list[State]) -> None:
        if self.claim == "never-loses":
            if self.game.ending(states[-1]) != SEATS[1 - self.seat]:
                raise Wrong("the line does not end in a win of the visitor's")
            return
        value, loop = worked_out(self.game), self.header.get("loop_from")
        values = [worth(value, state, self.seat) for state in states]
        if loop is not None and not self.header.get("decision"):
            goes_round = 0 <= loop < len(states) - 1 and states[loop] == states[-1]
            if not goes_round or min(values[loop:]) < 2 or any(map(self.game.ending, states[loop:])):
                raise Wrong("the line does not go round through won positions")
            return
        ply = self.header.get("decision") or 0
        if not 1 <= ply < len(states) or self.game.mover(states[ply - 1]) != self.seat:
            raise Wrong("no ply of the machine's is named as the decision that breaks the claim")
        before, after = states[ply - 1 : ply + 1]
        if keeps(value, self.claim, self.seat, before, after):
            raise Wrong(f"ply {ply} gives nothing away")


def check_proof(header: Record, records: Numbered) -> tuple[int, list[str]]:
    """A strategy's proof, or the line that refutes it."""
    return 0, [Check(header, records).run()]


def check_plan(header: Record, records: Numbered) -> tuple[int, list[str]]:
    """Every way's own proof, which stands in the lines after it."""
    begins = [place for place, (_, record) in enumerate(records) if "way" in record]
    if not begins or begins[0] or len(begins) != header["ways"]:
        raise Wrong(f"line 1: {header['ways']} ways are told, but the lines are not those of so many")
    told = []
    for begin, end in pairwise([*begins, len(records)]):
        way = records[begin][1]
        found = Check({**header, "verdict": "proved"}, records[begin + 1 : end]).run()
        told.append(f"{way['way']} ({way['form']}, {way['reading']}): {found}")
    told.append(
        "WORDS NOT CHECKED: how many words a program takes, how long it thinks, and that it plays so."
    )
    return 3, told


# The fewest answers ---------------------------------------------------------------------------------------
#
# That no strategy stores fewer answers than so many.  A strategy *picks* a move on every board that comes to the
# machine.  Three kinds of questions are answered by 1 or 0: is this board stored; is this its pick; does this position
# come?  (A position is a board with what house rules have counted.  Mostly nothing is counted, and both are the same.)
# For every strategy that holds the claim some sums of these numbers are never too small: the *rows*.  This program
# works the rows out of the rules of the game by itself.  The evidence divides all strategies into cases, by what is
# picked on some boards, and gives for each case a *weight* to some rows.  Rows times weights, added up, tell how many
# boards are stored at least: see `Fewest.least`.


class Alike:
    """Boards that are alike: those that one of some turnings carries into one another.

    A turning says for every cell where it goes, by name.
    """

    def __init__(self, game: Any, turnings: list[list[str]]) -> None:
        self.game = game
        self.held: set[State] = set()
        names = game.fair.board.names
        if len(turnings) > MOST_TURNINGS:
            raise Wrong(f"there are more than {MOST_TURNINGS} turnings")
        if any(sorted(turning) != sorted(names) for turning in turnings):
            raise Wrong("a turning does not carry every cell to a cell of its own")
        self.turnings = [[names.index(name) for name in turning] for turning in turnings]
        both = [[one[cell] for cell in other] for one in self.turnings for other in self.turnings]
        if list(range(len(names))) not in self.turnings or any(each not in self.turnings for each in both):
            raise Wrong("two turnings, one after the other, are none of those that are named")
        if set(self.images(game.start)) != {game.start}:
            raise Wrong("a turning changes the board with which the game begins")

    def images(self, state: State) -> list[State]:
        """A position in every turning."""
        (turn, signs, *rest), *counted = state
        found: list[State] = []
        for turning in self.turnings:
            turned = [""] * len(signs)
            for cell, sign in zip(turning, signs, strict=True):
                turned[cell] = sign
            found.append(((turn, "".join(turned), *rest), *counted))
        return found

    def least(self, state: State) -> State:
        """The one that stands for all that are alike."""
        return min(self.images(state))

    def stored(self, state: State, after: State) -> tuple[State, State]:
        """What a table holds for a move: the board and the board after it, turned together."""
        pairs = zip(self.images(state), self.images(after), strict=True)
        return min((before[:2], later[:2]) for before, later in pairs)

    def must_hold(self, state: State) -> None:
        """Raise Wrong unless the game goes on from a position in every turning as from the position itself."""
        if state in self.held:
            return
        ending, images = self.game.ending(state), self.images(state)
        after = [] if ending else [self.images(each) for each in self.game.moves(state).values()]
        for place, image in enumerate(images):
            moves = set() if ending else set(self.game.moves(image).values())
            if self.game.ending(image) != ending or moves != {each[place] for each in after}:
                raise Wrong(f"the game does not look the same from all sides: {self.game.text(state)}")
        self.held.update(images)


class Fewest:
    """Boards, picks and rows of a game in which a claim is to hold.

    A board is told by what stands on it, a pick by what stands on it afterwards.  alike: which boards share an answer;
    turned: which are alike, be they stored apart or not.
    """

    def __init__(self, game: Any, seat: int, claim: str, alike: Alike, turned: Alike) -> None:
        self.game, self.seat, self.claim, self.alike, self.turned = game, seat, claim, alike, turned
        self.value = worked_out(game)
        self.roots = self.asked_after(game.start)
        self.next: Leads = self.reached(self.good_picks)
        """For each position that may come to the machine its picks, and which positions each of them brings next."""
        while self.drop_needless():
            self.next = self.reached(self.next.__getitem__)
        self.boards = self.by_board()
        self.picks = {board: sorted({pick for each in states for pick in self.next[each]})
                      for board, states in self.boards.items()}  # fmt: skip
        self.named = {game.text(state): state for state in self.next}
        self.number = {state: number for number, state in enumerate(self.next)}
        self.sure = self.what_is_sure()
        sure = all_of(self.sure[root] for root in self.roots)
        self.always = {state for state in self.next if sure >> self.number[state] & 1}

    def asked_after(self, state: State) -> set[State]:
        """The positions in which the machine may be asked next, those alike as one."""
        found: set[State] = set()
        met, waiting = set(), [state]
        while waiting:
            here = waiting.pop()
            if here in met:
                continue
            met.add(here)
            self.turned.must_hold(here)
            if self.game.ending(here):
                continue
            if self.game.mover(here) == self.seat:
                found.add(self.alike.least(here))
            else:
                waiting += self.game.moves(here).values()
        return found

    def good_picks(self, state: State) -> dict[State, set[State]]:
        """The picks that give nothing away of what the claim asks for."""
        found: dict[State, set[State]] = {}
        for after in self.game.moves(state).values():
            if keeps(self.value, self.claim, self.seat, state, after):
                found.setdefault(self.alike.stored(state, after)[1], set()).update(self.asked_after(after))
        return found

    def reached(self, picks_of: Callable[[State], dict[State, set[State]]]) -> Leads:
        """The positions that may come to the machine with these picks."""
        found: Leads = {}
        waiting = sorted(self.roots)
        while waiting:
            state = waiting.pop()
            if state not in found:
                found[state] = picks_of(state)
                waiting += sorted({after for each in found[state].values() for after in each})
        return found

    def by_board(self) -> dict[State, list[State]]:
        """The positions of each board."""
        boards: dict[State, list[State]] = {}
        for state in self.next:
            boards.setdefault(state[:2], []).append(state)
        return boards

    def drop_needless(self) -> bool:
        """Drop picks that bring all that another pick of their board brings; whether there were any.

        Whoever makes the other pick instead stores no more.
        """
        before = sum(map(len, self.next.values()))
        for states in self.by_board().values():
            for pick in sorted({pick for each in states for pick in self.next[each]}):
                where = [self.next[each] for each in states if pick in self.next[each]]
                others = [other for other in where[0] if other != pick]
                if any(
                    all(other in picks and picks[other] <= picks[pick] for picks in where) for other in others
                ):
                    for picks in where:
                        del picks[pick]
        return sum(map(len, self.next.values())) < before

    def what_is_sure(self) -> dict[State, int]:
        """For each position the set of those that come if it comes, whatever is picked: what all its picks bring."""
        sure = {state: 1 << number for state, number in self.number.items()}
        grows = True
        while grows:
            grows = False
            for state in reversed(self.next):
                common = -1 if self.next[state] else 0
                for after in self.next[state].values():
                    common &= all_of(sure[each] for each in after)
                grows |= bool(common & ~sure[state])
                sure[state] |= common
        return sure

    # -- rows ---------------------------------------------------------------------------------------------

    def comes(self, state: State) -> State:
        """The question whether a position comes; where it is its board's only one, whether that is stored."""
        return state[:2] if len(self.boards[state[:2]]) == 1 else state

    def row(self, kind: str, at: str, to: str) -> tuple[dict[State, int], int]:
        """How often each question is counted in a sum, and how much that sum comes to at least.

        pick: a board that is stored has a pick.  stored: the board of a position that comes is stored.  bad: if `at`
        comes, the move `to` is not the pick.  brings: if a pick is made that is sure to bring `to`, that comes.
        """
        state = self.named[at]
        board, comes = state[:2], self.comes(state)
        if kind == "pick":
            return {board: -1, **{(board, pick): 1 for pick in self.picks[board]}}, 0
        if kind == "stored":
            return ({} if comes == board else {board: 1, comes: -1}), 0
        if kind == "bad":
            pick = self.pick(at, to)
            return ({} if pick in self.next[state] else {comes: -1, (board, pick): -1}), -1
        if kind != "brings":
            raise Wrong(f"there are no rows called {kind}")
        target = self.named[to]
        row: dict[State, int] = {(board, pick): -1 for pick, after in self.next[state].items()
                                 if all_of(self.sure[each] for each in after) >> self.number[target] & 1}  # fmt: skip
        row[self.comes(target)] = row.get(self.comes(target), 0) + 1
        if comes != board:
            row[comes] = row.get(comes, 0) - 1
        return row, 0 if comes == board else -1

    def pick(self, at: str, name: str) -> State:
        """The pick that is this move."""
        state = self.named[at]
        return self.alike.stored(state, self.game.moves(state)[name])[1]

    # -- cases --------------------------------------------------------------------------------------------

    def check(self, bound: int, scale: int, records: Numbered) -> None:
        """Raise Wrong unless the cases are all that there are, and in each so many boards are stored at least."""
        cases = [(number, self.read_case(record), record["weights"]) for number, record in records]
        waiting = [(0, cases)]
        while waiting:
            depth, some = waiting.pop()
            if len(some) == 1 and len(some[0][1]) == depth:
                number, case, weights = some[0]
                if self.least(case, weights, scale) <= (bound - 1) * scale:
                    raise Wrong(
                        f"line {number}: in this case the weights do not show that {bound} are needed"
                    )
            else:
                waiting += [(depth + 1, part) for part in self.divided(depth, some)]

    def read_case(self, record: Record) -> list[tuple[State, State | None]]:
        """The boards that a case settles, each with its pick, or None if it is not stored."""
        return [
            (self.named[at][:2], None if name is None else self.pick(at, name)) for at, name in record["case"]
        ]

    def divided(self, depth: int, cases: list[Any]) -> list[list[Any]]:
        """Cases by what is picked on the next board; raises Wrong unless all its picks are there."""
        boards = {case[depth][0] if depth < len(case) else None for _, case, _ in cases}
        board = boards.pop() if boards else None
        if board is None or boards:
            raise Wrong("the cases are not all that there are, or one is there twice")
        parts: dict[State | None, list[Any]] = {}
        for each in cases:
            parts.setdefault(each[1][depth][1], []).append(each)
        due: set[State | None] = set(self.picks[board])
        if self.boards[board][0] in self.roots and len(self.roots) == 1 and not depth:
            due = self.one_of_a_kind(board, parts)
        if not any(state in self.always for state in self.boards[board]):
            due.add(None)
        if not due <= set(parts) <= {*self.picks[board], None}:
            raise Wrong(f"the cases do not go through all picks of {self.game.text(self.boards[board][0])}")
        return list(parts.values())

    def one_of_a_kind(self, board: State, there: Iterable[State | None]) -> set[State | None]:
        """The first picks that must be gone through: what holds for one holds for those to which turnings carry it."""
        root = self.boards[board][0]
        kinds = {pick: self.turned.stored(root, pick + root[2:]) for pick in self.picks[board]}
        done = {kinds[pick] for pick in there if pick in kinds}
        return {pick for pick, kind in kinds.items() if kind not in done}

    def limits(self, case: list[tuple[State, State | None]]) -> tuple[dict[State, int], dict[State, int]]:
        """The questions that are answered 1 in a case, and those that are answered 0."""
        ones = dict.fromkeys(
            [question for state in self.always for question in (state[:2], self.comes(state))], 1
        )
        zeros: dict[State, int] = {}
        for board, picked in case:
            zeros |= dict.fromkeys([(board, pick) for pick in self.picks[board] if pick != picked], 0)
            if picked is None:
                zeros[board] = 0
            else:
                ones |= {board: 1, (board, picked): 1}
        return ones, zeros

    def least(self, case: list[tuple[State, State | None]], weights: list[Any], scale: int) -> int:
        """How many boards are stored at least in a case, times `scale`.

        Boards stored  =  weights x rows  +  what is left of each question when that is taken away.  The rows come to
        their least sums or more, and what is left of a question is least with 0 or with 1.
        """
        ones, zeros = self.limits(case)
        total, left = 0, dict.fromkeys(self.boards, scale)
        for kind, at, to, weight in weights:
            if type(weight) is not int or weight < 0:
                raise Wrong("a weight is no whole number of 0 or more")
            row, least = self.row(kind, at, to)
            total += weight * least
            for question, times in row.items():
                left[question] = left.get(question, 0) - weight * times
        return total + sum(min(much * ones.get(question, 0), much * zeros.get(question, 1))
                           for question, much in left.items())  # fmt: skip


def all_of(sets: Iterable[int]) -> int:
    """Sets of positions put together; a set has a bit for each position's number."""
    every = 0
    for each in sets:
        every |= each
    return every


UNPROVED = {
    "gone-through": "all smaller ones were gone through, and that was not written down",
    "first": "a rule sheet answers first, and this program cannot read it",
    "words": "words are those of programs that were built, and this program builds none",
    "rules": "this program does not know the rules of this game",
    "turnings": "boards count as alike here that are not only turned or mirrored",
    "large": f"the game has more than {MOST_POSITIONS:,} positions",
    "gap": "it is not proved that no smaller one does",
}
"""Why there is no proof of a bound."""


def check_fewest(header: Record, records: Numbered) -> tuple[int, list[str]]:
    """A strategy's proof; that it stores as many answers as is told, and no strategy fewer than the bound."""
    checking = Check(header, [each for each in records if "case" not in each[1]])
    told, least = checking.run(), header["least"]
    if "unproved" in least:
        return 3, [told, f"BOUND NOT CHECKED: {UNPROVED[least['unproved']]}."]
    game, bound, scale = checking.game, least["bound"], least["scale"]
    if header["verdict"] != "proved" or isinstance(game, Listed):
        raise Wrong(
            "line 1: fewest answers are told, but not of a proof in a game whose rules are known here"
        )
    if min(bound, scale) < 1:
        raise Wrong("line 1: the bound and the scale should be 1 or more")
    turned = Alike(game, least["turnings"])
    alike = turned if least["alike"] else Alike(game, [game.fair.board.names])
    stored = {alike.stored(state, after) for state, moves in checking.met.items()
              if moves and checking.is_asked(state) for after in moves.values()}  # fmt: skip
    count = len({board for board, _ in stored})
    if (count, len(stored)) != (least["answers"], least["answers"]):
        raise Wrong(f"the strategy does not store {least['answers']} answers, one for each board")
    cases = [each for each in records if "case" in each[1]]
    Fewest(game, checking.seat, checking.claim, alike, turned).check(bound, scale, cases)
    how = (
        f"boards alike in {len(turned.turnings)} turnings count as one"
        if least["alike"]
        else "on a fixed board"
    )
    if bound < count:
        return 0, [told, f"BETWEEN {bound:,} AND {count:,} answers ({how}); fewer than {bound:,} never do."]
    return 0, [told, f"PROVED LEAST: {bound:,} answers are stored ({how}), and no strategy does with fewer."]


# Conversations --------------------------------------------------------------------------------------------
#
# What an outside program has printed after each input, held against the rules: its moves are legal, its verdicts right,
# and wrong input is answered as the house rules say.  An answer stands after another one, so all of them are a tree.

USUAL = {
    "ask": "YOUR MOVE",
    "machine-moves": "I PLAY",
    "machine-wins": "I WIN",
    "visitor-wins": "YOU WIN",
    "draw": "A DRAW",
}
OUTCOMES = ("machine-wins", "visitor-wins", "draw")


def plain(text: str) -> str:
    """Capitals, single spaces: what is compared."""
    return " ".join(text.upper().split())


class Talk:
    """How a program talks: in the words of the house rules, but where a conversation file has others."""

    def __init__(self, game: Housed, house: Toml, manner: Toml) -> None:
        self.game = game
        said = USUAL | house.get("messages", {})
        called = manner.get("names", game.fair.names)
        self.enter = manner.get("enter", "{move}")
        self.name_of = {name.lower(): own for name, own in zip(called, game.fair.names, strict=True)}
        self.shapes = {shape_of(name) for name in self.name_of}
        self.outcome_of = {plain(text): each for each in OUTCOMES for text in manner.get(each, [said[each]])}
        self.own = {True: manner.get("forgiven", {}), False: manner.get("answers", {})}
        rules = [rule.get(key, "") for rule in house.get("rule", []) for key in ("say", "say-forgiven")]
        texts = [text for own in self.own.values() for each in own.values() for text in each] + rules
        texts += [] if any("any" in rule["when"] for rule in house.get("rule", [])) else ["AGAIN"]
        self.refusals = set(map(plain, texts)) - {""}
        known = {*self.outcome_of, *self.refusals, *map(plain, manner.get("waits", [said["ask"]]))} - {""}
        moves = manner.get("machine-moves", [f"{said['machine-moves']} {{move}}"])
        self.pattern = self.pattern_of(known, moves, called, close=house.get("print") == "close")

    def pattern_of(
        self, known: set[str], moves: list[str], called: list[str], *, close: bool
    ) -> re.Pattern[str]:
        """Any text that is known or tells a move, the longest first; no part of a longer word unless print is close."""
        names = "|".join(re.escape(name.upper()) for name in sorted(called, key=len, reverse=True))
        choices = [(len(text), re.escape(text), text) for text in known]
        for place, told in enumerate(moves):
            before, after = map(plain, told.split("{move}"))
            gaps = (" ?" if before or after else "", " ?" if after else "")
            core = f"{re.escape(before)}{gaps[0]}(?P<m{place}>{names}){gaps[1]}{re.escape(after)}"
            alone = not (before or after or close)
            choices.append(
                (len(before + after), f"^{core}$" if alone else core, (before or "0") + (after or "0"))
            )
        return re.compile("|".join(
            core if close else (r"(?<![A-Z0-9])" if text[:1].isalnum() else "") + core
            + (r"(?![A-Z0-9])" if text[-1:].isalnum() or "(?P<m" in core else "")
            for _, core, text in sorted(choices, key=lambda each: (-each[0], each[1]))))  # fmt: skip

    def heard(self, printed: list[str]) -> tuple[list[str], list[str], list[str]]:
        """The moves, the outcomes and the answers to wrong input that some lines tell."""
        found: tuple[list[str], list[str], list[str]] = ([], [], [])
        for match in (match for line in printed for match in self.pattern.finditer(plain(line))):
            text = match[0]
            if match.lastgroup:
                found[0].append(self.name_of[match[match.lastgroup].lower()])
            elif text in self.outcome_of:
                found[1].append(self.outcome_of[text])
            elif text in self.refusals:
                found[2].append(text)
        return found

    def classed(self, state: State, typed: str) -> tuple[str, str]:
        """The class of an input, and the move if it is a legal one, for which the class is nothing."""
        before, after = self.enter.split("{move}")
        inner = typed[len(before) : len(typed) - len(after)]
        text = inner if f"{before}{inner}{after}" == typed and inner.lower() in self.name_of else typed
        name = self.name_of.get(text.lower())
        if self.game.ending(state):
            return "after-end", ""
        if len(text.encode()) > self.game.longest and name is None:
            return "too-long", ""
        if not text:
            return "empty", ""
        if name is None:
            return ("off-board" if shape_of(text) in self.shapes else "not-understood"), ""
        why = self.game.fair.why_not(state[0], name)
        return self.game.roles.get(why, why), name

    def due(self, state: State, each: str) -> set[str]:
        """What may be said to wrong input of a class: one of these texts, or nothing where there is none."""
        mild, text = False, "AGAIN"
        for place, rule in enumerate(self.game.rules):
            if each in rule["when"] or "any" in rule["when"]:
                mild = state[2][place] < self.game.forgives[place]
                text = rule.get("say-forgiven", rule["say"]) if mild else rule["say"]
                mild = mild and text != rule["say"]
                break
        own = self.own[mild].get(each) or self.own[mild].get("any") or [text]
        return {plain(text) for text in own} - {""}


def shape_of(name: str) -> str:
    """A name with a letter for each letter and a digit for each run of digits."""
    return re.sub(r"[0-9]+", "9", re.sub(r"[a-z]", "a", name.lower()))


class Place:
    """Where a game stands after an answer, and what was found wrong with that."""

    def __init__(self, before: "Place | None", state: State) -> None:
        self.before, self.state = before, state
        self.depth: int = 0 if before is None else before.depth + 1
        self.outcome: str | None = None
        self.is_next = self.goes_on = self.is_gone_through = False
        self.each = ""
        """The class of the input before it, if that was wrong."""
        self.beginning: tuple[str, ...] = ()
        """What was keyed in so far, but for wrong input that changes nothing."""
        self.said: Any = None
        self.faults: list[str] = []
        self.after: list[tuple[str, str, Place]] = []
        """Each input that was keyed in here, its class or the move that it is, and where it led."""

    def stops(self, fault: str) -> bool:
        """Note a fault after which nobody can say how the game stands: False."""
        self.faults.append(fault)
        return False

    def earlier(self) -> Iterable["Place"]:
        """The places before it in its game."""
        here = self.before
        while here is not None:
            yield here
            here = here.before

    def is_without_wrong_input(self) -> bool:
        return self.each in ("", "after-end") and all(not place.each for place in self.earlier())

    def comes_back(self) -> bool:
        """Whether play has come back to where the game stood before; from there it goes on as it did."""
        moved = self.before is not None and self.before.state != self.state
        return moved and any(place.state == self.state for place in self.earlier())


class Conversations:
    """Answers of a program, replayed one after the other."""

    def __init__(self, header: Record) -> None:
        house = tomllib.loads(header["house_rules"]["text"])
        manner = tomllib.loads(header["conversation"]["text"]) if "conversation" in header else {}
        self.claim, self.most_wrong = header["claim"], header["wrong"]
        self.game = housed(header)
        self.talk = Talk(self.game, house, manner)
        self.at_once = house.get("next-game") == "at-once"
        self.value: Values = {} if self.claim == "never-loses" else worked_out(self.game)
        self.places: list[Place] = []
        self.begun: list[tuple[str, str, Place]] = []
        self.faults: list[str] = []
        self.said: dict[tuple[tuple[str, ...], str], Any] = {}
        self.shaken: list[str] = []
        """Answers that differ only after wrong input that should change nothing."""

    def replay(self, number: int, record: Record) -> None:
        """One more answer."""
        after = record["after"]
        if record["answer"] != len(self.places) + 1 or not 0 <= after <= len(self.places):
            raise Wrong(f"line {number}: answers are not numbered from 1, each after an earlier one")
        before = self.places[after - 1] if after else None
        if (before is None) != (record["typed"] is None):
            raise Wrong(f"line {number}: something is keyed in before each answer but the first of a game")
        if before is not None and (before.is_next or not before.goes_on):
            raise Wrong(f"line {number}: the game cannot be played on from there")
        if before is not None and before.depth >= MOST_INPUTS:
            raise Wrong(f"line {number}: so many inputs no game has; expected {MOST_INPUTS:,} at most")
        place = Place(before, self.game.start if before is None else before.state)
        kind = "" if before is None else self.enter(place, record["typed"])
        place.said = moves, outcomes, texts = self.talk.heard(record["printed"])
        how, siblings = record["how"], self.begun if before is None else before.after
        if how != "ended" or place.each != "after-end":  # a program may go when a game is over
            is_clear = self.plays(place, moves) and self.ends(place, how) and self.tells(place, outcomes)
            if is_clear:
                self.answers(place, texts)
            if any(typed == record["typed"] and other.said != place.said for typed, _, other in siblings):
                place.faults.append("there are two answers to one line")
            self.faults += [f"In line {number} {fault}" for fault in place.faults[:1]]
            place.is_next |= self.at_once and place.outcome is not None
            place.goes_on = is_clear and not place.is_next and (how == "waits" or place.outcome is not None)
        self.places.append(place)
        siblings.append((record["typed"], kind, place))
        if (
            before is not None
            and self.said.setdefault((before.beginning, record["typed"]), place.said) != place.said
        ):
            self.shaken.append(
                f"In line {number} an answer is another one after wrong input that changes nothing"
            )

    def enter(self, place: Place, typed: str) -> str:
        """What an input does; its class, or the move that it is."""
        assert place.before is not None
        each, name = self.talk.classed(place.state, typed)
        place.each = each
        if each == "after-end":
            place.state, place.is_next = self.game.start, True
        elif not each:
            place.state = self.game.moves(place.state)[name]
        else:
            on = place.state[1] + 1 if self.game.limit else 0
            place.state = next(iter(self.game.charged(place.state, each, on).values()), place.state)
        changes_nothing = each not in ("", "after-end") and place.state == place.before.state
        place.beginning = place.before.beginning if changes_nothing else (*place.before.beginning, typed)
        self.look(place)
        return each or name

    def look(self, place: Place) -> None:
        """Note it where the game has ended."""
        ending = self.game.ending(place.state)
        if ending:
            sides = {SEATS[self.game.seat]: "machine-wins", DRAW: "draw"}
            place.outcome = sides.get(ending, "visitor-wins")

    # What is wrong is noted.  False where nobody can say any more how the game stands in the program.

    def plays(self, place: Place, moves: list[str]) -> bool:
        """The machine's moves, which are made here, too."""
        for name in moves:
            if self.game.ending(place.state) and self.at_once and not place.is_next:
                place.state, place.is_next = self.game.start, True
            legal = {} if self.game.ending(place.state) else self.game.moves(place.state)
            if self.game.mover(place.state) != self.game.seat or name not in legal:
                return place.stops(f"the machine plays {name}, where it may not")
            if self.claim != "never-loses" and not keeps(
                self.value, self.claim, self.game.seat, place.state, legal[name]
            ):
                place.faults.append(f"the machine plays {name}, and gives something away or wins too late")
            place.state = legal[name]
            self.look(place)
        if place.outcome == "visitor-wins" and self.claim == "never-loses":
            place.faults.append("the visitor wins")
        if not self.game.ending(place.state) and self.game.mover(place.state) == self.game.seat:
            return place.stops("the machine does not move")
        return True

    def ends(self, place: Place, how: str) -> bool:
        """How an answer ends: by waiting for input, or with the program."""
        if how in ("late", "flood"):
            return place.stops("the answer does not come, or does not end")
        if how != "waits" and (place.outcome is None or place.each == "after-end"):
            return place.stops("the program ends, and the game is not over")
        return True

    def tells(self, place: Place, outcomes: list[str]) -> bool:
        """The outcome that is told."""
        if place.each == "after-end":
            hasty = outcomes and place.said[0]
            return not hasty or place.stops("the next game has hardly begun, and an outcome is told")
        told, right = sorted(set(outcomes)), [] if place.outcome is None else [place.outcome]
        if told == right:
            return True
        place.faults.append(f"told is {told or 'no outcome'}; right is {right or 'none'}")
        return bool(told and right)

    def answers(self, place: Place, texts: list[str]) -> None:
        """The answer to wrong input."""
        if not place.each:
            if texts and place.outcome is None:
                place.faults.append("a legal move is answered as if it were none")
        elif place.before is not None and (place.each != "after-end" or self.most_wrong):
            due = self.talk.due(place.before.state, place.each)
            if (due and not due & set(texts)) or set(texts) - due:
                place.faults.append(
                    f"to input of the class {place.each} it says {texts}; due is {sorted(due)}"
                )

    # -- what was gone through ----------------------------------------------------------------------------

    def go_through(self) -> None:
        """Raise Wrong unless every line without wrong input is there, and wrong input after each beginning of one."""
        for place in reversed(self.places):
            place.is_gone_through = self.is_whole(place)
        if not self.begun or not all(place.is_gone_through for _, _, place in self.begun):
            raise Wrong("not every line of play without wrong input is there")
        if not self.most_wrong:
            return
        for place in self.places:
            if (
                place.goes_on
                and place.outcome is None
                and place.is_without_wrong_input()
                and not place.comes_back()
            ):
                missing = self.game.possible(place.state[0]) - self.led_on(place)
                if missing:
                    raise Wrong(
                        f"wrong input of the class {min(missing)} is not tried in {self.game.text(place.state)}"
                    )

    def is_whole(self, place: Place) -> bool:
        """Whether every line of play that goes on from here is there."""
        if not place.goes_on or place.comes_back():
            return True
        if place.outcome is not None:
            return bool(place.after)
        return {name for name in self.game.moves(place.state) if not name.startswith("(")} <= self.led_on(
            place
        )

    def led_on(self, place: Place) -> set[str]:
        """The moves, and the classes of wrong input, after which every line of play is there."""
        return {kind for _, kind, after in place.after if after.is_gone_through}


def check_drill(header: Record, records: Numbered) -> tuple[int, list[str]]:
    """What a program has printed."""
    if header["own_words"]:
        raise NotChecked("the program has words of its own; a conversation file can say what they mean")
    talks = Conversations(header)
    for number, record in records:
        talks.replay(number, record)
    count, verdict = f"{len(talks.places):,} answers", header["verdict"]
    if verdict == "fault-found":
        if not talks.faults + talks.shaken:
            raise Wrong(f"no fault is found in {count}")
        return 0, [f"FAULT FOUND. {(talks.faults + talks.shaken)[0]}."]
    if talks.faults:
        raise Wrong(f"there is a fault. {talks.faults[0]}")
    told = [f"NO FAULT in {count}, which were replayed."]
    if header["left_out"]:
        return 3, [*told, "NOT CHECKED: other answers, which were not written down."]
    if verdict == "no-fault-found":
        talks.go_through()
        more = ", and wrong input of every class after each beginning of one" if talks.most_wrong else ""
        return 0, [*told, f"Every line of play without wrong input is among them{more}."]
    return 0, [*told, "They are not all that there are."]


# The file -------------------------------------------------------------------------------------------------

# What stands in a file: a type; a word or None, which stand for themselves; a list, all of one shape; a tuple, of which
# one must do; an object, in which keys with ? may be missing.
FILE = {"name": str, "sha256": str, "text?": str}
TEXT = {"name": str, "sha256": str, "text": str}
HEADER = {"evidence": int, "of": str, "claim": CLAIMS, "seat": SEATS, "game": FILE, "house_rules": TEXT}
PROOF = {
    "verdict": ("proved", "refuted", "no-answer", "illegal-answer"),
    "strategy": FILE,
    "decision?": (int, None),
    "loop_from?": (int, None),
    "answer?": str,
}
LEAST = (
    {"answers": int, "bound": int, "alike": bool, "turnings": [[str]], "scale": int},
    {"unproved": tuple(UNPROVED)},
)
DRILL = {
    "verdict": ("no-fault-found", "fault-found", "not-finished", "sampled"),
    "conversation?": TEXT,
    "wrong": int,
    "program": str,
    "files": [FILE],
    "left_out": bool,
    "own_words": bool,
}
LINES: dict[str, dict[str, Any]] = {
    "listed": {"listed": str, "turn": SEATS, "moves?": dict, "ending?": (*SEATS, DRAW)},
    "position": {"position": str, "answers": [str], "rank?": int},
    "ply": {"ply": int, "by": ("machine", "visitor"), "move": str, "position": str},
    "case": {"case": list, "weights": list},
    "answer": {"answer": int, "after": int, "typed": (str, None), "printed": [str], "how": str},
    "way": {"way": str, "form": str, "reading": str, "words": int, "sheet": str, "image": str},
}
"""Lines, each kind known by its first key."""
OF_PROOFS = ("listed", "position", "ply")
KINDS: dict[str, tuple[Callable[[Record, Numbered], tuple[int, list[str]]], Record, tuple[str, ...]]] = {
    "proof": (check_proof, PROOF, OF_PROOFS),
    "least": (check_fewest, {**PROOF, "least": LEAST}, (*OF_PROOFS, "case")),
    "drill": (check_drill, DRILL, ("answer",)),
    "plan": (check_plan, {"card": FILE, "ways": int}, (*OF_PROOFS, "way")),
}
"""What evidence can be of: how it is checked, what its header holds besides `HEADER`, and the kinds of its lines."""


def fits(value: Any, shape: Any) -> bool:
    """Whether a value is of a shape."""
    if isinstance(shape, dict):
        known = {key.rstrip("?"): each for key, each in shape.items()}
        return (
            isinstance(value, dict)
            and set(value) <= set(known)
            and all(fits(value[key], known[key]) if key in value else f"{key}?" in shape for key in known)
        )
    if isinstance(shape, list):
        return isinstance(value, list) and all(fits(each, shape[0]) for each in value)
    if isinstance(shape, tuple):
        return any(fits(value, each) for each in shape)
    if isinstance(shape, type):  # to Python true and false are numbers, too, but not here
        return isinstance(value, shape) and (shape is bool or not isinstance(value, bool))
    return bool(value == shape)


def must_fit(number: int, record: Record, shape: Record) -> None:
    """Raise Wrong where a line does not hold what it should, and name the first key that is wrong."""
    if fits(record, shape):
        return
    for key in sorted({*record, *(each.rstrip("?") for each in shape)}):
        part = {each: value for each, value in record.items() if each == key}
        if not fits(part, {each: value for each, value in shape.items() if each.rstrip("?") == key}):
            raise Wrong(f"line {number}: '{key}' is missing or not what it should be")


def must_be_clear(header: Record, middle: list[Record]) -> None:
    """Raise Wrong unless all lines hold what they should, and the texts in the header are those of its digests."""
    if not fits(header.get("of"), tuple(KINDS)):
        raise Wrong(f"line 1: 'of' is {header.get('of')!r}; expected one of {', '.join(KINDS)}")
    _, more, lines = KINDS[header["of"]]
    must_fit(1, header, {**HEADER, **more})
    for key, part in header.items():
        if isinstance(part, dict) and "text" in part and digest(part["text"].encode()) != part["sha256"]:
            raise Wrong(f"line 1: the text of the {key} is not the one that its digest names")
    for number, record in enumerate(middle, 2):
        kind = next(iter(record), "")
        if kind not in lines:
            raise Wrong(f"line {number}: expected a line of one of the kinds {', '.join(lines)}")
        must_fit(number, record, LINES[kind])


def read(raw: bytes) -> tuple[Record, Numbered]:
    """The header and the numbered lines of a file of evidence, whose digests agree; raises Unreadable or Wrong."""
    try:
        records = [json.loads(line) for line in raw.split(b"\n") if line.strip()]
    except (ValueError, RecursionError):
        raise Unreadable("this is no evidence: expected one JSON object on every line") from None
    if len(records) < 2 or not all(isinstance(record, dict) for record in records):
        raise Unreadable("this is no evidence: expected JSON objects, a header first and an end last")
    header, *middle, end = records
    if header.get("evidence") != 1:
        raise Unreadable('line 1: this is no evidence: expected a header with "evidence": 1')
    body = raw[: raw.rstrip(b"\n").rfind(b"\n") + 1]
    if set(end) != {"end", "sha256"} or end["end"] != len(records):
        raise Wrong(f"line {len(records)}: expected the end, after {len(records)} lines")
    if digest(body) != end["sha256"]:
        raise Wrong("the file was changed after it was written: its digest is another one")
    must_be_clear(header, middle)
    return header, list(enumerate(middle, 2))


def digest(raw: bytes) -> str:
    """What tells bytes from all others."""
    return hashlib.sha256(raw).hexdigest()


def check(raw: bytes, strategy: bytes | None = None) -> tuple[int, list[str]]:
    """Check the bytes of a file of evidence, against the bytes of the strategy's file if given.

    Returns a status (0 or 3) and what can be said, in lines; raises Wrong or Unreadable.
    """
    header, records = read(raw)
    named = [file["sha256"] for file in (header.get("strategy"), *header.get("files", [])) if file]
    named += [record["sheet"] for _, record in records if "way" in record]
    if strategy is not None and digest(strategy) not in named:
        raise Wrong("this is evidence about another strategy, or about another version of its file")
    about = header.get("program") or header.get("strategy", {"name": ""})["name"]
    told = f"{header['game']['name']}, machine moves {header['seat']}, claim {header['claim']}."
    try:
        trusted = list(taken_on_trust(header, is_held=strategy is not None))
        status, found = KINDS[header["of"]][0](header, records)
    except NotChecked as why:
        status, found = 3, [f"NOT CHECKED TO THE END: {why}."]
    except (LookupError, ValueError, TypeError, AttributeError, OverflowError) as error:
        raise Wrong(f"the game, its house rules or a name in it cannot be read: {error!r}") from None
    return status, [
        f"{about}: {told}" if about else told,
        *found,
        *(f"Taken on trust: {each}" for each in trusted),
    ]


def taken_on_trust(header: Record, *, is_held: bool) -> Iterable[str]:
    """What nobody can see in the evidence; is_held: the strategy's file was held against the digest."""
    if header["of"] == "drill":
        yield "that the program prints this, and will again; only these transcripts were checked."
    elif is_held:
        yield "that this strategy plays so; it is the one that the evidence is about."
    else:
        yield "that the strategy plays so. (--strategy FILE holds its file against the digest.)"
    if "repetition-limit" in header["game"].get("text", ""):
        yield "that the limit of repetitions changes no value (docs/games/steps.md)."
    if not knows_rules(header):
        yield "the moves of this game, which the evidence lists."


def main(arguments: Sequence[str]) -> int:
    """Check a file, print what was found, and return the status."""
    if len(arguments) not in (1, 3) or (len(arguments) == 3 and arguments[1] != "--strategy"):
        print("expected: checker.py EVIDENCE [--strategy FILE]", file=sys.stderr)
        return 2
    try:
        contents = [Path(name).read_bytes() for name in arguments[::2]]
        status, told = check(*contents)
    except (OSError, Unreadable) as error:
        print(error, file=sys.stderr)
        return 2
    except Wrong as wrong:
        print(f"THE EVIDENCE DOES NOT HOLD: {wrong}.")
        return 1
    print("\n".join(told))
    return status


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
