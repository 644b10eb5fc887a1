"""Reply trees, plies and store maps as pictures, against slow counts of the same."""

import re
from xml.etree import ElementTree as ET

import pytest

from budget.card import load_machine
from budget.images.store_map import store_letters
from budget.machine.assembler import assemble
from games.codes import UNFINISHED
from tests.workbench.reporting.plays import played
from workbench.pictures.html import headed_table
from workbench.pictures.plies import plies_svg
from workbench.pictures.store import store_svg
from workbench.pictures.tree import CUT, MOST_PLIES, lines_in_words, reply_tree, tree_html, tree_svg

SVG = "{http://www.w3.org/2000/svg}"


def lines_of(play):
    """Every fair line of play from the start, as the names of its moves: gone through one by one."""
    graph, game = play.graph, play.game
    found, waiting = [], [(graph.start, ())]
    while waiting:
        place, line = waiting.pop()
        if graph.ending[place] != UNFINISHED:
            found.append(line)
        fair = [edge for edge in graph.edges_of(place) if graph.move[edge] < game.fair_moves]
        waiting += [
            (int(graph.child[edge]), (*line, game.move_names[int(graph.move[edge])])) for edge in fair
        ]
    return found


def lines_in(branches, before=()):
    for branch in branches:
        line = (*before, branch.move)
        yield from lines_in(branch.after, line) if branch.after else [(line, branch.end)]


def test_a_whole_tree_has_every_line_once():
    play = played("two-by-two", 0, "usual", "plain")
    branches, cut = reply_tree(play, most=1000)
    assert cut is None
    assert sorted(line for line, _ in lines_in(branches)) == sorted(lines_of(play))


def test_turned_boards_alike_are_one_branch():
    turned = played("hexapawn", 1, "usual", "turned")
    plain = played("hexapawn", 1, "usual", "plain")
    assert len(reply_tree(turned)[0]) == 2  # a pawn at the side, or the one in the middle
    assert len(reply_tree(plain)[0]) == 3


def test_a_large_tree_is_cut_and_says_so():
    play = played("hexapawn", 1, "usual", "turned")
    whole, never = reply_tree(play, most=1000)
    branches, cut = reply_tree(play, most=5)
    assert never is None
    assert cut is not None
    assert 1 <= sum(branch.ends() for branch in branches) <= 5
    assert CUT in {end for _, end in lines_in(branches)}
    assert all(len(line) <= cut for line, _ in lines_in(branches))
    deeper = {line[: cut + 1] for line, _ in lines_in(whole)}
    assert len(deeper) > 5  # one ply more would have been too large
    assert f"cut after ply {cut}" in ET.fromstring(tree_svg(play, 5)).findtext(f"{SVG}desc")


def test_where_moves_score_the_end_of_a_line_is_no_draw():
    branches, _ = reply_tree(played("boxes-three-by-one", 1, "usual", "plain"), most=10**6)
    assert {end for _, end in lines_in(branches)} == {"over"}


def test_play_that_goes_round_is_cut():
    branches, cut = reply_tree(played("pong-hau-ki", 1, "usual", "turned"))
    assert cut == MOST_PLIES
    assert {len(line) for line, _ in lines_in(branches)} == {MOST_PLIES}


def test_the_tree_in_words_has_as_many_lines_as_the_picture_has_ends():
    play = played("two-by-two", 0, "usual", "plain")
    figure = ET.fromstring(tree_html(play, 1000))
    items = [item.text for item in figure.findall("ol/li")]
    assert items == list(lines_in_words(reply_tree(play, 1000)[0]))
    assert len(items) == len(lines_of(play))
    shown = ET.tostring(figure.find(f"{SVG}svg"), encoding="unicode")
    assert len(re.findall(r">(?:machine wins|draw|visitor wins)<", shown)) == len(items)
    assert items[0].startswith("machine a1, visitor ")


def test_bars_are_as_high_as_their_figures():
    picture = ET.fromstring(plies_svg("By plies", [1, 4, 8], [0, 0, 4]))
    bars = [bar for bar in picture.iter(f"{SVG}rect") if "stroke" in bar.attrib]
    highs = [float(bar.attrib["height"]) for bar in bars]
    assert [high / highs[2] for high in highs] == pytest.approx([1 / 8, 1 / 2, 1], abs=0.01)
    assert "ply 2: 8, play is over: 4" in picture.findtext(f"{SVG}desc")


def test_a_store_map_has_a_square_for_every_word_of_its_rows():
    card = load_machine("delay-line")
    program = assemble(
        "start: load =500\n store x\n halt\n word 1, 2, 3\nx: space 2\nat 100\n word 7\n", card
    )
    picture = store_svg(program)
    letters = store_letters(program)
    rows = [letters[begin : begin + 32] for begin in range(0, len(letters), 32)]
    used = [row for row in rows if row.strip(".")]
    key = len(set(letters))  # and one square of each kind in the key
    assert len(re.findall(r"M[\d.]+ [\d.]+h10v10", picture)) == 32 * len(used) + key
    said = ET.fromstring(picture).findtext(f"{SVG}desc")
    assert f"{letters.count('.')} unused" in said
    assert f"{letters.count('D')} data" in said
    assert ">0144</text>" in picture or ">140</text>" in picture  # the row of word 100, in octal


def test_a_table_has_a_heading_for_every_column():
    table = ET.fromstring(headed_table(("a", "b < c"), [(1, "x & y")], caption="Two", figures=(0,)))
    assert [cell.attrib["scope"] for cell in table.iter("th")] == ["col", "col"]
    assert [cell.text for cell in table.iter("td")] == ["1", "x & y"]
    assert table.findtext("caption") == "Two"
