"""How a program plays by the rules of a sheet: rule by rule, in order.

A rule that never gives the move in this play is left out, and cells that are named by rules next to one another are one
list.  A rule is told on which boards it is asked and what it answers there, so that nothing is written for what
cannot happen.
"""

from collections.abc import Sequence
from functools import cache
from importlib import import_module
from pkgutil import iter_modules
from typing import NamedTuple, Protocol, cast

import numpy as np

from budget.lowering.answering import Answering, InOrder
from budget.lowering.ground import Ground, Setting
from budget.lowering.text import NotLowered
from games.codes import Codes, MoveIds
from games.game import least_images, with_lines
from solver.fixed import FixedPlay
from solver.meanings import AnyOf, FirstOf, Meaning
from solver.strategy import NO_RULE, PLAIN, TURNED, Strategy


class Asked(NamedTuple):
    """One rule, and where it is asked.

    codes: (n,) the boards on which no rule before it has a move; moves: (n,) what it answers there; answers: (n,)
    whether it does.
    """

    meaning: Meaning
    codes: Codes
    moves: MoveIds
    answers: np.ndarray[tuple[int], np.dtype[np.bool_]]

    @property
    def always(self) -> bool:
        """Whether it has an answer wherever it is asked."""
        return bool(self.answers.all())


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
    proof = setting.play.proof
    if proof is None:
        raise NotLowered("nothing is known of rules behind this play")
    asked = joined(asked_in(setting.play, proof.walk.strategy))
    return InOrder([_answering(each, setting, ground) for each in asked])


def _answering(asked: Asked, setting: Setting, ground: Ground) -> Answering:
    for kind in _kinds():
        found = kind.answering(asked, setting, ground)
        if found is not None:
            return found
    raise NotLowered(f"programs for rules such as {type(asked.meaning).__name__} are not written yet")


def asked_in(play: FixedPlay, strategy: Strategy) -> list[Asked]:
    """The rules that give the move somewhere in a play, each with the boards on which it is asked.

    In a play that is settled *turned* these are the least images, as the rules see them.
    """
    codes = np.unique(least_images(play.game.fair, play.codes)[0]) if play.reading == TURNED else play.codes
    answers = strategy.fixed(PLAIN).answers(codes)
    moves = np.zeros(len(codes), dtype=np.uint16)
    moves[answers.place] = answers.move
    asked = []
    waiting = np.ones(len(codes), dtype=np.bool_)
    for number, rule in enumerate(strategy.rules):
        answered = answers.rule == number
        if answered.any():
            here = np.flatnonzero(waiting)
            asked.append(Asked(rule.meaning, codes[here], moves[here], answered[here]))
        waiting &= ~answered
    if (answers.rule == NO_RULE).any():
        raise NotLowered("its rules have no move somewhere")
    return asked


def joined(asked: Sequence[Asked]) -> list[Asked]:
    """The same with cells that are named by rules next to one another in one list."""
    rules: list[Asked] = []
    for each in asked:
        cells = _in_order(each.meaning)
        before = _in_order(rules[-1].meaning) if rules else None
        if cells is None:
            rules.append(each)
        elif before is None:
            rules.append(each._replace(meaning=FirstOf(cells)))
        else:
            last = rules.pop()
            both = tuple(dict.fromkeys((*before, *cells)))
            answers = last.answers.copy()
            answers[~last.answers] = each.answers
            rules.append(last._replace(meaning=FirstOf(both), answers=answers))
    return rules


def _in_order(meaning: Meaning) -> tuple[int, ...] | None:
    """The cells that a rule takes in order, if it is one of those; the least first where it takes any."""
    if isinstance(meaning, FirstOf):
        return meaning.cells
    return tuple(sorted(meaning.cells)) if isinstance(meaning, AnyOf) else None


def free_cells(setting: Setting, codes: Codes) -> Codes:
    """The cells that are free on boards of a game of marks, as sets."""
    game = with_lines(setting.game)
    assert game is not None
    first, second = game.holdings(codes)
    return ~(first | second) & np.uint64((1 << game.board.size) - 1)
