"""One position as a picture that stands alone, and as a figure for a page."""

import textwrap
from collections.abc import Sequence

from games.game import Game
from games.housed import HousedGame
from workbench.pictures.in_words import board_in_words, board_table, men_in_words, seat_in
from workbench.pictures.positions import Pictures, pictures_of
from workbench.pictures.whole import EVEN, whole_svg
from workbench.svg import element, words

ENLARGED = 2.2
"""How many pixels a unit of a picture has on a page."""
RIM = 3
"""Room around a board for its strokes."""
LEAST_WIDE = 62
"""A board is given at least this room, so that its caption has lines of a good length."""
CAPTION_SIZE, CAPTION_HIGH, CAPTION_SIGN = 6, 7.5, 3.7
"""The size of a caption's letters, and the room for a line and for a character."""
IN_CAPTIONS = {"text_anchor": "middle", "font_size": CAPTION_SIZE}


class Sheet:
    """Boards of one game, all drawn to one size; `named`: with the names of what can be played.

    wide, high: the size of each, in units of the picture.
    """

    def __init__(self, game: Game, codes: Sequence[int], *, named: bool = False) -> None:
        self.game = game
        self._pictures: Pictures = pictures_of(game, codes, seat_in(game), named=named)
        self.wide = max(LEAST_WIDE, self._pictures.wide) + 2 * RIM
        self.high = self._pictures.high + 2 * RIM

    def drawn(self, code: int, move: int | None = None) -> str:
        """A board with its corner at 0, 0; the move just made has a ring."""
        is_fair = move is not None and not (
            isinstance(self.game, HousedGame) and move >= self.game.fair_moves
        )
        inner = self._pictures.draw(code, move if is_fair else None)
        left = (self.wide - self._pictures.wide) / 2
        return element("g", inner, transform=f"translate({left:.1f} {RIM})")

    def caption_lines(self, caption: str) -> list[str]:
        """A caption in lines that have room below a board."""
        return textwrap.wrap(caption, int(self.wide / CAPTION_SIGN), break_on_hyphens=False)

    def caption(self, lines: Sequence[str]) -> str:
        """These lines, in the middle below a board."""
        return "".join(
            words("text", line, x=self.wide / 2, y=self.high + CAPTION_HIGH * (row + 0.9), **IN_CAPTIONS)
            for row, line in enumerate(lines)
        )


def svg(parts: Sequence[str], wide: float, high: float, title: str, told: str) -> str:
    """A whole picture of boards."""
    return whole_svg(parts, wide, high, title=title, told=told, font=EVEN, size=8, enlarged=ENLARGED)


def board_svg(
    game: Game, code: int, *, move: int | None = None, caption: str = "", named: bool = False
) -> str:
    """A position as a whole SVG picture, the move just made marked by a ring; its words are in `title` and `desc`.

    named: with the names of what can be played.
    """
    return _board_svg(game, code, move, title=caption or game.title, below=caption, named=named)


def board_html(
    game: Game, code: int, *, move: int | None = None, caption: str = "", named: bool = False
) -> str:
    """A position as a figure: the picture, and the same as a headed table for readers that do not see it.

    The table has the class `unseen`, which `workbench.pictures.page` keeps off screen and paper.
    """
    below = words("figcaption", caption) if caption else ""
    picture = _board_svg(game, code, move, title=caption or game.title, below="", named=named)
    table = element("div", board_table(game, code, caption), class_="unseen")
    return element("figure", [picture, below, table], class_="board")


def _board_svg(game: Game, code: int, move: int | None, *, title: str, below: str, named: bool) -> str:
    sheet = Sheet(game, [code], named=named)
    lines = sheet.caption_lines(below)
    told = " ".join([board_in_words(game, code, move), men_in_words(game)]).strip()
    high = sheet.high + CAPTION_HIGH * len(lines) + RIM * bool(lines)
    return svg([sheet.drawn(code, move), sheet.caption(lines)], sheet.wide, high, title, told)
