"""A few moves of any game, for pictures to draw."""

import numpy as np

from games.load import load_game

FAMILIES = [
    "noughts-and-crosses",
    "wild-noughts-and-crosses",
    "falling-three-4x3",
    "three-mens-morris",
    "pong-hau-ki",
    "hexapawn",
    "dodgem",
    "hex-three",
    "northcott",
    "boxes-two-by-two",
    "domineering-four",
    "chomp-four-by-three",
    "nim-3-4-5",
    "kayles",
]
"""Games of all five families, with squares, points, slanted rows, holes, heaps and lines."""


def some_moves(game, plies=4):
    """The first plies of a line that goes through the board, by the numbers of their moves."""
    codes, made = np.array([game.start], dtype=np.uint64), []
    for ply in range(plies):
        options = game.moves(codes)
        at = (7 * ply + 1) % len(options.move)
        codes = options.child[at : at + 1]
        made.append(int(options.move[at]))
        if game.ending(codes)[0]:
            break
    return made


def played(name, plies=4):
    """A game of the catalogue, and some moves of it."""
    game = load_game(name)
    return game, some_moves(game, plies)
