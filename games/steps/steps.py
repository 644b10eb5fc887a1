"""The family **steps**: men on joined points, placed one by one or standing there, then moved a step at a time.

A code holds the first player's men in bits 0 to n-1 and the second's in bits n to 2n-1; above them, where
the rules need it, a bit for a line that has been made and a counter of each side's first moves.  How many men
a side still has to place follows from how many are on the board, since none ever leaves it.
"""

from typing import NamedTuple

import numpy as np

from games.bitsets import Images, bits_of
from games.codes import (
    DRAW,
    FIRST,
    FIRST_WINS,
    SECOND,
    SECOND_WINS,
    TURN,
    TURN_BIT,
    UNFINISHED,
    Bytes,
    Codes,
    Flags,
    MoveIds,
    MoveList,
    turn_of,
)
from games.squares import symmetries_of
from games.steps.likeness import Figure, Tangled
from games.steps.moves import StepMoves
from games.steps.points import Neighbours, joined_by
from games.steps.rules import EACH_FIRST_MAN, LOSES, NEVER, PASSES, WINS, StepRules
from games.steps.texts import StepTexts, Tail

_NONE = np.uint64(0)
_ONE = np.uint64(1)
_WON_BY = np.array([FIRST_WINS, SECOND_WINS], dtype=np.uint8)
"""The result in which a player has won, by player."""


class Sight(NamedTuple):
    """Positions as whoever is to move sees them, (n,) each.

    own, other, free: sets of points; placing: whether men are still in hand; unbarred: whether some man stands
    already, so that nothing is barred; entry: the points from which guarded points may be entered.
    """

    own: Codes
    other: Codes
    free: Codes
    placing: Flags
    unbarred: Flags
    entry: Codes


class Steps(StepTexts):
    """A game of men that go along the steps of a board of points."""

    can_repeat = True

    def __init__(self, name: str, rules: StepRules, *, title: str = "", origin: str = "") -> None:
        self.name = name
        self.title = title or name
        self.origin = origin
        self.setting = rules
        board = rules.board
        self.size = f"{board.size} points" if rules.has_holes else f"{board.columns} x {board.rows}"
        self._shift = np.uint64(board.size)
        self._every = np.uint64((1 << board.size) - 1)
        self._lines = [np.uint64(bits_of(line)) for line in rules.lines]
        self._men = np.array(rules.men, dtype=np.uint64)
        self._barred, self._guarded = np.uint64(bits_of(rules.barred)), np.uint64(bits_of(rules.guarded))
        self._joined = joined_by(rules.steps, board.size)
        self._near = Neighbours(self._joined, int(self._every))
        self._near_open = Neighbours(self._joined, int(self._every & ~self._guarded))
        self._places = any(rules.in_hand)
        self._passes = rules.blocked == PASSES
        self._moves = StepMoves(board, self._joined, places=self._places, passes=self._passes)
        self.move_names = self._moves.names
        self.playable_moves = self._moves.playable
        self._needs = [self._need(move) for move in range(self._moves.playable)]
        self._changes = [self._change(move) for move in range(self._moves.playable)]
        self.refusals = self._reasons()
        self._lay_out()
        self._find_symmetries()

    # Codes ------------------------------------------------------------------------------------------------

    def _lay_out(self) -> None:
        """Give each part of a code its bits."""
        rules, bit = self.setting, 2 * self.board.size
        self.marks_lines = rules.marks_lines
        self._line_made = np.uint64(1 << bit) if self.marks_lines else _NONE
        bit += self.marks_lines
        width = rules.guarded_moves.bit_length() if rules.guarded else 0
        self.counts_moves = width > 0
        self._most_counted = np.uint64((1 << width) - 1)
        self._counter_at = np.array([bit, bit + width], dtype=np.uint64)
        self.bits = bit + 2 * width
        first, second = map(bits_of, rules.standing)
        self.start = self.code_of(first, second, rules.begins)

    def holdings(self, codes: Codes) -> tuple[Codes, Codes]:
        """The points that the first and the second player hold, as sets of bits."""
        return codes & self._every, codes >> self._shift & self._every

    def code_of(self, first: int, second: int, mover: int) -> int:
        """The code of two sets of points, with `mover` to play and nothing counted yet."""
        return first | second << self.board.size | mover << TURN_BIT

    def tail(self, codes: Codes) -> Tail:
        """What belongs to the positions besides the men."""
        first, second = (codes >> bit & self._most_counted for bit in self._counter_at)
        return Tail((first, second), codes & self._line_made != _NONE)

    def with_tail(self, code: int, counted: tuple[int, int], *, line: bool) -> int:
        """The code of a position with what belongs to it besides the men."""
        for bit, count in zip(self._counter_at.tolist(), counted, strict=True):
            code |= count << bit
        return code | int(self._line_made) * line

    @property
    def rules(self) -> tuple[str, ...]:
        """The rules in words, a sentence or two each."""
        return self.setting.in_words()

    # Symmetries -------------------------------------------------------------------------------------------

    def _find_symmetries(self) -> None:
        """All permutations of the points that keep steps, lines, special points and the start, in order.

        Where they are too many only those are taken that turn or mirror the grid.
        """
        figure = Figure(self._joined, [int(line) for line in self._lines])
        kinds = self.setting.kinds()
        try:
            found = figure.likenesses(kinds, kinds)
        except Tangled:
            found = [images for images in symmetries_of(self.board, ()) if figure.keeps(images, kinds)]
        size = self.board.size
        self.symmetries = len(found)
        self._images = [Images([*images, *(image + size for image in images)]) for images in found]
        self._move_images = [self._moves.turned(images) for images in found]
        self.other_start: int | None = self.start ^ int(TURN) if self._is_lopsided(figure) else None

    def _is_lopsided(self, figure: Figure) -> bool:
        """Whether the two sides are unlike at the start, so that it matters who begins."""
        if self._men[FIRST] != self._men[SECOND]:
            return True
        kinds = self.setting.kinds()
        swapped = [(second, first, *rest) for first, second, *rest in kinds]
        try:
            return not figure.likenesses(kinds, swapped)
        except Tangled:
            return kinds != swapped

    def turned(self, symmetry: int, codes: Codes) -> Codes:
        """The same positions with every point gone to its image."""
        men = (_ONE << np.uint64(2 * self.board.size)) - _ONE
        image: Codes = self._images[symmetry].of_sets(codes & men) | codes & ~men
        return image

    def turned_move(self, symmetry: int, moves: MoveIds) -> MoveIds:
        """The moves as they are called after `turned` with the same symmetry."""
        return self._move_images[symmetry][moves]

    # Moves ------------------------------------------------------------------------------------------------

    def _see(self, codes: Codes) -> Sight:
        """The positions as whoever is to move sees them."""
        turn = turn_of(codes)
        first, second = self.holdings(codes)
        own, other = np.where(turn == FIRST, first, second), np.where(turn == FIRST, second, first)
        everywhere = np.ones(len(codes), dtype=bool)
        placing = count_of(own) < self._men[turn] if self._places else ~everywhere
        standing = own if self.setting.barred_to == EACH_FIRST_MAN else own | other
        unbarred = standing != _NONE if self._barred else everywhere
        return Sight(
            own, other, self._every & ~(own | other), placing, unbarred, self._entry(codes, other, turn)
        )

    def _entry(self, codes: Codes, other: Codes, turn: Bytes) -> Codes:
        """The points from which guarded points may be entered: sets, (n,)."""
        if not self._guarded:
            return np.full_like(codes, self._every)
        beside = self._near.of(other)
        if not self.counts_moves:
            return beside
        is_early = self._counted(codes, turn) < np.uint64(self.setting.guarded_moves)
        return np.where(is_early, beside, self._every)

    def _counted(self, codes: Codes, player: Bytes) -> Codes:
        """How many of the first moves that are counted a player has made: (n,) each."""
        return codes >> self._counter_at[player] & self._most_counted

    def _need(self, move: int) -> int:
        """What a move asks for, as a set of facts (see `_facts`)."""
        size, moves = self.board.size, self._moves
        start, end = int(moves.start[move]), int(moves.end[move])
        if moves.passing[move]:
            return 1 << 2 * size + 3
        if moves.placed[move]:
            return 1 << size + end | 1 << 2 * size | (self._barred_bit(end) << 2 * size + 2)
        return 1 << start | 1 << size + end | 1 << 2 * size + 1

    def _barred_bit(self, point: int) -> int:
        return int(self._barred) >> point & 1

    def _facts(self, sight: Sight) -> Codes:
        """What moves may ask for, as a set of bits for each position.

        Bits 0 to n-1: the mover's points; n to 2n-1: free ones; 2n: has men in hand; 2n+1: has none;
        2n+2: nothing is barred; 2n+3: has to pass.
        """
        facts = sight.own | sight.free << self._shift
        others = (sight.placing, ~sight.placing, sight.unbarred, self._blocked(sight))
        for number, each in enumerate(others[: 4 if self._passes else 3]):
            facts |= each.astype(np.uint64) << np.uint64(2 * self.board.size + number)
        return facts

    def moves(self, codes: Codes) -> MoveList:
        """Every legal move of these unfinished positions."""
        sight, turn = self._see(codes), turn_of(codes)
        facts = self._facts(sight)
        anywhere = int(np.bitwise_or.reduce(facts)) if len(codes) else 0
        parents, moves, children = [codes[:0].astype(np.intp)], [codes[:0].astype(np.uint16)], [codes[:0]]
        for move, need in enumerate(self._needs):
            if need & ~anywhere:  # no position has all that the move asks for
                continue
            meets = facts & np.uint64(need) == np.uint64(need)
            if self._moves.step[move] and int(self._guarded) >> int(self._moves.end[move]) & 1:
                meets &= _has(sight.entry, self._moves.start[move])
            parent = np.flatnonzero(meets)
            parents.append(parent)
            moves.append(np.full(len(parent), move, dtype=np.uint16))
            children.append(self._after(codes[parent], turn[parent], move))
        return MoveList(np.concatenate(parents), np.concatenate(moves), np.concatenate(children))

    def _after(self, codes: Codes, mover: Bytes, move: int) -> Codes:
        """The positions after one and the same move."""
        children = codes ^ self._changes[move][mover]
        if self.counts_moves:
            early = self._counted(codes, mover) < np.uint64(self.setting.guarded_moves)
            children += early.astype(np.uint64) << self._counter_at[mover]
        if self.marks_lines:
            children |= np.where(self._makes_line(children, mover, move), self._line_made, _NONE)
        return children

    def _change(self, move: int) -> Codes:
        """The bits that a move changes, by mover: (2,)."""
        points = {int(self._moves.start[move]), int(self._moves.end[move])}
        change = 0 if self._moves.passing[move] else bits_of(sorted(points))
        return np.array([change, change << self.board.size], dtype=np.uint64) | TURN

    def _makes_line(self, children: Codes, mover: Bytes, move: int) -> Flags:
        """Whether a move has made a line that counts, in a game in which not every line does."""
        first, second = self.holdings(children)
        own = np.where(mover == FIRST, first, second)
        if self._moves.passing[move] or (
            self._moves.placed[move] and self.setting.lines_while_placing == NEVER
        ):
            return np.zeros(len(children), dtype=bool)
        if self.setting.lines_while_placing == NEVER:
            return self._owns_line(own, through=1 << int(self._moves.end[move]))
        all_placed = (count_of(first) == self._men[FIRST]) & (count_of(second) == self._men[SECOND])
        made: Flags = self._owns_line(own) & all_placed
        return made

    def _owns_line(self, points: Codes, through: int | None = None) -> Flags:
        """Whether these points hold a whole line; one through some of the points `through`, if given."""
        owned = np.zeros(len(points), dtype=bool)
        for line in self._lines:
            if through is None or int(line) & through:
                owned |= points & line == line
        return owned

    # Endings ----------------------------------------------------------------------------------------------

    def mover(self, codes: Codes) -> Bytes:
        """Whose turn it is, as the turn bit says."""
        return turn_of(codes)

    def ending(self, codes: Codes) -> Bytes:
        """Who has won, by a line or because somebody is blocked; or a draw, or UNFINISHED."""
        ending = self._ending_of_blocked(codes)
        if self.marks_lines:
            made = self.tail(codes).line
            ending[made] = _WON_BY[SECOND - turn_of(codes[made])]
            return ending
        for held, result in zip(self.holdings(codes), (FIRST_WINS, SECOND_WINS), strict=True):
            ending[self._owns_line(held)] = result
        return ending

    def _ending_of_blocked(self, codes: Codes) -> Bytes:
        """The endings that come of being blocked, lines apart."""
        turn = turn_of(codes)
        blocked = self._blocked(self._see(codes))
        if self._passes:  # then only where nobody can move
            blocked[blocked] = self._blocked(self._see(codes[blocked] ^ TURN))
        law = self.setting.blocked
        result = _WON_BY[SECOND - turn if law == LOSES else turn] if law in (LOSES, WINS) else np.uint8(DRAW)
        return np.where(blocked, result, np.uint8(UNFINISHED))

    def _blocked(self, sight: Sight) -> Flags:
        """Whether whoever is to move can neither place a man nor move one."""
        reach = self._near_open.of(sight.own)
        if self._guarded:
            reach |= self._near.of(sight.own & sight.entry) & self._guarded
        if self._places:
            placeable = np.where(sight.unbarred, self._every, self._every & ~self._barred)
            reach = np.where(sight.placing, placeable, reach)
        blocked: Flags = reach & sight.free == _NONE
        return blocked

    # Refusals ---------------------------------------------------------------------------------------------

    def _reasons(self) -> tuple[str, ...]:
        """Why moves may not be made, as far as this game has such reasons, in the order in which they are tried."""
        has = {
            "must-pass": self._passes,
            "may-not-pass": self._passes,
            "place-first": self._places,
            "nothing-to-place": self._places,
            "not-your-piece": True,
            "no-such-step": bool(self._moves.no_step.any()),
            "barred": bool(self._barred),
            "no-entry": bool(self._guarded),
        }
        return (*(reason for reason, there in has.items() if there), "taken-by-first", "taken-by-second")

    def why_not(self, codes: Codes, moves: MoveIds) -> Bytes:
        """For pairs of a position and a move: 0 if it is legal, else 1 + the place in `refusals`."""
        applies = self._reasons_against(codes, moves)
        found = np.zeros(len(codes), dtype=np.uint8)
        for place, reason in reversed(list(enumerate(self.refusals, 1))):
            found[applies[reason]] = place
        return found

    def _reasons_against(self, codes: Codes, moves: MoveIds) -> dict[str, Flags]:
        """For each reason there can be, to which pairs of a position and a move it applies."""
        sight = self._see(codes)
        first, second = self.holdings(codes)
        start, end = self._moves.start[moves], self._moves.end[moves]
        step, placed, passing = (
            each[moves] for each in (self._moves.step, self._moves.placed, self._moves.passing)
        )
        blocked = self._blocked(sight)
        return {
            "must-pass": blocked & ~passing,
            "may-not-pass": passing & ~blocked,
            "place-first": step & sight.placing,
            "nothing-to-place": placed & ~sight.placing,
            "not-your-piece": step & ~_has(sight.own, start),
            "no-such-step": self._moves.no_step[moves],
            "barred": placed & _has(self._barred, end) & ~sight.unbarred,
            "no-entry": step & _has(self._guarded, end) & ~_has(sight.entry, start),
            "taken-by-first": ~passing & _has(first, end),
            "taken-by-second": ~passing & _has(second, end),
        }


def _has(sets: Codes | np.uint64, points: Codes | np.uint64) -> Flags:
    """Whether each set holds the point beside it."""
    has: Flags = sets >> points & _ONE != _NONE
    return has


def count_of(sets: Codes) -> Codes:
    """How many members each set has, (n,): bits are added in twos, fours and eights, then all bytes at once."""
    pairs = sets - (sets >> _ONE & np.uint64(0x5555555555555555))
    fours = (pairs & np.uint64(0x3333333333333333)) + (pairs >> np.uint64(2) & np.uint64(0x3333333333333333))
    eights = fours + (fours >> np.uint64(4)) & np.uint64(0x0F0F0F0F0F0F0F0F)
    counts: Codes = eights * np.uint64(0x0101010101010101) >> np.uint64(56)
    return counts
