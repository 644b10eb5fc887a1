"""A strategy as a book that branches: what the visitor may do on each board, the machine's reply, and where to go on.

Boards of the visitor's are numbered sections; those on which the machine has to move are entries.  Both stand in an
order in which a person finds a board, so the book can be entered at any board that a game can have come to.  What house
rules count is left out: no answer depends on it, and whoever keeps the book keeps count.
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np

from games.codes import UNFINISHED, Codes, Flags, MoveList, distinct, win_of
from games.housed import HousedGame
from solver.fixed import FixedPlay
from workbench.papers.order import Order, order_of


class Reply(NamedTuple):
    """What happens up to the visitor's next turn.

    visitor: what the visitor does, by its number; None where the machine begins.  machine: its moves, in turn; none
    where the visitor goes on, or has ended the game.  section: where the book goes on; None where the game has ended.
    """

    visitor: int | None
    machine: tuple[int, ...]
    section: int | None
    ending: int


class Section(NamedTuple):
    """A board of the visitor's, as a code of the fair game, and a reply to everything that may be done there."""

    number: int
    code: int
    replies: tuple[Reply, ...]


class Entry(NamedTuple):
    """A board on which the machine has to move, and what it does."""

    code: int
    reply: Reply


class Book(NamedTuple):
    """All sections and all entries, each in order."""

    sections: tuple[Section, ...]
    entries: tuple[Entry, ...]
    order: Order


class _Stand(NamedTuple):
    """Where a game stands: the board, and how it has ended, if it has."""

    code: int
    ending: int


_Moves = dict[int, dict[int, _Stand]]
"""By the board and the move, where it leads."""


class NotTogether(Exception):
    """Readings of a strategy that cannot share a book: where they take turns, the machine might lose."""


def book_of(plays: Sequence[FixedPlay]) -> Book:
    """The book of a strategy that was settled in one reading or more.

    Whichever of them a machine has played, its boards are in the book.  On a board that comes up in several, the first
    of them goes on.  That the visitor cannot win against their mixture is not taken for granted: every line is gone
    through, from wherever any of them may stand.  Raises NotTogether if it can.
    """
    game = plays[0].game
    visitors: _Moves = {}
    machines: _Moves = {}
    for edge in _edges(plays):
        moves = machines if edge.by_machine else visitors
        moves.setdefault(edge.parent, {})[edge.move] = edge.leads_to
    order = order_of(game, [*visitors, *machines])
    numbers = {code: number for number, code in enumerate(order.sorted(visitors), 1)}

    def reply(visitor: int | None, stand: _Stand) -> Reply:
        """What happens from there on, up to the visitor's next turn."""
        moves = []
        while stand.ending == UNFINISHED and stand.code in machines:
            [(move, stand)] = machines[stand.code].items()
            moves.append(move)
        section = numbers[stand.code] if stand.ending == UNFINISHED else None
        return Reply(visitor, tuple(moves), section, stand.ending)

    sections = [
        Section(number, code, tuple(reply(move, stand) for move, stand in sorted(visitors[code].items())))
        for code, number in numbers.items()
    ]
    entries = [Entry(code, reply(None, _Stand(code, UNFINISHED))) for code in order.sorted(machines)]
    return Book(tuple(sections), tuple(entries), order)


class _Edge(NamedTuple):
    """A move on a board, and where it leads."""

    parent: int
    by_machine: bool
    move: int
    leads_to: _Stand


def _edges(plays: Sequence[FixedPlay]) -> Iterator[_Edge]:
    """What may be done from all positions that some play comes to, and from all that come of that.

    Wrong input that is only counted is no edge, since it leaves the board and the turn alone.
    """
    game = plays[0].game
    answers: dict[int, int] = {}
    for play in reversed(plays):
        answers.update(zip(play.codes.tolist(), play.moves.tolist(), strict=True))
    frontier = distinct(np.concatenate([play.graph.codes for play in plays]))
    known: set[int] = set()
    while len(frontier):
        known.update(frontier.tolist())
        open_ = frontier[game.ending(frontier) == UNFINISHED]
        moves = game.moves(open_)
        kept = _followed(game, open_, answers, moves)
        parents, children = open_[moves.parent[kept]], moves.child[kept]
        endings = game.ending(children)
        if len(plays) > 1 and (endings == win_of(game.visitor)).any():
            raise NotTogether
        columns = (
            game.fair_codes(parents).tolist(),
            (game.mover(parents) == game.seat).tolist(),
            moves.move[kept].tolist(),
            game.fair_codes(children).tolist(),
            endings.tolist(),
        )
        for parent, by_machine, move, child, ending in zip(*columns, strict=True):
            if move < game.fair_moves + COSTS:
                yield _Edge(parent, by_machine, move, _Stand(child, ending))
        new = [code for code in distinct(children).tolist() if code not in known]
        frontier = np.array(new, dtype=np.uint64)


COSTS = 2
"""Wrong input that costs the turn or the game; what is only counted has the numbers after these."""


def _followed(game: HousedGame, codes: Codes, answers: dict[int, int], moves: MoveList) -> Flags:
    """Which moves are followed: every one of the visitor's, and the machine's answers.  Raises NotTogether for none."""
    is_machine = game.mover(codes) == game.seat
    boards = game.fair_codes(codes).tolist()
    try:
        wanted = [answers[board] if here else 0 for board, here in zip(boards, is_machine, strict=True)]
    except KeyError:
        raise NotTogether from None
    followed: Flags = ~is_machine[moves.parent] | (
        moves.move == np.array(wanted, dtype=np.uint16)[moves.parent]
    )
    return followed
