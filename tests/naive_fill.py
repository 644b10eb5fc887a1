"""The slow, obvious rules of the games that fill up: cells are pairs of column and row, and boards plain sets.

A state is a frozen set (a dict as sorted pairs for hex) and whose turn it is; every model gives the same
few functions: `start`, `moves` (the name of each move, the state after it, what it gains), `result`,
`text`, and `refusal`, why a move that has a name may not be played.
"""

from functools import cache
from itertools import product

LETTERS = "abcdefghijklmnopqrstuvwxyz"


def cell_name(columns, rows, cell, *, letters=False):
    column, row = cell
    return (
        str(row * 3 + column + 1)
        if (columns, rows) == (3, 3) and not letters
        else f"{LETTERS[column]}{row + 1}"
    )


def rectangle(columns, rows):
    return [(column, row) for row, column in product(range(rows), range(columns))]


class Dominoes:
    """A state holds the covered cells."""

    def __init__(self, columns, rows, holes=(), misere=False):
        self.columns, self.rows, self.misere = columns, rows, misere
        self.holes = frozenset(holes)
        self.cells = [cell for cell in rectangle(columns, rows) if cell not in self.holes]
        self.dominoes = {}
        for x, y in self.cells:
            for way, other in enumerate([(x, y + 1), (x + 1, y)]):
                if other in self.cells:
                    name = "-".join(cell_name(columns, rows, cell) for cell in ((x, y), other))
                    self.dominoes[name] = way, frozenset([(x, y), other])
        self.names = list(self.dominoes)

    def start(self, turn=0):
        return frozenset(), turn

    def moves(self, state):
        covered, turn = state
        return {
            name: ((covered | pair, 1 - turn), 0)
            for name, (way, pair) in self.dominoes.items()
            if way == turn and not pair & covered
        }

    def result(self, state):
        if self.moves(state):
            return None
        return ("first", "second")[state[1] if self.misere else 1 - state[1]]

    def refusal(self, state, name):
        covered, turn = state
        way, pair = self.dominoes[name]
        return "not-your-way" if way != turn else "already-covered" if pair & covered else None

    def text(self, state):
        def sign(cell):
            return "x" if cell in self.holes else "#" if cell in state[0] else "."

        return "/".join("".join(sign((x, y)) for x in range(self.columns)) for y in range(self.rows))


class Chomp:
    """A state holds the cells that are left."""

    def __init__(self, columns, rows):
        self.columns, self.rows = columns, rows
        self.cells = rectangle(columns, rows)
        self.by_name = {cell_name(columns, rows, cell): cell for cell in self.cells}
        self.names = list(self.by_name)

    def start(self, turn=0):
        return frozenset(self.cells), turn

    def moves(self, state):
        left, turn = state
        return {
            name: ((frozenset(c for c in left if c[0] < x or c[1] < y), 1 - turn), 0)
            for name, (x, y) in self.by_name.items()
            if (x, y) in left
        }

    def result(self, state):
        left, turn = state
        return None if left else ("first", "second")[turn]  # the other one has eaten the poison

    def refusal(self, state, name):
        return None if self.by_name[name] in state[0] else "already-eaten"

    def text(self, state):
        return "/".join(
            "".join(".#"[(x, y) in state[0]] for x in range(self.columns)) for y in range(self.rows)
        )


class Boxes:
    """A state holds the lines that are drawn, each a pair of dots."""

    def __init__(self, columns, rows, drawn=()):
        self.columns, self.rows = columns, rows
        self.lines = {}
        for y in range(rows + 1):
            lying = [((x, y), (x + 1, y)) for x in range(columns)]
            upright = [((x, y), (x, y + 1)) for x in range(columns + 1)] if y < rows else []
            for line in lying + upright:
                self.lines["-".join(cell_name(0, 0, dot) for dot in line)] = line
        self.names = list(self.lines)
        self.drawn = frozenset(self.lines[name] for name in drawn)

    def start(self, turn=0):
        return self.drawn, turn

    def full_boxes(self, drawn):
        return sum(
            {
                ((x, y), (x + 1, y)),
                ((x, y + 1), (x + 1, y + 1)),
                ((x, y), (x, y + 1)),
                ((x + 1, y), (x + 1, y + 1)),
            }
            <= drawn
            for x, y in rectangle(self.columns, self.rows)
        )

    def moves(self, state):
        drawn, turn = state
        found = {}
        for name, line in self.lines.items():
            if line not in drawn:
                after = drawn | {line}
                won = self.full_boxes(after) - self.full_boxes(drawn)
                found[name] = (after, turn if won else 1 - turn), won if turn == 0 else -won
        return found

    def result(self, state):
        return "draw" if len(state[0]) == len(self.lines) else None

    def refusal(self, state, name):
        return "already-drawn" if self.lines[name] in state[0] else None

    def text(self, state):
        def sign(*line):
            return ".#"[line in state[0]]

        rows = []
        for y in range(self.rows + 1):
            rows.append("".join(sign((x, y), (x + 1, y)) for x in range(self.columns)))
            rows.append("".join(sign((x, y), (x, y + 1)) for x in range(self.columns + 1)))
        return "/".join(rows[:-1])


class Hex:
    """A state holds the first player's cells and the second's, as a pair of sets."""

    def __init__(self, columns, rows, misere=False):
        self.columns, self.rows, self.misere = columns, rows, misere
        self.cells = rectangle(columns, rows)
        self.by_name = {cell_name(columns, rows, cell): cell for cell in self.cells}
        self.names = list(self.by_name)

    def start(self, turn=0):
        return (frozenset(), frozenset()), turn

    def moves(self, state):
        held, turn = state
        found = {}
        for name, cell in self.by_name.items():
            if cell not in held[0] | held[1]:
                after = (held[0] | {cell}, held[1]) if turn == 0 else (held[0], held[1] | {cell})
                found[name] = (after, 1 - turn), 0
        return found

    def joined(self, cells, player):
        """Whether a walk from cell to cell leads from the player's one side to the other."""
        side = 1 - player  # the first player's sides are told by the row, the second's by the column
        last = (self.columns, self.rows)[side] - 1
        seen, todo = set(), [cell for cell in cells if cell[side] == 0]
        while todo:
            x, y = cell = todo.pop()
            if cell in cells and cell not in seen:
                seen.add(cell)
                todo += [(x - 1, y), (x + 1, y), (x, y - 1), (x + 1, y - 1), (x, y + 1), (x - 1, y + 1)]
        return any(cell[side] == last for cell in seen)

    def result(self, state):
        for player in (0, 1):
            if self.joined(state[0][player], player):
                return ("first", "second")[1 - player if self.misere else player]
        return None

    def refusal(self, state, name):
        first, second = state[0]
        cell = self.by_name[name]
        return "taken-by-first" if cell in first else "taken-by-second" if cell in second else None

    def text(self, state):
        first, second = state[0]

        def sign(cell):
            return "M" if cell in first else "V" if cell in second else "_"

        return "/".join("".join(sign((x, y)) for x in range(self.columns)) for y in range(self.rows))


class LostTurns:
    """A model in which the visitor may also lose a turn by wrong input, wherever such input is possible.

    visitor: 0 or 1, or None for the fair game; classes: those of wrong input that cost the turn.
    """

    ALWAYS = ("too-long", "empty", "not-understood", "off-board")

    def __init__(self, model, visitor=None, classes=()):
        self.model, self.visitor, self.classes = model, visitor, classes
        self.value, self.difference = cache(self._value), cache(self._difference)

    def moves(self, state):
        if self.model.result(state):
            return {}
        found = dict(self.model.moves(state))
        if state[1] == self.visitor and self._can_be_wrong(state):
            found["(turn lost)"] = (state[0], 1 - state[1]), 0
        return found

    def _can_be_wrong(self, state):
        possible = {self._class_of(self.model.refusal(state, name)) for name in self.model.names}
        return any(name in possible or name in self.ALWAYS for name in self.classes)

    def _class_of(self, refusal):
        taken = {"taken-by-first": 0, "taken-by-second": 1}
        if refusal not in taken:
            return refusal
        return "taken-by-visitor" if taken[refusal] == self.visitor else "taken-by-machine"

    def reached(self, turn=0):
        """Every state that can be reached."""
        seen, todo = set(), [self.model.start(turn)]
        while todo:
            state = todo.pop()
            if state not in seen:
                seen.add(state)
                todo += [after for after, _ in self.moves(state).values()]
        return seen

    def _value(self, state):
        """Who wins and in how many plies: the winner hurries, the loser does not."""
        result = self.model.result(state)
        if result:
            return result, 0
        after = [self.value(child) for child, _ in self.moves(state).values()]
        own = ("first", "second")[state[1]]
        wins = [plies for winner, plies in after if winner == own]
        return (own, min(wins) + 1) if wins else (after[0][0], max(plies for _, plies in after) + 1)

    def _difference(self, state):
        """What is to come, first minus second."""
        if self.model.result(state):
            return 0
        after = [gain + self.difference(child) for child, gain in self.moves(state).values()]
        return (max, min)[state[1]](after)
