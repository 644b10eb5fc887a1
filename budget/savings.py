"""What would make a program shorter: changes of its house rules that change nothing in the game, tried one by one."""

from collections.abc import Callable, Iterator
from typing import NamedTuple

from budget.card import CostCard
from budget.forms import Form, lowered_as
from budget.lowering.lower import TooLong
from budget.lowering.text import NotLowered
from games.house import AT_ONCE, CLOSE, HouseRule, HouseRules
from games.inputs import InputForm
from solver.fixed import fix
from solver.proof import Proof, prove
from solver.strategy import OPEN

MOST_TOLD = 3


class Saving(NamedTuple):
    """A change (or several together), in words, and what the program then takes; saved: how many words fewer."""

    change: str
    total_words: int
    saved: int
    fits: bool


def savings(proof: Proof, form: Form, card: CostCard, total: int) -> list[Saving]:
    """The changes that save most words of a form that takes `total`, at most MOST_TOLD.

    Where the program does not fit, those that make it fit come first, and where none does alone, all of them together
    come last.
    """
    house, names = proof.house, proof.walk.game.fair.move_names
    found = [
        saving
        for change, changed in changes(Now(house, names, card))
        if (saving := _saving(change, changed, proof, form, card, total)) is not None and saving.saved > 0
    ]
    found.sort(key=lambda saving: (not saving.fits, -saving.saved))
    if total <= card.store_words or any(saving.fits for saving in found):
        return found[:MOST_TOLD]
    everything = Now(house, names, card)
    done = []
    for change, alter in CHANGES:
        altered = alter(everything)
        if altered is not None:
            everything = everything._replace(house=altered)
            done.append(change)
    together = _saving(" and ".join(done), everything.house, proof, form, card, total)
    return [*found[: MOST_TOLD - 1], *([] if together is None else [together])]


def changes(now: "Now") -> Iterator[tuple[str, HouseRules]]:
    """Each change that can be made, in words, with the house rules that it gives."""
    for change, alter in CHANGES:
        changed = alter(now)
        if changed is not None:
            yield change, changed


def _saving(
    change: str, house: HouseRules, proof: Proof, form: Form, card: CostCard, total: int
) -> Saving | None:
    """What the same strategy takes under other house rules; None where there is no program."""
    strategy = proof.walk.strategy
    again = prove(strategy, proof.claim, house)
    play = fix(again, form.reading if strategy.choice == OPEN else strategy.choice)
    try:
        words = lowered_as(form._replace(play=play), card).words
    except TooLong as too_long:
        words = too_long.words
    except NotLowered:
        return None
    return Saving(change, words.total, total - words.total, words.total <= card.store_words)


# Changes ------------------------------------------------------------------------------------------------------


class Now(NamedTuple):
    """What is to be changed: house rules on a machine; names: those of the game's moves."""

    house: HouseRules
    names: tuple[str, ...]
    card: CostCard


def _closely(now: Now) -> HouseRules | None:
    return None if now.house.layout == CLOSE else now.house._replace(layout=CLOSE)


def _at_once(now: Now) -> HouseRules | None:
    return None if now.house.next_game == AT_ONCE else now.house._replace(next_game=AT_ONCE)


def _unasked(now: Now) -> HouseRules | None:
    """Nothing is said but the move, while the game goes on."""
    if not now.house.messages["ask"] and not now.house.messages["machine-moves"]:
        return None
    return now.house._replace(messages={**now.house.messages, "ask": "", "machine-moves": ""})


def _by_one_sign(now: Now) -> HouseRules | None:
    """Every message is one sign."""
    signs = now.card.characters.code.characters
    wrong = "?" if "?" in signs else signs[-1]
    outcomes = {"ask": "", "machine-moves": "", "machine-wins": "W", "visitor-wins": "L", "draw": "D"}
    if not set("WLD") <= set(signs):
        outcomes = {**outcomes, "machine-wins": signs[-2], "visitor-wins": signs[-3], "draw": signs[-4]}
    rules = tuple(
        rule._replace(
            say=wrong if rule.say else "", say_forgiven=wrong if rule.counts and rule.say_forgiven else ""
        )
        for rule in now.house.rules
    )
    changed = now.house._replace(messages=outcomes, rules=rules)
    return None if changed == now.house else changed


def _by_key(now: Now) -> HouseRules | None:
    names = now.names
    if now.house.form.kind == "key" or "key" not in now.card.reads or max(map(len, names)) > 1:
        return None
    return now.house._replace(form=InputForm("key", 1))


def _alike(now: Now) -> HouseRules | None:
    """All wrong input has one answer, where none costs anything."""
    if any(rule.cost != "nothing" or rule.counts for rule in now.house.rules):
        return None
    classes = tuple(name for rule in now.house.rules for name in rule.when)
    said = now.house.rules[-1].say
    if all(rule.say == said for rule in now.house.rules):
        return None
    one = HouseRule(now.house.rules[-1].name, tuple(dict.fromkeys(classes)), said, "nothing", 0, "")
    return now.house._replace(rules=(one,))


Change = Callable[[Now], HouseRules | None]
CHANGES: tuple[tuple[str, Change], ...] = (
    ('print = "close"', _closely),
    ('next-game = "at-once"', _at_once),
    ("all wrong input answered alike", _alike),
    ("no YOUR MOVE and no I PLAY", _unasked),
    ("every message one sign", _by_one_sign),
    ('input = "key"', _by_key),
)
"""Each change in words, and what makes it; None where it changes nothing or cannot be made."""
