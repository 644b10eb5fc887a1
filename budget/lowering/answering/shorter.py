"""Ways to say the same as the rules of a sheet in a play, some of which may take fewer words.

Rules that look at more than lines to be filled answer on few boards.  What they do there may be told by a list of cells
in order, where they only decide which cells are taken before which others; or by a short list of pictures.
"""

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from budget.lowering.answering.asked import Asked, Pictures, Stored, asked_in, free_cells, joined
from budget.lowering.answering.drawn import drawn
from budget.lowering.answering.first_turns import in_first_turns
from budget.lowering.answering.pictures import Boards
from budget.lowering.text import NotLowered
from games.game import LineGame, with_lines
from games.marks.marks import Marks
from solver.fixed import PLAIN, FixedPlay
from solver.meanings import FillsALine, FindsPicture, FirstOf, LooksAhead, LooksUp
from solver.sheet.rules import Marked

AS_WRITTEN, IN_ORDER, DRAWN, IN_TURNS = "as written", "in order", "drawn", "table in the first turns"


@lru_cache(maxsize=4)
def ways_to_say(play: FixedPlay) -> dict[str, list[Asked]]:
    """The rules that give the moves of a play, in each way that there is.

    Raises NotLowered for a play that no strategy stands behind.
    """
    if play.proof is None:
        raise NotLowered("nothing is known of rules behind this play")
    asked = asked_in(play, play.proof.walk.strategy)
    rules = with_table_last(joined(asked) if type(play.game.fair) is Marks else asked, play)
    ways = {AS_WRITTEN: rules, IN_ORDER: None, DRAWN: None}
    game = with_lines(play.game.fair)
    if game is not None and type(game) is Marks:
        ways[IN_ORDER] = _in_order(rules, game)
        ways[DRAWN] = _drawn(rules, game, play.game.seat)
    in_turns = in_first_turns(asked, play)
    if in_turns is not None and isinstance(asked[-1].meaning, LooksAhead):
        return {IN_TURNS: in_turns}  # a table of all moves has forms of its own
    return {way: found for way, found in {**ways, IN_TURNS: in_turns}.items() if found is not None}


def with_table_last(rules: Sequence[Asked], play: FixedPlay) -> list[Asked]:
    """The rules up to the first that is looked up; its table has the moves of all after it as well."""
    for place, rule in enumerate(rules):
        if isinstance(rule.meaning, LooksUp):
            stored = FixedPlay(play.game, PLAIN, play.graph, rule.codes, rule.moves)
            return [*rules[:place], _instead(rule, Stored(stored))]
    return list(rules)


def _in_order(rules: Sequence[Asked], game: LineGame) -> list[Asked] | None:
    """The rules with as many of the last ones as possible in one list of cells; None where that is nothing new."""
    for first, rule in enumerate(rules[:-1]):
        cells = _order_of(free_cells(game, rule.codes).tolist(), rule.moves.tolist())
        if cells is not None:
            return [*rules[:first], _instead(rule, FirstOf(tuple(cells)))]
    return None


def _drawn(rules: Sequence[Asked], game: LineGame, seat: int) -> list[Asked] | None:
    """The rules with all from the first one on that is not about filling a line in one list of pictures."""
    first = next(
        (place for place, rule in enumerate(rules) if not isinstance(rule.meaning, FillsALine)), None
    )
    if first is None or (isinstance(rules[first].meaning, FirstOf | Pictures) and first == len(rules) - 1):
        return None
    rule = rules[first]
    pictures = drawn(Boards(Marked.of(game, rule.codes, seat), rule.moves.astype(np.int64)), game.board.size)
    if pictures is None:
        return None
    listed = tuple(FindsPicture(picture, is_fixed=True) for picture in pictures)
    return [*rules[:first], _instead(rule, Pictures(listed))]


def _instead(rule: Asked, meaning: FirstOf | Pictures | Stored) -> Asked:
    """One rule in the place of this one and all after it."""
    return rule._replace(meaning=meaning, answers=np.ones(len(rule.moves), dtype=np.bool_))


def _order_of(boards: Sequence[int], moves: Sequence[int]) -> list[int] | None:
    """An order of cells, the first free of which is the move on each board (a set of free cells); None if none is."""
    taken = sorted(set(moves))
    after = dict.fromkeys(taken, 0)
    for free, move in zip(boards, moves, strict=True):
        after[move] |= free & ~(1 << move)
    order: list[int] = []
    while taken:
        ready = next((cell for cell in taken if not any(after[other] >> cell & 1 for other in taken)), None)
        if ready is None:
            return None
        order.append(ready)
        taken.remove(ready)
    return order
