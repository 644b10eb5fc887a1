"""Limits of plies and of repetitions in words: what they do to play, and what they cost."""

from typing import TYPE_CHECKING

from games.game import Game
from games.repetition import ordinal, repetition_limit
from workbench.output import plural

if TYPE_CHECKING:  # `prove` needs neither, and starts the sooner
    from budget.size import LimitWords
    from solver.limit_cost import LimitCost

PLIES = "plies"
"""The kind of a limit of plies; the other kind is of repetitions (`solver.limit_cost`)."""


def goes_round(game: Game) -> str:
    """What to say of a game in which play can come back to a position."""
    comings = repetition_limit(game)
    if comings is None:
        return "Play can go on for ever."
    return f"Play can go round until a position comes for the {ordinal(comings)} time, which is a draw."


def cost_in_words(cost: "LimitCost") -> str:
    """What a limit costs in the positions of a game."""
    if cost.kind == PLIES:
        return (
            f"The limit of {plural(cost.limit, 'ply', 'plies')}: without the count of plies, which takes "
            f"{plural(cost.bits, 'bit')}, they would be {plural(cost.positions_without, 'position')}."
        )
    return (
        f"The draw when a position comes for the {ordinal(cost.limit)} time adds no position; to notice it takes a "
        f"count of {plural(cost.bits, 'bit')} for each of the {plural(cost.counts, 'position')} that can come again."
    )


def words_in_words(limit: "LimitWords") -> str:
    """What a limit costs a play on a machine."""
    if limit.kind == PLIES:
        return (
            f"The limit of {plural(limit.limit, 'ply', 'plies')} ({limit.reading}): "
            f"{plural(limit.positions, 'board')} to store, which would be {limit.positions_without:,} without their "
            f"plies. The count of plies takes {plural(limit.bits, 'bit')}, {plural(limit.words, 'word')} of the "
            "workspace."
        )
    what = f"The draw when a position comes for the {ordinal(limit.limit)} time ({limit.reading})"
    if not limit.counts:
        return f"{what}: no position can come again in this play, so there is nothing to count."
    return (
        f"{what}: a count of {plural(limit.bits, 'bit')} for each of the {plural(limit.counts, 'position')} that can "
        f"come again, {plural(limit.words, 'word')} of the workspace. Finding a position's count is left to the "
        "program."
    )
