"""Noughts and crosses, machine second, under the usual house rules: looks everything up to the end.

Without an argument it is right.  Its faults are the quiet ones: one loses a few lines of hundreds, one never loses to
a visitor who plays with sense.
"""

import sys
from functools import lru_cache

LINES = [(0, 1, 2), (3, 4, 5), (6, 7, 8), (0, 3, 6), (1, 4, 7), (2, 5, 8), (0, 4, 8), (2, 4, 6)]
ME, YOU = "O", "X"


def say(text, end="\n"):
    print(text, end=end, flush=True)


def has_won(board, player):
    return any(all(board[cell] == player for cell in line) for line in LINES)


def free(board):
    return [cell for cell in range(9) if board[cell] == " "]


def after(board, cell, player):
    return board[:cell] + player + board[cell + 1 :]


def completing(board, player):
    return [cell for cell in free(board) if has_won(after(board, cell, player), player)]


@lru_cache(None)
def worth(board, player):
    """What a board is worth to whose turn it is: 1 a win, 0 a draw, -1 a loss."""
    other = ME if player == YOU else YOU
    if has_won(board, other):
        return -1
    return max((-worth(after(board, cell, player), other) for cell in free(board)), default=0)


def my_move(board, left, fault):
    """The cell to play.  left: where the machine could complete a line before the visitor moved."""
    if fault == "loose-board" and board == "X   O   X":
        return 6
    if fault == "trusts-the-visitor" and len(left) == 1 and board[left[0]] == " ":
        return [*(cell for cell in free(board) if cell not in left), *left][0]
    return max(free(board), key=lambda cell: (-worth(after(board, cell, ME), YOU), -cell))


def visitor(board):
    while True:
        say("YOUR MOVE ", end="")
        text = input()
        if len(text) > 8 or not text.isdigit():
            say("AGAIN")
        elif not 1 <= int(text) <= 9:
            say("NO SUCH CELL. AGAIN")
        elif board[int(text) - 1] != " ":
            say("TAKEN. AGAIN")
        else:
            return int(text) - 1


def game(fault):
    board, left = " " * 9, []
    while True:
        board = after(board, visitor(board), YOU)
        if has_won(board, YOU):
            return say("YOU WIN")
        if not free(board):
            return say("A DRAW")
        cell = my_move(board, left, fault)
        board = after(board, cell, ME)
        say(f"I PLAY {cell + 1}")
        if has_won(board, ME):
            return say("I WIN")
        left = completing(board, ME)


if __name__ == "__main__":
    while True:
        game(sys.argv[1] if len(sys.argv) > 1 else "")
        input()
        say("GAME OVER")
