"""A problem is one line of plain text, whatever the file holds."""

import pytest

from games.problems import LONGEST_MESSAGE, LONGEST_SHOWN, Problem, near_miss


def test_signs_that_would_steer_the_terminal_are_written_out():
    problem = Problem("a\nb.rules", 2, 5, "not '\x1b[31m\u2028'", "take \x1b[31m\tcentre")
    assert str(problem) == r"a\nb.rules:2:5: not '\x1b[31m\u2028'"
    assert problem.with_caret().split("\n")[1:] == ["    take ?[31m centre", "        ^"]


def test_a_long_message_keeps_its_beginning_and_its_end():
    message = str(Problem("", 0, 0, f"there is no cell '{'x' * 100_000}'; did you mean '5'?"))
    assert message.startswith("there is no cell 'xxx")
    assert message.endswith("xxx'; did you mean '5'?")
    assert len(message) < LONGEST_MESSAGE + 10


@pytest.mark.parametrize("column", [1, 5, 36, 37, 38, 500, 990, 1000, 1001])
def test_of_a_long_line_the_part_around_the_caret_is_shown(column):
    line = "".join(chr(ord("a") + place % 26) for place in range(1000))
    _, shown, caret = Problem("f", 1, column, "wrong", line).with_caret().split("\n")
    assert len(shown) <= 4 + LONGEST_SHOWN
    assert len(caret) <= 5 + LONGEST_SHOWN
    assert shown[len(caret) - 1 :][:1] == line[column - 1 :][:1]


def test_a_short_word_is_close_to_nothing():
    assert near_miss("12", ("1", "2", "3")) == ""
    assert near_miss("trun", ("turn", "game")) == "; did you mean 'turn'?"
