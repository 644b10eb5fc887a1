"""Which rules save the most answers: every ordered choice of some rules, with the fewest answers behind it."""

import time
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from games.house import HouseRules
from solver.least.answers import LeastAnswers, least_answers
from solver.least.choices import Hopeless
from solver.least.search import Tell
from solver.least.stopped import NotFound
from solver.strategy import Strategy


class Tried(NamedTuple):
    """Some rules in order (numbers among those offered), and the fewest answers that the rest then needs."""

    rules: tuple[int, ...]
    least: LeastAnswers


class TradeOffs(NamedTuple):
    """What is worth having of all that was tried.

    best: by number of rules, rising, each with fewer answers than all with fewer rules; of those with as many rules and
    answers the first.  tried: how many ordered choices were gone through; complete: whether that was all of them.
    """

    best: tuple[Tried, ...]
    tried: int
    complete: bool


def trade_offs(
    offered: Strategy,
    claim: str,
    house: HouseRules,
    *,
    turned: bool = True,
    seconds: float = float("inf"),
    tell: Tell | None = None,
) -> TradeOffs:
    """Try all rules of a sheet in all orders, and none of them, and all numbers of them, for the fewest answers.

    Rules that give the claim away are left out with everything that begins with them: what answers first decides, so
    no rule and no answer behind it can mend that.  Raises solver.least.choices.Hopeless where the seat is lost, and
    NotAlike and the like as `least_answers` does.
    """
    until = time.monotonic() + seconds
    best: dict[int, Tried] = {}
    tried, complete = 0, True
    waiting: list[tuple[int, ...]] = [()]
    while waiting:
        rules = waiting.pop(0)
        left = until - time.monotonic()
        if left <= 0 or not complete:
            complete = False
            break
        try:
            least = _least(offered, rules, claim, house, turned=turned, seconds=left, tell=tell)
        except Hopeless:
            if not rules:
                raise
            tried += 1
            continue
        except NotFound:
            complete = False
            break
        tried += 1
        complete = least.proved_least
        known = best.get(len(rules))
        if known is None or least.answers < known.least.answers:
            best[len(rules)] = Tried(rules, least)
        waiting.extend(_one_more(rules, len(offered.rules)))
    return TradeOffs(tuple(_worth_having(best)), tried, complete)


def _least(
    offered: Strategy,
    rules: Sequence[int],
    claim: str,
    house: HouseRules,
    *,
    turned: bool,
    seconds: float,
    tell: Tell | None,
) -> LeastAnswers:
    first = Strategy(
        offered.name,
        offered.file,
        offered.game,
        offered.seat,
        [offered.rules[rule] for rule in rules],
        offered.choice,
    )
    return least_answers(
        offered.game,
        offered.seat,
        claim,
        house,
        turned=turned,
        rules=first if rules else None,
        seconds=seconds,
        tell=tell,
    )


def _one_more(rules: tuple[int, ...], offered: int) -> Iterator[tuple[int, ...]]:
    return ((*rules, rule) for rule in range(offered) if rule not in rules)


def _worth_having(best: dict[int, Tried]) -> Iterator[Tried]:
    """Those with fewer answers than any with fewer rules."""
    fewest: int | None = None
    for count in sorted(best):
        if fewest is None or best[count].least.answers < fewest:
            fewest = best[count].least.answers
            yield best[count]
