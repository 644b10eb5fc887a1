"""The reply tree of a small strategy: what the machine plays to each move of the visitor's, ply by ply.

Moves that make boards alike are one branch where the strategy answers them alike, that is where it is settled
turned.  A tree that would be too large is cut after some plies.
"""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from games.codes import DRAW, UNFINISHED, win_of
from games.game import least_images, scored
from solver.fixed import TURNED, FixedPlay
from workbench.pictures.positions import FAINT, INK, PAPER
from workbench.pictures.whole import EVEN, whole_svg
from workbench.svg import element, line_path, words

MOST_LINES = 60
"""Ends of branches that a picture holds on a page."""
MOST_PLIES = 12
"""As wide as a page, whatever goes round."""
STEP, ROW, MARGIN, TOP = 46, 15, 10, 44
SIGN_WIDE = 6.2
LEAST_WIDE = 620
"""Room for the heading."""
CUT = "..."


class Branch(NamedTuple):
    """A move and what may follow it; end: how the game has ended, or CUT, at the end of a branch."""

    move: str
    by_machine: bool
    end: str
    after: tuple["Branch", ...]

    def ends(self) -> int:
        """How many branches end here or behind it."""
        return sum(branch.ends() for branch in self.after) or 1


def reply_tree(play: FixedPlay, most: int = MOST_LINES) -> tuple[tuple[Branch, ...], int | None]:
    """The branches from the start with at most so many ends, and after how many plies they are cut; None if never.

    Wrong input is left out.  At least the first ply is there.
    """
    plies, branches = 1, _after(play, play.graph.start, 1)
    while True:
        deeper = _after(play, play.graph.start, plies + 1)
        if deeper == branches:
            return branches, None
        if plies == MOST_PLIES or sum(branch.ends() for branch in deeper) > most:
            return branches, plies
        plies, branches = plies + 1, deeper


def _after(play: FixedPlay, place: int, plies: int) -> tuple[Branch, ...]:
    """What may follow in a position, so many plies far."""
    graph, game = play.graph, play.game
    by_machine = bool(graph.mover[place] == game.seat)
    branches = []
    for edge in unlike_moves(play, place):
        child = int(graph.child[edge])
        ending = int(graph.ending[child])
        after = _after(play, child, plies - 1) if ending == UNFINISHED and plies > 1 else ()
        end = _end(play, ending) if ending != UNFINISHED else CUT if not after else ""
        branches.append(Branch(game.move_names[int(graph.move[edge])], by_machine, end, after))
    return tuple(branches)


def unlike_moves(play: FixedPlay, place: int) -> list[int]:
    """The fair moves of a position; of those that lead to boards alike only the first, if they are answered alike."""
    graph = play.graph
    edges = [edge for edge in graph.edges_of(place) if graph.move[edge] < play.game.fair_moves]
    if play.reading != TURNED or not edges:
        return edges
    images = least_images(play.game, graph.codes[graph.child[edges]])[0]
    _, first = np.unique(images, return_index=True)
    return [edges[at] for at in sorted(first.tolist())]


def _end(play: FixedPlay, ending: int) -> str:
    if ending == DRAW:
        return "draw" if scored(play.game) is None else "over"  # only the sum of a line tells who is ahead
    return "machine wins" if ending == win_of(play.game.seat) else "visitor wins"


def tree_svg(play: FixedPlay, most: int = MOST_LINES) -> str:
    """The reply tree as a whole SVG picture: the machine's moves in frames, the visitor's bare."""
    branches, cut = reply_tree(play, most)
    drawn = list(_placed(branches, 0, 0.0))
    columns = 1 + max((each.column for each in drawn), default=0)
    ends = sum(branch.ends() for branch in branches)
    wide, high = max(LEAST_WIDE, MARGIN * 2 + columns * STEP + 14 * SIGN_WIDE), TOP + ends * ROW + MARGIN
    title = "Replies: the visitor's moves, and the machine's in frames"
    told = f"{ends} lines of play{'' if cut is None else f', cut after ply {cut}'}"
    parts = [
        words("text", f"{title}; {told}", x=MARGIN, y=20),
        element("path", d="".join(each.line() for each in drawn), stroke=FAINT, fill="none"),
        *(part for each in drawn for part in each.signs()),
    ]
    return whole_svg(parts, wide, high, title=title, told=f"{told}.", font=EVEN, size=10)


def tree_html(play: FixedPlay, most: int = MOST_LINES) -> str:
    """The picture, and the same as a list of lines in words for readers that do not see."""
    branches, _ = reply_tree(play, most)
    lines = element("ol", [words("li", line) for line in lines_in_words(branches)], class_="unseen")
    return element("figure", [tree_svg(play, most), lines], class_="wide")


def lines_in_words(branches: tuple[Branch, ...], before: str = "") -> Iterator[str]:
    """Every line of a tree, such as ``visitor 1, machine 5, visitor 2: draw``."""
    for branch in branches:
        who = "machine" if branch.by_machine else "visitor"
        line = f"{before}{who} {branch.move}"
        if branch.after:
            yield from lines_in_words(branch.after, f"{line}, ")
        else:
            yield f"{line}: {'and so on' if branch.end == CUT else branch.end}"


class Placed(NamedTuple):
    """A branch in its column, `row` rows down; before: the row of the one that it comes from, None at the start."""

    branch: Branch
    column: int
    row: float
    before: float | None

    @property
    def _left(self) -> float:
        return MARGIN + self.column * STEP

    def line(self) -> str:
        """The line from the move before."""
        if self.before is None:
            return ""
        begin, end = TOP + (self.before + 0.5) * ROW, TOP + (self.row + 0.5) * ROW
        return line_path([(self._left - 12, begin), (self._left - 6, end), (self._left - 1, end)])

    def signs(self) -> Iterator[str]:
        """The move, in a frame if it is the machine's, and how it ends."""
        level = TOP + (self.row + 0.5) * ROW
        wide = SIGN_WIDE * len(self.branch.move)
        if self.branch.by_machine:
            frame = {"x": self._left - 1, "y": level - 6, "width": wide + 6, "height": 12}
            yield element("rect", None, **frame, rx=2, fill=PAPER, stroke=INK, stroke_width=0.8)
        yield words("text", self.branch.move, x=self._left + 2, y=level + 3.5)
        if self.branch.end:
            yield words("text", self.branch.end, x=self._left + wide + 12, y=level + 3.5)


def _placed(
    branches: tuple[Branch, ...], column: int, top: float, before: float | None = None
) -> Iterator[Placed]:
    """Every branch at its place: in the middle of the rows of its ends."""
    for branch in branches:
        row = top + (branch.ends() - 1) / 2
        yield Placed(branch, column, row, before)
        yield from _placed(branch.after, column + 1, top, row)
        top += branch.ends()
