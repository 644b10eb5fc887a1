"""What notebooks show: positions, lines of play, proofs, solutions and plays as pictures, and as plain text elsewhere.

A notebook asks what is left at the end of a cell for `_repr_html_` or `_repr_svg_`; a terminal prints its text.
"""

from collections.abc import Sequence
from typing import NamedTuple

from games.codes import PLAYERS
from games.game import Game
from solver.fixed import FixedPlay
from solver.proof import Proof
from solver.solve import Solution
from workbench.draw import Frame
from workbench.draw import strip as text_strip
from workbench.pictures import board, tree
from workbench.pictures.html import headed_table, paragraph
from workbench.pictures.in_words import seat_in
from workbench.pictures.page import PIECES
from workbench.pictures.plies import plies_svg
from workbench.pictures.strip import frames, strip_html, strip_svg
from workbench.svg import element

WIDTH = 80
UNLIKE = "up to symmetry"


class Shown(NamedTuple):
    """Something to look at, in three ways: a picture, a piece of HTML, and lines of text."""

    svg: str
    html: str
    text: str

    def _repr_svg_(self) -> str:
        return self.svg

    def _repr_html_(self) -> str:
        return element("style", PIECES) + self.html

    def __str__(self) -> str:
        return self.text


def picture(game: Game, code: int, *, move: int | None = None, caption: str = "") -> Shown:
    """A position; `move`: the number of the move just made, which gets a ring (in text: brackets)."""
    return Shown(
        board.board_svg(game, code, move=move, caption=caption),
        board.board_html(game, code, move=move, caption=caption),
        "\n".join(
            row.rstrip() for row in (*[caption] * bool(caption), *game.drawing(code, seat_in(game), move))
        ),
    )


def strip(game: Game, start: int, moves: Sequence[int]) -> Shown:
    """A line of play from a position on.  Raises BadInput if a move is not legal where it is made."""
    drawn = [
        Frame(frame.caption, game.drawing(frame.code, seat_in(game), frame.move))
        for frame in frames(game, start, moves)
    ]
    return Shown(
        strip_svg(game, start, moves), strip_html(game, start, moves), "\n".join(text_strip(drawn, WIDTH))
    )


def replies(play: FixedPlay) -> Shown:
    """The reply tree of a fixed strategy, cut where it would be too large for a page."""
    branches, _ = tree.reply_tree(play)
    return Shown(tree.tree_svg(play), tree.tree_html(play), "\n".join(tree.lines_in_words(branches)))


def of_proof(proof: Proof) -> Shown:
    """A proof: its verdict, and where it fails the line that shows it, with its first losing decision."""
    game, graph = proof.walk.game, proof.walk.graph
    verdict = (
        f"{proof.walk.strategy.name}, machine moves {PLAYERS[game.seat]}: '{proof.claim}' is {proof.verdict}"
    )
    decision = proof.decision()
    if decision is not None:
        verdict += f"; the first losing decision is ply {decision.ply + 1}"
    line = [] if proof.failure is None else [int(graph.move[edge]) for edge in proof.failure.line.edges]
    shown = strip(game, game.start, line)
    return Shown(shown.svg, paragraph(verdict) + shown.html, f"{verdict}\n{shown.text}")


def of_solution(solution: Solution) -> Shown:
    """A solved game: its value, and its positions by plies, of those alike one hatched."""
    game, counts = solution.game, solution.counts()
    value = f"{game.title}: {solution.value} under best play; {solution.positions:,} positions"
    svg = plies_svg(value, counts.by_ply, counts.by_ply_up_to_symmetry, UNLIKE)
    rows = list(zip(range(len(counts.by_ply)), counts.by_ply, counts.by_ply_up_to_symmetry, strict=True))
    table = headed_table(("ply", "positions", UNLIKE), rows, figures=(0, 1, 2))
    text = [value, *(f"ply {ply}: {count:,}, {UNLIKE}: {unlike:,}" for ply, count, unlike in rows)]
    return Shown(svg, svg + element("div", table, class_="unseen"), "\n".join(text))
