"""The lines of play of a game under house rules, one position at a time: what reply trees run along."""

from collections.abc import Callable, Mapping
from typing import NamedTuple

import numpy as np

from games.codes import UNFINISHED, Codes, by_parent
from games.game import Game, counting_plies, least_images
from games.housed import HousedGame
from solver.fixed import TURNED


class Position(NamedTuple):
    """What the rules say of a position: whether the machine has to move, the moves, and what each leads to.

    board: what the table looks at.  The visitor's moves: each, with where it leads; a lost turn is the last, and its
    number is the count of moves.
    """

    board: int
    machine: bool
    moves: tuple[int, ...]
    after: tuple[int, ...]


_END_OF_LINE = Position(board=0, machine=False, moves=(), after=())


class Lines:
    """The positions of a game, least images if they are to be turned; the same position is worked out once.

    What house rules have counted is left out, since the board does not show it, unless the game counts plies: how
    many plies a board can have then depends on how often something has been forgiven.

    Rules work on arrays, lines come one position at a time: so `likely` boards with the machine to move, and all
    that its moves can lead to, are worked out ahead and together.
    """

    def __init__(self, game: HousedGame, reading: str, likely: Codes) -> None:
        self._game = game
        self.counts = counting_plies(game.fair) is not None and any(rule.counts for rule in game.house.rules)
        self._walked: Game = game if self.counts else game.fair
        self._turned = reading == TURNED
        self._known: dict[int, Position] = {}
        self.start = int(self._images(np.array([game.start], dtype=np.uint64))[0])
        self._work_out(likely)
        led_to = [self._known[board].after for board in likely.tolist()]
        self._work_out(np.array(sorted(set().union(*led_to)), dtype=np.uint64))

    def at(self, code: int) -> Position:
        """What the rules say of this position."""
        if code not in self._known:
            self._work_out(np.array([code], dtype=np.uint64))
        return self._known[code]

    def loses_turn(self, position: Position) -> bool:
        """Whether some wrong input of the visitor's costs the turn here."""
        return bool(position.moves) and position.moves[-1] == self._game.fair_moves

    def _work_out(self, codes: Codes) -> None:
        """Enter what the rules say of these positions, and of those that end the game one move later."""
        codes = self._without_ended(codes)
        parent, moves, after = by_parent(self._walked.moves(codes))
        after = self._images(after)
        self._without_ended(after)
        begins = np.searchsorted(parent, np.arange(len(codes) + 1)).tolist()
        moves_, after_ = moves.tolist(), after.tolist()
        machines = (self._walked.mover(codes) == self._game.seat).tolist()
        boards = self._game.fair_codes(codes).tolist()
        turn_lost = {} if self.counts else self._after_lost_turns(codes)
        for place, code in enumerate(codes.tolist()):
            own = slice(begins[place], begins[place + 1])
            if machines[place]:
                position = Position(
                    boards[place], own.start < own.stop, tuple(moves_[own]), tuple(after_[own])
                )
            else:
                lost = turn_lost.get(code, ())
                via = (*moves_[own], *(self._game.fair_moves for _ in lost))
                position = Position(boards[place], machine=False, moves=via, after=(*after_[own], *lost))
            self._known[code] = position

    def _without_ended(self, codes: Codes) -> Codes:
        """Those of these positions that are unfinished; the others are entered as ends of lines."""
        unfinished = self._walked.ending(codes) == UNFINISHED
        ended = codes[np.nonzero(~unfinished)[0]].tolist()
        self._known.update(dict.fromkeys(ended, _END_OF_LINE))
        return codes[np.nonzero(unfinished)[0]]

    def _after_lost_turns(self, codes: Codes) -> dict[int, tuple[int]]:
        """What a lost turn leads to, for those of these positions in which some wrong input costs the turn.

        It may do so at once or when it has been forgiven often enough: on the board both are one.
        """
        house = self._game.house
        costs = np.zeros(len(codes), dtype=bool)
        if any(rule.cost == "turn" for rule in house.rules):
            for name, where in self._game.possible(codes).items():
                if house.rules[house.rule_for(name)].cost == "turn":
                    costs |= where
        passed = self._images(self._game.after_lost_turn(codes[costs])).tolist()
        return dict(zip(codes[costs].tolist(), ((code,) for code in passed), strict=True))

    def _images(self, codes: Codes) -> Codes:
        if not self._turned:
            return codes
        return least_images(self._walked, codes)[0]


Choose = Callable[[int, tuple[int, ...]], int]
"""Given a board with the machine to move and its legal moves, the place of the answer among these."""
MOST_POSITIONS = 1_000_000
"""Along all lines, counted once for every line that comes through."""


class TooManyPositions(Exception):
    """Lines that are not gone through; the message says why."""


class Course(NamedTuple):
    """How lines run, as far as it matters to a program that plays them through.

    answers: the machine's, along all of them; plies: of the longest; rounds: the most moves (and lost turns) of the
    visitor's in one; in_turn: whether nobody ever moves twice; lost: whether the visitor can lose a turn wherever it is
    theirs; somewhere_lost: whether in some positions, and in others not; forgives: whether forgiven input is a branch.
    """

    answers: int
    plies: int
    rounds: int
    in_turn: bool
    lost: bool
    somewhere_lost: bool
    forgives: bool

    def as_constants(self) -> dict[str, int]:
        """For a table."""
        return {name.replace("_", " "): int(value) for name, value in self._asdict().items()}

    @classmethod
    def of_constants(cls, constants: Mapping[str, int]) -> "Course":
        """From a table's."""
        answers, plies, rounds, *flags = (constants[name.replace("_", " ")] for name in cls._fields)
        return cls(answers, plies, rounds, *map(bool, flags))


def go_through(lines: Lines, choose: Choose) -> Course:
    """Go through all lines in order, asking `choose` for each answer of the machine's.

    Raises TooManyPositions when there are more than MOST_POSITIONS along them.
    """
    waiting: list[tuple[int, int, int, bool | None]] = [(lines.start, 0, 0, None)]
    count = answers = longest = most_rounds = 0
    in_turn = True
    can_lose: set[bool] = set()
    while waiting:
        code, ply, rounds, before = waiting.pop()
        count, longest, most_rounds = count + 1, max(longest, ply), max(most_rounds, rounds)
        if count > MOST_POSITIONS:
            raise TooManyPositions(f"its lines have more than {MOST_POSITIONS:,} positions")
        position = lines.at(code)
        if not position.after:
            continue
        in_turn &= position.machine is not before
        if position.machine:
            answer = position.after[choose(position.board, position.moves)]
            waiting.append((answer, ply + 1, rounds, True))
            answers += 1
        else:
            can_lose.add(lines.loses_turn(position))
            after = reversed(dict.fromkeys(position.after))
            waiting.extend((there, ply + 1, rounds + 1, False) for there in after)
    lost = can_lose == {True}
    return Course(answers, longest, most_rounds, in_turn, lost, len(can_lose) == 2, lines.counts)
