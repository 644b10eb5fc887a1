"""Whether a game's symmetries are symmetries: a group that keeps starts, ends and turns, and carries moves along.

That they are a group is looked at on the moves.  Then it holds on the positions as well: each is reached from a
start, which stays, by moves, which are carried along.
"""

from collections.abc import Iterator

import numpy as np

from games.codes import Codes, Indices, MoveList
from games.game import LineGame, with_lines
from games.groups import why_no_group
from games.own.faults import Fault, bits_of, shown
from games.own.reached import Reached, spread
from games.own.watched import Unlawful, Watched
from games.problems import BadInput

MOST_TURNED = 2_000
"""Positions whose marks are followed cell by cell."""


def symmetry_faults(watched: Watched, reached: Reached) -> Iterator[Fault]:
    """Everything that can be wrong with symmetries; of each kind the first that is found."""
    game = watched.game
    every = np.arange(len(game.move_names), dtype=np.uint16)
    images = [watched.turned_move(symmetry, every).tolist() for symmetry in range(game.symmetries)]
    reason = why_no_group(images)
    if reason:
        yield Fault("turned_move", reason)
        return
    changed = reached.codes[watched.turned(0, reached.codes) != reached.codes]
    if len(changed):
        yield Fault("turned", "symmetry 0 changes the position; expected the identity first", int(changed[0]))
        return
    told: set[str] = set()
    for symmetry in range(1, game.symmetries):
        for kind, fault in _faults_of(watched, reached, symmetry):
            if kind not in told:
                told.add(kind)
                yield fault
    marks = with_lines(game)
    if not told and marks is not None and not _turns_cells(watched, marks, reached.codes):
        yield Fault("turned", "marks do not go where cell_images says that the cells go")


def _faults_of(watched: Watched, reached: Reached, symmetry: int) -> Iterator[tuple[str, Fault]]:
    """The faults of one symmetry, each with its kind."""
    for start in reached.starts:
        image = watched.turned(symmetry, np.array([start]))[0]
        if image != start:
            message = f"symmetry {symmetry} turns this first position into {shown(watched.game, int(image))}"
            yield "start", Fault("turned", f"{message}; expected it to stay", int(start))
            return
    images = watched.turned(symmetry, reached.codes)
    stray = _stray(watched, reached, images)
    if len(stray):
        code, image = int(reached.codes[stray[0]]), int(images[stray[0]])
        message = f"symmetry {symmetry} turns it into {shown(watched.game, image)}, which cannot be reached"
        yield "stray", Fault("turned", message, code)
        return
    for kind, fault in (
        ("bijection", _not_one_to_one(watched, reached.codes, images, symmetry)),
        ("ending", _not_kept("ending", watched, reached.codes, images, symmetry)),
        ("mover", _not_kept("mover", watched, reached.codes, images, symmetry)),
        ("moves", _not_carried_along(watched, reached, symmetry)),
    ):
        if fault is not None:
            yield kind, fault


def _stray(watched: Watched, reached: Reached, images: Codes) -> Indices:
    """Where an image is no code of the game, or no position that can be reached where all of those are known."""
    if not reached.is_whole:
        return np.flatnonzero(images & ~bits_of(watched.game))
    at = np.minimum(np.searchsorted(reached.codes, images), len(reached.codes) - 1)
    return np.flatnonzero(reached.codes[at] != images)


def _not_one_to_one(watched: Watched, codes: Codes, images: Codes, symmetry: int) -> Fault | None:
    order = np.argsort(images, kind="stable")
    same = np.flatnonzero(images[order][1:] == images[order][:-1])
    if not len(same):
        return None
    one, other = sorted(int(codes[order[at]]) for at in (same[0], same[0] + 1))
    message = f"symmetry {symmetry} turns this and {shown(watched.game, other)} into one; expected two"
    return Fault("turned", message, one)


def _not_kept(function: str, watched: Watched, codes: Codes, images: Codes, symmetry: int) -> Fault | None:
    ask = watched.ending if function == "ending" else watched.mover
    before, after = ask(codes), ask(images)
    changed = np.flatnonzero(before != after)
    if not len(changed):
        return None
    at = changed[0]
    message = (
        f"symmetry {symmetry} turns it into {shown(watched.game, int(images[at]))}, where {function} gives "
        f"{after[at]}; expected {before[at]} as here"
    )
    return Fault("turned", message, int(codes[at]))


def _not_carried_along(watched: Watched, reached: Reached, symmetry: int) -> Fault | None:
    """The first position whose moves, turned, are not the moves of the turned position."""
    for codes in reached.parts():
        images = watched.turned(symmetry, codes)
        try:
            theirs = watched.moves(images)
        except (Unlawful, BadInput) as end:
            said = end.fault.message if isinstance(end, Unlawful) else end.problems[0].message
            return Fault("turned", f"symmetry {symmetry} leads to a faulty position: {said}")
        fault = _first_difference(watched, codes, images, theirs, symmetry)
        if fault is not None:
            return fault
    return None


def _first_difference(
    watched: Watched, codes: Codes, images: Codes, theirs: MoveList, symmetry: int
) -> Fault | None:
    """Hold the moves of positions, turned, against the moves of the images."""
    names = watched.game.move_names
    parent, move, child = watched.moves(codes)
    moved = watched.turned_move(symmetry, move)
    ours = MoveList(parent, moved, watched.turned(symmetry, child))
    our_order, their_order = np.lexsort((ours.move, ours.parent)), np.lexsort((theirs.move, theirs.parent))
    our_keys = (ours.parent * len(names) + ours.move)[our_order]
    their_keys = (theirs.parent * len(names) + theirs.move)[their_order]
    if len(our_keys) != len(their_keys) or (our_keys != their_keys).any():
        return _first_without(codes, images, our_keys, their_keys, watched, symmetry)
    elsewhere = np.flatnonzero(ours.child[our_order] != theirs.child[their_order])
    if len(elsewhere):
        at, to = our_order[elsewhere[0]], their_order[elsewhere[0]]
        message = (
            f"symmetry {symmetry} calls {names[move[at]]} {names[moved[at]]}, but {names[moved[at]]} leads to "
            f"{shown(watched.game, int(theirs.child[to]))} in the image; "
            f"expected {shown(watched.game, int(ours.child[at]))}"
        )
        return Fault("turned_move", message, int(codes[parent[at]]))
    return _other_gains(watched, codes, images, MoveList(parent, move, child), moved, symmetry)


def _first_without(
    codes: Codes, images: Codes, ours: Indices, theirs: Indices, watched: Watched, symmetry: int
) -> Fault:
    """A move on one side that is missing on the other; the keys are places times moves, sorted."""
    names = watched.game.move_names
    only_ours = set(ours.tolist()) - set(theirs.tolist())
    key = min(only_ours or set(theirs.tolist()) - set(ours.tolist()))
    at, number = divmod(key, len(names))
    image = shown(watched.game, int(images[at]))
    if not only_ours:
        message = f"symmetry {symmetry} turns it into {image}, where {names[number]} can be played as well"
        return Fault("turned", f"{message}; expected the same moves", int(codes[at]))
    every = np.arange(len(names), dtype=np.uint16)
    before = watched.turned_move(symmetry, every).tolist().index(number)
    message = (
        f"symmetry {symmetry} calls {names[before]} {names[number]}, which is no move in the image {image}"
    )
    return Fault("turned_move", message, int(codes[at]))


def _other_gains(
    watched: Watched, codes: Codes, images: Codes, moves: MoveList, moved: np.ndarray, symmetry: int
) -> Fault | None:
    """Where moves score: a move whose image brings something else."""
    ours = watched.gains(codes[moves.parent], moves.move)
    theirs = watched.gains(images[moves.parent], moved)
    if ours is None or theirs is None or not (ours != theirs).any():
        return None
    at = np.flatnonzero(ours != theirs)[0]
    message = f"{watched.game.move_names[moves.move[at]]} brings {ours[at]}, turned by symmetry {symmetry} {theirs[at]}"
    return Fault("gains", f"{message}; expected the same", int(codes[moves.parent[at]]))


def _turns_cells(watched: Watched, game: LineGame, codes: Codes) -> bool:
    """Whether the marks of every position go where `cell_images` says."""
    some = spread(codes, MOST_TURNED)
    for symmetry, images in enumerate(game.cell_images):
        after = watched.holdings(watched.turned(symmetry, some)) or ()
        for old, new in zip(watched.holdings(some) or (), after, strict=True):
            gone = np.zeros_like(old)
            for cell, image in enumerate(images):
                gone |= (old >> np.uint64(cell) & np.uint64(1)) << np.uint64(image)
            if not np.array_equal(gone, new):
                return False
    return True
