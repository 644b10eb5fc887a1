"""On which boards of a play each rule is asked, and what it answers there.

A rule that never gives the move in a play is left out, and cells that are named by rules next to one another are one
list; so nothing is written for what cannot happen.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from budget.lowering.text import NotLowered
from games.codes import Codes, Flags, MoveIds
from games.game import LineGame, least_images
from solver.fixed import FixedPlay
from solver.meanings import AnyOf, FindsPicture, FirstOf, Meaning
from solver.strategy import NO_RULE, PLAIN, TURNED, Strategy


class Pictures(NamedTuple):
    """Pictures in order."""

    pictures: tuple[FindsPicture, ...]


class Stored(NamedTuple):
    """Moves that are looked up: a play of just the boards of a rule, with its moves there."""

    play: FixedPlay


class InFirstTurns(NamedTuple):
    """Moves that are looked up in so many turns of the machine's, and never after them."""

    stored: Stored
    turns: int


Sense = Meaning | Pictures | Stored | InFirstTurns
"""What a rule says, or what is written in its place."""


class Asked(NamedTuple):
    """One rule, and where it is asked.

    codes: (n,) the boards on which no rule before it has a move; moves: (n,) what is to be played
    there; answers: (n,) whether this rule gives it.
    """

    meaning: Sense
    codes: Codes
    moves: MoveIds
    answers: Flags

    @property
    def always(self) -> bool:
        """Whether it has an answer wherever it is asked."""
        return bool(self.answers.all())


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
    """The same with cells, and pictures, that rules next to one another name in one list; where moves are cells."""
    rules: list[Asked] = []
    for each in asked:
        listed = each._replace(meaning=_as_list(each.meaning))
        both = _together(rules[-1].meaning, listed.meaning) if rules else None
        if both is None:
            rules.append(listed)
            continue
        last = rules.pop()
        answers = last.answers.copy()
        answers[~last.answers] = each.answers
        rules.append(last._replace(meaning=both, answers=answers))
    return rules


def _as_list(meaning: Sense) -> Sense:
    """Cells in order where a rule takes any of some, the least first; a picture as a list of one."""
    if isinstance(meaning, AnyOf):
        return FirstOf(tuple(sorted(meaning.cells)))
    return Pictures((meaning,)) if isinstance(meaning, FindsPicture) else meaning


def _together(one: Sense, two: Sense) -> FirstOf | Pictures | None:
    """Two lists as one, if they are such lists."""
    if isinstance(one, FirstOf) and isinstance(two, FirstOf):
        return FirstOf(tuple(dict.fromkeys((*one.cells, *two.cells))))
    if isinstance(one, Pictures) and isinstance(two, Pictures):
        return Pictures((*one.pictures, *two.pictures))
    return None


def free_cells(game: LineGame, codes: Codes) -> Codes:
    """The cells that are free on boards, as sets."""
    first, second = game.holdings(codes)
    return ~(first | second) & np.uint64((1 << game.board.size) - 1)
