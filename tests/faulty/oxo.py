"""Noughts and crosses, machine first, under the usual house rules; a fault can be named on the command line.

Written as a learner would write it.  Without an argument it is right.  tests/workbench/drill/bank.py says
what each fault is, and which battery has to find it.
"""

import sys
import time

FAULT = sys.argv[1] if len(sys.argv) > 1 else ""
LINES = [(0, 1, 2), (3, 4, 5), (6, 7, 8), (0, 3, 6), (1, 4, 7), (2, 5, 8), (0, 4, 8), (2, 4, 6)]
ME, YOU = "X", "O"
games = []


def say(text, end="\n"):
    print(text, end=end, flush=True)


def has_won(board, player):
    lines = LINES[:-1] if FAULT == "one-diagonal-missing" else LINES
    return any(all(board[cell] == player for cell in line) for line in lines)


def is_full(board):
    return board.count(" ") == (2 if FAULT == "draw-before-the-end" else 0)


def completes(board, player):
    for line in LINES:
        marks = [board[cell] for cell in line]
        if marks.count(player) == 2 and " " in marks:
            return line[marks.index(" ")]
    return None


def my_move(board, shaken):
    """Win, stop, then centre, a corner, any: with the centre taken first this never loses."""
    if FAULT == "chance":
        return __import__("random").SystemRandom().choice([cell for cell in range(9) if board[cell] == " "])
    for player in (ME, YOU):
        cell = completes(board, player)
        if cell is not None and not (player == YOU and lets_go(board, shaken)):
            return cell
    order = (4, 0, 2, 6, 8, 1, 3, 5, 7)
    free = [cell for cell in order if board[cell] == " "]
    return free[0]


def lets_go(board, shaken):
    """Whether a fault makes it forget to stop the visitor."""
    if FAULT == "never-stops":
        return True
    if FAULT == "forgets-one-column":
        return board[2] == board[8] == YOU
    if FAULT == "shaken-by-a-letter":
        return shaken
    return FAULT == "tires-after-nine-games" and len(games) > 9


def game():
    games.append("begun")
    board, shaken = [" "] * 9, False
    while True:
        cell = my_move(board, shaken)
        if FAULT == "plays-on-a-mark" and board[0] == YOU and board.count(" ") == 7:
            cell = 0
        if not (FAULT == "does-not-reply-to-nine" and board[8] == YOU and board.count(" ") == 7):
            board[cell] = ME
            say(f"I PLAY {cell + 1}")
        if FAULT == "plays-twice" and board[6] == YOU and board.count(" ") == 6:
            other = board.index(" ")
            board[other] = ME
            say(f"I PLAY {other + 1}")
        if has_won(board, ME):
            return say("A DRAW" if FAULT == "late-wins-are-draws" and board.count(" ") == 2 else "I WIN")
        if is_full(board):
            return say("YOU WIN" if FAULT == "draw-told-as-a-win" else "A DRAW")
        shaken |= visitor(board)
        if has_won(board, YOU):
            return say("YOU WIN")


def visitor(board):
    """Let the visitor move; whether a letter was keyed in."""
    shaken = False
    while True:
        say("YOUR MOVE ", end="")
        text = input()
        if FAULT == "hangs-on-a-letter" and text == "A":
            time.sleep(60)
        if FAULT == "endless-on-zero" and text == "0":
            while True:
                say("NO ")
        if FAULT == "leaves-when-nothing-is-typed" and not text:
            sys.exit(0)
        if len(text) > 8 and FAULT != "reads-long-numbers":
            say("AGAIN")
        elif not text.isdigit() and FAULT != "no-check-of-letters":
            shaken = True
            say("TAKEN. AGAIN" if FAULT == "scolds-letters" else "AGAIN")
        elif not 1 <= int(text) <= 9 and not (FAULT == "zero-is-nine" and text == "0"):
            say("NO SUCH CELL. AGAIN")
        elif board[int(text) - 1] == ME or (board[int(text) - 1] == YOU and FAULT != "own-cell-again"):
            say("TAKEN. AGAIN")
        elif FAULT == "refuses-nine" and text == "9":
            say("NO SUCH CELL. AGAIN")
        else:
            board[int(text) - 1] = YOU
            return shaken


while True:
    game()
    if FAULT == "goes-home":
        break
    input()
    say("YOUR MOVE" if FAULT == "not-a-word-after-the-end" else "GAME OVER")
