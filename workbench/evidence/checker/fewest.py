"""The fewest answers: that no strategy stores fewer than so many.

Three kinds of questions are answered by 1 or 0: is this board stored; is this its pick; does this position come?  For
every strategy that holds the claim some sums of these numbers are never too small: the *rows*, which are worked out
here from the rules of the game.  The evidence divides all strategies into *cases*, by what is picked on some boards,
and gives for each case a *weight* to some rows.  Rows times weights, added up, tell how many boards are stored at
least: see `Fewest.least`.
"""

from collections.abc import Iterable
from typing import Any

from .listed import Listed
from .picks import Picks, all_of
from .proofs import Check
from .terms import Numbered, Record, State, Wrong
from .turnings import Alike
from .values import MOST_POSITIONS

UNPROVED = {
    "gone-through": "all smaller ones were gone through, and that was not written down",
    "first": "a rule sheet answers first, and this program cannot read it",
    "words": "words are those of programs that were built, and this program builds none",
    "rules": "this program does not know the rules of this game",
    "turnings": "boards count as alike here that are not only turned or mirrored",
    "large": f"the game has more than {MOST_POSITIONS:,} positions",
    "gap": "it is not proved that no smaller one does",
}
"""Why there is no proof of a bound."""
LEAST = (
    {"answers": int, "bound": int, "alike": bool, "turnings": [[str]], "scale": int},
    {"unproved": tuple(UNPROVED)},
)
CASE = {"case": list, "weights": list}

Case = list[tuple[State, State | None]]
"""Boards that a case settles, each with its pick, or None if it is not stored."""


class Fewest(Picks):
    """Rows and cases.

    A board asks whether it is stored, a board and its pick whether it is that, a position whether it comes.
    """

    # -- rows ---------------------------------------------------------------------------------------------

    def comes(self, state: State) -> State:
        """The question whether a position comes; where it is its board's only one, whether that is stored."""
        return state[:2] if len(self.boards[state[:2]]) == 1 else state

    def row(self, kind: str, at: str, to: str) -> tuple[dict[State, int], int]:
        """How often each question is counted in a sum, and how much that sum comes to at least.

        pick: a board that is stored has a pick.  stored: the board of a position that comes is stored.  bad: if `at`
        comes, the move `to` is not the pick.  brings: if a pick is made that is sure to bring `to`, that comes.
        """
        state = self.named[at]
        board, comes = state[:2], self.comes(state)
        if kind == "pick":
            return {board: -1, **{(board, pick): 1 for pick in self.picks[board]}}, 0
        if kind == "stored":
            return ({} if comes == board else {board: 1, comes: -1}), 0
        if kind == "bad":
            pick = self.pick(at, to)
            return ({} if pick in self.next[state] else {comes: -1, (board, pick): -1}), -1
        if kind != "brings":
            raise Wrong(f"there are no rows called {kind}")
        target = self.named[to]
        row: dict[State, int] = {(board, pick): -1 for pick, after in self.next[state].items()
                                 if all_of(self.sure[each] for each in after) >> self.number[target] & 1}  # fmt: skip
        row[self.comes(target)] = row.get(self.comes(target), 0) + 1
        if comes != board:
            row[comes] = row.get(comes, 0) - 1
        return row, 0 if comes == board else -1

    def pick(self, at: str, name: str) -> State:
        """The pick that is this move."""
        state = self.named[at]
        return self.alike.stored(state, self.game.moves(state)[name])[1]

    # -- cases --------------------------------------------------------------------------------------------

    def check(self, bound: int, scale: int, records: Numbered) -> None:
        """Raise Wrong unless the cases are all that there are, and in each so many boards are stored at least."""
        cases = [(number, self.read_case(record), record["weights"]) for number, record in records]
        waiting = [(0, cases)]
        while waiting:
            depth, some = waiting.pop()
            if len(some) == 1 and len(some[0][1]) == depth:
                number, case, weights = some[0]
                if self.least(case, weights, scale) <= (bound - 1) * scale:
                    raise Wrong(
                        f"line {number}: in this case the weights do not show that {bound} are needed"
                    )
            else:
                waiting += [(depth + 1, part) for part in self.divided(depth, some)]

    def read_case(self, record: Record) -> Case:
        """A case, in which the evidence names positions and moves."""
        return [
            (self.named[at][:2], None if name is None else self.pick(at, name)) for at, name in record["case"]
        ]

    def divided(self, depth: int, cases: list[Any]) -> list[list[Any]]:
        """Cases by what is picked on the next board; raises Wrong unless all its picks are there."""
        boards = {case[depth][0] if depth < len(case) else None for _, case, _ in cases}
        board = boards.pop() if boards else None
        if board is None or boards:
            raise Wrong("the cases are not all that there are, or one is there twice")
        parts: dict[State | None, list[Any]] = {}
        for each in cases:
            parts.setdefault(each[1][depth][1], []).append(each)
        due: set[State | None] = set(self.picks[board])
        if self.boards[board][0] in self.roots and len(self.roots) == 1 and not depth:
            due = self.one_of_a_kind(board, parts)
        if not any(state in self.always for state in self.boards[board]):
            due.add(None)
        if not due <= set(parts) <= {*self.picks[board], None}:
            raise Wrong(f"the cases do not go through all picks of {self.game.text(self.boards[board][0])}")
        return list(parts.values())

    def one_of_a_kind(self, board: State, there: Iterable[State | None]) -> set[State | None]:
        """The first picks that must be gone through: what holds for one holds for those to which turnings carry it."""
        root = self.boards[board][0]
        kinds = {pick: self.turned.stored(root, pick + root[2:]) for pick in self.picks[board]}
        done = {kinds[pick] for pick in there if pick in kinds}
        return {pick for pick, kind in kinds.items() if kind not in done}

    def limits(self, case: Case) -> tuple[dict[State, int], dict[State, int]]:
        """The questions that are answered 1 in a case, and those that are answered 0."""
        ones = dict.fromkeys(
            [question for state in self.always for question in (state[:2], self.comes(state))], 1
        )
        zeros: dict[State, int] = {}
        for board, picked in case:
            zeros |= dict.fromkeys([(board, pick) for pick in self.picks[board] if pick != picked], 0)
            if picked is None:
                zeros[board] = 0
            else:
                ones |= {board: 1, (board, picked): 1}
        return ones, zeros

    def least(self, case: Case, weights: list[Any], scale: int) -> int:
        """How many boards are stored at least in a case, times `scale`.

        Boards stored  =  weights x rows  +  what is left of each question when that is taken away.  The rows come to
        their least sums or more, and what is left of a question is least with 0 or with 1.
        """
        ones, zeros = self.limits(case)
        total, left = 0, dict.fromkeys(self.boards, scale)
        for kind, at, to, weight in weights:
            if type(weight) is not int or weight < 0:
                raise Wrong("a weight is no whole number of 0 or more")
            row, least = self.row(kind, at, to)
            total += weight * least
            for question, times in row.items():
                left[question] = left.get(question, 0) - weight * times
        return total + sum(min(much * ones.get(question, 0), much * zeros.get(question, 1))
                           for question, much in left.items())  # fmt: skip


def check_fewest(header: Record, records: Numbered) -> tuple[int, list[str]]:
    """A strategy's proof; that it stores as many answers as is told, and no strategy fewer than the bound."""
    checking = Check(header, [each for each in records if "case" not in each[1]])
    told, least = checking.run(), header["least"]
    if "unproved" in least:
        return 3, [told, f"BOUND NOT CHECKED: {UNPROVED[least['unproved']]}."]
    game, bound, scale = checking.game, least["bound"], least["scale"]
    if header["verdict"] != "proved" or isinstance(game, Listed):
        raise Wrong(
            "line 1: fewest answers are told, but not of a proof in a game whose rules are known here"
        )
    if min(bound, scale) < 1:
        raise Wrong("line 1: the bound and the scale should be 1 or more")
    turned = Alike(game, least["turnings"])
    alike = turned if least["alike"] else Alike(game, [game.fair.board.names])
    stored = {alike.stored(state, after) for state, moves in checking.met.items()
              if moves and checking.is_asked(state) for after in moves.values()}  # fmt: skip
    count = len({board for board, _ in stored})
    if (count, len(stored)) != (least["answers"], least["answers"]):
        raise Wrong(f"the strategy does not store {least['answers']} answers, one for each board")
    cases = [each for each in records if "case" in each[1]]
    Fewest(game, checking.seat, checking.claim, alike, turned).check(bound, scale, cases)
    how = (
        f"boards alike in {len(turned.turnings)} turnings count as one"
        if least["alike"]
        else "on a fixed board"
    )
    if bound < count:
        return 0, [told, f"BETWEEN {bound:,} AND {count:,} answers ({how}); fewer than {bound:,} never do."]
    return 0, [told, f"PROVED LEAST: {bound:,} answers are stored ({how}), and no strategy does with fewer."]
