"""The slow, obvious rules of heaps, pins and strips, against which the family `take` is held.

It shares no code with the rooms: a heap is a number, a row of pins a word of ``|`` and ``.``, a strip a word of
``F``, ``S`` and ``_``.  A board is a tuple of these.  Every game gives `names` (what can be typed, in order),
`refusal` (None if whose turn it is may make the move that is called so) and `after` (the board then).
"""

from collections import deque
from functools import cache

LETTERS = "abcdefghijklmnopqrstuvwxyz"
LEAVES = {"0": (), "1": (0,), "2": (1,), "3": (0, 1), "4": (2,), "5": (0, 2), "6": (1, 2), "7": (0, 1, 2)}
"""For each octal digit how many rows may be left."""


class Heaps:
    """`code` is an octal code such as 0.333, or None where any number may be taken."""

    def __init__(self, heaps, code=None, misere=False):
        self.start, self.misere = tuple(heaps), misere
        code = code or "0." + "3" * max(heaps)
        self.digits = code.partition(".")[2][: max(heaps)].rstrip("0")
        self.takes = {
            (LETTERS[heap] if len(heaps) > 1 else "") + str(number): (heap, number)
            for heap, size in enumerate(heaps)
            for number in range(1, min(size, len(self.digits)) + 1)
        }
        self.names = list(self.takes)

    def refusal(self, board, turn, name):
        heap, number = self.takes[name]
        digit = self.digits[number - 1]
        if digit == "0":
            return "not-that-many"
        if board[heap] == 0:
            return "heap-gone"
        if number > board[heap]:
            return "too-many"
        return None if min(1, board[heap] - number) in LEAVES[digit] else "wrong-rest"

    def after(self, board, turn, name):
        heap, number = self.takes[name]
        return tuple(size - number * (place == heap) for place, size in enumerate(board))

    def text(self, board):
        return "-".join(map(str, board))

    def parts(self, board):
        return [size for size in board if size]


class Pins:
    def __init__(self, rows, code, misere=False):
        self.start, self.misere = tuple("|" * row for row in rows), misere
        self.digits = code.partition(".")[2][: max(rows)].rstrip("0")
        self.takes = {}
        for row, pins in enumerate(rows):
            for first in range(1, pins + 1):
                for last in range(first, min(first + len(self.digits) - 1, pins) + 1):
                    name = str(first) if first == last else f"{first}-{last}"
                    self.takes[(LETTERS[row] if len(rows) > 1 else "") + name] = (row, first, last)
        self.names = list(self.takes)

    def refusal(self, board, turn, name):
        row, first, last = self.takes[name]
        digit = self.digits[last - first]
        if digit == "0":
            return "not-that-many"
        if "." in board[row][first - 1 : last]:
            return "pin-gone"
        before, behind = board[row][: first - 1], board[row][last:]
        rows_left = before.endswith("|") + behind.startswith("|")
        return None if rows_left in LEAVES[digit] else "wrong-rest"

    def after(self, board, turn, name):
        row, first, last = self.takes[name]
        pins = board[row][: first - 1] + "." * (last - first + 1) + board[row][last:]
        return (*board[:row], pins, *board[row + 1 :])

    def text(self, board):
        return "/".join(board)

    def parts(self, board):
        return [len(row) for row in "/".join(board).replace(".", "/").split("/") if row]


class Strips:
    def __init__(self, strips, forward_only=False, misere=False):
        self.start, self.forward_only, self.misere = tuple(strips), forward_only, misere
        columns = len(strips[0])
        if (columns, len(strips)) == (3, 3):
            self.cells = {str(number + 1): divmod(number, 3) for number in range(9)}
        elif len(strips) == 1:
            self.cells = {str(column + 1): (0, column) for column in range(columns)}
        else:
            self.cells = {
                f"{LETTERS[column]}{row + 1}": (row, column)
                for row in range(len(strips))
                for column in range(columns)
            }
        self.names = list(self.cells)

    def refusal(self, board, turn, name):
        row, column = self.cells[name]
        strip, own, other = board[row], "FS"[turn], "SF"[turn]
        here, there = strip.index(own), strip.index(other)
        if strip[column] != "_":
            return "taken-by-first" if strip[column] == "F" else "taken-by-second"
        if there in range(min(here, column), max(here, column)):
            return "jumps"
        is_back = abs(column - there) > abs(here - there)
        return "goes-back" if self.forward_only and is_back else None

    def after(self, board, turn, name):
        row, column = self.cells[name]
        own = "FS"[turn]
        cells = list(board[row].replace(own, "_"))
        cells[column] = own
        return (*board[:row], "".join(cells), *board[row + 1 :])

    def text(self, board):
        """As the machine that moves first reads it."""
        return "/".join(board).replace("F", "M").replace("S", "V")

    def gaps(self, board):
        return [abs(strip.index("F") - strip.index("S")) - 1 for strip in board]


def moves(game, board, turn):
    """The names of what may be played, with the boards after it."""
    return {
        name: game.after(board, turn, name) for name in game.names if game.refusal(board, turn, name) is None
    }


def result(game, board, turn):
    """Who has won, if whose turn it is cannot move."""
    if moves(game, board, turn):
        return None
    return ("first", "second")[turn if game.misere else 1 - turn]


def reached(game, visitor=None, costly=()):
    """Every board and turn that can arise, each with its moves by name.

    costly: classes of input that cost the visitor the turn; ``off-board`` and ``not-understood`` can always be
    keyed in, a game's own refusals where some move is refused so.
    """
    found, waiting = {}, deque([(game.start, 0)])
    while waiting:
        board, turn = waiting.popleft()
        if (board, turn) in found:
            continue
        after = {name: (child, 1 - turn) for name, child in moves(game, board, turn).items()}
        refusals = {"off-board", "not-understood"} | {game.refusal(board, turn, name) for name in game.names}
        if after and turn == visitor and refusals & set(costly):
            after["(turn lost)"] = (board, 1 - turn)
        found[board, turn] = after
        waiting.extend(after.values())
    return found


def wins(game, board):
    """Whether whose turn it is can win a game that comes to an end, tried out move by move."""

    @cache
    def tried(board):
        after = moves(game, board, 0).values()
        return any(not tried(child) for child in after) if after else game.misere

    return tried(board)


# Sums by numbers alone ------------------------------------------------------------------------------------


def least_missing(numbers):
    return next(number for number in range(len(numbers) + 1) if number not in numbers)


def grundy_of_rows(code, longest):
    """The Grundy values of single rows, by the rules of an octal code read off letter by letter."""

    found = []
    for row in range(longest + 1):
        options = set()
        for taken, digit in enumerate(code.partition(".")[2], 1):
            rest = row - taken
            options |= {0} if rest == 0 and 0 in LEAVES[digit] else set()
            options |= {found[rest]} if rest > 0 and 1 in LEAVES[digit] else set()
            if 2 in LEAVES[digit]:
                options |= {found[left] ^ found[rest - left] for left in range(1, rest)}
        found.append(least_missing(options))
    return found


def exclusive_or(numbers):
    total = 0
    for number in numbers:
        total ^= number
    return total


def bouton_loses(heaps, misere):
    """Bouton's rule (1901): whose turn it is loses in nim at these heaps."""
    if misere and max(heaps, default=0) <= 1:
        return sum(heaps) % 2 == 1
    return exclusive_or(heaps) == 0
