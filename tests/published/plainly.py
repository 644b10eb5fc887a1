"""Games written down once more, as plainly as can be, and solved by going round by round over a dictionary.

It shares no code with the rooms nor with the models in the folders beside this one: its author knew the games from
books, not from `games/`.  Boards are strings with a sign for each cell in reading order: ``F`` and ``S`` the
players', ``.`` free.  A position is a tuple that begins with the board, then whose turn it is, 0 or 1.
"""

from itertools import product
from typing import NamedTuple

PLAYERS = ("first", "second")
SIGNS = "FS"


class Rules(NamedTuple):
    """A game: its first position, the positions after each move, and the result where there is one."""

    start: tuple
    moves: object
    result: object


class Found(NamedTuple):
    """What is found out about a game: the value of its start, the plies to the end, and its positions."""

    value: str
    plies: int | None
    positions: int


def solve(rules):
    graph = reached(rules)
    return Found(*values(rules, graph)[rules.start], len(graph))


def reached(rules):
    """Every position that can arise, with those that its moves lead to."""
    graph, waiting = {}, [rules.start]
    for position in waiting:
        if position not in graph:
            graph[position] = [] if rules.result(position) else list(rules.moves(position))
            waiting += graph[position]
    return graph


def values(rules, graph):
    """Value and plies of every position: who can win does so soonest, who must lose latest; the rest is drawn."""
    known = {p: (rules.result(p), 0) for p in graph if rules.result(p) in PLAYERS}
    leads_to, left = {p: [] for p in graph}, {p: len(children) for p, children in graph.items()}
    for position, children in graph.items():
        for child in children:
            leads_to[child].append(position)
    newest, plies = list(known), 0
    while newest:
        plies, new = plies + 1, {}
        for child in newest:
            winner = known[child][0]
            for position in leads_to[child]:
                is_own = PLAYERS[position[1]] == winner
                left[position] -= not is_own
                if position not in known and (is_own or left[position] == 0):
                    new[position] = (winner, plies)
        known |= new
        newest = list(new)
    return {position: known.get(position, ("draw", None)) for position in graph}


# Marks ----------------------------------------------------------------------------------------------------


def straight_lines(columns, rows, length, *, goes_round=False):
    """Every line of so many cells; `goes_round`: what leaves the board comes in again on the other side."""
    lines = set()
    for x, y, (right, down) in product(range(columns), range(rows), [(1, 0), (0, 1), (1, 1), (-1, 1)]):
        places = [(x + step * right, y + step * down) for step in range(length)]
        if goes_round:
            places = [(a % columns, b % rows) for a, b in places]
        if all(0 <= a < columns and 0 <= b < rows for a, b in places) and len(set(places)) == length:
            lines.add(tuple(sorted(b * columns + a for a, b in places)))
    return sorted(lines)


def marks(columns, rows, lines, signs="", *, misere=False, falls=False):
    """Marks on cells; `signs`: what either player may put, or "" where each has marks of their own."""
    below = columns if falls else columns * rows

    def has_line(board):
        return any(
            board[line[0]] != "." and len({board[cell] for cell in line}) == 1 for line in lines
        )  # fmt: skip

    def result(position):
        board, turn = position
        if has_line(board):
            return PLAYERS[turn if misere else 1 - turn]
        return None if "." in board else "draw"

    def moves(position):
        board, turn = position
        for cell, sign in enumerate(board):
            if sign == "." and board[cell + below : cell + below + 1] != ".":
                for mark in signs or SIGNS[turn]:
                    yield board[:cell] + mark + board[cell + 1 :], 1 - turn

    return Rules(("." * (columns * rows), 0), moves, result)


# Men that step --------------------------------------------------------------------------------------------


def placed_men(beside, lines, men, *, blocked="loses"):
    """Men placed one by one and then moved to a point that is `beside`; a line wins, also while men are placed."""

    def own_moves(board, turn):
        sign, other = SIGNS[turn], 1 - turn
        placing = board.count(sign) < men
        for cell, held in enumerate(board):
            if placing and held == ".":
                yield put(board, {cell: sign}), other
            if not placing and held == sign:
                for target in beside[cell]:
                    if board[target] == ".":
                        yield put(board, {cell: ".", target: sign}), other

    def result(position):
        board, turn = position
        if any(all(board[cell] == SIGNS[1 - turn] for cell in line) for line in lines):
            return PLAYERS[1 - turn]
        if any(True for _ in own_moves(board, turn)):
            return None
        return "draw" if blocked == "draws" else PLAYERS[turn if blocked == "wins" else 1 - turn]

    return Rules(("." * len(beside), 0), lambda position: own_moves(*position), result)


def standing_men(beside, start, lines=(), *, begins=0, blocked="loses"):
    """Men that stand on the points from the beginning; a line wins, and who is blocked loses unless told."""
    men = start.count("F")
    assert men == start.count("S"), "else some would be taken for men in hand"
    return placed_men(beside, lines, men, blocked=blocked)._replace(start=(start, begins))


def lines_made_by_steps(beside, start, lines):
    """Men that stand on the points; whoever makes a line by a step wins, and one that stands already is nothing."""

    def moves(position):
        board, turn, _ = position
        for cell, target in product(range(len(board)), repeat=2):
            if board[cell] == SIGNS[turn] and board[target] == "." and target in beside[cell]:
                after = put(board, {cell: ".", target: SIGNS[turn]})
                made = any(target in line and all(after[c] == SIGNS[turn] for c in line) for line in lines)
                yield after, 1 - turn, made

    def result(position):
        is_over = position[2] or not any(True for _ in moves(position))
        return PLAYERS[1 - position[1]] if is_over else None

    return Rules((start, 0, False), moves, result)


def wheel(spokes):
    """The points beside each point of a wheel: those of its rim in order, then its hub."""
    rim = range(spokes)
    return [{(p - 1) % spokes, (p + 1) % spokes, spokes} - {p} for p in rim] + [set(rim)]


def put(board, signs):
    return "".join(signs.get(cell, held) for cell, held in enumerate(board))


# Men that go forward --------------------------------------------------------------------------------------


def pawns(columns, rows, ranks=1, *, steps=(0,), must_capture=False, crossing_wins=True, misere=False):
    """Pawns of two sides, `ranks` full rows of each: a step ahead (`steps`: by so many columns to the side, too).

    They capture diagonally ahead.  Whoever crosses the board wins; whoever has no move loses (wins if `misere`).
    """
    full, bare = columns * ranks, columns * (rows - 2 * ranks)

    def moves(position):
        board, turn = position
        ahead, found, captures = (-1, 1)[turn], [], []
        for cell, held in enumerate(board):
            x, y = cell % columns, cell // columns + ahead
            if held != SIGNS[turn] or not 0 <= y < rows:
                continue
            for side in (-1, 0, 1):
                target = y * columns + x + side
                if not 0 <= x + side < columns:
                    continue
                after = put(board, {cell: ".", target: held}), 1 - turn
                if board[target] == "." and side in steps:
                    found.append(after)
                elif board[target] == SIGNS[1 - turn] and side:
                    captures.append(after)
        return captures if captures and must_capture else found + captures

    def result(position):
        board, turn = position
        if crossing_wins and "F" in board[:columns]:
            return "first"
        if crossing_wins and "S" in board[-columns:]:
            return "second"
        return None if moves(position) else PLAYERS[turn if misere else 1 - turn]

    return Rules(("S" * full + "." * bare + "F" * full, 0), moves, result)


def dodgem(size):
    """C. Vout's game: the first player's cars leave at the top, the second's at the right; who is blocked wins."""
    column, row = "S" + "." * (size - 1), "." + "F" * (size - 1)

    def moves(position):
        board, turn = position
        for cell, held in enumerate(board):
            if held != SIGNS[turn]:
                continue
            for right, down in ((0, -1), (-1, 0), (1, 0)) if turn == 0 else ((1, 0), (0, -1), (0, 1)):
                x, y = cell % size + right, cell // size + down
                if (y < 0 and turn == 0) or (x == size and turn == 1):
                    yield put(board, {cell: "."}), 1 - turn
                elif 0 <= x < size and 0 <= y < size and board[y * size + x] == ".":
                    yield put(board, {cell: ".", y * size + x: held}), 1 - turn

    def result(position):
        board, turn = position
        for player in (0, 1):
            if SIGNS[player] not in board:
                return PLAYERS[player]
        return None if any(True for _ in moves(position)) else PLAYERS[turn]

    return Rules((column * (size - 1) + row, 0), moves, result)


# Taking ---------------------------------------------------------------------------------------------------


def last_move(start, after, *, misere=False):
    """A game in which both may do the same, told by what a move makes of a board; who cannot move loses."""

    def moves(position):
        return [(board, 1 - position[1]) for board in after(position[0])]

    def result(position):
        if moves(position):
            return None
        return PLAYERS[position[1] if misere else 1 - position[1]]

    return Rules((start, 0), moves, result)


def heaps(sizes, takes, *, misere=False):
    def after(sizes):
        for heap, size in enumerate(sizes):
            for number in takes:
                if number <= size:
                    yield (*sizes[:heap], size - number, *sizes[heap + 1 :])

    return last_move(tuple(sizes), after, misere=misere)


def kayles(pins, *, misere=False):
    """One row of pins, of which one or two side by side are knocked down."""

    def after(row):
        for pin, sign in enumerate(row):
            if sign == "|":
                yield f"{row[:pin]}.{row[pin + 1 :]}"
                if row[pin : pin + 2] == "||":
                    yield f"{row[:pin]}..{row[pin + 2 :]}"

    return last_move("|" * pins, after, misere=misere)


def chomp(columns, rows):
    """What is left of a bar, as the lengths of its rows; the last piece is poisoned."""

    def after(bar):
        for row, length in enumerate(bar):
            for piece in range(length):
                yield tuple(min(had, piece) if y >= row else had for y, had in enumerate(bar))

    return last_move((columns,) * rows, after, misere=True)


def grundy(after, board, known):
    """The Grundy value of a board: the least number that none of its moves leads to."""
    if board not in known:
        options = {grundy(after, child, known) for child in after(board)}
        known[board] = next(number for number in range(len(options) + 1) if number not in options)
    return known[board]


# Filling --------------------------------------------------------------------------------------------------


def dominoes(columns, rows, *, begins=0):
    """Domineering: the first player lays upright dominoes, the second lying ones; who cannot loses."""

    def moves(position):
        board, turn = position
        step = (columns, 1)[turn]
        for cell in range(columns * rows - step):
            fits = turn == 0 or cell % columns < columns - 1
            if fits and board[cell] == board[cell + step] == ".":
                yield put(board, {cell: "#", cell + step: "#"}), 1 - turn

    def result(position):
        return None if any(True for _ in moves(position)) else PLAYERS[1 - position[1]]

    return Rules(("." * (columns * rows), begins), moves, result)


def hex_board(columns, rows, *, misere=False, begins=0):
    """Hex: the first player joins top and bottom, the second left and right."""

    def joined(board, player):
        ends = [range(columns), range(columns * (rows - 1), columns * rows)] if player == 0 else [
            range(0, columns * rows, columns), range(columns - 1, columns * rows, columns)
        ]  # fmt: skip
        seen, waiting = set(), list(ends[0])
        for cell in waiting:
            if board[cell] == SIGNS[player] and cell not in seen:
                seen.add(cell)
                x, y = cell % columns, cell // columns
                near = [(x - 1, y), (x + 1, y), (x, y - 1), (x, y + 1), (x + 1, y - 1), (x - 1, y + 1)]
                waiting += [b * columns + a for a, b in near if 0 <= a < columns and 0 <= b < rows]
        return not seen.isdisjoint(ends[1])

    def result(position):
        for player in (0, 1):
            if joined(position[0], player):
                return PLAYERS[1 - player if misere else player]
        return None

    def moves(position):
        board, turn = position
        for cell, held in enumerate(board):
            if held == ".":
                yield put(board, {cell: SIGNS[turn]}), 1 - turn

    return Rules(("." * (columns * rows), begins), moves, result)


def boxes_difference(columns, rows):
    """Dots and boxes: the boxes of whoever begins less those of the other."""
    lying = [(x, y, x + 1, y) for y in range(rows + 1) for x in range(columns)]
    upright = [(x, y, x, y + 1) for y in range(rows) for x in range(columns + 1)]
    bit = {line: 1 << number for number, line in enumerate(lying + upright)}
    boxes = [
        sum(bit[line] for line in [
            (x, y, x + 1, y), (x, y + 1, x + 1, y + 1), (x, y, x, y + 1), (x + 1, y, x + 1, y + 1)
        ])
        for x, y in product(range(columns), range(rows))
    ]  # fmt: skip
    best = [0] * (1 << len(bit))
    for drawn in range(len(best) - 2, -1, -1):
        tries = []
        for line in bit.values():
            if not drawn & line:
                won = sum(box & drawn != box and box & ~(drawn | line) == 0 for box in boxes)
                tries.append(won + best[drawn | line] if won else -best[drawn | line])
        best[drawn] = max(tries)
    return best[0]
