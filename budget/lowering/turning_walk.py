"""A walk through all images of a board: which symmetries, one after the other, lead through all and back."""

from collections.abc import Sequence
from functools import lru_cache
from itertools import permutations
from typing import NamedTuple

import numpy as np

from budget.boards import numberings
from budget.lowering.text import NotLowered
from games.codes import Codes, distinct
from games.game import inverse_symmetries, least_images
from solver.fixed import FixedPlay

Permutation = tuple[int, ...]
"""Where each thing goes."""


class Walk(NamedTuple):
    """Steps through all images: one step again and again, or two in turn.

    steps: how many until all is as it was; words: for each step where each word of the board goes; moves: for each
    step what each move is called after it; last_wins: of images that are alike the last one met is to be taken, else
    the first; exchanges: how many exchanges of two words make any of the steps; ranks: by steps, if it takes more to
    tell which of images that are alike is to be taken: then it is the one with the least rank.
    """

    steps: int
    words: tuple[Permutation, ...]
    moves: tuple[Permutation, ...]
    last_wins: bool
    exchanges: int
    ranks: Permutation = ()


def exchanged(step: Permutation, total: int) -> list[tuple[int, int]]:
    """The exchanges of two words that make a step, with idle ones until there are so many."""
    pairs: list[tuple[int, int]] = []
    holds = list(range(len(step)))  # what was in which word at first
    for word, source in enumerate(_sources(step)):
        at = holds.index(source)
        if at != word:
            pairs.append((word, at))
            holds[word], holds[at] = holds[at], holds[word]
    return [*pairs, *[(0, 0)] * (total - len(pairs))]


def _sources(step: Permutation) -> list[int]:
    sources = [0] * len(step)
    for word, target in enumerate(step):
        sources[target] = word
    return sources


@lru_cache(maxsize=16)
def walk_of(play: FixedPlay, bases: tuple[int, ...]) -> Walk:
    """A walk whose least image is that of `games.game.least_images`, whatever board is met, and the move too.

    bases: those of the digits of a board's number, which lie in the words that turn.
    Raises NotLowered where steps of one kind, or of two in turn, do not lead through all images.
    """
    images = _Images(play, bases)
    kinds = range(1, play.game.symmetries)
    if not images.turned_by:
        return Walk(1, (), (), last_wins=False, exchanges=0)
    ranked: Walk | None = None
    for steps in (*((kind,) for kind in kinds), *permutations(kinds, 2)):
        path = images.path(steps)
        if path is None:
            continue
        words = tuple(images.words(step) for step in steps)
        moves = tuple(images.moves(step) for step in steps)
        exchanges = max(len(exchanged(step, 0)) for step in words)
        walk = Walk(len(path), words, moves, last_wins=False, exchanges=exchanges)
        for last_wins in (True, False):
            if images.agrees(path, last_wins=last_wins):
                return walk._replace(last_wins=last_wins)
        ranked = ranked or walk._replace(ranks=tuple(path))
    if ranked is None:
        raise NotLowered("no two turns lead through all images of its boards")
    return ranked


class _Images:
    """All images of the boards that a play meets.

    boards: (n,) every image of every board, sorted; turned_by: the symmetries but the identity that change one.
    """

    def __init__(self, play: FixedPlay, bases: Sequence[int]) -> None:
        self._game = game = play.game.fair
        self._play = play
        self._bases = bases
        every = [game.turned(symmetry, play.codes) for symmetry in range(game.symmetries)]
        self.boards = distinct(np.concatenate(every))
        self.turned_by = [
            symmetry
            for symmetry in range(1, game.symmetries)
            if (game.turned(symmetry, self.boards) != self.boards).any()
        ]

    def path(self, steps: Sequence[int]) -> list[int] | None:
        """The symmetries reached step by step, the identity last; None if not all are."""
        path: list[int] = []
        boards, moves = self.boards, np.arange(self._game_moves, dtype=np.uint16)
        while len(path) < self._game.symmetries:
            step = steps[len(path) % len(steps)]
            boards, moves = self._game.turned(step, boards), self._game.turned_move(step, moves)
            path.append(self._symmetry(boards, moves))
        whole = sorted(path) == list(range(self._game.symmetries)) and path[-1] == 0
        return path if whole and len(path) % len(steps) == 0 else None

    @property
    def _game_moves(self) -> int:
        return len(self._game.move_names)

    def _symmetry(self, boards: Codes, moves: np.ndarray) -> int:
        """The symmetry that does this to all boards and moves."""
        every = np.arange(self._game_moves, dtype=np.uint16)
        for symmetry in range(self._game.symmetries):
            if np.array_equal(self._game.turned_move(symmetry, every), moves) and np.array_equal(
                self._game.turned(symmetry, self.boards), boards
            ):
                return symmetry
        raise NotLowered("its symmetries do not make a group")

    def moves(self, symmetry: int) -> Permutation:
        """What each move is called after a symmetry."""
        every = np.arange(self._game_moves, dtype=np.uint16)
        return tuple(self._game.turned_move(symmetry, every).tolist())

    def words(self, symmetry: int) -> Permutation:
        """Where each digit goes.  Raises NotLowered where digits do not only change places."""
        before, after = self._digits(self.boards), self._digits(self._game.turned(symmetry, self.boards))
        can_go = [[bool((here == there).all()) for there in after] for here in before]
        targets = _matched(can_go)
        if targets is None:
            raise NotLowered("to turn its board is more than to exchange words")
        return targets

    def _digits(self, boards: Codes) -> list[Codes]:
        rest, digits = numberings(self._play.game)[0](boards), []
        for base in self._bases:
            digits.append(rest % np.uint64(base))
            rest = rest // np.uint64(base)
        return digits

    def agrees(self, path: Sequence[int], *, last_wins: bool) -> bool:
        """Whether the first or the last of the least images along a path leads to the move of the play everywhere."""
        game, play = self._game, self._play
        least, by = least_images(game, play.codes)
        back = inverse_symmetries(game)
        taken = np.full(len(play.codes), -1)
        for step in path if last_wins else reversed(path):
            taken[game.turned(step, play.codes) == least] = step
        for symmetry in range(game.symmetries):
            for other in range(game.symmetries):
                these = (taken == symmetry) & (by == other)
                there = game.turned_move(other, play.moves[these])
                if (game.turned_move(back[symmetry], there) != play.moves[these]).any():
                    return False
        return True


def _matched(can_go: list[list[bool]]) -> Permutation | None:
    """A target of its own for each, if there is one: by paths that let others move on."""
    taken: dict[int, int] = {}

    def place(word: int, tried: set[int]) -> bool:
        for target, can in enumerate(can_go[word]):
            if can and target not in tried:
                tried.add(target)
                if target not in taken or place(taken[target], tried):
                    taken[target] = word
                    return True
        return False

    if not all(place(word, set()) for word in range(len(can_go))):
        return None
    targets = {word: target for target, word in taken.items()}
    return tuple(targets[word] for word in range(len(can_go)))
