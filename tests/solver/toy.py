"""A small game drawn by hand as a graph, in which play can go round for ever; and its plain values.

A drawing is a list with an entry for each position, the start first: ``first`` or ``second`` (who has won),
``draw``, or whose turn it is (0 or 1) with the positions to which the moves lead.
"""

from functools import cache

import numpy as np

from games.codes import DRAW, FIRST_WINS, SECOND_WINS, TURN, UNFINISHED, MoveList, turn_of
from solver.strategy import Allowed, Strategy

ENDINGS = {"first": FIRST_WINS, "second": SECOND_WINS, "draw": DRAW}


class Toy:
    """A drawing as a game; position p is code p with the turn in its bit."""

    name = title = "toy"
    size = ""
    origin = ""
    bits = 6
    can_repeat = True
    other_start = None
    symmetries = 1
    refusals = ("no-such-step",)
    rules = ()

    def __init__(self, drawing):
        self.drawing = drawing
        self.start = self.code(0)
        most = max(len(entry[1]) for entry in drawing if isinstance(entry, tuple))
        self.move_names = tuple(f"m{number}" for number in range(most))

    def code(self, position):
        entry = self.drawing[position]
        return position | (entry[0] << 63 if isinstance(entry, tuple) else 0)

    def _entries(self, codes):
        return [self.drawing[int(code)] for code in codes & ~TURN]

    def moves(self, codes):
        steps = [
            (place, move, self.code(child))
            for place, (_, children) in enumerate(self._entries(codes))
            for move, child in enumerate(children)
        ]
        columns = list(zip(*steps, strict=True)) if steps else [(), (), ()]
        return MoveList(
            *(np.array(c, dtype=d) for c, d in zip(columns, (np.intp, np.uint16, np.uint64), strict=True))
        )

    def mover(self, codes):
        return turn_of(codes)

    def ending(self, codes):
        return np.array(
            [ENDINGS[e] if isinstance(e, str) else UNFINISHED for e in self._entries(codes)], dtype=np.uint8
        )

    def turned(self, symmetry, codes):
        assert symmetry == 0
        return codes

    def turned_move(self, symmetry, moves):
        assert symmetry == 0
        return moves

    def why_not(self, codes, moves):
        entries = self._entries(codes)
        return np.array([m >= len(e[1]) for e, m in zip(entries, moves, strict=True)], dtype=np.uint8)

    def texts(self, codes, seat):
        return [str(int(code & ~TURN)) for code in codes]


class PlayedBy:
    """A rule that allows these moves in these positions."""

    text, line, stores_answers = "as drawn", 1, False

    def __init__(self, allowed):
        self._allowed = allowed

    def allowed(self, view):
        pairs = [
            (place, move)
            for place, code in enumerate(view.codes & ~TURN)
            for move in sorted(self._allowed.get(int(code), ()))
        ]
        place, move = zip(*pairs, strict=True) if pairs else ((), ())
        return Allowed(np.array(place, dtype=np.intp), np.array(move, dtype=np.uint16))


def strategy(game, seat, allowed):
    """The strategy that allows ``allowed[position]``, a set of moves."""
    return Strategy("drawn", "drawn", game, seat, [PlayedBy(allowed)])


class Plain:
    """Values by definition: a win is what can be forced within some number of plies, tried one number after another.

    `children` gives the positions after a position's moves; `chooser` says who picks among them.
    """

    def __init__(self, drawing, children=None, chooser=None):
        self.drawing = drawing
        self.children = children or (lambda position: drawing[position][1])
        self.chooser = chooser or (lambda position: drawing[position][0])
        self.wins_within = cache(self._wins_within)

    def _wins_within(self, player, position, plies):
        entry = self.drawing[position]
        if isinstance(entry, str):
            return entry == ("first", "second")[player]
        if plies == 0 or not self.children(position):
            return False
        wins = [self.wins_within(player, child, plies - 1) for child in self.children(position)]
        return any(wins) if self.chooser(position) == player else all(wins)

    def value(self, position):
        """Who wins and within how many plies, or (None, None)."""
        for plies in range(len(self.drawing) + 1):
            for player in (0, 1):
                if self.wins_within(player, position, plies):
                    return player, plies
        return None, None
