"""The lines of play of a game under house rules, one position at a time: what reply trees run along."""

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
