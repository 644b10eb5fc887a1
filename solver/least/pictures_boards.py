"""What pictures see: every state's board in each way in which a picture may be found on it.

A picture is kept as the signs that it lets stand on each cell: all three (drawn ``-``) or just one.  So a board that is
drawn out whole is the narrowest picture, the picture of two boards is drawn by keeping the signs on which they agree,
and one picture is found wherever another is if it lets stand all that the other does.

Sets of states are whole numbers, bit s for state s; sets of cells have bit c for cell c.
"""

from collections.abc import Iterator
from typing import NamedTuple, TypeVar

import numpy as np

from games.board import FREE, HOLE, MINE, VISITORS
from games.codes import Flags
from games.game import LineGame
from solver.least.choices import Choices
from solver.sheet.reader import ANY, TARGET
from solver.sheet.rules import Marked

MOST_CELLS = 21
"""Three bits a cell have to fit into 64; on a larger board there are too many states anyway."""
K = TypeVar("K")
V = TypeVar("V")
NO_MOVE = (1 << 16) - 1
"""For cells that can never be played; greater than any move."""
MEMORY = 100 << 20
"""About how many bytes each store of what was worked out before may take."""


class Picture(NamedTuple):
    """A picture: the signs that may stand on each cell, and the cell to be played.

    signs: bit c for my mark on cell c, bit n + c for the visitor's, bit 2n + c for a free cell.
    """

    signs: int
    target: int

    def is_found_with(self, narrower: "Picture") -> bool:
        """Whether this picture, with the same target, is found wherever the narrower one is."""
        return narrower.signs & ~self.signs == 0


class Sight(NamedTuple):
    """On which states' boards a picture is found in some way, and where it then also allows a move that is not good."""

    found: int
    wrong: int


class Joined(NamedTuple):
    """A picture that was widened to be found in one more state: its sight, and what comes after it in that state."""

    picture: Picture
    found: int
    wrong: int
    after: int


class Store(dict[K, V]):
    """What was worked out before; emptied when it has grown too large."""

    def __init__(self, size: int) -> None:
        """size: about how many bytes an entry takes."""
        super().__init__()
        self._most = MEMORY // size

    def put(self, key: K, value: V) -> V:
        """Keep a value, and give it back."""
        if len(self) >= self._most:
            self.clear()
        self[key] = value
        return value


class Boards:
    """The states of some choices, as pictures see them.

    size: how many states there are; roots: those that come to the machine before it has moved.
    images: for each state its board in each way, as the signs of a picture; where: for each way the cell of the board
    on which each cell of the picture lies.
    good: for each state the cells that may be played.
    """

    def __init__(
        self, choices: Choices, game: LineGame, *, turned: bool, alike: bool = True, settled: bool = False
    ) -> None:
        """Read the states of `choices`, with the machine in the seat for which they were made.

        turned: whether pictures are found in every way that the game allows; else as they are drawn.
        alike: whether a list may be turned as a whole, and still keeps the claim if it did before.
        settled: of the cells that a picture names on a board only that of the least move is played.
        """
        self.game = game
        self.cells = game.board.size
        self.settled = settled
        self.where = game.cell_images if turned else game.cell_images[:1]
        self._turns = game.cell_images if alike else game.cell_images[:1]
        self.size = len(choices.states)
        self.roots = set_of(choices.roots.tolist())
        boards = choices.boards[choices.board]
        self._read_signs(Marked.of(game, boards, choices.game.seat))
        self._read_moves(choices)
        self._row = (1 << self.cells) - 1
        self._every = 1 | 1 << self.cells | 1 << 2 * self.cells
        a_set = self.size // 8 + 40
        self._sights: Store[Picture, Sight] = Store(2 * a_set + 300)
        self._joined: Store[tuple[Picture, int], tuple[Joined, ...]] = Store(a_set + 500)
        self._whole: Store[int, list[Picture]] = Store(500)
        self._after_whole: Store[int, int] = Store(a_set + 200)
        self._can_share: Store[tuple[int, int], bool] = Store(200)
        self._after: Store[tuple[int, int], int] = Store(a_set + 300)

    def _read_signs(self, seen: Marked) -> None:
        """The boards' images, and for each sign and cell the states in which it stands there."""
        shifts = np.arange(self.cells, dtype=np.uint64)
        planes = np.stack(
            [(held[:, None] >> shifts & np.uint64(1)) > 0 for held in (seen.mine, seen.visitors, seen.free)]
        )
        self._standing = [[_bits(plane[:, cell]) for cell in range(self.cells)] for plane in planes]
        weights = np.uint64(1) << np.arange(3 * self.cells, dtype=np.uint64)
        images = []
        for way in self.where:
            turned = planes[:, :, list(way)].transpose(1, 0, 2).reshape(self.size, 3 * self.cells)
            images.append((turned * weights).sum(axis=1, dtype=np.uint64).tolist())
        self.images: list[tuple[int, ...]] = list(zip(*images, strict=True))

    def _read_moves(self, choices: Choices) -> None:
        """Which cells can be played in each state, which are good there, and what comes after."""
        boards = choices.boards
        cell_of: dict[tuple[int, int], int] = {}
        self._playable = []
        move_of: list[int] = []
        for cell in range(self.cells):
            onto = np.full(len(boards), 1 << cell, dtype=np.uint64)
            place, moves = self.game.moves_onto(boards, onto)
            cell_of |= dict.fromkeys(zip(place.tolist(), moves.tolist(), strict=True), cell)
            move_of.append(int(moves.min(initial=NO_MOVE)))
            can = np.zeros(len(boards), dtype=bool)
            can[place] = True
            self._playable.append(_bits(can[choices.board]))
        self._in_order = sorted(range(self.cells), key=lambda cell: (move_of[cell], cell))
        self._steps: dict[tuple[int, int], int] = {}
        self._first, self._follow = choices.first, choices.follow
        good = np.zeros((self.size, self.cells), dtype=bool)
        pick_of = list(zip(choices.pick_board.tolist(), choices.pick_move.tolist(), strict=True))
        steps = zip(choices.step_state.tolist(), choices.step_pick.tolist(), strict=True)
        for step, (state, pick) in enumerate(steps):
            cell = cell_of[pick_of[pick]]
            good[state, cell] = True
            self._steps[state, cell] = step
        self.good = [_bits(cells) for cells in good]
        self._good_at = [_bits(good[:, cell]) for cell in range(self.cells)]
        self._wrong = [can & ~fine for can, fine in zip(self._playable, self._good_at, strict=True)]

    # A picture on many boards ----------------------------------------------------------------------------------

    def sight(self, picture: Picture) -> Sight:
        """Where the picture is found, and where wrongly."""
        sight = self._sights.get(picture)
        return self._sights.put(picture, self._look(picture)) if sight is None else sight

    def _look(self, picture: Picture) -> Sight:
        asked = [(self._standing[sign], cell) for sign, cell in self.signs_of(picture)]
        named = [0] * self.cells
        for way in self.where:
            target = way[picture.target]
            here = self._playable[target]
            for standing, cell in asked:
                here &= standing[way[cell]]
                if not here:
                    break
            named[target] |= here
        found = wrong = 0
        for cell in self._in_order:
            wrong |= (named[cell] & ~found if self.settled else named[cell]) & self._wrong[cell]
            found |= named[cell]
        return Sight(found, wrong)

    def signs_of(self, picture: Picture) -> list[tuple[int, int]]:
        """What a picture asks for: pairs of a sign (0 mine, 1 the visitor's, 2 free) and a cell, save the target."""
        signs, cells, asked = picture.signs, self.cells, []
        for cell in range(cells):
            here = signs >> cell & self._every
            if here != self._every and cell != picture.target:
                asked.append((0 if here & 1 else 1 if here >> cells & 1 else 2, cell))
        return asked

    # A picture on one board ------------------------------------------------------------------------------------

    def played(self, picture: Picture, state: int) -> int:
        """The cells that the picture allows in a state; just one where choices are settled."""
        cells, target, others = 0, picture.target, ~picture.signs
        for image, way in zip(self.images[state], self.where, strict=True):
            if not image & others:
                cells |= (self._playable[way[target]] >> state & 1) << way[target]
        return self._least(cells) if self.settled and cells else cells

    def _least(self, cells: int) -> int:
        """The cell of the least move among some."""
        return next(1 << cell for cell in self._in_order if cells >> cell & 1)

    def after(self, picture: Picture, state: int) -> int:
        """The states that may come next when the picture answers in a state."""
        return self._after_moves(state, self.played(picture, state))

    def _after_moves(self, state: int, cells: int) -> int:
        states = 0
        for cell in members(cells):
            states |= self._after_move(state, cell)
        return states

    def _after_move(self, state: int, cell: int) -> int:
        """The states that may come next when a good cell has been played."""
        after = self._after.get((state, cell))
        if after is None:
            step = self._steps[state, cell]
            follow = self._follow[self._first[step] : self._first[step + 1]]
            after = self._after.put((state, cell), set_of(follow.tolist()))
        return after

    def joined(self, picture: Picture, state: int) -> tuple[Joined, ...]:
        """The narrowest pictures that are found wherever this one is and in the state too, with good moves only there.

        The picture itself if it is found there already; none if there is no good move that it could name.  Where
        choices are settled the narrowest for each cell that is then played.
        """
        joined = self._joined.get((picture, state))
        if joined is None:
            joined = self._joined.put((picture, state), tuple(self._join(picture, state)))
        return joined

    def _join(self, picture: Picture, state: int) -> Iterator[Joined]:
        target, good = picture.target, self.good[state]
        ways = zip(self.images[state], self.where, strict=True)
        wider = {
            (self.agreed(picture.signs, image), 1 << way[target] if self.settled else good)
            for image, way in ways
            if good >> way[target] & 1
        }
        narrowest: list[tuple[int, int]] = []
        for signs, wanted in sorted(wider, key=lambda each: (each[0].bit_count(), each)):
            if all(other & ~signs or cells != wanted for other, cells in narrowest):
                narrowest.append((signs, wanted))
                joined = Picture(signs, target)
                played = self.played(joined, state)
                if not played & ~wanted:
                    yield Joined(joined, *self.sight(joined), self._after_moves(state, played))

    def agreed(self, signs: int, others: int) -> int:
        """The signs of the picture that keeps what two pictures agree on and lets anything stand elsewhere."""
        both, row, cells = signs | others, self._row, self.cells
        mine, visitors, free = both & row, both >> cells & row, both >> 2 * cells
        return both | (mine & visitors | mine & free | visitors & free) * self._every

    def shared(self, picture: Picture, states: int) -> Picture:
        """The narrowest picture that is found in all these states in the first way in which this one names a cell."""
        signs = 0
        for state in members(states):
            ways, played = zip(self.images[state], self.where, strict=True), self.played(picture, state)
            image = next(
                image
                for image, way in ways
                if not image & ~picture.signs and played >> way[picture.target] & 1
            )
            signs = self.agreed(signs, image) if signs else image
        return Picture(signs, picture.target)

    def without(self, picture: Picture, cell: int) -> Picture:
        """The picture with anything let stand on one more cell."""
        return Picture(picture.signs | self._every << cell, picture.target)

    def whole(self, state: int) -> list[Picture]:
        """The board of a state drawn out, once for each target that makes a difference and allows good moves only."""
        pictures = self._whole.get(state)
        return self._whole.put(state, self._drawn_out(state)) if pictures is None else pictures

    def _drawn_out(self, state: int) -> list[Picture]:
        signs, good = self.images[state][0], self.good[state]
        pictures, seen = [], 0
        for cell in range(self.cells):
            picture = Picture(signs, cell)
            played = 0 if seen >> cell & 1 else self.played(picture, state)
            if played and not played & (seen | ~good):
                pictures.append(picture)
            seen |= played
        return pictures

    def first_of_all(self, state: int) -> list[Picture]:
        """The same where nothing else has been settled yet: one for each kind of target, since all may be turned."""
        signs = self.images[state][0]
        board = [signs >> cell & self._every for cell in range(self.cells)]
        still = [turn for turn in self._turns if [board[image] for image in turn] == board]
        pictures, seen = [], 0
        for picture in self.whole(state):
            if not seen >> picture.target & 1:
                pictures.append(picture)
                seen |= set_of([turn[picture.target] for turn in still])
        return pictures

    def good_for(self, target: int) -> int:
        """The states in which a picture with this target might play a good move."""
        states = 0
        for way in self.where:
            states |= self._good_at[way[target]]
        return states

    def after_whole(self, state: int) -> int:
        """The states that come after a state whatever picture of the whole board answers there; none if none can."""
        after = self._after_whole.get(state)
        if after is None:
            after = -1
            for picture in self.whole(state):
                after &= self.after(picture, state)
            after = self._after_whole.put(state, 0 if after < 0 else after)
        return after

    def can_share(self, one: int, other: int) -> bool:
        """Whether some picture answers rightly in both of two states."""
        can = self._can_share.get((one, other))
        return self._can_share.put((one, other), self._share(one, other)) if can is None else can

    def _share(self, one: int, other: int) -> bool:
        return any(
            not joined.wrong >> one & 1
            for picture in self._every_whole(one)
            for joined in self.joined(picture, other)
        )

    def _every_whole(self, state: int) -> Iterator[Picture]:
        """The board drawn out with each good target."""
        signs = self.images[state][0]
        return (Picture(signs, cell) for cell in members(self.good[state]))

    # On paper --------------------------------------------------------------------------------------------------

    def rows(self, picture: Picture) -> tuple[str, ...]:
        """The picture as a rule sheet draws it, row by row."""
        drawn = [ANY] * self.cells
        for sign, cell in self.signs_of(picture):
            drawn[cell] = (MINE, VISITORS, FREE)[sign]
        drawn[picture.target] = TARGET
        board = self.game.board
        squares = [HOLE] * (board.columns * board.rows)
        for square, sign_drawn in zip(board.squares, drawn, strict=True):
            squares[square] = sign_drawn
        text = "".join(squares)
        return tuple(text[first : first + board.columns] for first in range(0, len(text), board.columns))


def members(numbers: int) -> Iterator[int]:
    """The members of a set, the least first."""
    while numbers:
        least = numbers & -numbers
        yield least.bit_length() - 1
        numbers ^= least


def set_of(numbers: list[int]) -> int:
    """The set with these members."""
    found = 0
    for number in numbers:
        found |= 1 << number
    return found


def _bits(flags: Flags) -> int:
    return int.from_bytes(np.packbits(flags, bitorder="little").tobytes(), "little")
