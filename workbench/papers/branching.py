"""A strategy as a book that branches: what the visitor may do on each board, the machine's reply, and where to go on.

Boards of the visitor's are numbered sections; those on which the machine has to move are entries.  Both stand in an
order in which a person finds a board, so the book can be entered at any board that a game can have come to.  What house
rules count is left out: no answer depends on it, and whoever keeps the book keeps count.
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from games.codes import UNFINISHED
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


def book_of(plays: Sequence[FixedPlay]) -> Book:
    """The book of a strategy that was settled in one reading or more, each with an answer wherever it comes.

    Whichever of them a machine has played, its boards are in the book.  On a board that comes up in several, the first
    of them goes on.
    """
    game = plays[0].game
    visitors: _Moves = {}
    machines: _Moves = {}
    for play in plays:
        _gather(play, visitors, machines)
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


def _gather(play: FixedPlay, visitors: _Moves, machines: _Moves) -> None:
    """Add what may be done on each board that a play comes to, where no earlier play has said it."""
    game, graph = play.game, play.graph
    boards, endings = game.fair_codes(graph.codes).tolist(), graph.ending.tolist()
    known = set(machines)
    for parent, move, child in _edges(play):
        code, stand = boards[parent], _Stand(boards[child], endings[child])
        if graph.mover[parent] == game.visitor:
            visitors.setdefault(code, {})[move] = stand
        elif code not in known:
            machines[code] = {move: stand}


def _edges(play: FixedPlay) -> Iterator[tuple[int, int, int]]:
    """The moves of a play, but for wrong input that is only counted: it leaves the board and the turn alone."""
    graph = play.graph
    for parent, move, child in zip(
        graph.parent.tolist(), graph.move.tolist(), graph.child.tolist(), strict=True
    ):
        if not is_forgiven(play.game, move):
            yield parent, move, child


def is_forgiven(game: HousedGame, move: int) -> bool:
    """Whether a move is wrong input that a house rule forgives: the numbers of these come after the two that cost."""
    return move >= game.fair_moves + 2
