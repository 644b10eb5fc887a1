"""`compare`: where two strategies for the same seat play differently, and what each of them gives away.

A strategy may give something away without losing the claim (a win let go is no loss), and it may share every fault
with the other; so what is given away is counted where their moves differ, where they are the same, and on the
boards that only one of them meets.
"""

from collections import Counter
from typing import Any, NamedTuple

import numpy as np

from games.codes import PLAYERS, Codes, Flags, Indices, by_parent, distinct
from games.game import Game, scored
from games.house import HouseRules
from games.problems import bad
from solver.load import Written
from solver.played import Played, Side
from solver.proof import Proof


class Terms(NamedTuple):
    """What two strategies must have in common: the game, the seats (by number) and the house rules."""

    file: str
    game: Game
    seats: tuple[int, ...]
    house: HouseRules

    @classmethod
    def of_file(cls, written: Written) -> "Terms":
        """Those of a strategy as it was read."""
        return cls(written.file, written.game, written.seats, written.house)

    @classmethod
    def of_proof(cls, proof: Proof) -> "Terms":
        """Those under which a strategy was judged."""
        strategy = proof.walk.strategy
        return cls(strategy.file, strategy.game, (strategy.seat,), proof.house)


class Difference(NamedTuple):
    """A board, as its least image, on which two strategies allow different moves; ply: the first on which it is met."""

    board: int
    ply: int
    a: Side
    b: Side


class GivenAway(NamedTuple):
    """On how many boards something is given away.

    differ: where the other plays otherwise; same: where it plays the same; alone: where it never comes.
    """

    differ: int
    same: int
    alone: int


class Comparison:
    """Two strategies, A and B, side by side; all boards up to symmetry, without what house rules count.

    both: the boards that both of them meet, sorted; differing: those of them on which their moves differ, by ply;
    alone: what only A and only B meet.  played: what each of them plays.
    """

    __slots__ = ("_plies", "alone", "both", "differing", "played", "proofs")

    def __init__(self, a: Proof, b: Proof) -> None:
        require_alike(Terms.of_proof(a), Terms.of_proof(b))
        solved = a.truth.solved
        self.proofs = (a, b)
        self.played = (Played(a.walk, solved), Played(b.walk, solved))
        meets_a, meets_b = (each.boards for each in self.played)
        self.both: Codes = meets_a[np.isin(meets_a, meets_b)]
        self.alone = (meets_a[~np.isin(meets_a, meets_b)], meets_b[~np.isin(meets_b, meets_a)])
        self._plies = self._first_plies()
        self.differing = self._differing()

    def _differing(self) -> Codes:
        """The boards of both on which not the same moves are allowed, in the order of their plies."""
        width = len(self.game.move_names) + 1  # the last stands for want of an answer
        keys = []
        for each in self.played:
            boards = np.concatenate([each.boards[each.at], each.boards[each.unanswered]])
            silent = np.full(int(each.unanswered.sum()), width - 1, dtype=np.uint16)
            moves = np.concatenate([each.move, silent])
            shared = np.isin(boards, self.both)
            keys.append(np.searchsorted(self.both, boards[shared]) * width + moves[shared])
        places = distinct(np.setxor1d(*keys) // width)
        by_ply: Codes = self.both[places[np.argsort(self._plies[places], kind="stable")]]
        return by_ply

    def _first_plies(self) -> Indices:
        """The first ply on which either meets each board of both."""
        plies = (each.ply[np.searchsorted(each.boards, self.both)] for each in self.played)
        first: Indices = np.minimum(*plies)
        return first

    def difference(self, board: int) -> Difference:
        """What each plays on one of the boards of `both`."""
        a, b = (each.side(board) for each in self.played)
        place = int(np.searchsorted(self.both, np.uint64(board)))
        return Difference(board, int(self._plies[place]), a, b)

    def given_away(self, side: int) -> GivenAway:
        """On how many boards A (0) or B (1) gives something away."""
        boards = self._where(side, self.played[side].lost > 0)
        differ, shared = np.isin(boards, self.differing), np.isin(boards, self.both)
        return GivenAway(int(differ.sum()), int((shared & ~differ).sum()), int((~shared).sum()))

    def wins_later(self, side: int) -> int:
        """On how many boards a strategy keeps a win and gives nothing away, but may win later than it could."""
        played = self.played[side]
        return len(self._where(side, (played.lost <= 0) & (played.later > 0)))

    def kinds(self, side: int) -> list[tuple[int, int, int]]:
        """What is given away, the greatest first: what there was, what is left, and on how many boards at worst.

        In a game in which moves score only the difference tells: (points, 0, boards).
        """
        played = self.played[side]
        rows = played.worst[played.lost > 0]
        before, after = played.judged.before[rows], played.judged.after[rows]
        if scored(self.game) is not None:
            before, after = before - after, np.zeros_like(after)
        counts = Counter(zip(before.tolist(), after.tolist(), strict=True))
        order = sorted(counts, key=lambda kind: (kind[1] - kind[0], -kind[0]))
        return [(*kind, counts[kind]) for kind in order]

    def _where(self, side: int, flags: Flags) -> Codes:
        boards: Codes = self.played[side].boards[flags]
        return boards

    @property
    def game(self) -> Game:
        """The game, without its house rules."""
        return self.proofs[0].walk.game.fair


def compare(a: Proof, b: Proof) -> Comparison:
    """Lay two strategies side by side that were proved or refuted for the same game, seat and house rules.

    The claims may be different ones.  Raises BadInput where anything else is.
    """
    return Comparison(a, b)


def require_alike(a: Terms, b: Terms) -> None:
    """Raise BadInput, at B's file, unless two strategies sit in the same seat of the same game with its house rules."""
    if a.game.name != b.game.name:
        says = f"plays {b.game.name}, and {a.file} plays {a.game.name}"
        raise bad(f"{says}; expected two strategies for the same game", b.file)
    if _facts(a.game) != _facts(b.game):
        says = f"plays another game than {a.file}, though both call it {a.game.name}"
        raise bad(f"{says}; expected two strategies for the same game", b.file)
    if a.seats != b.seats:
        shared = [PLAYERS[seat] for seat in a.seats if seat in b.seats]
        hint = f" (--seat {shared[0]} would do)" if shared else ""
        says = f"here the machine moves {_seat(b.seats)}, and in {a.file} {_seat(a.seats)}"
        raise bad(f"{says}; expected the same seat{hint}", b.file)
    if _costs(a.house) != _costs(b.house):
        says = f"goes by the house rules '{b.house.name}', and {a.file} by '{a.house.name}'"
        raise bad(f"{says}; expected the same house rules", b.file)


def _facts(game: Game) -> tuple[Any, ...]:
    """What tells two games of one name apart: everything that people see of them, and the first moves."""
    first = by_parent(game.moves(np.array([game.start], dtype=np.uint64)))
    lines = getattr(game, "lines", ())
    plain = (game.size, game.bits, game.start, game.symmetries, game.move_names, game.rules, tuple(lines))
    return (*plain, game.can_repeat, first.move.tolist(), first.child.tolist())


def _costs(house: HouseRules) -> tuple[Any, ...]:
    """What house rules do to play; what they say is their own affair."""
    return house.form, [(rule.when, rule.cost, rule.forgive) for rule in house.rules]


def _seat(seats: tuple[int, ...]) -> str:
    return PLAYERS[seats[0]] if len(seats) == 1 else "first and second"
