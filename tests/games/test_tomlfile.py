"""TOML read with care: every key has its line, every mistake is told at once, no key is passed over."""

import tomllib

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
