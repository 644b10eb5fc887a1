"""Four in a row on 4 x 4, written as a game of one's own.

The players take turns to put a mark of theirs on a free cell. Four marks of one player in a
line, straight or diagonal, win; a full board without such a line is a draw.

Bits 0 to 15 of a code are the cells of the first player, bits 16 to 31 those of the second.
"""

import numpy as np

SIDE = 4
CELLS = SIDE * SIDE
TURN = np.uint64(1 << 63)
FULL = np.uint64((1 << CELLS) - 1)

title = "Four in a row on 4 x 4, in Python"
origin = "As four-by-four of the catalogue, to measure how fast a game given as functions is."
columns = rows = SIDE
bits = 2 * CELLS
start = 0
can_repeat = False
move_names = [f"{column}{row}" for row in range(1, SIDE + 1) for column in "abcd"]

across = [0b1111 << SIDE * row for row in range(SIDE)]
down = [0x1111 << column for column in range(SIDE)]
lines = [*across, *down, 0x8421, 0x1248]


def holdings(codes):
    return codes & FULL, codes >> np.uint64(CELLS) & FULL


def mover(codes):
    return codes >> np.uint64(63)


def moves(codes):
    first, second = holdings(codes)
    taken = (first | second).astype(np.uint16)  # narrow numbers are quicker to go through
    one = np.where(codes & TURN, np.uint64(1 << CELLS), np.uint64(1))
    parents = [np.flatnonzero(taken & np.uint16(1 << cell) == 0) for cell in range(CELLS)]
    parent = np.concatenate(parents)
    move = np.repeat(np.arange(CELLS, dtype=np.uint16), [len(free) for free in parents])
    return parent, move, (codes ^ TURN)[parent] | one[parent] << move


def ending(codes):
    first, second = holdings(codes)
    second_to_move = codes & TURN != 0
    last = np.where(second_to_move, first, second).astype(np.uint16)  # who has just moved
    has_line = np.zeros(len(codes), dtype=bool)
    for line in np.array(lines, dtype=np.uint16):
        has_line |= last & line == line
    full = first | second == FULL
    return np.where(has_line, np.where(second_to_move, 1, 2), np.where(full, 3, 0))
