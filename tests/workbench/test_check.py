"""What `check` says about a file that is well written."""

from pathlib import Path

import pytest

from tests.workbench.running import wordtight
from workbench.check import check_file

RULE = '[[rule]]\nwhen = ["empty"]\nsay = "WELL"\n'


@pytest.mark.parametrize(
    ("name", "text", "about"),
    [
        (
            "h.toml",
            'kind = "house-rules"\n',
            "house rules for Noughts and crosses: 0 rules, none of them with a cost.",
        ),
        (
            "h.toml",
            f'kind = "house-rules"\n{RULE}cost = "turn"\n',
            "house rules for Noughts and crosses: 1 rule, 1 of them with a cost.",
        ),
        (
            "my.rules",
            "game: two-by-two\nseat: both\ntake any free cell\n",
            "a rule sheet of 1 rule for Two in a row on 2 x 2; the machine moves first or second; claim never-loses.",
        ),
        (
            "my.csv",
            "game: two-by-two\nseat: first\nclaim: quickest\nposition,move\n__/__,a1\n",
            "a table for Two in a row on 2 x 2; the machine moves first; claim quickest.",
        ),
        (
            "row.toml",
            'kind = "game"\nfamily = "marks"\ntitle = "Odd one"\ncolumns = 3\nrows = 1\nlines = [["a1", "b1"]]\n',
            "a game: Odd one, 3 x 1; it looks the same in 1 way.",
        ),
    ],
)
def test_it_is_said_what_the_file_is(tmp_path, monkeypatch, name, text, about):
    monkeypatch.chdir(tmp_path)
    Path(name).write_text(text, encoding="utf-8")
    assert check_file(name).about == about
    assert (
        " ".join(wordtight("check", name).out.partition("\n\n")[0].split())
        == f"{name} is well written: {about}"
    )
