"""Mistakes by their kind, told from what a move leaves and what else could be played: what there is to teach again.

Each kind is one small function in a table.  It looks at every pair of a position and a move that an attempt allows and
that is not the best, and says which of them are of its kind; of several kinds the first in the table is taken.
"""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from games.codes import Flags, Indices, distinct
from games.game import scored, with_lines
from solver.played import WORTHS
from workbench.grading.facts import Facts
from workbench.grading.play import Play

LOSS, DRAW, WIN = range(len(WORTHS))


class Slips:
    """The pairs to be told apart: moves that an attempt allows where it has better ones, or where they are illegal.

    place, edge: (s,) positions, and numbers of legal moves, -1 for an illegal one.  before, after, later: as in
    `solver.played.Judged`, all (s,).
    """

    def __init__(self, play: Play, within: Flags) -> None:
        judged = play.judged
        legal = play.edge >= 0
        is_slip = (judged.after < judged.before) | (judged.later > 0) | ~legal
        rows = np.nonzero(is_slip & within[play.place])[0]
        self.facts = play.facts
        self.row: Indices = rows
        self.place: Indices = play.place[rows]
        self.edge: Indices = play.edge[rows]
        self.legal: Flags = legal[rows]
        self.before, self.after, self.later = (each[rows] for each in judged)

    def edge_is(self, flags: Flags) -> Flags:
        """Of flags of legal moves those of the pairs; False for an illegal one."""
        return self.legal & flags[self.edge]

    def could(self, flags: Flags) -> Flags:
        """Whether some legal move in each pair's position has this flag."""
        somewhere = np.zeros(len(self.facts), dtype=bool)
        somewhere[self.facts.parent[flags]] = True
        found: Flags = somewhere[self.place]
        return found


class Kind(NamedTuple):
    """A kind of mistake: its name in files, what it is in words, and which pairs are of it."""

    name: str
    words: str
    holds: Callable[[Slips], Flags]


def _illegal(slips: Slips) -> Flags:
    return ~slips.legal


def _win_not_taken(slips: Slips) -> Flags:
    return slips.could(slips.facts.wins) & ~slips.edge_is(slips.facts.wins)


def _blocks_before_it_wins(slips: Slips) -> Flags:
    facts = slips.facts
    return _win_not_taken(slips) & facts.is_threatened[slips.place] & ~slips.edge_is(facts.lets_win)


def _lets_win_at_once(slips: Slips) -> Flags:
    return _loses(slips) & slips.edge_is(slips.facts.lets_win)


def _second_threat_comes(slips: Slips) -> Flags:
    return _loses(slips) & slips.edge_is(slips.facts.lost_in_three)


def _ending_misjudged(slips: Slips) -> Flags:
    return _gives_away(slips) & slips.facts.is_ending[slips.place]


def _own_second_threat_missed(slips: Slips) -> Flags:
    return _gives_away(slips) & slips.facts.won_in_three[slips.place]


def _loses(slips: Slips) -> Flags:
    loses: Flags = _gives_away(slips) & (slips.after == LOSS)
    return loses


def _gives_away(slips: Slips) -> Flags:
    return slips.after < slips.before


def _wins_late(slips: Slips) -> Flags:
    return slips.later > 0


_ILLEGAL = Kind("illegal-move", "plays where it may not", _illegal)
_BEFORE_BOTH = (
    _ILLEGAL,
    Kind("blocks-before-it-wins", "blocks where it could win", _blocks_before_it_wins),
    Kind("win-not-taken", "does not win where it could at once", _win_not_taken),
)
_IN_LINES = (
    Kind("threat-not-blocked", "a threat not blocked", _lets_win_at_once),
    Kind("double-threat-not-stopped", "a double threat not stopped", _second_threat_comes),
    Kind("ending-misjudged", "an ending misjudged", _ending_misjudged),
    Kind("double-threat-not-made", "a double threat of its own not made", _own_second_threat_missed),
)
_WITHOUT_LINES = (
    Kind("lets-win-at-once", "lets the visitor win at once", _lets_win_at_once),
    Kind("trap-not-seen", "a loss in three plies not seen", _second_threat_comes),
    Kind("ending-misjudged", "an ending misjudged", _ending_misjudged),
    Kind("short-win-missed", "a win in three plies not seen", _own_second_threat_missed),
)
_AFTER_BOTH = (
    Kind("loss-not-seen", "a deeper loss not seen", _loses),
    Kind("win-not-seen", "a deeper win not seen", _gives_away),
    Kind("wins-late", "wins later than it could", _wins_late),
)
_IN_POINTS = (_ILLEGAL, Kind("points-given-away", "gives points away", _gives_away))
NO_ANSWER = "no-answer"
SYMMETRIC = "symmetric-case-forgotten"
BESIDE = {
    NO_ANSWER: "has no answer",
    SYMMETRIC: "one symmetric case forgotten",
}
"""Kinds that no single move shows: where there is none, and where a turned board is answered well."""
NAMES = tuple(
    dict.fromkeys(
        kind.name for kind in (*_BEFORE_BOTH, *_IN_LINES, *_WITHOUT_LINES, *_AFTER_BOTH, *_IN_POINTS)
    )
) + tuple(BESIDE)
"""Every kind's name, as a rubric may name it."""


def kinds_for(facts: Facts) -> tuple[Kind, ...]:
    """The kinds of mistakes that a game knows, in the order in which they are tried."""
    if scored(facts.game) is not None:
        return _IN_POINTS
    game = with_lines(facts.game.fair)
    in_lines = game is not None and not getattr(game, "misere", False)
    return (*_BEFORE_BOTH, *(_IN_LINES if in_lines else _WITHOUT_LINES), *_AFTER_BOTH)


class Mistake(NamedTuple):
    """A kind of mistake that an attempt makes, and the first position in which it does.

    positions: in how many; loses: in how many of them the game is then lost that was not (points: where any are).
    code: the position; move: what it played, None for nothing; rule: which rule did, below 0 for none; better: the
    moves that give nothing away.
    """

    kind: str
    words: str
    positions: int
    loses: int
    code: int
    move: int | None
    rule: int
    better: tuple[int, ...]


def mistakes_of(play: Play, within: Flags) -> list[Mistake]:
    """Every kind of mistake that is made in some positions (n,), in the order of the table."""
    slips = Slips(play, within)
    waiting = np.ones(len(slips.row), dtype=bool)
    found = []
    for kind in kinds_for(play.facts):
        those = waiting & kind.holds(slips)
        waiting &= ~those
        if those.any():
            loses = _loses(slips) if scored(play.facts.game) is None else _gives_away(slips)
            found.append(
                _mistake(play, kind.name, kind.words, slips.row[those], distinct(slips.place[those & loses]))
            )
    silent = np.nonzero(play.silent & within)[0]
    if len(silent):
        found.append(_no_answer(play, silent))
    turned = _symmetric(play, slips, within)
    if turned is not None:
        found.append(turned)
    return found


def _mistake(play: Play, kind: str, words: str, rows: Indices, lost: Indices) -> Mistake:
    """A kind of mistake with its first position, given its pairs and the positions in which they lose."""
    row = int(rows[np.argmin(play.facts.ply[play.place[rows]])])
    place = int(play.place[row])
    return Mistake(
        kind,
        words,
        len(distinct(play.place[rows])),
        len(lost),
        int(play.facts.codes[place]),
        int(play.move[row]),
        int(play.rule[place]),
        play.facts.best_moves(place),
    )


def _no_answer(play: Play, silent: Indices) -> Mistake:
    place = int(silent[np.argmin(play.facts.ply[silent])])
    best = play.facts.best_moves(place)
    code = int(play.facts.codes[place])
    return Mistake(NO_ANSWER, BESIDE[NO_ANSWER], len(silent), 0, code, None, -1, best)


def _symmetric(play: Play, slips: Slips, within: Flags) -> Mistake | None:
    """Boards that are answered wrongly while another image of theirs is answered as well as can be."""
    image = play.facts.image
    is_worse = _gives_away(slips)
    wrong = distinct(slips.place[is_worse])
    answered = within & ~play.silent
    well = answered.copy()
    well[slips.place] = False
    half = np.isin(image[wrong], image[well])
    if not half.any():
        return None
    rows = slips.row[is_worse & np.isin(slips.place, wrong[half])]
    lost = distinct(slips.place[_loses(slips) & np.isin(slips.place, wrong[half])])
    found = _mistake(play, SYMMETRIC, BESIDE[SYMMETRIC], rows, lost)
    return found._replace(positions=len(distinct(image[wrong[half]])))
