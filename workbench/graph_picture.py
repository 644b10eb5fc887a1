"""The picture of a game graph: a column of cards for each ply, joined by the moves.

Best play is drawn in heavy lines; moves that lead back to an earlier ply are dashed and have heads.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from games.game import Game
from workbench.graph_cards import Cards, Key, key_entries
from workbench.graph_layout import Layout, Line, laid_out
from workbench.graph_lines import SIGN_WIDE, Box, Move, Piece, box_of, drawn_moves, path_of
from workbench.output import plural
from workbench.pictures.positions import INK, PAPER, TextPictures, pictures_of
from workbench.svg import element, line_path, words

if TYPE_CHECKING:
    import networkx as nx

MARGIN = 24
BETWEEN_CARDS = 14
LEAST_GAP, MOST_GAP = 48.0, 260.0
"""Between two columns, names apart."""
STEEP = 0.22
"""How much wider a gap becomes for every unit that some line in it goes up or down."""
STUB = 22
"""The length of the dots behind a card whose moves are not shown."""
LEAST_WIDE = 780
MOST_NAMED = 260
"""With more lines than this the names of the moves are left to the lines' titles."""
HEAVY = 5
"""How much straighter best play is drawn than other moves."""
STYLE = (
    "text{font-family:'DejaVu Sans',Verdana,Arial,sans-serif;font-size:9px}"
    ".signs{font-family:'DejaVu Sans Mono',Menlo,Consolas,monospace;font-size:8px}"
    ".name{font-size:8px;text-anchor:middle}.ground{fill:#fff;fill-opacity:0.94}"
    f".best{{stroke:{INK};stroke-width:2}}.other{{stroke:#8b969e;stroke-width:1}}"
    ".back{stroke-dasharray:5 3}.small{font-size:7px}.end{text-anchor:end}"
    ".title{font-size:20px;font-weight:bold}.told{font-size:12px}.key{font-size:11px}"
)
HATCHED = (
    '<pattern id="hatched" width="5" height="5" patternUnits="userSpaceOnUse">'
    '<rect width="5" height="5" fill="#dfe4e8"/>'
    '<path d="M-1 6L6-1M-1 1L1-1M4 6L6 4" stroke="#b9c2c9" stroke-width="1"/></pattern>'
)
HEADS = "".join(
    f'<marker id="{name}" viewBox="0 0 8 8" refX="7" refY="4" markerWidth="8" markerHeight="8" '
    f'markerUnits="userSpaceOnUse" orient="auto"><path d="M0 1L8 4L0 7Z" fill="{ink}"/></marker>'
    for name, ink in (("best-head", INK), ("other-head", "#6f7a82"))
)


def draw_network(network: "nx.MultiDiGraph", game: Game, seat: int) -> str:
    """The picture of a graph that `solver.network.network` has made of this game, as a whole SVG file."""
    return _Picture(network, game, seat).written()


class _Picture:
    """A picture in the making: first every place, then the parts."""

    def __init__(self, network: "nx.MultiDiGraph", game: Game, seat: int) -> None:
        self.about = network.graph
        self.positions: dict[int, dict[str, Any]] = dict(network.nodes(data=True))
        self.moves = list(drawn_moves(network))
        codes = [int(position["code"], 16) for position in self.positions.values()]
        boards = pictures_of(game, codes, seat)
        self.has_men = not isinstance(boards, TextPictures)
        self.cards = Cards(self.positions, boards)
        self._find_places()

    def _column(self, node: int) -> int:
        return int(self.positions[node]["ply"])

    # Places -----------------------------------------------------------------------------------------------

    def _find_places(self) -> None:
        """Where every column, card and line is to stand, and how large the whole is."""
        columns: dict[int, list[int]] = defaultdict(list)
        for node in self.positions:
            columns[self._column(node)].append(node)
        layout = laid_out([columns[ply] for ply in range(len(columns))], self._layout_lines())
        self.left = self._lefts(len(columns), layout)
        self.wide = max(LEAST_WIDE, self.left[-1] + self.cards.wide + STUB + MARGIN)
        leads_back = any(move.back for move in self.moves)
        entries = key_entries(self.positions, has_men=self.has_men, leads_back=leads_back)
        self.key = Key(entries, self.wide - 2 * MARGIN)
        self.top = MARGIN + 64 + self.key.high
        step = self.cards.high + BETWEEN_CARDS
        self.level = {
            node: self.top + (height + 0.5) * step - BETWEEN_CARDS / 2
            for node, height in layout.height.items()
        }
        """How far down the middle of each card lies, and that of each gap kept free for a line."""
        self.high = max(self.level.values()) + self.cards.high / 2 + MARGIN
        self.passes = layout.passes
        self.ports = self._ports()

    def _layout_lines(self) -> list[Line]:
        """What the layout sees: lines from the left to the right, whichever way the moves go."""
        lines: dict[tuple[int, int], int] = {}
        for move in self.moves:
            left, right = move.ends
            if self._column(left) < self._column(right):
                heavy = HEAVY if move.best and not move.back else 1
                lines[left, right] = max(heavy, lines.get((left, right), 0))
        return [Line(left, right, weight) for (left, right), weight in lines.items()]

    def _lefts(self, columns: int, layout: Layout) -> list[float]:
        """Where each column begins: wide enough apart for names, and so that no line is too steep."""
        step = self.cards.high + BETWEEN_CARDS
        longest = max((len(move.label) for move in self.moves), default=0)
        gaps = [LEAST_GAP + SIGN_WIDE * longest * self._has_names()] * columns
        for (left, right), passes in layout.passes.items():
            way = [left, *passes, right]
            for column, (one, other) in enumerate(pairwise(way), self._column(left)):
                climb = abs(layout.height[one] - layout.height[other]) * step
                gaps[column] = max(gaps[column], min(STEEP * climb, MOST_GAP))
        lefts = [float(MARGIN)]
        for gap in gaps[:-1]:
            lefts.append(lefts[-1] + self.cards.wide + gap)
        return lefts

    def _has_names(self) -> bool:
        return len(self.moves) <= MOST_NAMED

    def _ports(self) -> dict[tuple[Move, int], float]:
        """How far down each line touches each of its cards: side by side, in the order of where the lines lead."""
        touching: dict[tuple[int, bool], list[tuple[float, int, Move]]] = defaultdict(list)
        for number, move in enumerate(self.moves):
            left, right = move.ends
            way = [left, *self.passes.get((left, right), ()), right]
            touching[left, True].append((self.level[way[1]], number, move))
            touching[right, self._column(left) == self._column(right)].append(
                (self.level[way[-2]], number, move)
            )
        ports = {}
        for (node, _), lines in touching.items():
            gap = min(7.0, (self.cards.high - 14) / max(len(lines) - 1, 1))
            for place, (_, _, move) in enumerate(sorted(lines)):
                ports[move, node] = self.level[node] + (place - (len(lines) - 1) / 2) * gap
        return ports

    # The whole --------------------------------------------------------------------------------------------

    def written(self) -> str:
        """The SVG file."""
        told = _told(self.about, self.positions)
        parts = [
            words("title", f"{self.about['title']}: game graph", id="title"),
            words("desc", f"{told} Every card is a position, every line a move.", id="desc"),
            element("style", STYLE),
            element("defs", HATCHED + HEADS),
            element("rect", width=self.wide, height=self.high, fill=PAPER),
            *self._headings(told),
            self.key.drawn(MARGIN, MARGIN + 44),
            element("g", self._lines(), id="moves", fill="none"),
            element("g", self._names(), id="names", fill=INK),
            element("g", self._cards(), id="positions"),
        ]
        picture = element(
            "svg",
            [f"\n{part}" for part in parts],
            xmlns="http://www.w3.org/2000/svg",
            width=self.wide,
            height=self.high,
            viewBox=f"0 0 {self.wide:.1f} {self.high:.1f}",
            role="img",
            aria_labelledby="title desc",
        )
        return f"{picture}\n"

    def _headings(self, told: str) -> Iterator[str]:
        yield words("text", self.about["title"], x=MARGIN, y=MARGIN + 12, class_="title", fill=INK)
        yield words("text", told, x=MARGIN, y=MARGIN + 32, class_="told", fill=INK)
        for ply, left in enumerate(self.left):
            text = "start" if ply == 0 else f"ply {ply}"
            yield words("text", text, x=left, y=self.top - 9, class_="key", fill=INK)

    def _cards(self) -> Iterator[str]:
        for node, position in self.positions.items():
            x, y = self.left[self._column(node)], self.level[node] - self.cards.high / 2
            yield self.cards.drawn(node, position, x, y)

    # Moves ------------------------------------------------------------------------------------------------

    def _lines(self) -> Iterator[str]:
        """Every move as a line, best play last, so that it lies on top; and dots where moves are not shown."""
        for move in sorted(self.moves, key=lambda each: each.best):
            kind = "best" if move.best else "other"
            title = words("title", f"{', '.join(move.names)}{' (best play)' if move.best else ''}")
            head = f"url(#{kind}-head)" if move.back else None
            kinds = f"{kind} back" if move.back else kind
            yield element("path", title, d=path_of(self._pieces(move)), class_=kinds, marker_end=head)
        for node, position in self.positions.items():
            if position["goes_on"]:
                x = self.left[self._column(node)] + self.cards.wide
                stub = line_path([(x + along, self.level[node]) for along in (3, STUB)])
                yield element("path", d=stub, class_="other", stroke_dasharray="2 3")

    def _pieces(self, move: Move) -> list[Piece]:
        """The pieces of a line, in the direction of the move."""
        left, right = move.ends
        begin = (self.left[self._column(left)] + self.cards.wide, self.ports[move, left])
        if self._column(left) == self._column(right):
            return self._beside(move, begin[0])
        places = [begin]
        for column, number in enumerate(self.passes[left, right], self._column(left) + 1):
            x, y = self.left[column], self.level[number]
            places += [(x, y), (x + self.cards.wide, y)]
        places.append((self.left[self._column(right)], self.ports[move, right]))
        way = places[::-1] if move.back else places
        return [Piece(one, other) for one, other in pairwise(way)]

    def _beside(self, move: Move, x: float) -> list[Piece]:
        """A bow on the right of the column in which both positions stand, or from a position round to itself."""
        turn = LEAST_GAP / 8 if move.before == move.after else 0
        begin, end = (x, self.ports[move, move.before] - turn), (x, self.ports[move, move.after] + turn)
        out = (x + LEAST_GAP / 2, (begin[1] + end[1]) / 2)
        return [Piece(begin, out), Piece(out, end)]

    def _names(self) -> Iterator[str]:
        """The name of every move, on its line and clear of the other names, where there are few enough."""
        if not self._has_names():
            return
        out: dict[int, int] = defaultdict(int)
        into: dict[int, int] = defaultdict(int)
        for move in self.moves:
            out[move.before] += 1
            into[move.after] += 1
        boxes: list[Box] = []
        for move in self.moves:
            pieces = self._pieces(move)
            near_end = out[move.before] >= into[move.after]  # there are fewer lines about
            box = box_of(move, pieces[-1] if near_end else pieces[0], boxes, near_end=near_end)
            boxes.append(box)
            yield box.ground()
            yield words("text", move.label, x=box.x, y=box.y + 2.8, class_="name")


def _told(about: Mapping[str, Any], positions: Mapping[int, Mapping[str, Any]]) -> str:
    """The graph in two sentences."""
    last = max(position["ply"] for position in positions.values())
    alike = ", alike ones drawn once" if about["up_to_symmetry"] else ""
    first_plies = f", of the first {plural(last, 'ply', 'plies')} only" if about["cut_off"] else ""
    start = positions[about["start"]]
    value = start["value"]
    if isinstance(value, int):
        leads = "first" if value > 0 else "second"
        result = f"the {leads} player comes out {abs(value)} ahead" if value else "nobody comes out ahead"
    elif value == "draw":
        result = "it is a draw"
    else:
        result = f"the {value} player wins in {plural(start['distance'], 'ply', 'plies')}"
    return f"{plural(len(positions), 'position')}{alike}{first_plies}. Under best play {result}."
