"""What is stored of a game, worked out in the slowest and most obvious way.

Of the rooms it uses only a game's own functions, one position at a time; dictionaries and plain rounds do the rest.
"""

from functools import cached_property

import numpy as np


def one(code):
    return np.array([code], dtype=np.uint64)


class SlowGame:
    """A game of a few thousand positions.

    moves: for every position that can arise its moves, (move, gain, child) in order; none where play has ended.
    """

    def __init__(self, game, start=None):
        self.game = game
        self.start = game.start if start is None else start
        self.scores = hasattr(game, "gains")
        self.moves, waiting = {}, [self.start]
        while waiting:
            code = waiting.pop()
            if code not in self.moves:
                self.moves[code] = [] if game.ending(one(code))[0] else sorted(self._moves(code))
                waiting += [child for _, _, child in self.moves[code]]

    def _moves(self, code):
        for move, child in zip(*self.game.moves(one(code))[1:], strict=True):
            gain = int(self.game.gains(one(code), np.array([move]))[0]) if self.scores else 0
            yield int(move), gain, int(child)

    def mover(self, code):
        return int(self.game.mover(one(code))[0])

    @cached_property
    def values(self):
        return self._differences() if self.scores else self._results()

    def _results(self):
        """Winner (0, 1) and plies of every position that is won for somebody, found round by round."""
        known = {}
        for code in self.moves:
            ending = int(self.game.ending(one(code))[0])
            if ending in (1, 2):
                known[code] = (ending - 1, 0)
        while True:
            new = {}
            for code, moves in self.moves.items():
                if code in known or not moves:
                    continue
                mover = self.mover(code)
                after = [known.get(child) for _, _, child in moves]
                won = [plies for winner, plies in filter(None, after) if winner == mover]
                if won:
                    new[code] = (mover, 1 + min(won))
                elif all(after):
                    new[code] = (1 - mover, 1 + max(plies for _, plies in after))
            if not new:
                return known
            known |= new

    def _differences(self):
        """The difference to come in every position; play in score games comes to an end, so recursion does."""
        known = {}

        def worth(code):
            if code not in known:
                after = [gain + worth(child) for _, gain, child in self.moves[code]]
                known[code] = (max if self.mover(code) == 0 else min)(after, default=0)
            return known[code]

        worth(self.start)
        return known

    @property
    def value(self):
        if self.scores:
            return self.values[self.start]
        return ("first", "second", "draw")[self.values.get(self.start, (2, None))[0]]

    @property
    def distance(self):
        return None if self.scores else self.values.get(self.start, (2, None))[1]

    @property
    def loops(self):
        """Whether some are left when positions into which nothing leads are taken away again and again."""
        into = dict.fromkeys(self.moves, 0)
        for moves in self.moves.values():
            for _, _, child in moves:
                into[child] += 1
        waiting = [code for code, count in into.items() if not count]
        gone = 0
        while waiting:
            gone += 1
            for _, _, child in self.moves[waiting.pop()]:
                into[child] -= 1
                if not into[child]:
                    waiting.append(child)
        return gone < len(self.moves)

    def least_image(self, code):
        """The least image, and the first symmetry that leads to it."""
        images = [int(self.game.turned(turn, one(code))[0]) for turn in range(self.game.symmetries)]
        return min(images), images.index(min(images))

    @property
    def up_to_symmetry(self):
        return len({self.least_image(code)[0] for code in self.moves})

    def best_move(self, code):
        """The least of the best moves."""
        if self.scores:
            return min(
                m for m, gain, child in self.moves[code] if gain + self.values[child] == self.values[code]
            )
        here = self.values.get(code)
        if here is not None and here[0] == self.mover(code):
            return min(m for m, _, c in self.moves[code] if self.values.get(c) == (here[0], here[1] - 1))
        winner = None if here is None else here[0]
        return min(m for m, _, c in self.moves[code] if (self.values.get(c) or (None,))[0] == winner)

    def best_move_turned(self, code):
        """The least of the best moves on the least image, as it is called on the board as it stands."""
        least, turn = self.least_image(code)
        wanted = self.best_move(least)
        for move, _, _ in self.moves[code]:
            if int(self.game.turned_move(turn, np.array([move], dtype=np.uint16))[0]) == wanted:
                return move
        raise AssertionError("no move is turned into it")

    def met(self, seat, choose):
        """The positions in which the machine moves when it plays what `choose` says and the visitor anything."""
        found, waiting = set(), [self.start]
        while waiting:
            code = waiting.pop()
            if code in found:
                continue
            found.add(code)
            at = self.moves[code]
            if at and self.mover(code) == seat:
                at = [move for move in at if move[0] == choose(code)]
            waiting += [child for _, _, child in at]
        return [code for code in found if self.moves[code] and self.mover(code) == seat]

    def answers(self, seat):
        """How many boards best play has to have stored: up to symmetry when it is turned, and on a fixed board."""
        turned = {self.least_image(code)[0] for code in self.met(seat, self.best_move_turned)}
        return {"up_to_symmetry": len(turned), "fixed_board": len(self.met(seat, self.best_move))}

    def lost(self, seat):
        if self.scores:
            return self.value < 0 if seat == 0 else self.value > 0
        return self.value == ("second", "first")[seat]
