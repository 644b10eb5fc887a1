"""What there is to choose where fewest answers are stored: boards, picks, and what each pick brings.

A strategy *picks* a move on every board that comes to the machine.  A position is a board with what house rules have
counted; mostly nothing is counted, and both are the same.
"""

from collections.abc import Callable, Iterable
from typing import Any

from .terms import State
from .turnings import Alike
from .values import keeps, worked_out

Leads = dict[State, dict[State, set[State]]]
"""For positions of the machine's what each pick leads to."""


class Picks:
    """The boards that may come to the machine in a game in which a claim is to hold, and the picks on each.

    A board is told by what stands on it, a pick by what stands on it afterwards.  alike: which boards share an answer;
    turned: which are alike, be they stored apart or not.
    """

    def __init__(self, game: Any, seat: int, claim: str, alike: Alike, turned: Alike) -> None:
        self.game, self.seat, self.claim, self.alike, self.turned = game, seat, claim, alike, turned
        self.value = worked_out(game)
        self.roots = self.asked_after(game.start)
        self.next: Leads = self.reached(self.good_picks)
        """For each position that may come to the machine its picks, and which positions each of them brings next."""
        while self.drop_needless():
            self.next = self.reached(self.next.__getitem__)
        self.boards = self.by_board()
        self.picks = {board: sorted({pick for each in states for pick in self.next[each]})
                      for board, states in self.boards.items()}  # fmt: skip
        self.named = {game.text(state): state for state in self.next}
        self.number = {state: number for number, state in enumerate(self.next)}
        self.sure = self.what_is_sure()
        sure = all_of(self.sure[root] for root in self.roots)
        self.always = {state for state in self.next if sure >> self.number[state] & 1}

    def asked_after(self, state: State) -> set[State]:
        """The positions in which the machine may be asked next, those alike as one."""
        found: set[State] = set()
        met, waiting = set(), [state]
        while waiting:
            here = waiting.pop()
            if here in met:
                continue
            met.add(here)
            self.turned.must_hold(here)
            if self.game.ending(here):
                continue
            if self.game.mover(here) == self.seat:
                found.add(self.alike.least(here))
            else:
                waiting += self.game.moves(here).values()
        return found

    def good_picks(self, state: State) -> dict[State, set[State]]:
        """The picks that give nothing away of what the claim asks for."""
        found: dict[State, set[State]] = {}
        for after in self.game.moves(state).values():
            if keeps(self.value, self.claim, self.seat, state, after):
                found.setdefault(self.alike.stored(state, after)[1], set()).update(self.asked_after(after))
        return found

    def reached(self, picks_of: Callable[[State], dict[State, set[State]]]) -> Leads:
        """The positions that may come to the machine with these picks."""
        found: Leads = {}
        waiting = sorted(self.roots)
        while waiting:
            state = waiting.pop()
            if state not in found:
                found[state] = picks_of(state)
                waiting += sorted({after for each in found[state].values() for after in each})
        return found

    def by_board(self) -> dict[State, list[State]]:
        """The positions of each board."""
        boards: dict[State, list[State]] = {}
        for state in self.next:
            boards.setdefault(state[:2], []).append(state)
        return boards

    def drop_needless(self) -> bool:
        """Drop picks that bring all that another pick of their board brings; whether there were any.

        Whoever makes the other pick instead stores no more.
        """
        before = sum(map(len, self.next.values()))
        for states in self.by_board().values():
            for pick in sorted({pick for each in states for pick in self.next[each]}):
                where = [self.next[each] for each in states if pick in self.next[each]]
                others = where[0].keys() - {pick}
                if any(
                    all(other in each and each[other] <= each[pick] for each in where) for other in others
                ):
                    for picks in where:
                        del picks[pick]
        return sum(map(len, self.next.values())) < before

    def what_is_sure(self) -> dict[State, int]:
        """For each position the set of those that come if it comes, whatever is picked: what all its picks bring."""
        sure = {state: 1 << number for state, number in self.number.items()}
        grows = True
        while grows:
            grows = False
            for state in reversed(self.next):
                common = -1 if self.next[state] else 0
                for after in self.next[state].values():
                    common &= all_of(sure[each] for each in after)
                grows |= bool(common & ~sure[state])
                sure[state] |= common
        return sure


def all_of(sets: Iterable[int]) -> int:
    """Sets of positions put together; a set has a bit for each position's number."""
    every = 0
    for each in sets:
        every |= each
    return every
