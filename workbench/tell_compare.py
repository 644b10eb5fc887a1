"""Two strategies side by side in plain words and drawn boards: what `wordtight compare` prints."""

import numpy as np

from games.codes import PLAYERS, by_parent
from games.game import Game, scored
from games.problems import listed
from solver.compare import Comparison, Difference
from solver.played import WORTHS, Side
from workbench.draw import Frame, strip
from workbench.output import plural, say, say_lines, table

NAMES = ("A", "B")
FRAME = 24
"""Columns of a frame: three stand side by side."""
ALIKE = "Boards that are alike when turned or mirrored count once, and so do moves that are alike on them."

LOST_SEAT = "This seat is lost from the start: the visitor wins by best play, whatever the machine does."

GIVEN_AWAY = (
    "The house rules give this seat away: in fair play it need not lose, but under them the visitor can win "
    "whatever the machine does."
)


def tell(found: Comparison, drawn: int) -> None:
    """The whole report; of the boards on which the moves differ the first `drawn` are drawn."""
    walk = found.proofs[0].walk
    for name, proof in zip(NAMES, found.proofs, strict=True):
        say(f"{name}: {proof.walk.strategy.file}")
    house = found.proofs[0].house.name
    say(f"{walk.game.title}, machine moves {PLAYERS[walk.game.seat]}, house rules '{house}'")
    if any(proof.house_gives_game_away for proof in found.proofs):
        say(GIVEN_AWAY)
    elif any(proof.seat_is_lost for proof in found.proofs):
        say(LOST_SEAT)
    say()
    say_lines(table(("", *NAMES), _rows(found), right=(1, 2)))
    say(ALIKE)
    say()
    for side in range(len(NAMES)):
        _tell_kinds(found, side)
    say()
    _tell_differences(found, drawn)


def _rows(found: Comparison) -> list[tuple[str, ...]]:
    """The figures of both, a row each."""
    walks = [proof.walk for proof in found.proofs]
    given = [found.given_away(side) for side in range(len(NAMES))]
    later = [found.wins_later(side) for side in range(len(NAMES))]
    rows = [
        ("claim", *(proof.claim for proof in found.proofs)),
        ("verdict", *(proof.verdict for proof in found.proofs)),
        ("rules", *(f"{len(walk.strategy.rules):,}" for walk in walks)),
        ("  of them gave a move", *(f"{sum(map(bool, walk.times_used())):,}" for walk in walks)),
        ("answers to store", *(f"{walk.answers():,}" for walk in walks)),
        ("  on a fixed board", *(f"{walk.answers_fixed_board():,}" for walk in walks)),
        ("boards on which the machine moves", *(f"{len(each.boards):,}" for each in found.played)),
        ("  met by this one alone", *(f"{len(each):,}" for each in found.alone)),
        ("boards on which it gives something away", *(f"{sum(each):,}" for each in given)),
        ("  where the two play differently", *(f"{each.differ:,}" for each in given)),
        ("  where they play the same", *(f"{each.same:,}" for each in given)),
        ("  met by this one alone", *(f"{each.alone:,}" for each in given)),
    ]
    if any(later):
        rows.append(("boards on which it may win later than it could", *(f"{each:,}" for each in later)))
    return rows


def _tell_kinds(found: Comparison, side: int) -> None:
    """What one of them gives away, in a sentence."""
    kinds = found.kinds(side)
    if not kinds:
        failure = found.proofs[side].failure
        endless = failure is not None and failure.is_endless
        but = ", and yet it can go round for ever where it could win" if endless else ""
        say(f"{NAMES[side]} gives nothing away, on any board that it meets{but}.")
        return
    said = [f"{_gift(found.game, *kind)} on {plural(boards, 'board')}" for *kind, boards in kinds]
    say(f"{NAMES[side]} {listed(said, 'and')}.")


def _gift(game: Game, before: int, after: int) -> str:
    """What a move does that gives something away, after the name of the strategy or of the move."""
    if scored(game) is not None:
        return f"gives away {plural(before - after, 'point')}"
    return f"turns a {WORTHS[before]} into a {WORTHS[after]}"


def _tell_differences(found: Comparison, drawn: int) -> None:
    both, differ = len(found.both), len(found.differing)
    if not differ:
        say(f"They play the same on every board that both of them meet ({both:,}).")
        return
    say(f"Both of them meet {plural(both, 'board')}, and on {_how_many(differ, both)} they play differently.")
    if differ > drawn:
        first = {0: "None is", 1: "The first is"}.get(drawn, f"The first {drawn:,} are")
        say(f"{first} drawn here; --boards {differ} draws all.")
    for code in found.differing[:drawn].tolist():
        say()
        say_lines(strip(frames(found, found.difference(code)))[:-1])


def _how_many(differ: int, both: int) -> str:
    if differ == both:
        return "it" if both == 1 else "all of them"
    return f"{differ:,} of them"


def frames(found: Comparison, difference: Difference) -> list[Frame]:
    """A board, and beside it what each of the two makes of it."""
    game, seat = found.game, found.proofs[0].walk.game.seat
    before = game.drawing(difference.board, seat)
    shown = [Frame(f"ply {difference.ply + 1}, machine to move", _wide(before))]
    for name, side in zip(NAMES, (difference.a, difference.b), strict=True):
        rows = before
        if side.worst is not None:
            after = _after(game, difference.board, side.worst)
            rows = game.drawing(after, seat, side.worst)
        shown.append(Frame(_played(name, game, side), _wide(rows)))
    return shown


def _wide(rows: list[str]) -> list[str]:
    """The rows of a board as wide as a frame is."""
    return [row.ljust(FRAME) for row in rows]


def _after(game: Game, board: int, move: int) -> int:
    legal = by_parent(game.moves(np.array([board], dtype=np.uint64)))
    return int(legal.child[legal.move == move][0])


def _played(name: str, game: Game, side: Side) -> str:
    """What a strategy plays on a board and what comes of it, in a few words."""
    names = game.move_names
    if side.illegal:
        return f"{name} plays {listed([names[move] for move in side.illegal])}, which may not be played"
    if side.worst is None:
        return f"{name} has no move: no rule applies"
    moves = listed([names[move] for move in side.moves])
    which = ""
    if len(side.moves) > 1:
        which = f"{names[side.worst]} " if side.lost > 0 or side.later else "each "
    silent = ", but on some turned board no rule applies" if side.unanswered else ""
    return f"{name} plays {moves}: {which}{_outcome(game, side)}{silent}"


def _outcome(game: Game, side: Side) -> str:
    if side.lost > 0:
        return _gift(game, side.before, side.after)
    if scored(game) is not None:
        return "gives nothing away"
    if side.later:
        return f"keeps the win, {plural(side.later, 'ply', 'plies')} later"
    return "loses anyway" if side.before == 0 else f"keeps the {WORTHS[side.before]}"
