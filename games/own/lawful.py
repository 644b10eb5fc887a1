"""Whether a game keeps the promises of `games.game.Game`: tried on every position that can be reached, or on a sample.

Every promise that is broken is one problem: which function, in which position, and what was expected.
"""

from collections.abc import Callable, Iterable, Iterator
from typing import NamedTuple

import numpy as np

from games.codes import DRAW, TURN, TURN_BIT, UNFINISHED, Codes, Indices, distinct
from games.game import Game, scored
from games.own.faults import Fault, bits_of, told
from games.own.lawful_turns import symmetry_faults
from games.own.lawful_words import word_faults
from games.own.reached import MOST, Reached, reach, spread
from games.own.watched import Unlawful, Watched
from games.problems import BadInput, Problem

MOST_PAIRS = 2_000_000
"""Pairs of a position and a move for which the reasons of refusals are looked at."""
ALONE = 40
"""Positions that are asked about alone, to be compared with the same among others."""
MOST_NAMED = 12
"""Moves of a loop that are named."""

Check = Callable[[Watched, Reached], Iterator[Fault]]


class Findings(NamedTuple):
    """What was found: the problems, the positions that were looked at, and whether any of them comes back.

    reached and comes_back are None where the game was too faulty to go through.
    """

    problems: list[Problem]
    reached: Reached | None
    comes_back: bool | None


def problems_of(game: Game, most: int = MOST) -> list[Problem]:
    """Every broken promise of a game, tried on all its positions if there are no more than `most`."""
    return look_over(game, most).problems


def look_over(game: Game, most: int = MOST) -> Findings:
    """The same, and what was looked at."""
    watched, problems = Watched(game), _Gathered(game)
    problems.add(_start_faults(watched))
    if problems.found:
        return Findings(problems.found, None, None)
    reached: list[Reached] = []
    problems.add(_reaching(watched, most, reached))
    if not reached:
        return Findings(problems.found, None, None)
    for check in CHECKS:
        problems.add(check(watched, reached[0]))
    comes_back: list[bool] = []
    problems.add(_repeating(watched, reached[0], comes_back))
    return Findings(problems.found, reached[0], comes_back[0] if comes_back else None)


class _Gathered:
    """Problems of a game, each once; and once only that a check could not go on since a function failed it."""

    def __init__(self, game: Game) -> None:
        self.game = game
        self.found: list[Problem] = []
        self._failed: set[object] = set()

    def add(self, faults: Iterator[Fault]) -> None:
        """Go through the faults of a check; one that cannot go on ends with the reason."""
        try:
            for fault in faults:
                self.found.append(self._problem(fault))
        except Unlawful as end:
            self._fail(end.fault.function, [self._problem(end.fault)])
        except BadInput as end:
            self._fail((end.problems[0].file, end.problems[0].line), end.problems)

    def _problem(self, fault: Fault) -> Problem:
        place_of = getattr(self.game, "place_of", None)
        file, line = place_of(fault.function) if place_of else (self.game.name, 0)
        return Problem(file, line, 0, told(self.game, fault))

    def _fail(self, culprit: object, problems: Iterable[Problem]) -> None:
        if culprit not in self._failed:
            self._failed.add(culprit)
            self.found.extend(problems)


# The checks -----------------------------------------------------------------------------------------------


def _starts(game: Game) -> dict[str, int]:
    return {"start": game.start} | ({} if game.other_start is None else {"other_start": game.other_start})


def _start_faults(watched: Watched) -> Iterator[Fault]:
    """Constants: codes of the start, names of moves."""
    game = watched.game
    for name, start in _starts(game).items():
        if start & ~int(bits_of(game)):
            yield Fault(name, f"{start:#x} does not fit into {game.bits} bits and the turn's")
        elif watched.ending(np.array([start], dtype=np.uint64))[0] != UNFINISHED:
            yield Fault(name, "is over already; expected a position with moves", start)
    if len({name.lower() for name in game.move_names}) != len(game.move_names):
        yield Fault("move_names", "a name is given to two moves; expected each once, in capitals or not")


def _reaching(watched: Watched, most: int, reached: list[Reached]) -> Iterator[Fault]:
    """Go through the game; what was reached is put into the list."""
    reached.append(reach(watched, np.array(sorted(_starts(watched.game).values()), dtype=np.uint64), most))
    yield from ()


def _mover_faults(watched: Watched, reached: Reached) -> Iterator[Fault]:
    """A lost turn flips the turn's bit, and then it is the other player's turn."""
    watched.mover(reached.codes)
    codes = reached.unfinished
    unmoved = codes[watched.mover(codes) == watched.mover(codes ^ TURN)]
    if len(unmoved):
        message = f"with bit {TURN_BIT} flipped, as by a lost turn, expected the other player"
        yield Fault("mover", message, int(unmoved[0]))


def _ending_faults(watched: Watched, reached: Reached) -> Iterator[Fault]:
    """An end is a plain one where moves score."""
    over = reached.codes[reached.is_over]
    wrong = over[watched.ending(over) != DRAW]
    if scored(watched.game) is not None and len(wrong):
        yield Fault("ending", "the moves score, so expected an end to be a draw", int(wrong[0]))


def _move_faults(watched: Watched, reached: Reached) -> Iterator[Fault]:
    """Each move of a position is given once."""
    names = watched.game.move_names
    for codes in reached.parts():
        parent, move, _ = watched.moves(codes)
        pairs = np.sort(parent * len(names) + move)
        again = pairs[1:][pairs[1:] == pairs[:-1]]
        if len(again):
            at, number = divmod(int(again[0]), len(names))
            yield Fault("moves", f"gives {names[number]} twice; expected each move once", int(codes[at]))
            return


def _lost_turn_faults(watched: Watched, reached: Reached) -> Iterator[Fault]:
    """After a lost turn, play goes on by the same rules."""
    for codes in reached.parts():
        flipped = codes ^ TURN
        try:
            watched.moves(flipped[watched.ending(flipped) == UNFINISHED])
        except Unlawful as end:
            yield end.fault._replace(message=f"after a lost turn, {end.fault.message}")
            return
        except BadInput as end:
            raise BadInput(_after_lost_turn(problem) for problem in end.problems) from None


def _after_lost_turn(problem: Problem) -> Problem:
    return Problem(problem.file, problem.line, 0, f"after a lost turn, {problem.message}")


def _refusal_faults(watched: Watched, reached: Reached) -> Iterator[Fault]:
    """A move is refused if and only if it is not legal, and for a reason that has a name."""
    game = watched.game
    names = len(game.move_names)
    some = spread(reached.unfinished, max(1, MOST_PAIRS // names))
    step = max(1, MOST_PAIRS // 10 // names)
    for codes in (some[begin : begin + step] for begin in range(0, len(some), step)):
        legal = np.zeros((len(codes), names), dtype=bool)
        parent, move, _ = watched.moves(codes)
        legal[parent, move] = True
        every = np.tile(np.arange(names, dtype=np.uint16), len(codes))
        reasons = watched.why_not(np.repeat(codes, names), every).reshape(len(codes), names)
        for at, number in np.argwhere((reasons == 0) != legal)[:1]:
            can, says = ("can", "refuses it") if legal[at, number] else ("cannot", "gives no reason")
            yield Fault(
                "why_not", f"{game.move_names[number]} {can} be played, but why_not {says}", int(codes[at])
            )
            return
        for at, number in np.argwhere(reasons > len(game.refusals))[:1]:
            reason, most = reasons[at, number], len(game.refusals)
            yield Fault(
                "why_not", f"gives {reason}; expected 0 to {most}, a place in refusals", int(codes[at])
            )
            return


def _alone_faults(watched: Watched, reached: Reached) -> Iterator[Fault]:
    """A position alone, and among others in another order, is answered alike; and nothing for nothing."""
    game = watched.game
    last = game.symmetries - 1
    questions: dict[str, Callable[[Codes], list[object]]] = {
        "mover": lambda codes: watched.mover(codes).tolist(),
        "ending": lambda codes: watched.ending(codes).tolist(),
        "turned": lambda codes: watched.turned(last, codes).tolist(),
        "texts": lambda codes: [*watched.texts(codes, 0)],
        "holdings": lambda codes: [
            *zip(*(held.tolist() for held in watched.holdings(codes) or ()), strict=True)
        ],
    }
    for function, ask in questions.items():
        yield from _differs(function, ask, spread(reached.codes, ALONE))
    yield from _differs(
        "moves", lambda codes: _by_position(watched, codes), spread(reached.unfinished, ALONE)
    )


def _by_position(watched: Watched, codes: Codes) -> list[object]:
    """The moves of each position, with where they lead."""
    parent, move, child = watched.moves(codes)
    each: list[list[tuple[int, int]]] = [[] for _ in codes]
    for at, number, code in sorted(zip(parent.tolist(), move.tolist(), child.tolist(), strict=True)):
        each[at].append((number, code))
    return [*each]


def _differs(function: str, ask: Callable[[Codes], list[object]], codes: Codes) -> Iterator[Fault]:
    backward = codes[::-1].copy()
    together = ask(backward)
    for code, answer in zip(backward, together, strict=bool(together)):
        if ask(np.array([code])) != [answer]:
            yield Fault(
                function, "alone it is answered otherwise than among others; expected the same", int(code)
            )
            return
    try:
        ask(codes[:0])
    except (ValueError, IndexError) as error:
        yield Fault(function, f"stops where it is asked about no position at all: {error}")


CHECKS: tuple[Check, ...] = (
    _mover_faults,
    _ending_faults,
    _move_faults,
    _lost_turn_faults,
    _refusal_faults,
    _alone_faults,
    symmetry_faults,
    word_faults,
)


# Whether positions come back ------------------------------------------------------------------------------


def _repeating(watched: Watched, reached: Reached, comes_back: list[bool]) -> Iterator[Fault]:
    """No position comes back where the game says so; whether one does is put into the list."""
    loop = find_loop(watched, reached)
    comes_back.append(bool(loop))
    if loop and not watched.game.can_repeat:
        names = [watched.game.move_names[move] for _, move in loop]
        named = ", ".join(names[:MOST_NAMED]) + (" ..." if len(names) > MOST_NAMED else "")
        yield Fault("can_repeat", f"is False, but this comes back by {named}; expected True", loop[0][0])


def find_loop(watched: Watched, reached: Reached) -> list[tuple[int, int]]:
    """A way round from a position back to it, as pairs of a position and a move; empty if none was found."""
    parent, move, child = _moves_among(watched, reached)
    in_loop = _never_done(len(reached.codes), parent, child)
    if not in_loop.any():
        return []
    stays = in_loop[parent] & in_loop[child]
    columns = (column[stays].tolist() for column in (parent, move, child))
    onward = {at: (number, to) for at, number, to in zip(*columns, strict=True)}
    at = int(np.flatnonzero(in_loop)[0])
    seen: dict[int, int] = {}
    way: list[tuple[int, int]] = []
    while at not in seen:
        seen[at] = len(way)
        number, to = onward[at]
        way.append((int(reached.codes[at]), number))
        at = to
    return way[seen[at] :]


def _moves_among(watched: Watched, reached: Reached) -> tuple[Indices, Indices, Indices]:
    """The moves from one of these positions to another, by their places."""
    codes = reached.codes
    columns: list[tuple[Indices, Indices, Indices]] = []
    for part in reached.parts():
        parent, move, child = watched.moves(part)
        at = np.minimum(np.searchsorted(codes, child), len(codes) - 1)
        known = codes[at] == child
        columns.append((np.searchsorted(codes, part[parent[known]]), move[known].astype(np.intp), at[known]))
    parents, moves, children = (np.concatenate(column) for column in zip(*columns, strict=True))
    return parents, moves, children


def _never_done(positions: int, parent: Indices, child: Indices) -> np.ndarray:
    """Which positions are left when those whose moves all lead to ones taken away are taken away, again and again."""
    order = np.argsort(child, kind="stable")
    into, first = parent[order], np.searchsorted(child[order], np.arange(positions + 1))
    left = np.bincount(parent, minlength=positions)
    done = np.flatnonzero(left == 0)
    while len(done):
        counts = first[done + 1] - first[done]
        ends = np.cumsum(counts)
        within = np.arange(ends[-1]) - np.repeat(ends - counts, counts)
        parents = into[np.repeat(first[done], counts) + within]
        np.subtract.at(left, parents, 1)
        done = distinct(parents[left[parents] == 0])
    return left > 0
