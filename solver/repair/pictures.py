"""The fewest pictures in front of a strategy with which its claim holds.

Take any list of pictures that mends the strategy.  As long as a shorter or a narrower list still fails, there is a line
of play on which it fails, and on that line a first board on which the mending list answers otherwise: by a picture that
stands in the narrower list already and only has to be widened to be found on that board, or by one that is still
missing, in front of whatever answers there now.  So all lists of at most so many pictures are gone through by going
from one losing line to the next, and each list is looked at once (`Front`).  If none of them mends the strategy, more
pictures are needed: that is proved, in whole numbers, by having gone through all.
"""

import math
import time
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from typing import NamedTuple

import numpy as np

from games.game import with_lines
from games.house import HouseRules
from games.housed import HousedGame
from solver.least.answers import LeastAnswers
from solver.least.pictures import Told, least_pictures, rule_lines
from solver.least.pictures_boards import MOST_CELLS, Boards, Picture
from solver.least.stopped import NotFound
from solver.proof import PROVED, Proof, prove
from solver.repair.course import losing_line
from solver.repair.overruled import Overruled
from solver.sheet.reader import SheetReader
from solver.strategy import OPEN, Strategy

SHARE_OF_SEARCH = 0.6
"""Of the time; where a gap is left then, the rest is for a list that does without the strategy."""
LISTS_A_LOOK = 50
"""After how many lists the time is looked at, and those are told who wait."""
List = tuple[Picture, ...]


class FewestPictures(NamedTuple):
    """The pictures to put in front, each as the rows of its drawing, and how few there can be.

    bound: no list is shorter; lists: how many were gone through for that.
    strategy: the pictures and the strategy behind them; proof: the proof of the claim for it.
    """

    pictures: tuple[tuple[str, ...], ...]
    bound: int
    lists: int
    strategy: Strategy
    proof: Proof

    @property
    def proved_least(self) -> bool:
        """Whether every shorter list was gone through in vain."""
        return self.bound == len(self.pictures)


def fewest_pictures(
    strategy: Strategy,
    claim: str,
    house: HouseRules,
    over: Overruled,
    answers: LeastAnswers,
    *,
    seconds: float = math.inf,
    told: Told = lambda best, bound: True,
) -> FewestPictures:
    """The fewest pictures in front of a strategy with which `claim` holds, as far as time allows.

    answers: stored answers that do it; each of them is a picture of a whole board, so there is a list to begin with.
    The claim holds for every choice that the pictures leave open.  `told` hears the length of the shortest list so far,
    and that none is shorter than the second figure; False asks for an end.  Raises ValueError where the game has no
    lines or too many cells, or where answers count only on the board as it stands, which pictures do not.
    """
    begin = time.monotonic()
    end = begin + SHARE_OF_SEARCH * seconds
    game = with_lines(strategy.game)
    if game is None or game.board.size > MOST_CELLS:
        raise ValueError(f"there are no pictures of {strategy.game.title}")
    if not over.every.turned:
        raise ValueError("there are no pictures in front of rules that tell boards apart which are alike")
    boards = Boards(over.every, game, turned=True, alike=strategy.choice == OPEN)
    front = Front(boards, over.keeps)
    known = front.shortened(_whole_boards(boards, over, answers), end)
    best, bound = _shortest(front, known, end, told)
    drawn = tuple(boards.rows(picture) for picture in front.shortened(best, end))
    if bound < len(drawn):
        left = seconds - (time.monotonic() - begin)
        drawn = min(drawn, _whole_strategy(over.every.game, claim, left, told) or drawn, key=len)
    mended = with_pictures(strategy, drawn)
    proof = prove(mended, claim, house)
    if proof.verdict != PROVED:
        raise RuntimeError(f"{strategy.name} with pictures in front is {proof.verdict}")
    return FewestPictures(drawn, bound, front.lists, mended, proof)


def _shortest(front: "Front", best: List, end: float, told: Told) -> tuple[List, int]:
    """The shortest list, or the one that is known if time runs out; and how short any can be."""
    length = min(1, len(best))
    while length < len(best):
        found = front.search(length, end, partial(told, len(best), length))
        if front.is_cut_short:
            break
        if found is not None:
            return found, length
        length += 1
    return best, length


def _whole_strategy(
    game: HousedGame, claim: str, seconds: float, told: Told
) -> tuple[tuple[str, ...], ...] | None:
    """A short list of pictures that asks nothing of the strategy behind it; None if there was no time to find one."""
    try:
        return least_pictures(game, claim, seconds=seconds, told=told).pictures
    except NotFound:
        return None


def with_pictures(strategy: Strategy, pictures: Sequence[Sequence[str]]) -> Strategy:
    """The strategy with pictures in front, read as they would be in a sheet."""
    game = with_lines(strategy.game)
    assert game is not None
    drawn = SheetReader("pictures", rule_lines(pictures, turned=True), game).read(0) if pictures else []
    rules = [*drawn, *strategy.rules]
    return Strategy(strategy.name, strategy.file, game, strategy.seat, rules, strategy.choice)


def _whole_boards(boards: Boards, over: Overruled, answers: LeastAnswers) -> List:
    """Stored answers as pictures: each board drawn out whole, in any order, since none is found on another's board."""
    every = over.every
    cells = np.uint64(1) << np.arange(boards.cells, dtype=np.uint64)
    pictures = []
    for code, move in zip(answers.codes, answers.moves, strict=True):
        [board] = np.flatnonzero(every.boards == code)
        onto = boards.game.moves_onto(np.full(boards.cells, code), cells)
        [cell] = onto[0][onto[1] == move]
        drawn = (
            picture
            for state in np.flatnonzero(every.board == board).tolist()
            for picture in boards.whole(state)
            if boards.played(picture, state) >> int(cell) & 1
        )
        pictures.append(next(drawn))
    return tuple(pictures)


class Front:
    """Lists of pictures in front of a strategy.

    keeps: for each state the set of those that come next if the strategy answers; None where it must not.
    lists: how many lists were looked at; is_cut_short: whether the last search ended before its end.
    """

    def __init__(self, boards: Boards, keeps: Sequence[int | None]) -> None:
        self._boards = boards
        self._keeps = keeps
        self.lists = 0
        self.is_cut_short = False

    def search(self, most: int, end: float, goes_on: Callable[[], bool]) -> List | None:
        """A list of at most so many pictures that mends the strategy; None if there is none, or it was cut short."""
        self.is_cut_short = False
        waiting: list[List] = [()]
        seen: set[List] = set()
        while waiting:
            list_ = waiting.pop()
            if list_ in seen:
                continue
            seen.add(list_)
            self.lists += 1
            if self.lists % LISTS_A_LOOK == 0 and (time.monotonic() > end or not goes_on()):
                self.is_cut_short = True
                return None
            line = self.losing_line(list_)
            if line is None:
                return list_
            waiting.extend(reversed(list(self._mending(list_, line, most))))
        return None

    def _answering(self, list_: List, state: int) -> int:
        """Which picture answers in a state; the list's length if none does."""
        found = (i for i, picture in enumerate(list_) if self._boards.sight(picture).found >> state & 1)
        return next(found, len(list_))

    def losing_line(self, list_: List) -> list[int] | None:
        """The states along a shortest line to one that is not answered well; None if all are."""

        def after(state: int) -> int | None:
            number = self._answering(list_, state)
            if number == len(list_):
                return self._keeps[state]
            wrong = self._boards.sight(list_[number]).wrong >> state & 1
            return None if wrong else self._boards.after(list_[number], state)

        return losing_line(self._boards.roots, after)

    def _mending(self, list_: List, line: list[int], most: int) -> Iterator[List]:
        """The lists that answer otherwise on one board of a line, the last board first."""
        for state in reversed(line):
            number = self._answering(list_, state)
            for place in range(number):
                for wider in self._boards.joined(list_[place], state):
                    yield (*list_[:place], wider.picture, *list_[place + 1 :])
        for state in reversed(line) if len(list_) < most else ():
            for place in range(self._answering(list_, state) + 1):
                for picture in self._boards.whole(state):
                    yield (*list_[:place], picture, *list_[place:])

    def shortened(self, list_: List, end: float) -> List:
        """The same list without signs and pictures that are not needed; not the shortest there is.

        Signs are left out of the last picture first: where it then answers too much, others still answer before it.
        """
        before = len(list_) + 1
        while len(list_) < before:
            before = len(list_)
            for number in reversed(range(len(list_))):
                for _, cell in self._boards.signs_of(list_[number]):
                    looser = self._boards.without(list_[number], cell)
                    list_ = self._if_it_mends((*list_[:number], looser, *list_[number + 1 :]), list_, end)
            for number in reversed(range(len(list_))):
                list_ = self._if_it_mends(list_[:number] + list_[number + 1 :], list_, end)
        return list_

    def _if_it_mends(self, list_: List, otherwise: List, end: float) -> List:
        """A list if it mends the strategy, and if there is the time to see that; else another."""
        return list_ if time.monotonic() < end and self.losing_line(list_) is None else otherwise
