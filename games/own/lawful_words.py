"""Whether a game's words are right: texts that tell positions apart and can be read, drawings, cells and lines."""

from collections.abc import Iterator
from itertools import chain

import numpy as np

from games.board import WIDEST
from games.codes import PLAYERS, SECOND, Codes, Flags, Indices, MoveList, by_parent
from games.game import LineGame, on_board, with_lines
from games.own.faults import Fault, shown
from games.own.reached import Reached, spread
from games.own.watched import Watched

MOST_READ = 2_000
MOST_DRAWN = 20


def word_faults(watched: Watched, reached: Reached) -> Iterator[Fault]:
    """Everything that can be wrong with what people see; of each kind the first that is found."""
    for seat in range(len(PLAYERS)):
        faults = chain(
            _text_faults(watched, reached.codes, seat),
            _unread(watched, spread(reached.codes, MOST_READ), seat),
        )
        fault = next(faults, None)
        if fault is not None:
            yield fault
            break  # what is wrong in one seat mostly is so in both
    yield from _drawing_faults(watched, reached)
    yield from _cell_faults(watched, reached)


def _text_faults(watched: Watched, codes: Codes, seat: int) -> Iterator[Fault]:
    """Every text is one plain line, and two positions with the same player to move have two texts."""
    texts = watched.texts(codes, seat)
    movers = watched.mover(codes).tolist()
    seen: dict[tuple[str, int], int] = {}
    for code, text, mover in zip(codes.tolist(), texts, movers, strict=True):
        if not (text and _is_plain(text)):
            yield Fault("texts", f"gives {text!r}; expected one line of plain text", code)
        other = seen.setdefault((text, mover), code)
        if other != code:
            yield Fault("texts", f"gives '{text}' for {other:#x} as well; expected different texts", code)


def _unread(watched: Watched, codes: Codes, seat: int) -> Iterator[Fault]:
    """What `texts` writes, `read` reads."""
    game = watched.game
    texts, movers = watched.texts(codes, seat), watched.mover(codes).tolist()
    for code, text, mover in zip(codes.tolist(), texts, movers, strict=True):
        try:
            found = game.read(text, seat, mover)
        except ValueError as error:
            yield Fault("read", f"does not read '{text}': {error}", code)
            return
        if found != code:
            yield Fault("read", f"reads '{text}' as {shown(game, found)}; expected this position again", code)
            return


def _drawing_faults(watched: Watched, reached: Reached) -> Iterator[Fault]:
    """Drawings are lines of plain text that fit on a screen."""
    game = watched.game
    codes = spread(reached.unfinished, MOST_DRAWN)
    parent, move, child = watched.moves(codes)
    first_moves = np.flatnonzero(np.diff(parent, prepend=-1))[:MOST_DRAWN]
    after_them = zip(child[first_moves].tolist(), move[first_moves].tolist(), strict=True)
    for code, last in [*((code, None) for code in codes.tolist()), *after_them]:
        for seat in range(len(PLAYERS)):
            for named in (False, True):
                rows = game.drawing(code, seat, last, named=named)
                if not rows or not all(len(row) <= WIDEST and _is_plain(row) for row in rows):
                    message = f"expected lines of plain text of {WIDEST} characters at most"
                    yield Fault("drawing", message, code)
                    return


def _is_plain(text: str) -> bool:
    return text.isascii() and text.isprintable()


# Cells and lines ------------------------------------------------------------------------------------------


def _cell_faults(watched: Watched, reached: Reached) -> Iterator[Fault]:
    """Cells are held by one player at most; in a game of lines a move puts the mover's mark on its cell."""
    cells = on_board(watched.game)
    held = watched.holdings(reached.codes)
    if cells is None or held is None:
        return
    first, second = held
    outside = np.flatnonzero((first | second) >> np.uint64(cells.board.size))
    if len(outside):
        message = f"a cell is held that is not there; expected cells 0 to {cells.board.size - 1}"
        yield Fault("holdings", message, int(reached.codes[outside[0]]))
        return
    both = np.flatnonzero(first & second)
    if len(both):
        yield Fault("holdings", "a cell is held by both; expected one at most", int(reached.codes[both[0]]))
        return
    lines = with_lines(watched.game)
    if lines is not None:
        yield from _mark_faults(watched, lines, reached)


def _mark_faults(watched: Watched, game: LineGame, reached: Reached) -> Iterator[Fault]:
    """Each move puts one mark of the mover's on a free cell, and takes none away; `moves_onto` knows on which."""
    for codes in reached.parts():
        moves = by_parent(watched.moves(codes))
        marks, wrong = _marks(watched, codes, moves)
        if len(wrong):
            name, code = game.move_names[moves.move[wrong[0]]], int(codes[moves.parent[wrong[0]]])
            yield Fault(
                "holdings", f"{name} does not just put one mark of the mover's, which lines are for", code
            )
            return
        every_other = np.uint64(0x5555555555555555)
        place, move = game.moves_onto(codes, np.full(len(codes), every_other))
        expected = marks & every_other != 0
        if not (np.array_equal(place, moves.parent[expected]) and np.array_equal(move, moves.move[expected])):
            yield Fault("moves_onto", "does not give the moves that mark one of the cells", int(codes[0]))
            return


def _marks(watched: Watched, codes: Codes, moves: MoveList) -> tuple[Codes, Indices]:
    """The cell that each move marks, as a set; and the moves that do something else."""
    of_second = watched.mover(codes)[moves.parent] == SECOND
    ours, theirs = _seen_by(of_second, *_held(watched, codes[moves.parent]))
    ours_then, theirs_then = _seen_by(of_second, *_held(watched, moves.child))
    marks = ours_then & ~ours
    is_one = (marks != 0) & (marks & (marks - np.uint64(1)) == 0)
    kept = (ours_then & ours == ours) & (theirs == theirs_then) & (marks & theirs == 0)
    return marks, np.flatnonzero(~(is_one & kept))


def _seen_by(second: Flags, of_first: Codes, of_second: Codes) -> tuple[Codes, Codes]:
    """What the mover and the other hold, given where that is the second player."""
    return np.where(second, of_second, of_first), np.where(second, of_first, of_second)


def _held(watched: Watched, codes: Codes) -> tuple[Codes, Codes]:
    held = watched.holdings(codes)
    assert held is not None
    return held
