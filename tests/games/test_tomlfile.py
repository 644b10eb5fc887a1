"""TOML read with care: every key has its line, every mistake is told at once, no key is passed over."""

import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from games.problems import BadInput
from games.tomlfile import LARGEST_FILE, key_lines, kind_among, parse_toml, read_text, read_toml

VALUES = (
    "1", "true", '"text"', "'[x] = 1 # no'", '"a \\" = [b"', "[1, 2]", "[\n  1,  # one ]\n  2,\n]",
    '"""\nlong = 1\n[not.a.table]\n"""', "'''\nit's = [ here\n'''", '[["a"], ["b"]]', "{ x = 1, y = [2] }", '""',
    '"""short"""', '""" "quoted" """', "[\n  '''\n]''',\n]",
    '[\n  ["a"]  # b\n]', "[\n [1],\n [2]\n  ]",
)  # fmt: skip
"""Values of one line or of several, with everything in them that may mislead a reader of lines."""


@st.composite
def documents(draw):
    """A TOML text, and for each table and key the line on which it stands."""
    lines, places = [], {}
    path, arrays = (), {}
    for _ in range(draw(st.integers(1, 6))):
        shape = draw(st.sampled_from(["table", "array", "none"]))
        if shape != "none" or lines:
            name = draw(st.sampled_from("pqrs"))
            if shape == "array" or (name,) in arrays:
                number = arrays[(name,)] = arrays.get((name,), -1) + 1
                if number == 0 and any(place[0] == name for place in places):
                    break
                path = (name, number)
                lines.append(f"[[{name}]]  # [{name}]")
            elif (name,) in places:
                break
            else:
                path = (name,)
                lines.append(f" [ {name} ]")
            places[path] = len(lines)
        for key in draw(st.lists(st.sampled_from(["a", "b-c", '"d e"', "f"]), max_size=3, unique=True)):
            value = draw(st.sampled_from(VALUES))
            places[(*path, key.strip('"'))] = len(lines) + 1
            lines += f"{draw(st.sampled_from(['', '  ']))}{key} = {value}  # {key} = 2".split("\n")
        lines += draw(st.sampled_from([[], ["", "# a = 1"]]))
    return "\n".join(lines), places


@given(documents())
def test_every_table_and_key_is_found_on_its_line(document):
    text, places = document
    tomllib.loads(text)  # what is drawn is TOML
    assert key_lines(text) == places


def messages(text, read):
    """What is wrong with a text when `read` has asked for what it wants."""
    try:
        table = parse_toml(text, "f.toml", "thing")
    except BadInput as error:
        return [str(problem) for problem in error.problems]
    read(table)
    table.finish()
    with pytest.raises(BadInput) as caught:
        table.raise_problems()
    return [str(problem) for problem in caught.value.problems]


def test_all_mistakes_are_told_at_once_in_the_order_of_the_file():
    def read(table):
        table.text("late")
        table.whole("number", most=5)
        table.flag("yes", default=False)
        table.texts("some", one_of=("x", "y"))
        table.text_lists("lists")

    assert messages(
        'kind = "thing"\nnumber = 9\nyes = 1\nsome = ["x", "z"]\nlists = [1]\nsurplus = 3\nlate = 5\n', read
    ) == [
        "f.toml:2: 'number' should be a whole number from 0 to 5, not 9",
        "f.toml:3: 'yes' should be true or false",
        "f.toml:4: 'some' cannot hold \"z\"; expected x or y",
        'f.toml:5: \'lists\' should be a list of lists of texts, such as [["...", "..."]]',
        "f.toml:6: 'surplus' is not known here; expected kind, late, lists, number, some or yes",
        "f.toml:7: 'late' should be a text in quotes, such as \"...\"",
    ]


def test_a_key_that_is_missing_is_told_with_an_example():
    assert messages('kind = "thing"\n', lambda table: table.whole("width", least=1, most=26)) == [
        "f.toml:1: 'width' is missing; expected width = a whole number from 1 to 26"
    ]


def test_tables_know_their_own_lines():
    def read(table):
        for each in table.tables("part"):
            each.text("name")
            each.finish()

    text = 'kind = "thing"\n\n[[part]]\nname = "a"\n\n[[part]]\nsize = "b"\n'
    assert [message.split(": ")[0] for message in messages(text, read)] == ["f.toml:6", "f.toml:7"]


def test_a_misspelt_key_is_one_mistake_and_not_also_one_that_is_missing():
    assert messages('kind = "thing"\n\nwitdh = 3\n', lambda table: table.whole("width")) == [
        "f.toml:3: 'witdh' is not known here; expected kind or width; did you mean 'width'?"
    ]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("kind = thing\n", "f.toml:1:8: this is not TOML"),
        ('kind = "thing"\nx = [1,\n', "f.toml:3: this is not TOML"),
        ('kind = "other"\n', 'f.toml:1: \'kind\' should be "thing", not "other"'),
        ("", "f.toml:1: 'kind' is missing"),
        ("a" + "[" * 5000, "f.toml"),
        ('kind = "thing"\nx = true\n', "should be a whole number"),
    ],
)
def test_what_cannot_be_read_is_told_with_its_place(text, said):
    assert said in messages(text, lambda table: table.whole("x", default=1))[0]


def test_files_that_cannot_be_read(tmp_path):
    cases = {
        "none.toml": None,
        "latin.toml": b'kind = "x"\n# caf\xe9\n',
        "huge.toml": b"#" * (LARGEST_FILE + 1),
    }
    said = {
        "none.toml": "cannot be read",
        "latin.toml": "latin.toml:2: expected UTF-8",
        "huge.toml": "is larger than",
    }
    for name, raw in cases.items():
        if raw is not None:
            (tmp_path / name).write_bytes(raw)
        with pytest.raises(BadInput) as caught:
            read_toml(tmp_path / name, "thing")
        assert said[name] in str(caught.value)
    with pytest.raises(BadInput, match="cannot be read"):
        read_text(tmp_path)
    with pytest.raises(BadInput, match="cannot be read"):
        read_text("nul\0byte")


def test_line_ends_and_byte_order_marks_of_other_systems_are_read(tmp_path):
    (tmp_path / "w.txt").write_bytes(b"\xef\xbb\xbfone\r\ntwo\rthree\n")
    assert read_text(tmp_path / "w.txt") == "one\ntwo\nthree\n"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "f.toml: is empty; expected a line 'kind = ...' that says what the file is: game or thing"),
        ("x = 1\n", "f.toml:1: expected a line 'kind = ...'"),
        ('x = 1\nkind = "thang"\n', 'f.toml:2: \'kind\' should be "game" or "thing", not "thang"'),
        ('x =\nkind = "thing"\n', "f.toml:1:4: this is not TOML"),
    ],
)
def test_a_file_must_say_of_which_kind_it_is(text, said):
    assert kind_among('kind = "thing"\n', "f.toml", ("game", "thing")) == "thing"
    with pytest.raises(BadInput) as caught:
        kind_among(text, "f.toml", ("game", "thing"))
    assert str(caught.value).startswith(said)


# What a table gives ---------------------------------------------------------------------------------------

FULL = """\
kind = "thing"
name = "a"
number = 3
yes = true
some = ["x", "y"]
numbers = [1, 9]
lists = [["a", "b"], ["c"]]

[below]
deep = "d"

[[part]]
size = 1

[[part]]
size = 2
"""


def test_a_table_gives_what_the_file_says():
    table = parse_toml(FULL, "f.toml", "thing")
    assert (table.text("name"), table.text("name", one_of=("b", "a"))) == ("a", "a")
    assert (table.whole("number"), table.whole("number", least=3, most=3)) == (3, 3)
    assert table.flag("yes", default=False) is True
    assert (table.texts("some"), table.texts("some", one_of=("y", "x"))) == (("x", "y"), ("x", "y"))
    assert table.wholes("numbers", least=1, most=9) == (1, 9)
    assert table.text_lists("lists") == [("a", "b"), ("c",)]
    assert table.table("below").text("deep") == "d"
    assert [part.whole("size") for part in table.tables("part")] == [1, 2]
    assert ("name" in table, "nothing" in table, table.is_empty) == (True, False, False)
    assert (table.line("yes"), table.line(), table.table("below").line("deep")) == (4, 1, 10)
    assert [part.line("size") for part in table.tables("part")] == [13, 16]
    table.finish()
    table.raise_problems()


def test_a_table_gives_the_usual_where_the_file_says_nothing():
    table = parse_toml('kind = "thing"\n', "f.toml", "thing")
    assert (table.text("a", default="usual"), table.text("b", default="")) == ("usual", "")
    assert (table.whole("c", default=7), table.whole("d", default=0)) == (7, 0)
    assert (table.flag("e", default=True), table.flag("f", default=False)) == (True, False)
    assert (table.texts("g", default=("z",)), table.texts("h", default=())) == (("z",), ())
    assert (table.wholes("i", default=(4,)), table.wholes("j", default=())) == ((4,), ())
    assert (table.text_lists("k"), table.tables("l"), table.table("m").is_empty) == ([], [], True)
    table.finish()
    table.raise_problems()


ASKS = {
    "a text": (lambda table: table.text("x"), 'a text in quotes, such as "..."', "3", ""),
    "one of some": (lambda table: table.text("x", one_of=("a", "b")), '"a" or "b"', "3", "a"),
    "a number": (lambda table: table.whole("x", least=2), "a whole number, 2 or more", "true", 2),
    "a small number": (
        lambda table: table.whole("x", least=2, most=9),
        "a whole number from 2 to 9",
        "1.5",
        2,
    ),
    "one number": (lambda table: table.whole("x", least=2, most=2), "2", '"2"', 2),
    "texts": (lambda table: table.texts("x"), 'a list of texts, such as ["...", "..."]', '["a", 3]', ()),
    "texts as a text": (lambda table: table.texts("x"), 'a list of texts, such as ["...", "..."]', '"a"', ()),
    "numbers": (
        lambda table: table.wholes("x", least=1, most=9),
        "a list of whole numbers from 1 to 9, such as [3, 4]",
        "[1, true]",
        (),
    ),
    "numbers too large": (
        lambda table: table.wholes("x", least=1, most=9),
        "a list of whole numbers from 1 to 9, such as [3, 4]",
        "[10]",
        (),
    ),
}
"""What is asked for, how a message names it, what is none of the kind, and what is given instead."""


@pytest.mark.parametrize("name", list(ASKS))
def test_what_is_missing_or_of_another_kind_is_told_and_something_given_instead(name):
    ask, what, wrong, instead = ASKS[name]
    for text, said in (
        ('kind = "thing"\n', f"f.toml:1: 'x' is missing; expected x = {what}"),
        (f'kind = "thing"\nx = {wrong}\n', f"f.toml:2: 'x' should be {what}"),
    ):
        table = parse_toml(text, "f.toml", "thing")
        assert ask(table) == instead
        with pytest.raises(BadInput) as caught:
            table.raise_problems()
        assert str(caught.value) == said


@pytest.mark.parametrize(
    ("ask", "wrong", "said"),
    [
        (lambda table: table.text("x"), '"a\\nb"', "should be one line of plain text"),
        (lambda table: table.flag("x", default=True), "1", "should be true or false"),
        (lambda table: table.table("x"), "1", "should be a table: [x]"),
        (lambda table: table.tables("x"), "1", "should be tables, each begun by [[x]]"),
        (lambda table: table.tables("x"), "[1]", "should be tables, each begun by [[x]]"),
        (
            lambda table: table.text_lists("x"),
            "1",
            'should be a list of lists, such as [["...", "..."], ["..."]]',
        ),
        (
            lambda table: table.text_lists("x"),
            "[[1]]",
            'should be a list of lists of texts, such as [["...", "..."]]',
        ),
        (lambda table: table.whole("x", most=9), "10", "should be a whole number from 0 to 9, not 10"),
        (lambda table: table.whole("x"), "-1", "should be a whole number, 0 or more, not -1"),
        (
            lambda table: table.text("x", one_of=("left", "right")),
            '"rihgt"',
            'should be "left" or "right", not "rihgt"; did you mean \'right\'?',
        ),
    ],
    ids=[
        "two lines", "flag", "table", "tables", "parts", "lists", "texts", "too large", "too small", "misspelt",
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_value_is_told(ask, wrong, said):
    assert messages(f'kind = "thing"\nx = {wrong}\n', ask) == [f"f.toml:2: 'x' {said}"]


# What cannot be read --------------------------------------------------------------------------------------


def unread(name, largest=LARGEST_FILE):
    with pytest.raises(BadInput) as caught:
        read_text(name, largest)
    return str(caught.value)


def test_why_a_file_cannot_be_read_is_told_with_the_one_that_was_meant(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    folder = Path("sub")
    folder.mkdir()
    (folder / "a-folder.toml").mkdir()
    (folder / "My-Game.toml").write_text("x", encoding="utf-8")
    near, far, fold = folder / "my-gane.toml", folder / "a-folded.toml", folder / "a-folder.toml"
    none = "cannot be read: there is no such file"
    assert unread(near) == f"{near}: {none}; did you mean '{folder / 'My-Game.toml'}'?"
    assert unread(far) == f"{far}: {none}", "a folder is not meant"
    assert unread("nowhere/x.toml") == f"nowhere/x.toml: {none}"
    assert unread(fold) == f"{fold}: cannot be read: it is a folder"


def test_what_is_no_text_is_told_with_its_line(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    utf16 = "x:1: this is UTF-16 text; expected UTF-8: choose it when you save the file"
    none = "expected UTF-8 text, found a byte that is none: choose UTF-8 when you save the file"
    for raw, said in (
        (b"\xff\xfea\0", utf16),
        (b"\xfe\xff\0a", utf16),
        (b"\xff", f"x:1: {none}"),
        (b"a\nb\n\xe9", f"x:3: {none}"),
        (b"a\n\0b\n", "x:2: holds a byte 0; expected plain text in UTF-8"),
        (b"123456", "x: is larger than 5 bytes; expected a small text file"),
    ):
        Path("x").write_bytes(raw)
        assert unread("x", 5) == said
    Path("x").write_bytes(b"12345")
    assert read_text("x", 5) == "12345"


def test_a_number_that_is_far_too_long_is_told_with_its_line():
    assert messages(f'kind = "thing"\n\nx = {"9" * 5000}\n', lambda table: None) == [
        "f.toml:3: holds a number that is far too long"
    ]
