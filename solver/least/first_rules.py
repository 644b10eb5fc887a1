"""Which rules save the most answers: every ordered choice of some rules, with the fewest answers behind it."""

from collections.abc import Callable, Iterator, Sequence
from math import perm
from typing import NamedTuple

from games.game import least_images
from games.house import HouseRules
from games.housed import HousedGame
from solver.engines import solve_any
from solver.least.answers import LeastAnswers, least_of
from solver.least.choices import Choices, Hopeless, choices_of
from solver.least.clock import Clock, Tell
from solver.least.stopped import NotFound
from solver.strategy import TURNED, Strategy, View


class Tried(NamedTuple):
    """Some rules in order (numbers among those offered), and the fewest answers that the rest then needs."""

    rules: tuple[int, ...]
    least: LeastAnswers


class EveryChoice(NamedTuple):
    """All that was tried.

    tried: each ordered choice that keeps the claim and in which every rule can come to give a move; those of fewer
    rules first.  choices: how many ordered choices there are; complete: whether all were gone through.
    """

    tried: tuple[Tried, ...]
    choices: int
    complete: bool


Cost = Callable[[Tried], int | None]
"""What some rules cost; None where they cannot be had at all."""


def every_choice(
    offered: Strategy,
    claim: str,
    house: HouseRules,
    *,
    turned: bool = True,
    seconds: float = float("inf"),
    tell: Tell | None = None,
) -> EveryChoice:
    """Try all rules of a sheet in all orders, and none of them, and all numbers of them, for the fewest answers.

    Rules that give the claim away are left out with everything that begins with them: what answers first decides, so
    no rule and no answer behind it can mend that.  Left out is also a rule that has no move on any board that comes
    behind those before it, with whatever follows it: without it the same is played.  Raises
    solver.least.choices.Hopeless where the seat is lost, and NotAlike and the like as `least_answers` does.
    """
    clock = Clock(seconds, tell)
    game = HousedGame(offered.game, house, offered.seat)
    solved = solve_any(game, report=clock.report)
    tried: list[Tried] = []
    complete = True
    waiting: list[tuple[int, ...]] = [()]
    while waiting and complete:
        rules = waiting.pop(0)
        first = _only(offered, rules)
        try:
            choices = choices_of(game, claim, turned=turned, rules=first, solved=solved, report=clock.report)
            least = least_of(choices, claim, first, Clock(clock.left(), tell))
        except Hopeless:
            if not rules:
                raise
            continue
        except NotFound:
            complete = False
            break
        complete = least.proved_least
        tried.append(Tried(rules, least))
        waiting.extend((*rules, rule) for rule in _with_moves(offered, rules, choices))
    return EveryChoice(tuple(tried), _ordered_choices(len(offered.rules)), complete)


def unbeaten(tried: Sequence[Tried], cost: Cost) -> list[tuple[int, Tried]]:
    """Those with fewer answers than any that cost as much or less, the cheapest first; each with what it costs.

    Of those that cost the same and leave as many answers the one with the fewest rules, then the first.
    """
    costs = [(price, each) for each in tried if (price := cost(each)) is not None]
    costs.sort(key=lambda pair: (pair[0], pair[1].least.answers, len(pair[1].rules), pair[1].rules))
    kept: list[tuple[int, Tried]] = []
    for price, each in costs:
        if not kept or each.least.answers < kept[-1][1].least.answers:
            kept.append((price, each))
    return kept


def number_of_rules(tried: Tried) -> int:
    """The cost of rules where nothing is known of a machine."""
    return len(tried.rules)


def _only(offered: Strategy, rules: Sequence[int]) -> Strategy | None:
    """Just these rules, in this order; None for none at all."""
    if not rules:
        return None
    chosen = [offered.rules[rule] for rule in rules]
    return Strategy(offered.name, offered.file, offered.game, offered.seat, chosen, offered.choice)


def _with_moves(offered: Strategy, rules: Sequence[int], choices: Choices) -> Iterator[int]:
    """The rules that have a move on some board that comes behind others."""
    seen = least_images(offered.game, choices.boards)[0] if offered.choice == TURNED else choices.boards
    view = View(offered.game, seen, offered.seat)
    for number, rule in enumerate(offered.rules):
        if number not in rules and len(rule.allowed(view).place):
            yield number


def _ordered_choices(rules: int) -> int:
    """How many ordered choices there are of so many rules, of all numbers of them."""
    return sum(perm(rules, count) for count in range(rules + 1))
