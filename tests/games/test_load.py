"""Games are found by name, in a file or in a program, and known again by their rules."""

import re
from pathlib import Path

import pytest

from games.load import catalogue_names, game_digest, game_text, is_program, load_game, parse_game
from games.problems import BadInput
from tests.games.lamps import TWO_LAMPS

SMALL = 'kind = "game"\nfamily = "marks"\ncolumns = 2\nrows = 2\nin-a-row = 2\n'


@pytest.fixture(autouse=True)
def in_an_empty_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)


def written(name, text):
    Path(name).write_text(text, encoding="utf-8")
    return name


def told(which):
    with pytest.raises(BadInput) as caught:
        load_game(which)
    return str(caught.value)


def test_a_game_is_found_by_name_in_a_file_or_in_a_program():
    assert load_game("two-by-two").name == "two-by-two"
    for name in ("small.toml", "LOUD.TOML"):
        assert load_game(written(name, SMALL)).name == Path(name).stem
        assert load_game(Path(name)).title == Path(name).stem
    for name in ("lamps.py", "LAMPS.PY"):
        assert load_game(written(name, TWO_LAMPS)).move_names == ("left", "right")


@pytest.mark.parametrize(
    ("family", "name"),
    [
        ("marks", "two-by-two"),
        ("steps", "pong-hau-ki"),
        ("advance", "hexapawn"),
        ("take", "kayles"),
        ("fill", "boxes-two-by-two"),
    ],
    ids=["marks", "steps", "advance", "take", "fill"],
)
def test_each_family_is_read_by_its_own_reader(family, name):
    assert f'family = "{family}"\n' in game_text(name)
    assert load_game(name).name == name
    assert type(load_game(name)).__module__.startswith(f"games.{family}.")


def test_only_what_ends_like_a_program_is_one():
    assert is_program("game.py")
    assert is_program(Path("GAME.PY"))
    assert not any(is_program(name) for name in ("game.toml", "py", "game.py.toml", "two-by-two"))


def test_the_catalogue_is_in_order():
    names = catalogue_names()
    assert list(names) == sorted(names)
    assert {"noughts-and-crosses", "northcott", "kayles", "pong-hau-ki", "hexapawn"} <= set(names)


def test_what_is_no_game_is_told():
    no_game = "expected a .toml or .py file, or one of the catalogue (wordtight games)"
    assert told("chess") == f"there is no game called 'chess'; {no_game}"
    assert told("kayle") == f"there is no game called 'kayle'; {no_game}; did you mean 'kayles'?"
    beside = "is no game; expected a .toml or .py file, or a name of the catalogue (wordtight games)"
    assert told(written("my.rules", "take the centre\n")) == f"my.rules: {beside}"
    assert told("small.toml") == "small.toml: cannot be read: there is no such file"
    assert told("lamps.py") == "lamps.py: cannot be read: there is no such file"


def test_a_file_that_is_called_like_a_game_of_the_catalogue_does_not_hide_it():
    written("two-by-two", "take the centre\n")
    assert load_game("two-by-two").name == "two-by-two"


def test_a_program_is_looked_over_when_it_is_loaded():
    unlawful = TWO_LAMPS.replace("return codes >> 63", "return codes >> 63 & 0")
    assert told(written("lamps.py", unlawful)).startswith("lamps.py:8: mover in 0x3 (0x3, first to move): ")


def test_the_text_of_a_game_is_its_file():
    assert game_text(written("small.toml", SMALL)) == SMALL
    assert game_text(written("LOUD.TOML", SMALL)) == SMALL
    assert game_text(written("lamps.py", TWO_LAMPS)) == TWO_LAMPS
    text = game_text("two-by-two")
    assert parse_game(text, "two-by-two.toml").title == load_game("two-by-two").title
    with pytest.raises(BadInput, match="there is no such file"):
        game_text("nowhere.toml")


def test_a_digest_tells_rules_apart_and_nothing_else():
    """The title and the origin are no rules, and neither is the order of the keys; in a program everything counts."""
    same = {
        "small.toml": SMALL,
        "called.toml": SMALL + 'title = "Two by two"\nfrom = "Made up"\n',
        "mixed.toml": "\n# in another order\n" + "\n".join(reversed(SMALL.splitlines())),
    }
    others = {
        "wider.toml": SMALL.replace("columns = 2", "columns = 3"),
        "misere.toml": SMALL + "misere = true\n",
        "lamps.py": TWO_LAMPS,
        "lamps-with-a-title.py": TWO_LAMPS + "title = 'Lamps'\n",
    }
    digests = {name: game_digest(written(name, text)) for name, text in {**same, **others}.items()}
    assert all(re.fullmatch("[0-9a-f]{64}", digest) for digest in digests.values())
    assert len({digests[name] for name in same}) == 1
    assert len({digests[name] for name in others} | {digests["small.toml"]}) == len(others) + 1
