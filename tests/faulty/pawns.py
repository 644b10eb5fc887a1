"""Hexapawn on 3 x 3, machine second, in words of its own: it never loses, and it does not win as soon as it could."""

from functools import lru_cache

YOU, ME = 1, 2


def moves(board, player):
    """Steps forward onto a free cell, and captures one cell diagonally forward."""
    forward = -3 if player == YOU else 3
    found = []
    for cell in (cell for cell in range(9) if board[cell] == player):
        ahead = cell + forward
        if 0 <= ahead < 9:
            found += [(cell, ahead)] * (board[ahead] == 0)
            beside = [side for side in (ahead - 1, ahead + 1) if 0 <= side < 9 and side // 3 == ahead // 3]
            found += [(cell, side) for side in beside if board[side] == 3 - player]
    return found


def after(board, move):
    changed = list(board)
    changed[move[1]], changed[move[0]] = changed[move[0]], 0
    return tuple(changed)


def has_lost(board, player):
    """Whether the player whose turn it is has lost."""
    far = range(6, 9) if player == YOU else range(3)
    return any(board[cell] == 3 - player for cell in far) or not moves(board, player)


@lru_cache(None)
def wins(board, player):
    if has_lost(board, player):
        return False
    return any(not wins(after(board, move), 3 - player) for move in moves(board, player))


def my_move(board):
    good = [move for move in moves(board, ME) if not wins(after(board, move), YOU)]
    return (good or moves(board, ME))[0]


def name(move):
    return f"{move[0] + 1}-{move[1] + 1}"


def game():
    board = (ME,) * 3 + (0,) * 3 + (YOU,) * 3
    while True:
        for row in range(0, 9, 3):
            print("".join(".XO"[mark] for mark in board[row : row + 3]))
        legal = {name(move): move for move in moves(board, YOU)}
        text = input("Your move? ")
        if text not in legal:
            print("No.")
            continue
        board = after(board, legal[text])
        if has_lost(board, ME):
            return print("You win")
        move = my_move(board)
        board = after(board, move)
        print("I move", name(move))
        if has_lost(board, YOU):
            return print("I win")


while True:
    game()
    input("Again? ")
    print("Fine.")
