"""The reply tree: the machine's answers along the lines of play, without boards and without pointers.

All lines are gone through branch by branch, the least move first, and each time the machine has to move its answer
follows.  A turn lost by wrong input is a branch too, after the fair moves; input that is forgiven, or that ends the
game, needs no answer and is none.  Only where the game counts plies is forgiven input a branch as well, the last
ones, for it makes another ply of the same board.

*In bits*, the answer is the place of the move among the legal ones, in as few bits as tell those apart, and in none
where there is only one; all make one row of bits.  The program keeps its place in the row; when the visitor moves it
passes over the branches of the lesser moves by playing them through.  *Counted* (`budget.counted_tree`), each answer
stands in a field with the visitor's move that leads to it and with how many branches follow.

Bits: for every answer along the lines, log2(legal moves) rounded up; counted, answers x (v + m + c), where v bits tell
the visitor's moves and a lost turn apart, m hold any answer and c any count of branches.  In bits: common practice of
programs written by hand; counted: our own.

Turned, the lines run through least images: each position is turned to its least image, and of the visitor's
moves that lead to the same image only the first has a branch.  Counted, an answer then has the end of its board's
number in place of the visitor's move.

Workspace: the address of a word of the stream and the place of a bit in it; a word for each ply of the longest line,
for the moves that are to be taken back when branches are played through.  Turned, the move with which another is
compared, too.
"""

import numpy as np

from budget.boards import looked_up, stored_answers, stored_boards, turning_words
from budget.counted_tree import counted_layouts, read_counted
from budget.lines import Lines, TooManyPositions, go_through
from budget.lowering.answering import Answering
from budget.lowering.answering.table_lines import PlayedThrough
from budget.lowering.answering.table_tree import Counted, CountedTurned
from budget.lowering.ground import Ground, Setting
from budget.lowering.text import NotLowered
from budget.packed import NO_MOVE, Column, Layout, NotApplicable, Packed, Table, Workspace
from budget.packing import BitReader, Unreadable, bits_for, bits_of
from games.codes import Codes, MoveIds
from games.housed import HousedGame
from solver.counts import rounds
from solver.fixed import TURNED, FixedPlay

NAME = "reply-tree"
TITLE = "reply tree along the lines of play"


def lay_out(play: FixedPlay) -> Table:
    """Write the answers down in the order in which the lines are gone through."""
    if rounds(play.graph) is None:
        raise NotApplicable("play can come back to a position, and lines that go round are not written down")
    codes, moves = stored_answers(play)
    answers = dict(zip(codes.tolist(), moves.tolist(), strict=True))
    lines = Lines(play.game, play.reading, codes)
    places: list[int] = []
    widths: list[int] = []

    def choose(board: int, legal: tuple[int, ...]) -> int:
        if board not in answers:
            raise NotApplicable("rules answer some boards, and lines run through all")
        place = legal.index(answers[board])
        places.append(place)
        widths.append(bits_for(len(legal)))
        return place

    try:
        course = go_through(lines, choose)
    except TooManyPositions as problem:
        raise NotApplicable(str(problem)) from None
    stream = bits_of(np.array(places, dtype=np.uint64), np.array(widths, dtype=np.intp))
    along = f"{len(places):,} answers along the lines"
    in_bits = Layout(
        f"{along}, {widths.count(0):,} of them forced",
        (Column(1, stream, in_a_row=True),),
        {"counted": 0, **course.as_constants()},
    )
    counted = [] if lines.counts else counted_layouts(play, lines, answers, along)
    return Table(
        NAME,
        play.reading,
        len(answers),
        (in_bits, *counted),
        Workspace((), 1, 1 + course.plies + turning_words(play.reading) + (play.reading == TURNED)),
    )


def decode(packed: Packed, game: HousedGame, codes: Codes) -> MoveIds:
    """Read all lines, and give each board the move that they have on it; NO_MOVE where two lines differ."""
    lines = Lines(game, packed.reading, stored_boards(game.fair, packed.reading, codes))
    found = read_counted(lines, packed, game) if packed.constants["counted"] else _read_bits(lines, packed)
    answers: dict[int, int] = {}
    for board, move in found:
        if answers.setdefault(board, move) != move:
            answers[board] = NO_MOVE

    def look_up(boards: Codes) -> MoveIds:
        return np.array([answers.get(board, NO_MOVE) for board in boards.tolist()], dtype=np.uint16)

    return looked_up(game.fair, packed.reading, codes, look_up)


def decoder(setting: Setting, ground: Ground, packed: Packed) -> Answering:
    """How a program keeps its place in the tree."""
    if not packed.constants["counted"]:
        if packed.reading == TURNED:
            raise NotLowered("lines through least images are not played through in programs")
        return PlayedThrough(setting, ground, packed)
    return (
        CountedTurned(setting, ground, packed)
        if packed.reading == TURNED
        else Counted(setting, ground, packed)
    )


def _read_bits(lines: Lines, packed: Packed) -> list[tuple[int, int]]:
    """The board and the move of each answer."""
    stream = BitReader(packed.words, packed.word_bits)
    found: list[tuple[int, int]] = []

    def choose(board: int, legal: tuple[int, ...]) -> int:
        place = stream.read(bits_for(len(legal)))
        if place >= len(legal):
            raise Unreadable(f"answer {place} where there are {len(legal)} moves")
        found.append((board, legal[place]))
        return place

    try:
        go_through(lines, choose)
    except TooManyPositions as problem:
        raise Unreadable(str(problem)) from None
    return found
