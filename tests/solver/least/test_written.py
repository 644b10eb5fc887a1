"""A least strategy as a file: word for word, and read back like any that somebody has written."""

import pytest

from games.codes import FIRST, SECOND
from solver.least.written import Heading, table_text, use_table
from solver.load import load_strategy
from solver.strategy import OPEN, PLAIN, TURNED
from solver.table import Row

HEADING = Heading("two-by-two", FIRST, "best-value", "lost-turn")
LINES = "game: two-by-two\nseat: first\nclaim: best-value\nhouse-rules: lost-turn\n"
ROWS = [Row("__/__", 2), Row("M_/V_", 1)]


@pytest.mark.parametrize("turned", [True, False])
def test_a_table_as_it_is_written_and_read_back(turned, tmp_path):
    text = table_text(HEADING, ROWS, ["a1", "b1", "a2", "b2"], "made by hand", turned=turned)
    turning = "turned" if turned else "plain"
    below = f"turning: {turning}\n\nposition,move\n__/__,a2\nM_/V_,b1\n"
    assert text == f"# made by hand\n{LINES}{below}"
    (tmp_path / "t.csv").write_text(text, "utf-8")
    read = load_strategy(tmp_path / "t.csv")
    assert (read.seats, read.claim, read.house_rules) == ((FIRST,), "best-value", "lost-turn")
    assert read.choice == (OPEN if turned else PLAIN)
    assert read.is_table


@pytest.mark.parametrize(
    ("sheet", "choice", "said"),
    [
        ("take a corner\n", None, OPEN),
        ("# mine\ngame: hexapawn\nseat: second\nchoice: plain\n\ntake a corner\n", None, PLAIN),
        ("choice: plain\ntake a corner\n", TURNED, TURNED),
    ],
    ids=["no header", "another header", "settled anew"],
)
def test_a_sheet_keeps_its_rules_below_another_header(sheet, choice, said, tmp_path):
    text = HEADING.above(sheet, choice)
    assert text == f"{LINES}choice: {said}\n\ntake a corner\n"
    (tmp_path / "s.rules").write_text(text, "utf-8")
    read = load_strategy(tmp_path / "s.rules")
    assert (read.game.name, read.choice, len(read.rules)) == ("two-by-two", said, 1)


def test_the_second_seat_and_the_rule_that_uses_a_table():
    assert HEADING._replace(seat=SECOND).lines()[1] == "seat: second"
    assert use_table("some/where/t.csv") == 'use table "t.csv"\n'
