"""Noughts and crosses graded by plain recursion: boards are strings, threats are counted line by line.

It shares no code with the workbench.  A sheet is a tuple of rules of the few kinds that `RULES` knows.
"""

from collections import Counter
from functools import cache

LINES = [(0, 1, 2), (3, 4, 5), (6, 7, 8), (0, 3, 6), (1, 4, 7), (2, 5, 8), (0, 4, 8), (2, 4, 6)]
EMPTY = "_" * 9
TURNS = []
for columns in ((0, 1, 2), (2, 1, 0)):
    turn = [3 * row + column for row in range(3) for column in columns]
    for _ in range(4):
        TURNS.append(turn)
        turn = [turn[3 * (2 - column) + row] for row in range(3) for column in range(3)]


def put(board, cell, sign):
    return board[:cell] + sign + board[cell + 1 :]


def free(board):
    return [cell for cell in range(9) if board[cell] == "_"]


def has_won(board, sign):
    return any(all(board[cell] == sign for cell in line) for line in LINES)


def over(board):
    return has_won(board, "M") or has_won(board, "V") or "_" not in board


@cache
def winning(board, sign):
    return [cell for cell in free(board) if has_won(put(board, cell, sign), sign)]


@cache
def best(board, sign):
    """Worth to the machine (2, 1, 0) and plies to the end (-1 for a draw) under best play, `sign` to move."""
    if over(board):
        return (2, 0) if has_won(board, "M") else (0, 0) if has_won(board, "V") else (1, -1)
    other = "V" if sign == "M" else "M"
    options = [best(put(board, cell, sign), other) for cell in free(board)]
    wanted = max if sign == "M" else min
    worth = wanted(option[0] for option in options)
    if worth == 1:
        return 1, -1
    plies = [option[1] + 1 for option in options if option[0] == worth]
    return worth, min(plies) if (worth == 2) == (sign == "M") else max(plies)


RULES = {
    "complete a line": lambda board: winning(board, "M"),
    "block a line": lambda board: winning(board, "V"),
    "take the centre": lambda board: [cell for cell in (4,) if board[cell] == "_"],
    "take a corner": lambda board: [cell for cell in (0, 2, 6, 8) if board[cell] == "_"],
    "take any free cell": free,
    "take 1": lambda board: [cell for cell in (0,) if board[cell] == "_"],
    "take 2 or 8": lambda board: [cell for cell in (1, 7) if board[cell] == "_"],
    "take the first free of 3, 5, 1": lambda board: [cell for cell in (2, 4, 0) if board[cell] == "_"][:1],
}


@cache
def moves(sheet, board):
    return next(filter(None, (RULES[rule](board) for rule in sheet)), [])


def positions(seat, answer):
    """Boards with the machine to move when it moves as `answer(board)` says and the visitor anyhow, each once."""
    found, waiting = set(), [(EMPTY, "M" if seat == "first" else "V")]
    seen = set(waiting)
    while waiting:
        board, sign = waiting.pop()
        if over(board):
            continue
        if sign == "M":
            found.add(board)
        for cell in answer(board) if sign == "M" else free(board):
            following = (put(board, cell, sign), "V" if sign == "M" else "M")
            if following not in seen:
                seen.add(following)
                waiting.append(following)
    return found


@cache
def lasts(board, sign, plies):
    """Whether some line goes on for more than so many plies."""
    if over(board):
        return False
    other = "V" if sign == "M" else "M"
    return plies == 0 or any(lasts(put(board, cell, sign), other, plies - 1) for cell in free(board))


@cache
def kind_of(board, cell):
    """What kind of mistake a move is; None for none."""
    before, plies = best(board, "M")
    after, later = best(put(board, cell, "M"), "V")
    is_late = before == after == 2 and later + 1 > plies
    if after >= before and not is_late:
        return None
    moved = put(board, cell, "M")
    if winning(board, "M"):
        blocks = winning(board, "V") and not winning(moved, "V")
        return "blocks-before-it-wins" if blocks else "win-not-taken"
    if winning(moved, "V"):
        return "threat-not-blocked"
    if after < before:
        if after == 0 and later == 3:
            return "double-threat-not-stopped"
        if not lasts(board, "M", 4):
            return "ending-misjudged"
        if before == 2 and plies == 3:
            return "double-threat-not-made"
        return "loss-not-seen" if after == 0 else "win-not-seen"
    return "wins-late"


@cache
def mistakes(sheet, seat):
    """In how many positions met each kind is made."""
    found = Counter()
    met = positions(seat, lambda board: moves(sheet, board))
    for board in met:
        answers = moves(sheet, board)
        found.update({kind_of(board, cell) for cell in answers} - {None})
        found["no-answer"] += not answers
    worse = {
        board
        for board in met
        if any(best(put(board, cell, "M"), "V")[0] < best(board, "M")[0] for cell in moves(sheet, board))
    }
    well = {
        board
        for board in met
        if moves(sheet, board) and all(kind_of(board, cell) is None for cell in moves(sheet, board))
    }
    found["symmetric-case-forgotten"] = len(
        {least(board) for board in worse} & {least(board) for board in well}
    )
    return {kind: count for kind, count in found.items() if count}


def given_away(sheet, seat):
    """In how many positions met the worst move makes a draw of a win, and so does not lose."""
    count = 0
    for board in positions(seat, lambda board: moves(sheet, board)):
        left = [best(put(board, cell, "M"), "V")[0] for cell in moves(sheet, board)]
        count += best(board, "M")[0] == 2 and min(left, default=2) == 1
    return count


@cache
def least(board):
    return min("".join(board[cell] for cell in turn) for turn in TURNS)


CREDIT = {(2, 1): 50, (2, 0): 0, (1, 0): 0}
"""Percent by what a move makes of a position; all else keeps what there was."""


def credit(sheet, boards):
    """How many decisions there are among some boards, and the percent that they earn in sum."""
    count = total = 0
    for board in boards:

        def earned(cell, board=board):
            return CREDIT.get((best(board, "M")[0], best(put(board, cell, "M"), "V")[0]), 100)

        possible = {earned(cell) for cell in free(board)}
        if len(possible) > 1:
            count += 1
            total += min(map(earned, moves(sheet, board)), default=0)
    return count, total
