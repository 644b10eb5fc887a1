"""How a program plays by the rules of a sheet: rule by rule, in order."""

from collections.abc import Sequence
from functools import cache
from importlib import import_module
from pkgutil import iter_modules
from typing import Protocol, cast

from budget.lowering.answering import Answering, in_order
from budget.lowering.answering.asked import Asked, Stored
from budget.lowering.answering.shorter import AS_WRITTEN, ways_to_say
from budget.lowering.ground import Ground, Setting
from budget.lowering.text import NotLowered
from budget.lowering.turning import Turning
from solver.fixed import TURNED


class Kind(Protocol):
    """What a module of this package gives that plays by rules of one kind."""

    def answering(self, asked: Asked, setting: Setting, ground: Ground) -> Answering | None:
        """The program's way to answer by a rule; None for rules of other kinds."""
        ...


@cache
def _kinds() -> tuple[Kind, ...]:
    package = import_module("budget.lowering.answering")
    names = sorted(found.name for found in iter_modules(package.__path__))
    modules = (import_module(f"{package.__name__}.{name}") for name in names)
    return tuple(cast(Kind, module) for module in modules if hasattr(module, "answering"))


def by_rules(setting: Setting, ground: Ground) -> Answering:
    """The way in which a program plays by the rules that were proved.

    Raises NotLowered for a play that no strategy stands behind, and for rules that nobody can write here.
    """
    ways = ways_to_say(setting.play)
    rules = ways[setting.choices.pick("rules", tuple(ways), is_weighty=True)]
    return _one_after_another(rules, setting, ground)


def by_rules_alone(setting: Setting, ground: Ground) -> Answering:
    """The same without what is looked up where no rule has a move: there the program finds none."""
    rules = ways_to_say(setting.play)[AS_WRITTEN]
    return _one_after_another(
        [each for each in rules if not isinstance(each.meaning, Stored)], setting, ground
    )


def _one_after_another(rules: Sequence[Asked], setting: Setting, ground: Ground) -> Answering:
    inner = in_order([_answering(each, setting, ground) for each in rules])
    return Turning(setting, ground, inner) if rules and setting.play.reading == TURNED else inner


def _answering(asked: Asked, setting: Setting, ground: Ground) -> Answering:
    for kind in _kinds():
        found = kind.answering(asked, setting, ground)
        if found is not None:
            return found
    raise NotLowered(f"programs for rules such as {type(asked.meaning).__name__} are not written yet")
