"""A game in Python as a file of the user's: loaded, or what is told about it."""

from pathlib import Path

import pytest

from games.own.file import load_python_game
from games.problems import BadInput


@pytest.fixture
def load(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)

    def write_and_load(text):
        Path("lamps.py").write_text(text, encoding="utf-8")
        return load_python_game("lamps.py")

    return write_and_load


@pytest.fixture
def told(load):
    """The lines that tell what is wrong with a file."""

    def lines(text):
        with pytest.raises(BadInput) as bad:
            load(text)
        return str(bad.value).split("\n")

    return lines
