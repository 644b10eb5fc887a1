"""Boards and lines of play as pictures, tables and words: each against what the game itself says."""

import re
from itertools import pairwise
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from games.game import on_board
from games.house import load_house_rules
from games.housed import HousedGame
from games.limited import limited
from games.load import load_game
from games.problems import BadInput
from tests.workbench.pictures.some_play import FAMILIES, played
from workbench.pictures.board import board_html, board_svg
from workbench.pictures.in_words import board_in_words, board_table, men_in_words
from workbench.pictures.positions import pictures_of, pointed_out
from workbench.pictures.signs import figures
from workbench.pictures.strip import after, frames, strip_html, strip_svg

SVG = "{http://www.w3.org/2000/svg}"
ON_CELLS = [name for name in FAMILIES if on_board(load_game(name)) is not None]


def after_all(game, moves):
    code = game.start
    for move in moves:
        code = after(game, code, move)
    return code


def men(game, code):
    """The men on a board: each its player and its cell."""
    sets = game.holdings(np.array([code], dtype=np.uint64))
    return {(who, cell) for who in (0, 1) for cell in range(game.board.size) if int(sets[who][0]) >> cell & 1}


# Boards ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", FAMILIES)
def test_a_board_of_any_family_is_a_picture_with_a_title_and_words(name):
    game, moves = played(name)
    code = after_all(game, moves)
    picture = ET.fromstring(board_svg(game, code, move=moves[-1], caption="After 4 & more"))
    assert picture.tag == f"{SVG}svg"
    assert picture.findtext(f"{SVG}title") == "After 4 & more"
    told = picture.findtext(f"{SVG}desc")
    assert told.startswith(board_in_words(game, code, moves[-1]))
    assert f"Last: {game.move_names[moves[-1]]}." in told
    assert "After 4 & more" in "".join(picture.itertext()).replace("\n", "")
    plain = ET.fromstring(board_svg(game, code))
    assert plain.findtext(f"{SVG}title") == game.title
    assert "Last:" not in plain.findtext(f"{SVG}desc")


@pytest.mark.parametrize("name", ON_CELLS)
def test_the_last_move_s_ring_is_where_the_board_has_changed(name):
    game, moves = played(name)
    code = game.start
    for move in moves:
        before, code = code, after(game, code, move)
        gained = {cell for _, cell in men(game, code) - men(game, before)}
        assert set(pointed_out(game, code, move)) == gained
        pictures = pictures_of(game, [code], 1)
        rings = re.findall(r"<circle", pictures.draw(code, move))
        assert len(rings) == len(gained)
        assert "<circle" not in pictures.draw(code)


def test_a_capture_s_ring_is_where_the_man_stands_now():
    game = load_game("hexapawn")
    code = game.read("MMM/_V_/V_V", seat=1, mover=1)
    move = game.move_names.index("1-5")
    assert pointed_out(game, after(game, code, move), move) == [4]


def test_a_man_that_has_left_the_board_leaves_a_ring_around_its_cell():
    game = load_game("dodgem")
    move = game.move_names.index("3-off")
    code = after(game, game.read("__V/___/_M_", seat=1, mover=0), move)
    assert pointed_out(game, code, move) == [2]


@pytest.mark.parametrize("name", sorted(set(FAMILIES) - set(ON_CELLS)))
def test_text_has_rings_in_place_of_the_game_s_brackets(name):
    game, moves = played(name)
    code = after_all(game, moves)
    drawing = "\n".join(game.drawing(code, 1, moves[-1]))
    picture = pictures_of(game, [code], 1).draw(code, moves[-1])
    assert picture.count("<ellipse") == len(re.findall(r"\([^()]+\)", drawing)) > 0
    assert "(" not in picture
    texts = re.findall(r">([^<]+)<", picture)
    assert texts == [word for word in re.sub(r"[()]", " ", drawing).split() if set(word) - set("o|-+.#")]
    counters = re.findall(r'd="([^"]+)" fill="#ffffff" stroke', picture)
    assert sum(path.count("M") for path in counters) == len(re.findall(r"(?<![a-z])o", drawing))


def test_names_that_are_typed_can_be_drawn():
    def names(game, text):
        drawn = board_svg(load_game(game), load_game(game).read(text, 1, 0), named=True)
        return re.findall(r">([^<>\n]+)</text>", drawn)

    assert names("noughts-and-crosses", "M__/_V_/___") == ["2", "3", "4", "6", "7", "8", "9"]
    assert names("falling-three-4x3", "____/M___/V_MV") == ["a", "b", "c", "d"]
    assert names("hexapawn", "MMM/_V_/V_V") == [str(number) for number in range(1, 10)]
    game = load_game("nim-3-4-5")
    in_text = " ".join(game.drawing(game.start, 1, named=True)).split()
    assert names("nim-3-4-5", "3-4-5") == [word for word in in_text if set(word) - set("o.")]


def test_a_falling_mark_s_letter_stands_where_it_would_fall_to():
    game = load_game("falling-three-4x3")
    code = game.read("____/M___/V_MV", 1, 0)
    drawn = pictures_of(game, [code], 1, named=True).draw(code)
    level = {name: float(y) for y, name in re.findall(r'y="([\d.]+)"[^>]*>([a-d])<', drawn)}
    assert level["a"] < level["c"] == level["d"] < level["b"]


def test_lines_reach_the_dots_that_they_join_and_a_ring_does_not_cut_one():
    game = load_game("boxes-two-by-two")
    line = game.move_names.index("a1-a2")
    drawing = game.drawing(after(game, game.start, line), 1)
    assert figures(drawing).strokes == [((1.5, 0.5), (1.5, 2.5))]
    lying = game.move_names.index("a1-b1")
    code = after(game, game.start, lying)
    dots = len(figures(drawing).dots)
    assert dots == 9
    paths = [pictures_of(game, [code], 1).draw(code, last) for last in (None, lying)]
    strokes = [re.search(r'd="(M[^"]+)" stroke', path)[1] for path in paths]
    assert strokes[0] == strokes[1]


def test_signs_inside_words_stay_text():
    found = figures(["moves: to-o a.b", "oo| +-"])
    assert [text for _, text in found.texts] == ["moves:", "to-o", "a.b"]
    assert (len(found.counters), len(found.dots), len(found.strokes)) == (2, 1, 2)


# Words and tables -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ON_CELLS)
def test_the_table_says_of_every_cell_who_holds_it(name):
    game, moves = played(name)
    code = after_all(game, moves)
    rows = ET.fromstring(board_table(game, code)).findall("tr")
    assert [cell.attrib.get("scope") for cell in rows[0]] == [None, *["col"] * game.board.columns]
    said = [cell.text for row in rows[1:] for cell in row.findall("td")]
    assert said.count("no cell") == game.board.columns * game.board.rows - game.board.size
    first, second = (int(cells[0]) for cells in game.holdings(np.array([code], dtype=np.uint64)))
    for cell, its_name in enumerate(game.board.names):
        holder = "first player" if first >> cell & 1 else "second player" if second >> cell & 1 else "free"
        assert f"{its_name}: {holder}" in said


def test_the_table_of_heaps_says_what_can_be_played():
    game = load_game("nim-3-4-5")
    table = ET.fromstring(board_table(game, game.read("1-0-1", 1, 0), "Near the end"))
    assert table.findtext("caption") == "Near the end. First player to move."
    assert {row.findtext("th"): row.findtext("td") for row in table.findall("tr")} == {
        "position": "1-0-1",
        "can be played": "a1, c1",
    }


def test_people_are_machine_and_visitor_under_house_rules():
    game = load_game("noughts-and-crosses")
    for seat, hollow in ((1, "visitor"), (0, "machine")):
        housed = HousedGame(game, load_house_rules("usual", game), seat)
        assert men_in_words(housed).startswith(f"Hollow men are the {hollow}'s")
    assert men_in_words(load_game("nim-3-4-5")) == ""


def test_how_play_stands_is_said():
    game = load_game("noughts-and-crosses")
    for text, mover, said in (
        ("VVV/MM_/___", 1, "The first player has won."),
        ("VV_/MMM/V__", 0, "The second player has won."),
        ("VMV/VMM/MVV", 1, "Play is over."),
        ("V__/___/___", 1, "Second player to move."),
    ):
        assert board_in_words(game, game.read(text, 1, mover)).endswith(said)


def test_a_figure_holds_its_picture_and_the_table_that_is_not_seen():
    game = load_game("noughts-and-crosses")
    figure = ET.fromstring(board_html(game, game.start, caption="The start"))
    assert figure.findtext("figcaption") == "The start"
    unseen = figure.find("div")
    assert unseen.attrib["class"] == "unseen"
    assert unseen.find("table") is not None


# Lines of play --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", FAMILIES)
def test_a_line_is_a_board_after_every_move(name):
    game, moves = played(name)
    shown = frames(game, game.start, moves)
    assert [frame.move for frame in shown] == [None, *moves]
    assert shown[-1].code == after_all(game, moves)
    for ply, (frame, move) in enumerate(zip(shown[1:], moves, strict=True), 1):
        who = ("first", "second")[(ply - 1) % 2]
        if game.name != "boxes-two-by-two":  # where a filled box gives another turn
            assert frame.caption == f"{ply}: {who} player {game.move_names[move]}"
    picture = ET.fromstring(strip_svg(game, game.start, moves))
    assert len(picture.findall(f"{SVG}g/{SVG}g")) == len(moves) + 1
    items = ET.fromstring(strip_html(game, game.start, moves)).findall("li")
    assert [item.findtext("figure/figcaption") for item in items] == [frame.caption for frame in shown]


def test_on_the_first_board_of_a_page_stand_the_names_that_are_said_below_the_others():
    game, moves = played("noughts-and-crosses", 2)
    items = ET.fromstring(strip_html(game, game.start, moves)).findall("li")
    named = [{text.text for text in item.iter(f"{SVG}text")} for item in items]
    assert named == [set("123456789"), set(), set()]


def test_boards_of_a_line_do_not_overlap_and_lie_within_the_picture():
    game, moves = played("noughts-and-crosses", 7)
    picture = ET.fromstring(strip_svg(game, game.start, moves))
    wide, high = map(float, picture.attrib["viewBox"].split()[2:])
    places = [
        tuple(map(float, re.findall(r"[\d.]+", board.attrib["transform"])))
        for board in picture.findall(f"{SVG}g/{SVG}g")
    ]
    assert len(set(places)) == 8
    assert all(x + 68 <= wide and y + 48 <= high for x, y in places)
    columns = sorted({x for x, _ in places})
    assert all(right - left >= 68 for left, right in pairwise(columns))


def test_wrong_input_that_costs_something_is_a_ply_of_a_line():
    game = load_game("noughts-and-crosses")
    housed = HousedGame(game, load_house_rules("lost-turn", game), 1)
    lost = housed.move_names.index("(turn lost)")
    shown = frames(housed, housed.start, [lost, 4])
    assert [frame.caption for frame in shown] == ["start", "1: visitor (turn lost)", "2: machine 5"]
    ET.fromstring(strip_svg(housed, housed.start, [lost, 4]))


def test_a_limit_of_plies_is_drawn_as_the_game_without_it():
    game = limited(load_game("pong-hau-ki"), 6)
    moves = [int(game.moves(np.array([game.start], dtype=np.uint64)).move[0])]
    code = after(game, game.start, moves[0])
    assert "<circle" in board_svg(game, code, move=moves[0])


@pytest.mark.parametrize(("moves", "named"), [([4, 4], "5"), ([99], "99")], ids=["taken", "unknown"])
def test_an_illegal_move_is_refused_by_its_name(moves, named):
    game = load_game("noughts-and-crosses")
    with pytest.raises(BadInput, match=f"move {named} cannot be played here"):
        strip_svg(game, game.start, moves)


def test_nothing_can_be_played_after_the_end():
    game = load_game("noughts-and-crosses")
    with pytest.raises(BadInput, match="move 9 cannot be played here"):
        frames(game, game.start, [0, 3, 1, 4, 2, 8])
