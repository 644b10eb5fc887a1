"""The smallest game in Python."""

import numpy as np

TWO_LAMPS = """\
import numpy as np

bits = 2
start = 3
move_names = ["left", "right"]


def mover(codes):
    return codes >> 63


def ending(codes):
    return np.where(codes & 3 == 0, np.where(codes >> 63 == 0, 2, 1), 0)


def moves(codes):
    parents = [np.flatnonzero(codes >> lamp & 1) for lamp in range(2)]
    parent = np.concatenate(parents)
    move = np.repeat([0, 1], [len(lit) for lit in parents])
    return parent, move, codes[parent] ^ np.uint64(2**63) ^ (np.uint64(1) << move.astype(np.uint64))
"""
"""As little as a file can hold: each player puts out one of two lamps; who finds both dark has lost."""


def codes(*values):
    return np.array(values, dtype=np.uint64)
