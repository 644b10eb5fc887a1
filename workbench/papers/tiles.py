"""Pictures of a rule sheet as they are drawn on paper: what must stand on each cell, and where the machine goes."""

from collections.abc import Iterator

from games.codes import FIRST
from games.game import LineGame
from solver.meanings import Picture
from workbench.pictures.board import RIM, svg
from workbench.pictures.inks import FAINT, INK, PAPER
from workbench.svg import Point, disc_path, element, line_path, words

CALLED = {
    "mine": "machine",
    "visitors": "visitor",
    "free": "free",
    "anything": "anything",
    "target": "the machine goes here",
}
"""What a picture can ask of a cell."""


class Tiles:
    """The pictures of one game, seen from the machine's seat."""

    SIDE = 14
    """The side of a cell."""

    def __init__(self, game: LineGame, seat: int) -> None:
        self._board = game.board
        self._fills = {"mine": PAPER if seat == FIRST else INK, "visitors": INK if seat == FIRST else PAPER}
        self.wide = self._board.columns * self.SIDE + 2 * RIM
        self.high = self._board.rows * self.SIDE + 2 * RIM
        hollow, solid = ("machine", "visitor") if seat == FIRST else ("visitor", "machine")
        self.legend = (
            f"Hollow men are the {hollow}'s, solid men the {solid}'s; the man in a ring is where the machine "
            "goes, if that cell is free. An empty cell must be free; on a hatched one anything may stand."
        )

    def svg(self, picture: Picture, title: str) -> str:
        """A picture as it is drawn in the sheet."""
        return svg(list(self._parts(picture)), self.wide, self.high, title, self._told(picture))

    def table(self, picture: Picture, title: str) -> str:
        """The same as a table with headings, for readers that do not see it."""
        board = self._board
        columns = [words("th", f"column {column + 1}", scope="col") for column in range(board.columns)]
        rows = [element("tr", [words("td", ""), *columns])]
        for row in range(board.rows):
            cells = [
                self._in_words(picture, board.cell(column, row)) if board.has(column, row) else "no cell"
                for column in range(board.columns)
            ]
            heading = words("th", f"row {row + 1}", scope="row")
            rows.append(element("tr", [heading, *(words("td", cell) for cell in cells)]))
        return element("table", [words("caption", title), *rows])

    def _in_words(self, picture: Picture, cell: int) -> str:
        return f"{self._board.names[cell]}: {CALLED[self._sign(picture, cell)]}"

    def _parts(self, picture: Picture) -> Iterator[str]:
        for cell in range(self._board.size):
            x, y = self._middle(cell)
            half = self.SIDE / 2
            corners = [(x + dx * half, y + dy * half) for dx, dy in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
            yield element(
                "path", d=line_path(corners, closed=True), fill=PAPER, stroke=FAINT, stroke_width=0.8
            )
            if self._sign(picture, cell) == "anything":
                yield element("path", d=self._hatching(x, y), fill="none", stroke=FAINT, stroke_width=0.6)
        for cell in range(self._board.size):
            yield from self._men(picture, cell)

    def _men(self, picture: Picture, cell: int) -> Iterator[str]:
        """What stands on a cell, in a ring where it is the machine's next."""
        x, y = self._middle(cell)
        sign = self._sign(picture, cell)
        fill = self._fills["mine"] if sign == "target" else self._fills.get(sign)
        if fill is not None:
            disc = disc_path(x, y, self.SIDE * 0.34)
            yield element("path", d=disc, fill=fill, stroke=INK, stroke_width=1.6)
        if sign == "target":
            yield element("circle", cx=x, cy=y, r=self.SIDE * 0.46, fill="none", stroke=INK, stroke_width=0.9)

    def _middle(self, cell: int) -> Point:
        column, row = self._board.where(cell)
        return RIM + (column + 0.5) * self.SIDE, RIM + (row + 0.5) * self.SIDE

    def _hatching(self, x: float, y: float) -> str:
        """Slanting lines across a cell."""
        half = self.SIDE / 2
        steps = [offset * self.SIDE / 4 for offset in (1, 2, 3, 4)]
        lower = [line_path([(x - half, y - half + step), (x - half + step, y - half)]) for step in steps]
        upper = [line_path([(x - half + step, y + half), (x + half, y - half + step)]) for step in steps[:-1]]
        return "".join(lower + upper)

    def _sign(self, picture: Picture, cell: int) -> str:
        """What a picture asks of a cell: one of its own words, or that anything may stand there."""
        named = picture._asdict().items()
        return next((name for name, cells in named if cells >> cell & 1), "anything")

    def _told(self, picture: Picture) -> str:
        """The picture in words."""
        cells: dict[str, list[str]] = {}
        for cell, name in enumerate(self._board.names):
            cells.setdefault(self._sign(picture, cell), []).append(name)
        said = [(called, ", ".join(cells[sign])) for sign, called in CALLED.items() if sign in cells]
        return " ".join(f"{called[0].upper()}{called[1:]}: {names}." for called, names in said)
