"""Rules that say the same in a play, and may take fewer words than those of the sheet.

Where all rules from one on only decide which cells are taken before which others, and never contradict themselves, they
are one list of cells in order.
"""

from collections.abc import Sequence

import numpy as np

from budget.lowering.answering.asked import Asked, free_cells
from budget.lowering.ground import Setting
from games.game import with_lines
from games.marks.marks import Marks
from solver.meanings import FirstOf

AS_WRITTEN, IN_ORDER = "as written", "in order"


def shorter(rules: Sequence[Asked], setting: Setting) -> list[Asked]:
    """The rules that are to be written."""
    ordered = _in_order(rules, setting)
    ways = (AS_WRITTEN,) if ordered is None else (AS_WRITTEN, IN_ORDER)
    way = setting.choices.pick("rules", ways, is_weighty=True)
    return list(rules) if ordered is None or way == AS_WRITTEN else ordered


def _in_order(rules: Sequence[Asked], setting: Setting) -> list[Asked] | None:
    """The rules with as many of the last ones as possible in one list of cells; None where that is nothing new."""
    if type(with_lines(setting.game)) is not Marks:
        return None
    for first, rule in enumerate(rules[:-1]):
        moves, answers = rule.moves, np.ones(len(rule.moves), dtype=np.bool_)
        cells = _order_of(free_cells(setting, rule.codes).tolist(), moves.tolist())
        if cells is not None:
            return [*rules[:first], Asked(FirstOf(tuple(cells)), rule.codes, moves, answers)]
    return None


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
