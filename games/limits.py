"""Limits that every family's files may set: of plies, or of how often a position may come."""

from games.game import Game, scored
from games.limited import MOST_BITS_LIMITED, MOST_PLIES, limited
from games.repetition import FEWEST, MOST, repeated
from games.tomlfile import Table

PLIES, REPETITIONS = "ply-limit", "repetition-limit"


def read_limits(table: Table, game: Game | None) -> Game | None:
    """A game as these keys limit it: ``ply-limit`` (0, or no such key: not at all) or ``repetition-limit``.

    game: what the family has read, None if there was a mistake.
    """
    before = len(table.problems)
    plies = table.whole(PLIES, default=0, most=MOST_PLIES)
    comings = table.whole(REPETITIONS, least=FEWEST, most=MOST) if REPETITIONS in table else 0
    if plies and comings:
        table.wrong(
            REPETITIONS,
            f"with '{PLIES}' no play goes on for ever; expected '{PLIES}' or '{REPETITIONS}', not both",
        )
    if game is None or len(table.problems) > before:
        return game
    if comings:
        return _repeated(table, game, comings)
    return _limited(table, game, plies) if plies else game


def _repeated(table: Table, game: Game, comings: int) -> Game:
    if game.can_repeat:
        return repeated(game, comings)
    table.wrong(REPETITIONS, f"in this game no position comes back; expected no '{REPETITIONS}'")
    return game


def _limited(table: Table, game: Game, plies: int) -> Game:
    if scored(game) is not None:
        table.wrong(PLIES, f"a game that is played for a score knows no draw; expected no '{PLIES}'")
    elif game.bits + plies.bit_length() > MOST_BITS_LIMITED:
        table.wrong(PLIES, f"a count of {plies} plies does not fit beside this board; expected a lower one")
    else:
        return limited(game, plies)
    return game
