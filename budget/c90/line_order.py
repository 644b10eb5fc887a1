"""An order of lines in which the first that can be filled is filled on the least cell."""

from collections.abc import Iterable, Sequence

from budget.c90.setting import Setting
from budget.lowering.answering.asked import Asked, free_cells
from solver.meanings import MINE, FillsALine


def lines_in_order(setting: Setting, rules: Sequence[Asked]) -> list[int] | None:
    """The places of the game's lines in such an order, on every board on which these rules are asked.

    None if there is none: then the least cell of all has to be looked for.
    """
    lines = setting.game.lines
    before: set[tuple[int, int]] = set()
    for rule in rules:
        if isinstance(rule.meaning, FillsALine):
            before.update(_needed(lines, _boards(setting, rule, rule.meaning.whose)))
    return _sorted(len(lines), before)


def _boards(setting: Setting, rule: Asked, whose: str) -> Iterable[tuple[int, int, int]]:
    """The boards on which a rule has a move: a side's cells, the free ones, and the move."""
    held = setting.game.holdings(rule.codes)
    seat = setting.play.game.seat
    own = held[seat if whose == MINE else 1 - seat][rule.answers]
    free = free_cells(setting.game, rule.codes)[rule.answers]
    return zip(own.tolist(), free.tolist(), rule.moves[rule.answers].tolist(), strict=True)


def _needed(lines: Sequence[int], boards: Iterable[tuple[int, int, int]]) -> set[tuple[int, int]]:
    """Which line must stand before which."""
    before = set()
    for own, free, move in boards:
        lacking = {place: line & ~own for place, line in enumerate(lines)}
        open_ = {place: rest for place, rest in lacking.items() if rest & free and rest & (rest - 1) == 0}
        least = min(place for place, rest in open_.items() if rest == 1 << move)
        before |= {(least, place) for place, rest in open_.items() if rest != 1 << move}
    return before


def _sorted(count: int, before: set[tuple[int, int]]) -> list[int] | None:
    """The places so that each pair stands in this order; of those that could be next the least is."""
    order: list[int] = []
    waiting = list(range(count))
    while waiting:
        ready = next(
            (each for each in waiting if not any((other, each) in before for other in waiting)), None
        )
        if ready is None:
            return None
        order.append(ready)
        waiting.remove(ready)
    return order
