"""Ordered choices of rules: against every permutation gone through without leaving any out."""

from itertools import permutations

import pytest

from games.codes import FIRST, SECOND
from games.house import load_house_rules
from games.load import load_game
from solver.least.answers import least_answers
from solver.least.choices import Hopeless
from solver.least.first_rules import every_choice, number_of_rules, unbeaten
from solver.load import load_strategy
from solver.strategy import Strategy

SHEETS = [
    ("noughts-and-crosses", SECOND, "block a line\ntake a corner\ncomplete a line\n", True),
    ("two-by-two", FIRST, "complete a line\nblock a line\ntake a1\n", False),
    ("two-by-two", FIRST, "take a corner\ncomplete a line\ntake b2\n", False),
]
"""Rules of which some give the claim away, some never come to give a move, and some are best in one order."""


def offered(folder, name, seat, rules):
    sheet = folder / "offered.rules"
    sheet.write_text(f"game: {name}\nseat: {('first', 'second')[seat]}\n{rules}", "utf-8")
    return load_strategy(sheet).strategy(seat)


def by_going_through_all(strategy, house, *, turned):
    """The fewest answers behind every ordered choice that keeps the claim."""
    found = {}
    count = len(strategy.rules)
    for length in range(count + 1):
        for rules in permutations(range(count), length):
            first = Strategy(
                "some", "", strategy.game, strategy.seat, [strategy.rules[rule] for rule in rules]
            )
            try:
                least = least_answers(
                    strategy.game,
                    strategy.seat,
                    "never-loses",
                    house,
                    turned=turned,
                    rules=first if rules else None,
                )
            except Hopeless:
                continue
            assert least.proved_least
            found[rules] = least.answers
    return found


@pytest.mark.parametrize(("name", "seat", "rules", "turned"), SHEETS)
def test_what_is_left_out_changes_nothing(tmp_path, name, seat, rules, turned):
    game = load_game(name)
    strategy = offered(tmp_path, name, seat, rules)
    house = load_house_rules("usual", game)
    every = by_going_through_all(strategy, house, turned=turned)
    found = every_choice(strategy, "never-loses", house, turned=turned)
    tried = {each.rules: each.least.answers for each in found.tried}
    assert found.complete
    assert found.choices == 16
    assert tried.items() <= every.items()
    assert len(tried) < 16
    for cost in (len, lambda chosen: sum(number + 1 for number in chosen)):
        best = unbeaten(found.tried, lambda each, cost=cost: cost(each.rules))
        fewest = [(price, each.least.answers) for price, each in best]
        assert fewest == front((cost(chosen), answers) for chosen, answers in every.items())


def front(pairs):
    """The pairs of a cost and answers that no other beats, the cheapest first; by comparing all with all."""
    pairs = set(pairs)
    return sorted(
        pair
        for pair in pairs
        if not any(other != pair and other[0] <= pair[0] and other[1] <= pair[1] for other in pairs)
    )


def test_rules_that_cannot_be_had_are_in_no_trade_off(tmp_path):
    strategy = offered(tmp_path, "two-by-two", FIRST, "take a1\ncomplete a line\n")
    house = load_house_rules("usual", strategy.game)
    found = every_choice(strategy, "never-loses", house, turned=False)
    assert len(unbeaten(found.tried, number_of_rules)) > 1
    costs = unbeaten(found.tried, lambda each: None if each.rules else 0)
    assert [each.rules for _, each in costs] == [()]


def test_rules_of_a_lost_seat_are_hopeless(tmp_path):
    strategy = offered(tmp_path, "hexapawn", FIRST, "look ahead 1 plies\n")
    with pytest.raises(Hopeless):
        every_choice(strategy, "never-loses", load_house_rules("usual", strategy.game))
