"""The small reader of rules builds the trees that lark builds, and refuses what lark refuses."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lark import Token
from lark.exceptions import UnexpectedInput

from games.problems import Problem
from solver.sheet import generate, tables
from solver.sheet.parser import BEGINNINGS, Piece, Tree, parse_rule, parse_weight
from tests import twins

LARK = generate.lark_parser()
FIXED = (
    "complete a line", "block a line", "make a double threat", "stop a double threat", "take any free cell",
    "take the centre", "take a corner", "take an edge", "take the opposite corner", "picture", "picture fixed",
    "take the heaviest cell",
)  # fmt: skip
WORDS = tuple(word for word in tables.WORDS if word != ",")


def test_the_tables_are_those_that_the_grammar_gives():
    """`make grammar` was run after the last change of rules.lark."""
    assert generate.TABLES.read_text(encoding="utf-8") == generate.tables_text()


def test_the_tables_are_written_as_their_text_says(tmp_path, monkeypatch):
    monkeypatch.setattr(generate, "TABLES", tmp_path / "made.py")
    monkeypatch.setattr(generate, "tables_text", lambda: "STATES = ()\nWORDS = {'caf\u00e9': ''}\n")
    generate.main()
    assert (tmp_path / "made.py").read_bytes() == b"STATES = ()\nWORDS = {'caf\xc3\xa9': ''}\n"


def plain(tree):
    """A tree of either parser as nested lists; a piece is its text in small letters."""
    if isinstance(tree, Tree):
        return [tree.name, *map(plain, tree.parts)]
    if isinstance(tree, Piece | Token):
        return str(tree.text if isinstance(tree, Piece) else tree).lower()
    return [str(tree.data), *map(plain, tree.children)]


def by_lark(line, start="start"):
    """What lark makes of a line, None if it refuses it."""
    try:
        return plain(LARK.parse(line.lower(), start=start))
    except UnexpectedInput:
        return None


def by_us(line, parse=parse_rule):
    tree = parse(line, "drawn.rules", 7)
    if isinstance(tree, Problem):
        assert (tree.file, tree.line) == ("drawn.rules", 7)
        assert 1 <= tree.column <= len(line) + 1
        assert tree.message.startswith("expected ")
        return None
    return plain(tree)


def wanted(line):
    """Lark's answer; but a word of the grammar right behind *take* is no cell for us, which gives better messages."""
    tree = by_lark(line)
    if tree and tree[0] == "take_cells" and tree[1][1] in tables.WORDS:
        return None
    return tree


@st.composite
def good_lines(draw):
    """A rule from the grammar, written with any blanks, commas and capitals."""
    names = st.text("abc0123456789", min_size=1, max_size=3) | st.sampled_from(["a", "an", "or", "free", "1"])
    cells = draw(names) + "".join(draw(st.lists(st.sampled_from([", ", " or ", " , ", ","]).flatmap(
        lambda comma: names.map(comma.__add__)), max_size=3)))  # fmt: skip
    plies = f"look ahead {draw(st.integers(0, 200))} {draw(st.sampled_from(['ply', 'plies']))}"
    table = f'use table "{draw(st.text("abc .-/1", min_size=1, max_size=8))}"'
    whole = draw(st.sampled_from([*FIXED, f"take {cells}", f"take the first free of {cells}", plies, table])
                 | twins.stop_rules())  # fmt: skip
    if draw(st.booleans()):
        whole = whole.upper()
    blank = draw(st.sampled_from([" ", "  ", "\t"]))
    return draw(st.sampled_from(["", " "])) + whole.replace(" ", blank) + draw(st.sampled_from(["", "  "]))


@st.composite
def broken_lines(draw):
    """A rule with some words lost, doubled, exchanged or put in."""
    words = draw(good_lines()).replace(",", " , ").split()
    strange = st.sampled_from(
        [*WORDS, ",", "1", "b2", "é", "_", "²", "?", "!", '"', '""', '"x.csv"', "-", "line_"]
    )
    for _ in range(draw(st.integers(1, 2))):
        at = draw(st.integers(0, len(words)))
        words[at : at + draw(st.integers(0, 2))] = draw(st.lists(strange, max_size=2))
    return " ".join(words)


@given(st.lists(good_lines(), min_size=1, max_size=10))
def test_good_rules_become_the_trees_that_lark_builds(lines):
    for line in lines:
        assert by_us(line) == wanted(line), line


@pytest.mark.parametrize("line", FIXED)
def test_every_rule_without_parts_of_its_own_is_read(line):
    tree = by_us(line)
    assert tree == by_lark(line)
    assert tree is not None


@given(st.lists(broken_lines(), min_size=1, max_size=10))
def test_broken_rules_are_refused_just_where_lark_refuses_them(lines):
    for line in lines:
        assert by_us(line) == wanted(line), line


@st.composite
def weights(draw):
    """A weight from the grammar, with some words lost, doubled, exchanged or put in."""
    names = st.text("abc0123456789", min_size=1, max_size=3)
    cells = draw(st.lists(names, min_size=1, max_size=3).map(" or ".join))
    kind = st.sampled_from(["a line", "a straight line", "a diagonal line", "a line like 1, 2 and 3"])
    marks = st.sampled_from(["no marks", "2 of mine", "1 of mine and 1 of the visitor", "2 of the visitor's"])
    lines = f"{draw(kind)} with {draw(marks)}"
    what = draw(
        st.sampled_from(["the centre", "a corner", "an edge", cells, f"a cell like {draw(names)}", lines])
    )
    line = f"{draw(st.integers(-99, 99))} for {what}"
    words = line.replace(",", " , ").replace("-", "- ").split()
    for _ in range(draw(st.integers(0, 2))):
        at = draw(st.integers(0, len(words)))
        words[at : at + draw(st.integers(0, 2))] = draw(
            st.lists(st.sampled_from([*WORDS, ",", "1", "b2", "+", "."]), max_size=2)
        )
    return " ".join(words)


@given(st.lists(weights(), min_size=1, max_size=10))
def test_weights_become_the_trees_that_lark_builds_and_broken_ones_are_refused(lines):
    for line in lines:
        assert by_us(line, parse_weight) == by_lark(line, "weight"), line


@given(st.text(max_size=20))
def test_any_text_at_all_is_read_or_told_what_is_wrong_with_it(text):
    by_us(text)


@pytest.mark.parametrize("line", [
    "take é any free cell", "take any free cell _", "take any ² free cell", 'use table "', 'use table ""',
    "look ahead ² plies", "take é", "complete a line\u00a0x", "complete-a-line", 'take "x"',
])  # fmt: skip
def test_nothing_is_passed_over_in_silence(line):
    assert by_us(line) is None


@pytest.mark.parametrize(
    ("line", "cells"),
    [("take the first free of a, b", ["a", "b"]), ("take b or a", ["b", "a"]), ("take 5,or", ["5", "or"])],
)
def test_where_only_a_cell_can_stand_its_name_may_be_a_word_of_the_grammar(line, cells):
    assert by_us(line)[1] == ["cells", *cells]


WHOLE = [rule for rule in FIXED if not rule.startswith("picture")]


def told(line):
    problem = parse_rule(line, "f", 1)
    assert isinstance(problem, Problem)
    return problem.message


@pytest.mark.parametrize("rule", WHOLE)
def test_the_rule_of_which_a_line_is_a_slip_is_named(rule):
    assert told(f"{rule} now").endswith(f"; did you mean '{rule}'?")
    first = rule.split()[0]
    if [other.split()[0] for other in WHOLE].count(first) == 1:
        assert told(f" {first.upper()} ").endswith(f"; did you mean '{rule}'?")


@pytest.mark.parametrize("line", ["take", "play a tune", f"take any free cell {'x' * 40}", "picture now", ""])
def test_no_rule_is_named_for_a_line_that_is_far_from_all_or_begins_many(line):
    assert "did you mean" not in told(line)


@pytest.mark.parametrize(
    ("line", "column", "message"),
    [
        (
            "take centre",
            6,
            "expected 'a', 'an', 'any', 'the' or a cell's name, not 'centre'; did you mean 'take the centre'?",
        ),
        ("  complete a lime", 14, "expected 'line', not 'lime'; did you mean 'line'?"),
        ("complete a", 11, "expected 'line', not the end of the line; did you mean 'complete a line'?"),
        ("look ahead two plies", 12, "expected a number, not 'two'"),
        ("use table good.csv", 11, "expected a file name in \"...\", not 'good'"),
        (
            "take any free cell  twice ",
            21,
            "expected the end of the line, not 'twice'; did you mean 'take any free cell'?",
        ),
        (
            "take a corner \u00e9",
            15,
            "expected the end of the line, not '\u00e9'; did you mean 'take a corner'?",
        ),
    ],
)
def test_a_mistake_is_told_where_it_stands(line, column, message):
    problem = parse_rule(line, "f", 1)
    assert isinstance(problem, Problem)
    assert (problem.file, problem.line, problem.column, problem.message) == ("f", 1, column, message)
    assert problem.with_caret().endswith(f"\n    {line}\n    {' ' * (column - 1)}^")


@pytest.mark.parametrize(
    ("line", "meant"),
    [
        ("take the middle", "take the centre"),
        ("take a random cell", "take any free cell"),
        ("If you can WIN, win!", "complete a line"),
        ("a winning move", "complete a line"),
        ("fork", "make a double threat"),
        ("trap the visitor", "make a double threat"),
        ("center first", "take the centre"),
        ("anywhere", "take any free cell"),
        ("some empty place", "take any free cell"),
        ("defend", "block a line"),
        ("take a side", "take an edge"),
        ("take the winner's place", ""),
        ("say hello", ""),
        (f"win {'x' * 60}", ""),
    ],
    ids=str,
)
def test_what_people_call_a_rule_is_answered_with_its_words(line, meant):
    assert told(line).partition("; did you mean ")[2] == (f"'{meant}'?" if meant else "")


def test_the_words_with_which_a_rule_begins():
    """As docs/rule-sheets.md has them, and no others."""
    assert set(BEGINNINGS) == {"block", "complete", "look", "make", "picture", "stop", "take", "use"}
