"""The shortest list of pictures of which the first that is found gives a move that keeps a claim, wherever it has to.

The claim holds for every choice that a picture leaves open, unless choices are settled.  Shortest means the fewest
pictures in this language of pictures (whole boards with the signs ``M V _ - !``): that there is no shorter list is
proved by going through all of them (`Tree`), length by length, in whole numbers.  Long lists are made shorter meanwhile
(`Repair`), so where time runs out there is a list, and a bound below it.  What is found is written as a rule sheet has
it, read again and proved anew.
"""

import math
import time
from collections.abc import Callable, Sequence
from typing import NamedTuple

from games.game import LineGame, with_lines
from games.housed import HousedGame
from solver.least.choices import Hopeless, choices_as_alike, choices_of
from solver.least.clock import Clock
from solver.least.pictures_boards import MOST_CELLS, Boards, Picture
from solver.least.pictures_list import in_order, loosened
from solver.least.pictures_repair import Repairs
from solver.least.pictures_tree import Tree
from solver.least.stopped import NotFound
from solver.least.together import together
from solver.progress import Report
from solver.proof import PROVED, Proof, prove
from solver.scores import SolvedScores
from solver.sheet.reader import SheetReader
from solver.solved import Solved
from solver.strategy import OPEN, PLAIN, TURNED, Strategy

HEADINGS = {True: "picture", False: "picture fixed"}
NODES_AT_FIRST = 500
"""How long each of the two searches goes on before it is the other's turn; twice as long every time."""
FIRST_LOOKS = 20, 8, 15, 60
"""How many states the first trees look at in a node: whoever looks at little is soon done, for better or worse."""
NODES_A_LOOK = 10
"""After how many nodes the time is looked at, and those are told who wait."""
SHARE_OF_SEARCH = 0.9
"""Of the time; the rest is for leaving out signs that are not needed, and for the proof."""
Told = Callable[[int | None, int], bool]
"""Told the length of the shortest list so far (None before there is one), and that none is shorter than the second
figure; False asks for an end."""


class LeastPictures(NamedTuple):
    """The shortest list found, and how short any can be.

    pictures: each as the rows of its drawing.  turned: whether they are found in every way that the game allows.
    bound: no list is shorter; nodes: how many cases all that is shorter fell into.
    strategy: the rules that answer first, then the pictures; proof: the proof of the claim for it.
    """

    pictures: tuple[tuple[str, ...], ...]
    turned: bool
    bound: int
    nodes: int
    strategy: Strategy
    proof: Proof

    @property
    def proved_least(self) -> bool:
        """Whether every shorter list was gone through in vain."""
        return self.bound == len(self.pictures)

    @property
    def rules(self) -> str:
        """The pictures as they stand in a sheet."""
        return "\n".join(rule_lines(self.pictures, turned=self.turned)) + "\n"


def rule_lines(pictures: Sequence[Sequence[str]], *, turned: bool) -> list[str]:
    """The lines of a sheet in which these pictures are drawn."""
    return [
        line
        for rows in pictures
        for line in (HEADINGS[turned], *("    " + " ".join(row) for row in rows), "")
    ][:-1]


def least_pictures(
    game: HousedGame,
    claim: str,
    *,
    turned: bool = True,
    rules: Strategy | None = None,
    solved: Solved | SolvedScores | None = None,
    seconds: float = math.inf,
    told: Told = lambda best, bound: True,
    now: Callable[[], float] = time.monotonic,
) -> LeastPictures:
    """The shortest list of pictures with which `claim` holds in the machine's seat, as far as time allows.

    turned: pictures are found in every way in which the game looks the same; else only as they are drawn.
    rules: what answers before pictures are looked at, be it nothing; where its choices are settled so are those of the
    pictures.  solved: the values of `game`, if known.
    now: the clock by which `seconds` are counted.
    Raises solver.least.choices.Hopeless where no list keeps the claim, ValueError where the game has no lines or too
    many cells, NotFound if time ran out too soon, and solver.graph.TooLarge where there are too many positions.
    """
    clock = Clock(seconds, now=now)
    fair = with_lines(game.fair)
    if fair is None or fair.board.size > MOST_CELLS:
        raise ValueError(f"there are no pictures of {game.title}")
    race = _Race(_boards(game, fair, claim, rules, solved, clock.report, turned=turned), clock, told)
    pictures = race.run()
    loose = loosened(race.boards, pictures, lambda: clock.left() > 0)
    drawn = tuple(race.boards.rows(picture) for picture in loose)
    strategy = _strategy(fair, game.seat, rules, drawn, turned=turned)
    proof = prove(strategy, claim, game.house)
    if proof.verdict != PROVED:
        raise RuntimeError(f"the shortest list for {game.name} is {proof.verdict}")
    return LeastPictures(drawn, turned, race.bound, race.nodes, strategy, proof)


def _boards(
    game: HousedGame,
    fair: LineGame,
    claim: str,
    rules: Strategy | None,
    solved: Solved | SolvedScores | None,
    report: Report,
    *,
    turned: bool,
) -> Boards:
    """The boards that need a picture.

    Those that are alike count as one where neither pictures nor rules see a difference between them.  A sheet whose
    choice is settled `turned` only ever sees one of those that are alike, and one whose choice is `plain` sees all.
    """
    choice = OPEN if rules is None else rules.choice
    alike, as_one = choice != PLAIN, turned or choice == TURNED
    asked = alike and (
        as_one or rules is not None
    )  # also where each board counts, to learn whether rules tell them apart
    choices = choices_as_alike(game, claim, turned=asked, rules=rules, solved=solved, report=report)
    alike = alike and choices.turned == asked
    if choices.turned and not as_one:
        choices = choices_of(game, claim, turned=False, rules=rules, solved=solved, report=report)
    return Boards(
        together(choices), fair, turned=turned, alike=alike and choice == OPEN, settled=choice != OPEN
    )


def _strategy(
    game: LineGame, seat: int, rules: Strategy | None, pictures: Sequence[Sequence[str]], *, turned: bool
) -> Strategy:
    """The rules that answer first and the pictures behind them, read as they would be in a sheet."""
    drawn = SheetReader("pictures", rule_lines(pictures, turned=turned), game).read(0) if pictures else []
    first, choice = ((), OPEN) if rules is None else (rules.rules, rules.choice)
    return Strategy("pictures", "", game, seat, [*first, *drawn], choice)


class _Race:
    """Searches in turn: trees prove that there is no list of some length, or find one; repair makes lists shorter.

    How far each goes is counted in nodes, so that what comes out depends on time only where time cuts it short.
    """

    def __init__(self, boards: Boards, clock: Clock, told: Told) -> None:
        self.boards = boards
        self.bound = 1 if boards.roots else 0
        self.nodes = 0
        self._best: list[Picture] = []
        self._has_list = False
        self._clock = clock
        self._told = told
        self._goes_on = True
        self._trees: dict[int, Tree] = {}

    @property
    def length(self) -> int | None:
        """The length of the shortest list found, None before there is one."""
        return len(self._best) if self._has_list else None

    def run(self) -> list[Picture]:
        """The shortest list found; raises Hopeless where there is none, NotFound if time ran out too soon."""
        repairs = Repairs(self.boards, self._find_some())
        allowed = NODES_AT_FIRST
        while self._is_open():
            self._go_through(self.bound, allowed, repairs)
            self._repair(repairs, allowed)
            between = range(len(self._best) - 1, self.bound, -1)
            for length in between:
                self._go_through(length, allowed // len(between), repairs)
            allowed *= 2
        return self._best

    def _is_open(self) -> bool:
        self._goes_on = self._goes_on and self._has_time()
        return self._goes_on and self.bound < len(self._best)

    def _has_time(self) -> bool:
        return self._clock.left(SHARE_OF_SEARCH) > 0

    def _tell(self) -> None:
        self._goes_on = self._told(len(self._best), self.bound) and self._goes_on

    def _find_some(self) -> list[list[Picture]]:
        """Find some lists, as long as they may be: each shorter than those before it; the shortest first."""
        found = self._dive(FIRST_LOOKS[0], self.boards.size, math.inf)
        if found is None:
            if self._goes_on:
                raise Hopeless
            raise NotFound(self.bound)
        self._best, self._has_list = found, True
        lists = [found]
        for look_at in FIRST_LOOKS[1:]:
            if self._is_open():
                other = self._dive(look_at, len(self._best) - 1, NODES_AT_FIRST)
                if other is not None:
                    self._best = other
                    lists.append(other)
        self._tell()
        return lists[::-1]

    def _dive(self, look_at: int, most: int, nodes: float) -> list[Picture] | None:
        """The first list that a tree comes upon, if it does so soon enough."""
        tree = Tree(self.boards, most, look_at=look_at)
        while not tree.is_done and tree.nodes < nodes:
            self._goes_on = self._told(self.length, self.bound) and self._has_time()
            if not self._goes_on:
                return None
            tree.advance(NODES_A_LOOK)
        return None if tree.found is None else in_order(tree.found)

    def _go_through(self, length: int, allowed: int, repairs: Repairs) -> None:
        """Go on through the lists of at most some length, for a while or until it is known whether there is one.

        What is known to have no list of the least length that is open yet goes on with the next.
        """
        while allowed > 0 and self._is_open() and self.bound <= length < len(self._best):
            tree = self._trees.setdefault(length, Tree(self.boards, length))
            before = tree.nodes
            tree.advance(min(NODES_A_LOOK, allowed))
            allowed -= tree.nodes - before
            self.nodes += tree.nodes - before
            if tree.found is not None:
                self._best = in_order(tree.found)
                repairs.take_up(self._best)
            elif tree.is_done:
                self.bound = length = length + 1
            self._tell()

    def _repair(self, repairs: Repairs, allowed: int) -> None:
        """Make lists shorter for a while."""
        while allowed > 0 and self._is_open():
            list_, nodes = repairs.step()
            if len(list_) < len(self._best):
                self._best = list_
            allowed -= nodes
            self._tell()
