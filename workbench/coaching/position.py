"""A position as a person types it: the moves that led to it from the start, or the board as it is written."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from games.codes import UNFINISHED
from games.housed import HousedGame
from games.problems import bad
from solver.scores import SolvedScores
from solver.solved import Solved
from solver.strategy import Strategy


class Asked(NamedTuple):
    """A position with the machine to move.

    moves: the line that led there, None where the board was given.
    left_at: the ply (from 0) of the first machine move on the line that the strategy would not have played.
    """

    code: int
    moves: tuple[int, ...] | None = None
    left_at: int | None = None


def read_position(
    words: Sequence[str], game: HousedGame, strategy: Strategy, solved: Solved | SolvedScores
) -> Asked:
    """The position that some words name: moves divided by blanks or commas, or else a board.

    Raises BadInput where they name neither, where a move is not legal, and where the machine is not to move.
    """
    typed = " ".join(words).replace(",", " ").split()
    names = {name.lower(): move for move, name in enumerate(game.move_names[: game.fair_moves])}
    if typed and typed[0].lower() in names:
        return _after_moves(typed, names, game, strategy)
    return Asked(_board(" ".join(typed), game, solved))


def _after_moves(typed: list[str], names: dict[str, int], game: HousedGame, strategy: Strategy) -> Asked:
    """The position after some moves of both sides."""
    code, moves, left_at = game.start, [], None
    for ply, name in enumerate(typed):
        move = names.get(name.lower())
        if move is None:
            raise bad(f"'{name}' is no move of {game.name}; expected moves such as '{game.move_names[0]}'")
        _must_go_on(code, game, f"'{name}' comes after the end of the game")
        here = np.array([code], dtype=np.uint64)
        legal = game.moves(here)
        found = legal.child[legal.move == move]
        if not len(found):
            who = "machine" if game.mover(here)[0] == game.seat else "visitor"
            raise bad(f"move {ply + 1}, '{name}', is not legal there; expected one that the {who} can make")
        if left_at is None and game.mover(here)[0] == game.seat:
            own = strategy.answers(game.fair_codes(here)).move
            left_at = None if move in own else ply
        code = int(found[0])
        moves.append(move)
    _must_go_on(code, game, "the game is over after these moves")
    if game.mover(np.array([code], dtype=np.uint64))[0] != game.seat:
        raise bad(
            "after these moves the visitor is to move; expected a line of moves of both sides after which "
            "the machine is"
        )
    return Asked(code, tuple(moves), left_at)


def _board(text: str, game: HousedGame, solved: Solved | SolvedScores) -> int:
    """The code of a board as it is written, with the machine to move."""
    start = game.text(game.start)
    try:
        code = game.read(text, game.seat, game.seat)
        solved.look_up(np.array([code], dtype=np.uint64))
    except ValueError as error:
        raise bad(f"'{text}' is no move, and no position either: {error} (the start is {start})") from None
    except KeyError:
        raise bad(
            f"'{text}' cannot come with the machine to move; expected a position that can, or the moves to it"
        ) from None
    _must_go_on(code, game, "the game is over in this position")
    return code


def _must_go_on(code: int, game: HousedGame, otherwise: str) -> None:
    if game.ending(np.array([code], dtype=np.uint64))[0] != UNFINISHED:
        raise bad(f"{otherwise}; expected a position in which the machine is to move")
