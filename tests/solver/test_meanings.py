"""What each line of a sheet means, as plain data."""

import pytest

from games.load import load_game
from solver import meanings as means
from solver.sheet.reader import SheetReader

GAME = load_game("noughts-and-crosses")
CORNERS = (0, 2, 6, 8)
LINES = {
    "complete a line": means.FillsALine(means.MINE),
    "block a line": means.FillsALine(means.VISITORS),
    "make a double threat": means.MakesDoubleThreat(),
    "stop a double threat": means.StopsDoubleThreat((("clearing", "safe_threat"), ("occupying",))),
    "stop a double threat by any threat, else occupying the only one": means.StopsDoubleThreat(
        (("any_threat",), ("occupying_only",))
    ),
    "stop a double threat by a clearing threat or an occupying threat": means.StopsDoubleThreat(
        (("clearing_threat", "occupying_threat"),)
    ),
    "take the centre": means.AnyOf((4,)),
    "take a corner": means.AnyOf(CORNERS),
    "take an edge": means.AnyOf((1, 3, 5, 7)),
    "take the opposite corner": means.OppositeCorner(((0, 8), (2, 6), (6, 2), (8, 0))),
    "take 9 or 1": means.AnyOf((8, 0)),
    "take the first free of 9, 1": means.FirstOf((8, 0)),
    "take any free cell": means.AnyOf(tuple(range(9))),
    "look ahead 3 plies": means.LooksAhead(3),
    "picture\nV _ -\n- M !\n- - V": means.FindsPicture(
        means.Picture(mine=1 << 4, visitors=1 | 1 << 8, free=1 << 1, target=1 << 5), is_fixed=False
    ),
    "picture fixed\n! - -\n- - -\n- - -": means.FindsPicture(means.Picture(0, 0, 0, 1), is_fixed=True),
    "take the heaviest cell\n3 for a corner\n-2 for a line like 1, 5 and 9 with 1 of mine": means.Heaviest(
        (
            means.CellWeight(3, sum(1 << cell for cell in CORNERS)),
            means.LineWeight(-2, (0b100010001, 0b001010100), 1, 0),
        )
    ),
}


@pytest.mark.parametrize(("text", "meaning"), LINES.items())
def test_a_line_of_a_sheet_means_what_its_words_say(text, meaning):
    [rule] = SheetReader("sheet.rules", text.split("\n"), GAME).read(0)
    assert rule.meaning == meaning


def test_a_picture_is_looked_for_in_each_of_its_images_once():
    whole = means.Picture(mine=1 << 4, visitors=1 | 1 << 8, free=1 << 1, target=1 << 5)
    assert len(means.FindsPicture(whole, is_fixed=False).images(GAME.cell_images)) == 8
    even = means.Picture(mine=0, visitors=1 << 4, free=0, target=1)
    assert [image.target for image in means.FindsPicture(even, is_fixed=False).images(GAME.cell_images)] == [
        1 << 0,
        1 << 2,
        1 << 8,
        1 << 6,
    ]
    assert means.FindsPicture(even, is_fixed=True).images(GAME.cell_images) == (even,)
