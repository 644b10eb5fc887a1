"""Tables as rules."""

import numpy as np

from games.load import load_game
from solver.strategy import View
from solver.table import Row, TableRule


def test_a_row_need_not_be_a_position_for_the_other_seat():
    game = load_game("northcott")
    start = np.array([game.start], dtype=np.uint64)
    [text] = game.texts(start, 0)
    rule = TableRule("table", 1, game, [Row(text, 0)], turned=False)
    assert rule.allowed(View(game, start, 0)).move.tolist() == [0]
