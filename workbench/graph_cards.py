"""A position as a card: its board, who moves, and what it is worth; and the key to cards and lines.

Nothing rests on colour: who moves is told by a card's corners and in words, the value by a tone from light to dark
and in words.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from games.codes import PLAYERS
from workbench.pictures.positions import FAINT, INK, PAPER, Pictures
from workbench.svg import Point, disc_path, element, words

PAD = 6
"""Between a card's rim and its board."""
WORDS_WIDE = 68
"""The room for what is said on a card, right of the board."""
TEXT_HIGH = 11
TONES = {"first": ("#ffe9b8", INK), "draw": ("url(#hatched)", INK), "second": ("#254a5e", PAPER)}
"""For each value the ground of a card, and what is written on it."""
Position = Mapping[str, Any]
"""The attributes of a position, as `solver.network.network` gives them."""


class Cards:
    """The cards of one picture, which are all of one size."""

    def __init__(self, positions: Mapping[int, Position], boards: Pictures) -> None:
        self.boards = boards
        self._has_tails = any(_tail(position) for position in positions.values())
        self.wide = PAD * 3 + boards.wide + WORDS_WIDE
        self.high = max(PAD * 2 + boards.high + self._has_tails * TEXT_HIGH, 4 * TEXT_HIGH)

    def drawn(self, node: int, position: Position, x: float, y: float) -> str:
        """The card of a position, with its corner at this place."""
        ground, ink = TONES[favours(position["value"])]
        board_top = (self.high - self.boards.high - self._has_tails * TEXT_HIGH) / 2
        parts = [
            words("title", f"{node}: {position['text']}; {' '.join(said(position))}"),
            *rims(position, self.wide, self.high, ground, ink),
            self._ground_of_board(),
            element(
                "g",
                self.boards.draw(int(position["code"], 16)),
                transform=f"translate({PAD} {board_top:.1f})",
            ),
            *self._words(position, ink),
            words("text", str(node), x=self.wide - 7, y=self.high - 5, class_="small end", fill=ink),
        ]
        if tail := _tail(position):
            parts.append(words("text", tail, x=PAD, y=self.high - PAD, class_="small", fill=INK))
        return element("g", parts, transform=f"translate({x:.1f} {y:.1f})")

    def _ground_of_board(self) -> str:
        return element(
            "rect",
            x=PAD - 2,
            y=PAD - 2,
            width=self.boards.wide + 4,
            height=self.high - 2 * PAD + 4,
            fill=PAPER,
            stroke=FAINT,
            stroke_width=0.6,
        )

    def _words(self, position: Position, ink: str) -> Iterator[str]:
        lines = said(position)
        top = self.high / 2 - TEXT_HIGH * len(lines) / 2 - 1
        for row, text in enumerate(lines):
            y = top + TEXT_HIGH * (row + 0.8)
            yield words("text", text, x=PAD * 2 + self.boards.wide + 1, y=y, fill=ink)


def rims(position: Position, wide: float, high: float, ground: str, ink: str) -> Iterator[str]:
    """A card's outline: its corners say whose turn it is, and a second line inside that play is over."""
    is_over = position["ending"] != "unfinished"
    radius = 0 if is_over or position["mover"] == PLAYERS[0] else min(13, high / 2)
    thick = 2 if is_over else 1.2
    yield element("rect", width=wide, height=high, rx=radius, fill=ground, stroke=INK, stroke_width=thick)
    if is_over:
        inside = {"x": 2.8, "y": 2.8, "width": wide - 5.6, "height": high - 5.6}
        yield element("rect", None, **inside, fill="none", stroke=ink, stroke_width=0.8)


# What is said ---------------------------------------------------------------------------------------------


def said(position: Position) -> list[str]:
    """What stands on a card, line by line."""
    value, is_over = position["value"], position["ending"] != "unfinished"
    turn = f"{position['mover']} moves"
    if isinstance(value, int):
        ahead = "even" if value == 0 else f"{favours(value)} +{abs(value)}"
        return ["over"] if is_over else [turn, ahead]
    if value == "draw":
        return ["a draw"] if is_over else [turn, "a draw"]
    return [f"{value} has", "won"] if is_over else [turn, f"{value} wins", f"in {position['distance']}"]


def favours(value: str | int) -> str:
    """Whom a value favours: `first`, `second`, or neither: `draw`."""
    if isinstance(value, int):
        return "draw" if value == 0 else "first" if value > 0 else "second"
    return value


def _tail(position: Position) -> str:
    """What belongs to a position besides its board: ``ply 3``, ``forgiven 1``."""
    return str(position["text"].partition(" ")[2])


# The key --------------------------------------------------------------------------------------------------


class Entry(NamedTuple):
    """A sample, 26 wide and 14 high, and what it means."""

    sample: str
    meaning: str


def key_entries(positions: Mapping[int, Position], *, has_men: bool, leads_back: bool) -> list[Entry]:
    """What the shapes, tones and lines of a picture mean: those that are in it."""
    shapes = {(position["ending"] != "unfinished", position["mover"]) for position in positions.values()}
    favoured = {favours(position["value"]) for position in positions.values()}
    scores = any(isinstance(position["value"], int) for position in positions.values())
    entries = [
        (_sample(over=False, mover=PLAYERS[0]), "first player to move", (False, PLAYERS[0]) in shapes),
        (_sample(over=False, mover=PLAYERS[1]), "second player to move", (False, PLAYERS[1]) in shapes),
        (_sample(over=True, mover=PLAYERS[0]), "play is over", any(over for over, _ in shapes)),
        (_swatch("first"), "good for the first player", "first" in favoured),
        (_swatch("draw"), "even" if scores else "a draw", "draw" in favoured),
        (_swatch("second"), "good for the second player", "second" in favoured),
        (_stroke("best"), "best play", True),
        (_stroke("other"), "any other move", True),
        (_stroke("other back", head=True), "back to an earlier ply", leads_back),
        (_men(), "men of the first and of the second player", has_men),
    ]
    return [Entry(sample, meaning) for sample, meaning, is_in_it in entries if is_in_it]


class Key:
    """The entries beside each other, in as many rows as the width asks for."""

    ROW = 21

    def __init__(self, entries: Sequence[Entry], wide: float) -> None:
        self._entries = entries
        self._places: list[Point] = []
        x, row = 0.0, 0
        for entry in entries:
            needs = 34 + 6.3 * len(entry.meaning) + 14
            if x and x + needs > wide:
                x, row = 0.0, row + 1
            self._places.append((x, row * self.ROW))
            x += needs
        self.high = (row + 1) * self.ROW

    def drawn(self, x: float, y: float) -> str:
        """The key, with its corner at this place."""
        parts = [
            element(
                "g",
                entry.sample + words("text", entry.meaning, x=34, y=11, class_="key", fill=INK),
                transform=f"translate({x + at[0]:.1f} {y + at[1]:.1f})",
            )
            for entry, at in zip(self._entries, self._places, strict=True)
        ]
        return element("g", parts, id="key")


def _sample(*, over: bool, mover: str) -> str:
    position = {"ending": "draw" if over else "unfinished", "mover": mover}
    return "".join(rims(position, 26, 14, PAPER, INK))


def _swatch(value: str) -> str:
    return element("rect", width=26, height=14, fill=TONES[value][0], stroke=INK, stroke_width=0.6)


def _stroke(kind: str, *, head: bool = False) -> str:
    marker = "url(#other-head)" if head else None
    return element("path", d="M0 7L26 7", class_=kind, fill="none", marker_end=marker)


def _men() -> str:
    first = element("path", d=disc_path(6, 7, 5), fill=PAPER, stroke=INK, stroke_width=1.6)
    return first + element("path", d=disc_path(20, 7, 5), fill=INK, stroke=INK, stroke_width=1.6)
