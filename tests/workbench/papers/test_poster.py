"""A poster, read as it is drawn: whoever goes through its pictures never loses, and the sentences say what is known."""

import re

import pytest

from games.problems import BadInput
from solver.least.stopped import NotFound
from tests.workbench.papers.boards import has_line, lie, ways_of_lying
from tests.workbench.papers.html_read import men_drawn
from tests.workbench.papers.strategies import asked_for, page_of
from workbench.papers import poster


def tiles_in(page):
    [grid] = page.all(having="tiles")
    return grid.inner


def asked_by(tile):
    """What a drawn picture asks of each of nine cells, and the cell that it names."""
    [svg] = tile.all("svg")
    drawn = men_drawn(svg, side=14, rim=3, moved=False)
    hatched = {
        cell_of(each.attributes["d"])
        for each in svg.all("path")
        if each.attributes.get("stroke-width") == "0.6"
    }
    [target] = drawn.ringed
    asked = {}
    for cell in range(9):
        at = cell % 3, cell // 3
        if at in hatched:
            continue
        asked[cell] = (
            "_" if at == target else "M" if at in drawn.hollow else "V" if at in drawn.solid else "_"
        )
    return asked, 3 * target[1] + target[0]


def cell_of(path):
    x, y = map(float, re.match(r"M([\d.]+) ([\d.]+)", path).groups())
    return int((x - 3) // 14), int((y - 3 - 0.1) // 14)


def test_nobody_beats_who_plays_by_the_drawn_pictures():
    """Every visitor, and every cell that the first fitting picture can name."""
    _, page = page_of(poster, asked_for("four"))
    pictures = [asked_by(tile) for tile in tiles_in(page)]
    assert [len(asked) for asked, _ in pictures] == [3, 2, 1, 1]

    def named(board):
        for asked, target in pictures:
            found = {
                way[target]
                for way in ways_of_lying()
                if all(board[way[at]] == sign for at, sign in asked.items())
            }
            if found:
                return found
        raise AssertionError("no picture fits")

    seen, waiting = set(), ["_" * 9]
    while waiting:
        board = waiting.pop()
        if board in seen:
            continue
        seen.add(board)
        for answer in named(board):
            after = board[:answer] + "M" + board[answer + 1 :]
            if has_line(after, "M") or "_" not in after:
                continue
            for move in (cell for cell in range(9) if after[cell] == "_"):
                met = after[:move] + "V" + after[move + 1 :]
                assert not has_line(met, "V")
                waiting.append(met)
    assert len(seen) > 100
    assert lie("_" * 9, range(9)) in seen


def test_a_headed_table_says_what_a_picture_shows():
    _, page = page_of(poster, asked_for("five"))
    signs = {"machine": "M", "visitor": "V", "free": "_", "the machine goes here": "_"}
    for tile in tiles_in(page):
        [table] = tile.all("table")
        cells = [each.text().split(": ") for each in table.all("td") if each.text()]
        asked, target = asked_by(tile)
        assert [name for name, _ in cells] == list("123456789")
        assert {at: signs[said] for at, (_, said) in enumerate(cells) if said in signs} == asked
        assert cells[target][1] == "the machine goes here"
        assert f"The machine goes here: {target + 1}." in next(tile.all("desc")).text()


@pytest.mark.parametrize(
    ("name", "time", "known", "said"),
    [
        ("four", 60, (4, 4), "PROVED LEAST: no list of fewer than 4 pictures will do"),
        ("five", 60, (4, 4), "5 pictures. The shortest list has 4; that none is shorter is proved"),
        ("four", 0, (None, None), "4 pictures. Whether fewer would do was not looked into"),
        ("between", 60, (None, None), "4 pictures. Whether fewer would do was not looked into"),
        ("settled", 60, (None, None), "4 pictures. Whether fewer would do was not looked into"),
        ("gate", 60, (1, 1), "PROVED LEAST: no list of fewer than 1 picture will do"),
    ],
)
def test_what_is_said_about_shorter_lists(name, time, known, said):
    paper, page = page_of(poster, asked_for(name, time=time))
    assert (paper.record["bound"], paper.record["shortest_found"]) == known
    [foot] = page.all("footer")
    assert said in foot.text()
    assert foot.text().startswith("PROVED: whatever the visitor does, the machine never loses, w")


def test_what_is_said_where_time_runs_out(monkeypatch):
    def stopped(*_, **__):
        raise NotFound(3)

    monkeypatch.setattr(poster, "least_pictures", stopped)
    paper, page = page_of(poster, asked_for("four", time=1))
    assert (paper.record["bound"], paper.record["shortest_found"]) == (3, 4)
    assert "FOUND: 4 pictures. The shortest list has between 3 and 4." in page.text()


def test_rules_in_words_stand_in_their_places():
    paper, page = page_of(poster, asked_for("ruled"))
    titles = [next(tile.all("b")).text() for tile in tiles_in(page)]
    assert titles == ["1: complete a line", "2: block a line", "3", "4", "5", "6"]
    assert (paper.record["rules"], paper.record["pictures"]) == (6, 4)
    assert "The first of them that fits the board" in page.text()


def test_choices_that_a_sheet_settles_are_named():
    assert "never loses, with its choices settled 'plain'." in page_of(poster, asked_for("settled"))[1].text()


def test_what_has_no_pictures_has_no_poster():
    with pytest.raises(BadInput, match="has no pictures; expected a sheet with some"):
        poster.paper(asked_for("lamp"))
    with pytest.raises(BadInput, match="has no pictures"):
        poster.paper(asked_for("nim"))


def test_a_list_that_no_sheet_holds_is_refused(monkeypatch):
    monkeypatch.setattr(poster, "LEAST_CELL", 24)
    with pytest.raises(
        BadInput, match="has 6 rules, and a poster holds 4 such boards; expected a shorter list"
    ):
        poster.paper(asked_for("ruled"))
