"""Tables as rules."""

import numpy as np

from games.load import load_game
from solver.strategy import View
from solver.table import Row, TableRule, read_rows


def test_a_row_need_not_be_a_position_for_the_other_seat():
    game = load_game("northcott")
    start = np.array([game.start], dtype=np.uint64)
    [text] = game.texts(start, 0)
    rule = TableRule("table", 1, game, [Row(text, 0)], turned=False)
    assert rule.allowed(View(game, start, 0)).move.tolist() == [0]


def test_a_position_that_begins_like_a_remark_is_a_row(tmp_path):
    table = tmp_path / "boxes.csv"
    rows = "# a remark\n#../.#../...,c1-c2\n# ..,c1-c2\n.../..../...,b1-b2\n"
    table.write_text(f"game: boxes-three-by-one\nseat: first\n\nposition,move\n{rows}", "utf-8")
    found, _ = read_rows(table, load_game("boxes-three-by-one"))
    assert [row.position for row in found] == ["#../.#../...", ".../..../..."]
