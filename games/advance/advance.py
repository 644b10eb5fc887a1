"""The family **advance**: men that go forward over a small board, one cell at a time, and never back.

Hexapawn and dodgem are of this family, and so is what lies between and beside them: where the men stand,
which steps and captures they know, and what it means to get across, to have no man left, or to be blocked.

A code holds the first player's men in bits 0 to n-1 and the second's in bits n to 2n-1, by cell.
"""

from collections.abc import Callable, Sequence

import numpy as np

from games.advance.laws import (
    AT_FAR_EDGE,
    LEAVES,
    LOSES,
    OFF,
    PASS,
    PASSES,
    WHEN_BLOCKED,
    WINS,
    WITHOUT_MEN,
    Laws,
    in_words,
    result,
)
from games.advance.ways import (
    HEADINGS,
    KINDS,
    OFF_BOARD,
    ONTO_FREE,
    ONTO_OTHER,
    MoveBook,
    Side,
    Step,
    back_edge,
    goes_aside,
    men_able,
)
from games.bitsets import Images
from games.board import FREE, Board
from games.cell_names import check_cell_names
from games.codes import (
    FIRST,
    PLAYERS,
    SECOND,
    TURN,
    TURN_BIT,
    UNFINISHED,
    Bytes,
    Codes,
    Flags,
    Indices,
    MoveIds,
    MoveList,
    turn_of,
)
from games.onboard import OnBoard
from games.squares import symmetries_of
from games.tomlfile import Table

MOST_CELLS = 28
"""Two bits a cell, and room above for house rules and the turn."""
MOST_COLUMNS = 9
LONGEST_NAME = 3
"""So wide a board, with names so long, still fits a line of 80 characters."""
BOTH = (FIRST, SECOND)
SIDE_SIGNS = ("F", "S")
"""How a start is drawn: the first player's men and the second's."""


class Advance(OnBoard):
    """A game of men that advance over a rectangle of cells; `sides` are the first player's and the second's."""

    symmetries: int

    def __init__(
        self,
        name: str,
        board: Board,
        sides: tuple[Side, Side],
        laws: Laws,
        *,
        title: str = "",
        origin: str = "",
    ) -> None:
        self.name, self.title, self.origin = name, title or name, origin
        self.size = f"{board.columns} x {board.rows}"
        self.sides = sides
        self.laws = laws
        self.bits = 2 * board.size
        self.start = sides[FIRST].men | sides[SECOND].men << board.size
        self._board = board
        self._all_cells = np.uint64((1 << board.size) - 1)
        passes = laws.blocked == PASSES
        self._book = MoveBook(board, sides, OFF, PASS if passes else "")
        self.move_names = self._book.names
        self.playable_moves = self._book.playable
        self.refusals = (
            *(("must-pass", "may-not-pass") if passes else ()),
            *("not-your-piece", "no-such-step"),
            *(("must-capture",) if laws.must_capture else ()),
            *("taken-by-first", "taken-by-second"),
        )
        # Whoever must pass hands the position back to a visitor who has lost a turn by wrong input.
        self.can_repeat = goes_aside(sides) or passes
        self._find_symmetries()

    def _find_symmetries(self) -> None:
        """Keep the turns of the board that carry each side onto itself, and see whether one exchanges the sides."""
        turns = symmetries_of(self._board, tuple(side.men for side in self.sides))
        carried = [[side.carried(images) for side in self.sides] for images in turns]
        before = carried[0]  # by the identity
        kept = [images for images, after in zip(turns, carried, strict=True) if after == before]
        self.symmetries = len(kept)
        size = self._board.size
        self._turns = [Images([*images, *(size + image for image in images)]) for images in kept]
        self._move_turns = [self._book.turned(images) for images in kept]
        other = self.start | int(TURN)
        over = self.ending(np.array([other], dtype=np.uint64))[0] != UNFINISHED
        self.other_start = None if over or before[::-1] in carried else other

    @property
    def board(self) -> Board:
        """The cells as people see them."""
        return self._board

    @property
    def rules(self) -> tuple[str, ...]:
        """The rules in words, a sentence each."""
        return tuple(in_words(self.sides, self.laws, self.move_names))

    def holdings(self, codes: Codes) -> tuple[Codes, Codes]:
        """The cells on which the first and the second player's men stand, as sets of bits."""
        return codes & self._all_cells, codes >> np.uint64(self._board.size) & self._all_cells

    def code_of(self, first: int, second: int, mover: int) -> int:
        """The code of a board given as two sets of cells, with `mover` to play."""
        return first | second << self._board.size | mover << TURN_BIT

    def mover(self, codes: Codes) -> Bytes:
        """Whose turn it is, as the turn bit says."""
        return turn_of(codes)

    def moves(self, codes: Codes) -> MoveList:
        """Every step, capture and leaving of the mover's men; a pass where there is none and the laws say so."""
        mover = self.mover(codes)
        parts = [MoveList(np.zeros(0, dtype=np.intp), np.zeros(0, dtype=np.uint16), codes[:0])]
        for player in BOTH:
            turn = mover == player
            for steps, able in zip(self._book.steps[player], self._able(player, codes), strict=True):
                men = np.where(turn, able, np.uint64(0))
                parts += [_made(codes, np.flatnonzero(men & step.man), step) for step in steps]
        if self._book.passing is not None:
            stuck = np.flatnonzero(self._of_mover(self._is_stuck, codes))
            parts.append(_made(codes, stuck, Step(self._book.passing, np.uint64(0), TURN)))
        return MoveList(*(np.concatenate(column) for column in zip(*parts, strict=True)))

    def _reaching(self, player: int, codes: Codes) -> list[Codes]:
        """For each way of this player's side the men that reach something by it, whoever's turn it is."""
        held = self.holdings(codes)
        own, other = held[player], held[1 - player]
        free = ~(own | other) & self._all_cells
        return [men_able(way, own, other, free) for way in self.sides[player].ways]

    def _can_capture(self, player: int, codes: Codes) -> Flags:
        """Whether a man of this player's could capture, whoever's turn it is."""
        ways = zip(self.sides[player].ways, self._reaching(player, codes), strict=True)
        return _any_of([men for way, men in ways if way.onto == ONTO_OTHER], codes)

    def _able(self, player: int, codes: Codes) -> list[Codes]:
        """The same as `_reaching` without the steps of those who must capture."""
        able = self._reaching(player, codes)
        if not self.laws.must_capture:
            return able
        at_leisure = ~self._can_capture(player, codes)
        ways = zip(self.sides[player].ways, able, strict=True)
        return [
            men if way.onto == ONTO_OTHER else np.where(at_leisure, men, np.uint64(0)) for way, men in ways
        ]

    def _is_stuck(self, player: int, codes: Codes) -> Flags:
        """Whether no man of this player's could go, whoever's turn it is."""
        return ~_any_of(self._reaching(player, codes), codes)

    def _of_mover(self, asked: Callable[[int, Codes], Flags], codes: Codes) -> Flags:
        """What is true of the player whose turn it is."""
        return np.where(self.mover(codes) == FIRST, asked(FIRST, codes), asked(SECOND, codes))

    def ending(self, codes: Codes) -> Bytes:
        """What the laws say: first of a man on the far edge, then of having no man left, then of being blocked."""
        held = self.holdings(codes)
        mover = self.mover(codes)
        stuck = [self._is_stuck(player, codes) for player in BOTH]
        blocked = [stuck[player] & (mover == player) for player in BOTH]
        if self.laws.blocked == PASSES:
            blocked = [stuck[FIRST] & stuck[SECOND]] * len(BOTH)
        ending = np.full(len(codes), UNFINISHED, dtype=np.uint8)
        for law, happened in (
            (self.laws.far_edge, [held[player] & np.uint64(self.sides[player].far) != 0 for player in BOTH]),
            (self.laws.no_men, [held[player] == 0 for player in BOTH]),
            (self.laws.blocked, blocked),
        ):
            for player in BOTH:
                open_ = happened[player] & (ending == UNFINISHED)
                ending[open_] = result(law, player)
        return ending

    def turned(self, symmetry: int, codes: Codes) -> Codes:
        """The same positions on the mirrored board."""
        return self._turns[symmetry].of_sets(codes) | codes & TURN

    def turned_move(self, symmetry: int, moves: MoveIds) -> MoveIds:
        """The moves as they are called on the mirrored board."""
        turned: MoveIds = self._move_turns[symmetry][moves]
        return turned

    def why_not(self, codes: Codes, moves: MoveIds) -> Bytes:
        """0 for a move that can be made, else 1 + the place in `refusals` of the first reason against it."""
        mover = self.mover(codes)
        held = self.holdings(codes)
        man, onto = self._book.man[moves], self._book.onto[moves]
        by_man = man != 0
        on_first, on_second = (men & onto != 0 for men in held)
        knows = {what: known[mover, moves] for what, known in self._book.knows.items()}
        steps = (knows[ONTO_FREE] | knows[OFF_BOARD]) & ~on_first & ~on_second
        captures = knows[ONTO_OTHER] & np.where(mover == FIRST, on_second, on_first)
        known = knows[ONTO_FREE] | knows[OFF_BOARD] | knows[ONTO_OTHER]
        against = {
            "not-your-piece": by_man & (np.where(mover == FIRST, held[FIRST], held[SECOND]) & man == 0),
            "no-such-step": by_man & ~steps & ~(known & (on_first | on_second)),
            "taken-by-first": on_first & ~captures,
            "taken-by-second": on_second & ~captures,
        }
        if self.laws.must_capture:
            against["must-capture"] = steps & self._of_mover(self._can_capture, codes)
        if self.laws.blocked == PASSES:
            stuck = self._of_mover(self._is_stuck, codes)
            against |= {"must-pass": stuck & by_man, "may-not-pass": ~stuck & ~by_man}
        reasons = [against[refusal] for refusal in self.refusals]
        return np.select(reasons, range(1, len(reasons) + 1), 0).astype(np.uint8)

    def drawing(self, code: int, seat: int, last: int | None = None, *, named: bool = False) -> list[str]:
        """The board row by row; where the `last` move leads, or whence a man has left, stands in brackets."""
        marked = None if last is None else self._cell_of(last)
        if not named:
            return super().drawing(code, seat, marked)
        held = self.holdings(np.array([code], dtype=np.uint64))
        signs = self._board.signs(int(held[seat][0]), int(held[1 - seat][0]))
        width = max(map(len, self._board.names))
        cells = enumerate(zip(self._board.names, signs, strict=True))
        shown = [
            f"{name:>{width}}({sign})" if cell == marked else f"{name:>{width}} {sign} "
            for cell, (name, sign) in cells
        ]
        return self._board.grid(shown if marked is not None else [text.rstrip() for text in shown])

    def _cell_of(self, move: int) -> int | None:
        """The cell to which a move leads, or else from which; None for a pass."""
        bit = int(self._book.onto[move] or self._book.man[move])
        return bit.bit_length() - 1 if bit else None


def _made(codes: Codes, parent: Indices, step: Step) -> MoveList:
    """One step made in those of some positions where it can be."""
    return MoveList(parent, np.full(len(parent), step.move, dtype=np.uint16), codes[parent] ^ step.flip)


def _any_of(sets: Sequence[Codes], codes: Codes) -> Flags:
    """Whether any of these sets, one for each of the positions, holds a cell."""
    flags = np.zeros(len(codes), dtype=bool)
    for each in sets:
        flags |= each != 0
    return flags


def read_advance(table: Table, name: str) -> Advance | None:
    """The game that a TOML table of this family describes; None if it has mistakes, which the table has noted.

    Keys: ``columns``, ``rows``; ``start`` (rows of F, S and _); ``first-goes``, ``second-goes``; ``steps``,
    ``captures``, ``must-capture``; ``far-edge``, ``no-men``, ``blocked``; ``cells``; ``title``; ``from``.
    """
    before = len(table.problems)
    title = table.text("title", default=name)
    origin = table.text("from", default="")
    board = _read_board(table)
    headings = _read_headings(table)
    steps, captures, laws = _read_manners(table)
    men = _read_men(table, board, headings)
    if board is None or len(table.problems) > before:
        return None
    first, second = (
        Side(board, here, heading, steps, captures, leaves=laws.far_edge == LEAVES)
        for here, heading in zip(men, headings, strict=True)
    )
    game = Advance(name, board, (first, second), laws, title=title, origin=origin)
    return game if _is_playable(table, game) else None


def _read_board(table: Table) -> Board | None:
    """The board; None where its size is wrong, so that nothing can be said about what stands on it."""
    before = len(table.problems)
    columns = table.whole("columns", least=1, most=MOST_COLUMNS)
    rows = table.whole("rows", least=1, most=MOST_CELLS)
    names = table.texts("cells", default=())
    if len(table.problems) > before:
        return None
    if columns * rows > MOST_CELLS:
        size = f"a board of {columns} x {rows} cells"
        table.wrong("columns", f"{size} is too large; expected at most {MOST_CELLS} cells")
        return None
    board = Board(columns, rows, names)
    check_cell_names(table, board, LONGEST_NAME, kept=(OFF,))
    return board


def _read_headings(table: Table) -> list[str]:
    """Where the first player's men go and the second's; none where that is wrong."""
    before = len(table.problems)
    headings = [
        table.text(f"{player}-goes", default=usual, one_of=tuple(HEADINGS))
        for player, usual in zip(PLAYERS, ("up", "down"), strict=True)
    ]
    return headings if len(table.problems) == before else []


def _read_manners(table: Table) -> tuple[tuple[str, ...], tuple[str, ...], Laws]:
    """The steps, the captures and the laws; kinds in the family's order, each once."""
    steps = table.texts("steps", default=("forward",), one_of=KINDS)
    before = len(table.problems)
    captures = table.texts("captures", default=("diagonal",), one_of=KINDS)
    must_capture = table.flag("must-capture", default=False)
    if must_capture and not captures and len(table.problems) == before:
        table.wrong(
            "must-capture", "'captures' is empty, so nobody can be made to capture; expected some captures"
        )
    far_edge = table.text("far-edge", default=WINS, one_of=AT_FAR_EDGE)
    no_men = table.text("no-men", default=WINS if far_edge == LEAVES else LOSES, one_of=WITHOUT_MEN)
    blocked = table.text("blocked", default=LOSES, one_of=WHEN_BLOCKED)
    steps, captures = (tuple(kind for kind in KINDS if kind in each) for each in (steps, captures))
    return steps, captures, Laws(far_edge, no_men, blocked, must_capture)


def _read_men(table: Table, board: Board | None, headings: Sequence[str]) -> list[int]:
    """Where the men of both sides stand at the start, as sets of cells; nothing where that cannot be said."""
    before = len(table.problems)
    drawn = table.texts("start", default=())
    if board is None or len(table.problems) > before:
        return []
    if "start" in table:
        return _men_drawn(table, board, drawn)
    men = [back_edge(board, heading) for heading in headings]
    if headings and men[FIRST] & men[SECOND]:
        expected = "expected start = the rows of the board, since the edges behind both sides meet"
        table.wrong("", f"'start' is missing; {expected}")
    return men


def _men_drawn(table: Table, board: Board, drawn: Sequence[str]) -> list[int]:
    """The men of both sides where the rows of signs show them."""
    signs = "".join(drawn)
    strange = sorted(set(signs) - {*SIDE_SIGNS, FREE})
    wrong = next((row for row in drawn if len(row) != board.columns), None)
    if len(drawn) != board.rows:
        table.wrong("start", f"'start' has {len(drawn)} rows; expected {board.rows}, from the top")
    elif wrong is not None:
        table.wrong("start", f'the row "{wrong}" has {len(wrong)} signs; expected {board.columns}')
    elif strange:
        meaning = f"{SIDE_SIGNS[FIRST]} (the first player's man), {SIDE_SIGNS[SECOND]} (the second's) or {FREE} (free)"
        table.wrong("start", f"'{strange[0]}' is no sign of a start; expected {meaning}")
    else:
        for player, sign in zip(PLAYERS, SIDE_SIGNS, strict=True):
            if sign not in signs:
                table.wrong(
                    "start", f"the {player} player has no man at the start; expected at least one {sign}"
                )
    return [sum(1 << cell for cell, found in enumerate(signs) if found == sign) for sign in SIDE_SIGNS]


def _is_playable(table: Table, game: Advance) -> bool:
    """Whether the game is not over before it begins; if it is, note why."""
    start = np.array([game.start], dtype=np.uint64)
    if game.ending(start)[0] == UNFINISHED:
        return True
    across = game.laws.far_edge in (WINS, LOSES) and any(side.men & side.far for side in game.sides)
    nobody = "nobody has a move" if game.laws.blocked == PASSES else "the first player has no move"
    reason = "a man stands on the far edge already" if across else nobody
    table.wrong("start", f"the game is over before it begins: {reason}; expected men that can go on")
    return False
