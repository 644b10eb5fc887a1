"""A problem is one line of plain text, whatever the file holds."""

import pytest

from games.problems import (
    LONGEST_MESSAGE,
    LONGEST_SHOWN,
    BadInput,
    Problem,
    bad,
    closest,
    listed,
    near_miss,
    so_many,
)


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


def test_a_place_is_as_much_as_is_known_of_it():
    assert str(Problem("a.rules", 2, 5, "no cell")) == "a.rules:2:5: no cell"
    assert str(Problem("a.rules", 2, 0, "no cell")) == "a.rules:2: no cell"
    assert str(Problem("a.rules", 0, 5, "no cell")) == "a.rules: no cell"
    assert str(Problem("", 0, 0, "no cell")) == "no cell"
    assert str(bad("no cell")) == "no cell"
    assert str(bad("no cell", "a.rules", 2, 5)) == "a.rules:2:5: no cell"


def test_the_caret_stands_where_there_is_a_line_and_a_column():
    assert Problem("f", 3, 6, "no cell", "take 10").with_caret() == "f:3:6: no cell\n    take 10\n         ^"
    assert Problem("f", 3, 1, "no cell", "take 10").with_caret() == "f:3:1: no cell\n    take 10\n    ^"
    assert Problem("f", 3, 0, "no cell", "take 10").with_caret() == "f:3: no cell"
    assert Problem("f", 3, 6, "no cell").with_caret() == "f:3:6: no cell"


def test_of_a_line_as_long_as_is_shown_nothing_is_cut():
    line = "x" * LONGEST_SHOWN
    assert Problem("f", 1, LONGEST_SHOWN, "wrong", line).with_caret().split("\n")[1] == f"    {line}"
    assert Problem("f", 1, 72, "wrong", line + "y").with_caret().split("\n")[1] == f"    {line[36:]}y"


def test_what_is_shown_fits_a_screen_of_80_columns_with_a_little_to_spare():
    shown = Problem("f", 1, 50, "wrong", "x" * 200).with_caret().split("\n")
    assert shown[1:] == ["    " + "x" * 72, " " * 39 + "^"]


def test_a_message_is_cut_only_where_it_is_too_long():
    half = LONGEST_MESSAGE // 2
    just = "a" * half + "b" * half
    assert str(Problem("", 0, 0, just)) == just
    assert str(Problem("", 0, 0, f"{just}b")) == f"{'a' * half} ... {'b' * half}"


def test_all_problems_are_lines_of_one_exception():
    both = BadInput([Problem("f", 2, 0, "one"), Problem("f", 1, 0, "two")])
    assert str(both) == "f:2: one\nf:1: two"
    assert [problem.message for problem in both.problems] == ["one", "two"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([], ""),
        (["a"], "a"),
        (["a", "b"], "a or b"),
        (["a", "b", "c"], "a, b or c"),
        (["a", "b", "c", "d"], "a, b, c or d"),
    ],
    ids=["none", "one", "two", "three", "four"],
)
def test_words_are_listed_as_people_say_them(words, said):
    assert listed(words) == said
    assert listed(words, "and") == said.replace(" or ", " and ")


def test_one_thing_is_one():
    assert [so_many(number, "row") for number in (0, 1, 2)] == ["0 rows", "1 row", "2 rows"]


def test_the_closest_word_is_one_that_begins_so_or_is_spelt_nearly_so():
    assert closest("cor", ("centre", "corner", "corners")) == "corner"
    assert closest("COR", ("centre", "corner")) == "corner"
    assert closest("Cor", ("centre", "corner-of-the-whole-board")) == "corner-of-the-whole-board"
    assert closest("conrer", ("centre", "corner")) == "corner"
    assert closest("Corner", ("corner",)) == "corner"
    assert closest("co", ("corner",)) == ""
    assert closest("edge", ("centre", "corner")) == ""
    assert near_miss("edge", ("centre", "corner")) == ""
