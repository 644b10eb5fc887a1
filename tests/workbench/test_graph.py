"""`wordtight graph`: files that other programs read, and a picture that needs neither colour nor the network."""

import json
import os
import re
import subprocess
import sys
from collections import Counter, defaultdict
from itertools import combinations, pairwise, product
from pathlib import Path
from xml.etree import ElementTree as ET

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from games.house import load_house_rules
from games.housed import HousedGame
from games.load import load_game, parse_game
from solver.network import network
from tests.solver.toy import Toy
from tests.workbench.running import wordtight
from workbench.graph_cards import TONES
from workbench.graph_layout import Line, crossings, in_order, laid_out, neighbours, spread, with_passes
from workbench.graph_lines import Box
from workbench.graph_picture import HATCHED, _Picture, draw_network
from workbench.svg import element, number, words

DOCUMENTS = Path(__file__).parent.parent.parent / "docs"
SVG = "{http://www.w3.org/2000/svg}"
DRAWN = [
    ("hexapawn", {"up_to_symmetry": True}),
    ("pong-hau-ki", {}),
    ("noughts-and-crosses", {"up_to_symmetry": True, "plies": 3}),
    ("nim-1-2-3", {}),
    ("small-mu-torere", {}),
    ("hex-three", {"plies": 2}),
    ("boxes-three-by-one", {"plies": 2}),
    ("dawsons-kayles", {"up_to_symmetry": True}),
]
DRAWN_IDS = [name for name, _ in DRAWN]


@pytest.fixture(autouse=True)
def _in_a_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))


def picture_of(name, options):
    game = load_game(name)
    graph = network(game, **options)
    return graph, draw_network(graph, game, 0)


# Files ----------------------------------------------------------------------------------------------------


def test_a_picture_is_written_under_the_game_s_name_and_never_over_a_file():
    ran = wordtight("graph", "two-by-two")
    assert (ran.status, ran.err) == (0, "")
    assert "two-by-two.svg, with 29 positions and 40 moves" in ran.out
    before = Path("two-by-two.svg").read_text(encoding="utf-8")
    ran = wordtight("graph", "two-by-two", "--up-to-symmetry")
    assert ran.status == 2
    assert ran.err.startswith("two-by-two.svg: is there already")
    assert Path("two-by-two.svg").read_text(encoding="utf-8") == before
    assert wordtight("graph", "two-by-two", "--up-to-symmetry", "--force").status == 0
    assert Path("two-by-two.svg").read_text(encoding="utf-8") != before


@pytest.mark.parametrize("options", [[], ["--up-to-symmetry"], ["--plies", "3"], ["--seat", "first"]])
@pytest.mark.parametrize("game", ["hexapawn", "boxes-three-by-one"])
def test_what_networkx_reads_back_is_the_graph(game, options):
    for file in ("graph.graphml", "graph.json"):
        assert wordtight("graph", game, *options, "-o", file).status == 0
    graph = network(
        load_game(game),
        up_to_symmetry="--up-to-symmetry" in options,
        plies=3 if "--plies" in options else None,
        seat=0 if "--seat" in options else 1,
    )
    from_json = nx.node_link_graph(json.loads(Path("graph.json").read_text(encoding="utf-8")), edges="edges")
    assert nx.utils.graphs_equal(from_json, graph)
    from_graphml = nx.read_graphml("graph.graphml", node_type=int, edge_key_type=int, force_multigraph=True)
    assert dict(from_graphml.nodes(data=True)) == dict(graph.nodes(data=True))
    assert sorted(from_graphml.edges(keys=True)) == sorted(graph.edges(keys=True))
    for *ends, attributes in graph.edges(keys=True, data=True):
        assert from_graphml.edges[tuple(ends)].items() >= attributes.items()


def test_the_picture_in_the_documents_is_what_the_command_writes():
    assert wordtight("graph", "two-by-two", "--up-to-symmetry").status == 0
    assert Path("two-by-two.svg").read_bytes() == (DOCUMENTS / "two-by-two.svg").read_bytes()


def test_json_says_what_was_written():
    ran = wordtight("graph", "pong-hau-ki", "--json", "-o", "g.json")
    assert (ran.status, ran.err) == (0, "")
    assert json.loads(ran.out) == {
        "game": "pong-hau-ki",
        "file": "g.json",
        "format": "node-link",
        "positions": 56,
        "moves": 76,
        "plies": 13,
        "up_to_symmetry": False,
        "cut_off": False,
        "value": "draw",
        "distance": None,
    }
    ran = wordtight("graph", "hexapawn", "--json", "--plies", "2")
    found = json.loads(ran.out)
    assert (found["plies"], found["cut_off"], found["value"], found["distance"]) == (2, True, "second", 6)


def test_house_rules_are_drawn_as_part_of_the_game():
    ran = wordtight(
        "graph", "hexapawn", "--house-rules", "lost-turn", "--seat", "second", "-o", "h.json", "--json"
    )
    game = load_game("hexapawn")
    housed = network(HousedGame(game, load_house_rules("lost-turn", game), 1), seat=1)
    found = json.loads(ran.out)
    assert (found["positions"], found["value"]) == (len(housed), "first")
    assert "(turn lost)" in Path("h.json").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("arguments", "title", "remedy"),
    [
        ("noughts-and-crosses", "Noughts and crosses", "--up-to-symmetry or --plies 4"),
        ("hex-three --up-to-symmetry", "Hex on 3 x 3", "--plies 6"),
        ("northcott", "Northcott's game on three strips", "--plies 4"),
    ],
)
def test_what_is_too_large_to_draw_is_refused_with_what_would_do(arguments, title, remedy):
    ran = wordtight("graph", *arguments.split())
    assert (ran.status, ran.out) == (3, "")
    assert ran.err == (
        f"{title} has more than the 2,000 positions that a graph may have here; try {remedy}\n"
    )
    assert not list(Path().iterdir())
    suggested = re.search(r"--plies \d+", remedy).group().split()
    assert wordtight("graph", *arguments.split(), *suggested).status == 0


@pytest.mark.parametrize(
    ("arguments", "words_of_it"),
    [
        ("two-by-two -o picture.png", "picture.png: expected a name that ends in .svg, .graphml or .json"),
        ("two-by-two -o picture", "picture: expected a name that ends in .svg, .graphml or .json"),
        (
            "two-by-two -o nowhere/picture.svg",
            "nowhere/picture.svg: cannot be written: there is no such folder",
        ),
        ("two-by-two --plies 0", "plies"),
        ("two-by-too", "there is no game called 'two-by-too'"),
        ("missing.toml", "missing.toml"),
        ("two-by-two --house-rules nosuch", "nosuch"),
    ],
)
def test_what_cannot_be_used_is_one_line(arguments, words_of_it):
    ran = wordtight("graph", *arguments.split())
    assert (ran.status, ran.out) == (2, "")
    assert words_of_it in ran.err
    assert ran.err.count("\n") == 1


def test_the_same_graph_is_the_same_file_in_every_process():
    files = []
    for seed in ("1", "2"):
        for ending in ("svg", "graphml", "json"):
            subprocess.run(
                [sys.executable, "-m", "workbench", "graph", "nim-1-2-3", "-o", f"{seed}.{ending}"],
                env={**os.environ, "PYTHONHASHSEED": seed},
                capture_output=True,
                check=True,
            )
        files.append([Path(f"{seed}.{ending}").read_bytes() for ending in ("svg", "graphml", "json")])
    assert files[0] == files[1]


# The picture ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("name", "options"), DRAWN, ids=DRAWN_IDS)
def test_a_picture_says_everything_in_words(name, options):
    graph, svg = picture_of(name, options)
    root = ET.fromstring(svg)
    assert root.find(f"{SVG}title").text == f"{load_game(name).title}: game graph"
    assert f"{len(graph)} positions" in root.find(f"{SVG}desc").text
    cards = root.find(f"{SVG}g[@id='positions']")
    assert len(cards) == len(graph)
    for (node, position), card in zip(graph.nodes(data=True), cards, strict=True):
        title = card.find(f"{SVG}title").text
        said = [text.text for text in card.iter(f"{SVG}text")]
        assert title.startswith(f"{node}: {position['text']};")
        assert str(node) in said
        is_over, value = position["ending"] != "unfinished", position["value"]
        assert (f"{position['mover']} moves" in said) == (not is_over)
        if isinstance(value, int):
            assert is_over or any(text in said for text in (f"first +{value}", f"second +{-value}", "even"))
        elif value == "draw":
            assert "a draw" in said
        else:
            assert (f"{value} has" if is_over else f"{value} wins") in said
            assert is_over or f"in {position['distance']}" in said


@pytest.mark.parametrize(("name", "options"), DRAWN, ids=DRAWN_IDS)
def test_every_move_is_a_line_and_those_back_are_dashed_with_heads(name, options):
    graph, svg = picture_of(name, options)
    lines = ET.fromstring(svg).find(f"{SVG}g[@id='moves']")
    titled = [line for line in lines if line.find(f"{SVG}title") is not None]
    names = defaultdict(list)
    for before, after, move in graph.edges(data=True):
        names[before, after].append(move)
    expected = Counter()
    for (before, after), moves in names.items():
        best = any(move["best"] for move in moves)
        back = graph.nodes[after]["ply"] <= graph.nodes[before]["ply"]
        told = ", ".join(move["move"] for move in moves) + " (best play)" * best
        expected[told, ("best" if best else "other") + " back" * back, back] += 1
    found = Counter(
        (line.find(f"{SVG}title").text, line.get("class"), line.get("marker-end") is not None)
        for line in titled
    )
    assert found == expected
    assert len(lines) - len(titled) == sum(goes_on for _, goes_on in graph.nodes(data="goes_on"))


@pytest.mark.parametrize(("name", "options"), DRAWN, ids=DRAWN_IDS)
def test_a_picture_refers_to_nothing_outside(name, options):
    _, svg = picture_of(name, options)
    root = ET.fromstring(svg)
    for each in root.iter():
        assert each.tag.removeprefix(SVG) in {
            *("svg", "title", "desc", "style", "defs", "pattern", "marker", "g", "rect", "path", "text")
        }
        assert not [key for key in each.attrib if "href" in key or key.startswith("on")]
    ids = [each.get("id") for each in root.iter() if each.get("id")]
    assert len(ids) == len(set(ids))
    assert set(re.findall(r"url\(#([^)]*)\)", svg)) <= set(ids)
    assert svg.count("url(") == svg.count("url(#")
    assert "@import" not in svg
    assert svg.replace("http://www.w3.org/2000/svg", "").count("http") == 0


@pytest.mark.parametrize(("name", "options"), DRAWN, ids=DRAWN_IDS)
def test_cards_stand_clear_of_each_other_and_inside_the_picture(name, options):
    game = load_game(name)
    graph = network(game, **options)
    picture = _Picture(graph, game, 0)
    corners = {
        node: (picture.left[position["ply"]], picture.level[node] - picture.cards.high / 2)
        for node, position in graph.nodes(data=True)
    }
    for (x, y), (other_x, other_y) in combinations(corners.values(), 2):
        assert abs(x - other_x) >= picture.cards.wide or abs(y - other_y) >= picture.cards.high + 5
    for x, y in corners.values():
        assert 0 < x < x + picture.cards.wide < picture.wide
        assert picture.top <= y < y + picture.cards.high < picture.high


def test_no_line_runs_over_a_card():
    """Lines are level where they pass a column, so their level there must be that of no card."""
    for name in ("pong-hau-ki", "small-mu-torere", "nim-1-2-3"):
        game = load_game(name)
        picture = _Picture(network(game), game, 0)
        for move in picture.moves:
            for piece in picture._pieces(move):
                left = min(piece.begin[0], piece.end[0])
                if left not in picture.left:
                    continue  # between two columns
                column = picture.left.index(left)
                assert piece.begin[1] == piece.end[1]
                for node, position in picture.positions.items():
                    if position["ply"] == column:
                        assert abs(picture.level[node] - piece.begin[1]) > picture.cards.high / 2


class Shown(list):
    """A graph drawn by hand that is also, as the interface has it, what shows a position: its number."""

    def __call__(self, code, seat, last=None, *, named=False):
        return [str(code % 64)]


def test_moves_on_one_ply_and_back_to_the_same_position_are_bows_beside_the_column():
    game = Toy(Shown([(0, [1, 2]), (0, [2, 3]), (1, [2, 1, 0]), "draw"]))
    graph = network(game)
    picture = _Picture(graph, game, 0)
    bows = {}
    for move in picture.moves:
        pieces = picture._pieces(move)
        for one, other in pairwise(pieces):
            assert one.end == other.begin
        assert pieces[0].begin != pieces[-1].end
        if graph.nodes[move.before]["ply"] == graph.nodes[move.after]["ply"]:
            rim = picture.left[1] + picture.cards.wide
            assert (pieces[0].begin[0], pieces[-1].end[0]) == (rim, rim)
            assert pieces[0].end[0] > rim
            bows[move.before, move.after] = move.back
    assert bows == {(1, 2): True, (2, 2): True, (2, 1): True}
    lines = ET.fromstring(picture.written()).find(f"{SVG}g[@id='moves']")
    assert len(lines) == graph.number_of_edges()


def luminance(colour):
    """Relative luminance as in WCAG 2 (W3C 2008), which is also how grey a colour is printed."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one, other):
    low, high = sorted(map(luminance, (one, other)))
    return (high + 0.05) / (low + 0.05)


def test_tones_are_told_apart_in_grey_and_words_on_them_can_be_read():
    for ground, ink in TONES.values():
        grounds = re.findall("#[0-9a-f]{6}", HATCHED) if ground.startswith("url") else [ground]
        assert min(contrast(ink, each) for each in grounds) >= 4.5  # WCAG 2, level AA
    assert contrast(TONES["first"][0], TONES["second"][0]) > 5
    assert TONES["draw"][0].startswith("url(#hatched")


def test_a_text_with_signs_of_xml_is_only_text(tmp_path):
    game = parse_game(
        'kind = "game"\nfamily = "marks"\ncolumns = 2\nrows = 1\nin-a-row = 2\ntitle = "<b> & \\"c\\""\n',
        "x.toml",
    )
    root = ET.fromstring(draw_network(network(game), game, 0))
    assert root.find(f"{SVG}title").text == '<b> & "c": game graph'


def test_what_is_counted_besides_the_board_stands_on_the_card():
    _, svg = picture_of("mu-torere", {"plies": 2})
    assert "moved 1/0" in svg
    limited = 'kind = "game"\nfamily = "marks"\ncolumns = 2\nrows = 2\nin-a-row = 2\nply-limit = 3\n'
    game = parse_game(limited, "x.toml")
    housed = HousedGame(game, load_house_rules("three-warnings", game), 1)
    svg = draw_network(network(housed, plies=2, seat=1), housed, 1)
    assert ">ply 1<" in svg or "ply 1 forgiven" in svg
    assert "forgiven" in svg


# The layout -----------------------------------------------------------------------------------------------


@st.composite
def layered(draw):
    """Some columns, and lines between neighbouring and other columns."""
    sizes = draw(st.lists(st.integers(1, 4), min_size=2, max_size=4))
    columns, first = [], 0
    for size in sizes:
        columns.append(list(range(first, first + size)))
        first += size
    possible = [
        (left, right)
        for one, other in combinations(range(len(columns)), 2)
        for left, right in product(columns[one], columns[other])
    ]
    chosen = draw(st.lists(st.sampled_from(possible), max_size=12, unique=True))
    return columns, [Line(left, right, draw(st.integers(1, 5))) for left, right in chosen]


def crossings_by_pairs(columns, pieces):
    place = {node: (x, y) for x, column in enumerate(columns) for y, node in enumerate(column)}
    count = 0
    for one, other in combinations(pieces, 2):
        (x, y), (x_other, y_other) = place[one.left], place[other.left]
        ends = place[one.right][1] - place[other.right][1]
        count += x == x_other and (y - y_other) * ends < 0
    return count


@given(layered())
def test_crossings_are_counted_as_pairs_that_cross(drawn):
    columns, pieces = with_passes(*drawn)[0::2]
    to_the_left, to_the_right = neighbours(columns, pieces)
    assert crossings(columns, to_the_right) == crossings_by_pairs(columns, pieces)
    ordered = in_order(columns, to_the_left, to_the_right)
    assert [sorted(column) for column in ordered] == [sorted(column) for column in columns]
    assert crossings_by_pairs(ordered, pieces) <= crossings_by_pairs(columns, pieces)


@given(layered())
def test_passes_lie_in_the_columns_between(drawn):
    columns, lines = drawn
    filled, passes, pieces = with_passes(columns, lines)
    column_of = {node: number for number, column in enumerate(filled) for node in column}
    for line in lines:
        way = [line.left, *passes[line.left, line.right], line.right]
        assert [column_of[node] for node in way] == list(
            range(column_of[line.left], column_of[line.right] + 1)
        )
        assert all(node < 0 for node in way[1:-1])
        assert all(any(piece[:2] == pair for piece in pieces) for pair in pairwise(way))
    assert sum(map(len, passes.values())) == sum(map(len, filled)) - sum(map(len, columns))


@given(layered())
def test_positions_of_a_column_have_room(drawn):
    columns, lines = drawn
    height = laid_out(columns, lines).height
    assert min(height.values()) == 0
    for column in columns:
        for one, other in combinations(column, 2):
            assert abs(height[one] - height[other]) >= 1 - 1e-9


def best_spread(wished, sizes):
    """The least squares by trying every way to cut the row into pools that stand close together."""
    found = []
    for cuts in product((False, True), repeat=len(wished) - 1):
        pools, begin = [], 0
        for at, cut in enumerate([*cuts, True], 1):
            if cut:
                pools.append(range(begin, at))
                begin = at
        heights = []
        for pool in pools:
            offsets = [sum(sizes[pool[0] : at]) + sizes[at] / 2 for at in pool]
            top = sum(wished[at] - offset for at, offset in zip(pool, offsets, strict=True)) / len(pool)
            heights += [top + offset for offset in offsets]
        gaps = [
            heights[at + 1] - heights[at] - (sizes[at] + sizes[at + 1]) / 2 for at in range(len(wished) - 1)
        ]
        if min(gaps, default=0) >= -1e-9:
            found.append((sum((a - b) ** 2 for a, b in zip(heights, wished, strict=True)), heights))
    return min(found)


@given(st.lists(st.tuples(st.integers(-6, 6), st.sampled_from([0.2, 1.0])), min_size=1, max_size=7))
def test_spread_gives_the_nearest_heights_with_room(row):
    wished, sizes = [wish for wish, _ in row], [size for _, size in row]
    heights = spread(wished, sizes)
    least, best = best_spread(wished, sizes)
    assert heights == pytest.approx(best)
    assert sum((a - b) ** 2 for a, b in zip(heights, wished, strict=True)) == pytest.approx(least)


def test_names_that_would_overlap_are_found():
    assert Box(0, 0, 10).overlaps(Box(9, 8, 10))
    assert not Box(0, 0, 10).overlaps(Box(11, 0, 10))
    assert not Box(0, 0, 10).overlaps(Box(0, 10, 10))


def test_elements_are_written_as_xml():
    assert element("a", ["<b/>", "<c/>"], x=-0.04, class_="it's") == '<a x="0" class="it\'s"><b/><c/></a>'
    assert words("text", "<&>") == "<text>&lt;&amp;&gt;</text>"
    assert [number(value) for value in (1, 1.25, -2.0, 0.96)] == ["1", "1.2", "-2", "1"]
