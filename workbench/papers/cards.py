"""How an answer is drawn on a card: the board with the new man in a ring, or the boards before and after.

Where a move puts a man on the board and changes nothing else, one board says it all.  Where men move, or cells do not
tell what is done, a second board does, with a ring around what was done last.
"""

from fractions import Fraction

import numpy as np

from games.game import on_board
from games.housed import HousedGame
from workbench.papers.answers import Answer, Pack
from workbench.papers.sheets import Content, Grid, millimetres
from workbench.pictures.board import RIM, svg
from workbench.pictures.drawings import SIGN_HIGH
from workbench.pictures.in_words import board_in_words, board_table
from workbench.pictures.inks import INK
from workbench.pictures.positions import pictures_of, without_counts
from workbench.pictures.strip import after
from workbench.svg import element, line_path, words

LEAST_CELL, MOST_CELL = 6, 15
"""Between how many millimetres a cell may measure."""
LEAST_SIGN, MOST_SIGN = 4, 8
"""The same for a line of text, where the game itself draws its boards so."""
GAP = 14
"""Between two boards, in units of the picture; there is an arrow in it."""
LINE, SIGN = 5, 2
"""The millimetres that the line below a board is high, and a character in it wide."""
SMALL_LINE, SMALL_SIGN = 4, Fraction(3, 2)
"""The same for the board as it is written, where the order is one of its signs."""


class Cards:
    """The cards of a pack, all drawn to one size."""

    def __init__(self, game: HousedGame, pack: Pack) -> None:
        self._game = game
        self._pack = pack
        self._after = {answer: after(game, answer.code, answer.move) for answer in pack.answers}
        codes = {*(answer.code for answer in pack.answers), *self._after.values()}
        bare, self._strip = without_counts(game)
        self._board = on_board(bare)
        self._is_one = self._board is not None and all(map(self._adds_a_man, pack.answers))
        named = self._board is not None and not pack.is_turned
        self._pictures = pictures_of(game, sorted(codes), game.seat, named=named)
        self._wide, self._high = (
            Fraction(round(10 * (length + 2 * RIM)), 10)
            for length in (self._pictures.wide, self._pictures.high)
        )

    def _adds_a_man(self, answer: Answer) -> bool:
        """Whether an answer puts a man on the board and changes nothing else."""
        men = [self._men(code) for code in (answer.code, self._after[answer])]
        added = [after & ~before for before, after in zip(*men, strict=True)]
        return sum(map(int.bit_count, added)) == 1 and all(
            before & ~after == 0 for before, after in zip(*men, strict=True)
        )

    def _men(self, code: int) -> tuple[int, int]:
        """The cells that each player holds."""
        assert self._board is not None
        first, second = self._board.holdings(self._strip(np.array([code], dtype=np.uint64)))
        return int(first[0]), int(second[0])

    @property
    def rule(self) -> str:
        """What a card says, in a sentence or two."""
        if self._is_one:
            return "The man in a ring is the answer: it is not on the board yet."
        return "The second board shows the answer: how the board is to be after it."

    def contents(self) -> list[Content]:
        """The ways to lay out a card: one board; or two, beside each other or one below the other."""
        if self._is_one:
            return [self._content(self._wide, self._high)]
        beside = self._content(2 * self._wide + GAP, self._high)
        return [beside, self._content(self._wide, 2 * self._high + GAP)]

    def _content(self, wide: Fraction, high: Fraction) -> Content:
        if self._board is None:
            unit, least, most = Fraction(SIGN_HIGH), LEAST_SIGN, MOST_SIGN
        else:
            unit = Fraction(round(10 * self._pictures.high / self._board.board.rows), 10)
            least, most = LEAST_CELL, MOST_CELL
        captions = [self._caption(number, answer) for number, answer in enumerate(self._pack.answers, 1)]
        text = Fraction(SIGN * max(map(len, captions)))
        lines = Fraction(LINE)
        if self._board is None:
            text = max(text, SMALL_SIGN * max(len(self._text(answer)) for answer in self._pack.answers))
            lines += SMALL_LINE
        return Content(wide, high, text, lines, least / unit, most / unit)

    def _text(self, answer: Answer) -> str:
        """The board as it is written."""
        return self._pack.order.written(answer.code).text

    def html(self, number: int, answer: Answer, content: Content) -> str:
        """A card, laid out as one of `contents` says."""
        caption = self._caption(number, answer)
        written = [] if self._board is not None else [words("small", self._text(answer))]
        unseen = element("div", board_table(self._game, answer.code, f"Answer {caption}"), class_="unseen")
        return element("div", [self._svg(answer, content), words("b", caption), *written, unseen])

    def _caption(self, number: int, answer: Answer) -> str:
        """What stands below a board: the card's number, what a picture does not show, and the move by its name.

        A card that may be turned has no name, which would be wrong then.
        """
        tail = self._pack.order.written(answer.code).tail
        name = "" if self._pack.is_turned else f": {self._game.move_names[answer.move]}"
        return f"{number}{f' ({tail})' if tail else ''}{name}"

    def _svg(self, answer: Answer, content: Content) -> str:
        """The picture of an answer, laid out as one of `contents` says."""
        move = self._game.move_names[answer.move]
        told = f"{board_in_words(self._game, answer.code)} The machine plays {move}."
        title = f"Answer: {move}"
        if self._is_one:
            parts = [self._placed(self._after[answer], answer.move, Fraction(0), Fraction(0))]
            return svg(parts, float(content.wide), float(content.high), title, told)
        is_beside = content.high == self._high
        x, y = (self._wide + GAP, Fraction(0)) if is_beside else (Fraction(0), self._high + GAP)
        parts = [
            self._placed(answer.code, None, Fraction(0), Fraction(0)),
            self._arrow(is_beside=is_beside),
            self._placed(self._after[answer], answer.move, x, y),
        ]
        return svg(parts, float(content.wide), float(content.high), title, told)

    def _placed(self, code: int, move: int | None, x: Fraction, y: Fraction) -> str:
        inner = self._pictures.draw(code, move)
        return element("g", inner, transform=f"translate({float(x) + RIM:.1f} {float(y) + RIM:.1f})")

    def _arrow(self, *, is_beside: bool) -> str:
        """An arrow from the first board to the second."""
        begin, tip, wing = 2, GAP - 2, 3
        points = [(begin, 0), (tip, 0), (tip - wing, -wing), (tip, 0), (tip - wing, wing)]
        if is_beside:
            placed = [(float(self._wide) + along, float(self._high) / 2 + aside) for along, aside in points]
        else:
            placed = [(float(self._wide) / 2 + aside, float(self._high) + along) for along, aside in points]
        return element("path", d=line_path(placed), fill="none", stroke=INK, stroke_width=1.2)

    def styles(self, grid: Grid, content: Content) -> str:
        """How large pictures and words are in a grid."""
        wide, high = millimetres(content.wide * grid.scale), millimetres(content.high * grid.scale)
        return (
            f".grid svg {{ width: {wide}; height: {high} }}\n.grid b {{ line-height: {LINE - 1}mm }}\n"
            f".grid small {{ font: 7pt/{SMALL_LINE - 1}mm 'DejaVu Sans Mono', Menlo, Consolas, monospace }}\n"
        )
