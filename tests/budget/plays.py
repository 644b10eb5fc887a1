"""Small fixed plays for the tests of this room, made the slow obvious way."""

import random

import numpy as np
from hypothesis import settings

from games.codes import FIRST, MoveList
from games.game import inverse_symmetries, least_images
from games.house import load_house_rules
from games.housed import HousedGame
from games.load import load_game
from solver.fixed import PLAIN, FixedPlay
from solver.graph import explore
from solver.values import best_play

FEWER = settings(max_examples=max(8, settings().max_examples // 3))
"""For properties whose every example walks a whole game."""


def one(code):
    return np.array([code], dtype=np.uint64)


def housed(game="noughts-and-crosses", house="usual", seat=FIRST):
    fair = load_game(game)
    return HousedGame(fair, load_house_rules(house, fair), seat)


def legal(game, code):
    """The moves of one position in the game's order, and what they lead to: numbers and codes."""
    found = game.fair.moves(one(code))
    pairs = sorted(zip(found.move.tolist(), found.child.tolist(), strict=True))
    return [move for move, _ in pairs], [child for _, child in pairs]


def any_move(seed):
    """Some legal move, the same whenever the same board is asked about."""

    def choose(game, code):
        moves, _ = legal(game, code)
        return random.Random(seed * 2**64 + code).choice(moves)

    return choose


def never_losing(game):
    """The least move that keeps the value of the board."""
    graph = explore(game.fair)
    value = best_play(graph).value

    def choose(game, code):
        moves, children = legal(game, code)
        here = value[graph.places(one(code))[0]]
        after = value[graph.places(np.array(children, dtype=np.uint64))]
        return next(move for move, then in zip(moves, after, strict=True) if then == here)

    return choose


def fixed_move(game, reading, choose, code):
    if reading == PLAIN:
        return choose(game, code)
    least, by = least_images(game.fair, one(code))
    move = np.array([choose(game, int(least[0]))], dtype=np.uint16)
    return int(game.fair.turned_move(inverse_symmetries(game.fair)[int(by[0])], move)[0])


def play_of(game, reading, choose):
    """Walk the game with the machine's moves chosen: the play that an encoding is given."""
    chosen = {}

    def successors(codes):
        moves = game.moves(codes)
        keep = []
        for parent, move in zip(moves.parent, moves.move, strict=True):
            if game.mover(codes[parent : parent + 1])[0] != game.seat:
                keep.append(True)
                continue
            board = int(game.fair_codes(codes[parent : parent + 1])[0])
            if board not in chosen:
                chosen[board] = fixed_move(game, reading, choose, board)
            keep.append(chosen[board] == move)
        kept = np.array(keep, dtype=bool)
        return MoveList(moves.parent[kept], moves.move[kept], moves.child[kept])

    graph = explore(game, successors)
    boards = sorted(chosen)
    return FixedPlay(
        game,
        reading,
        graph,
        np.array(boards, dtype=np.uint64),
        np.array([chosen[board] for board in boards], dtype=np.uint16),
    )
