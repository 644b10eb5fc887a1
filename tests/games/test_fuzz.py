"""Every door through which a file comes in: whatever it holds, it is taken, or refused in plain lines."""

import json
import re
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import games
from budget.card import load_machine
from games.codes import UNFINISHED
from games.house import parse_house_rules
from games.load import catalogue_names, load_game, parse_game
from games.problems import BadInput
from solver.load import load_strategy

ROOMS = Path(games.__file__).parent.parent
GAMES = [path.read_text(encoding="utf-8") for path in sorted((ROOMS / "games/catalogue").glob("*.toml"))]
HOUSE_RULES = [
    path.read_text(encoding="utf-8") for path in sorted((ROOMS / "games/house_rules").glob("*.toml"))
]
MACHINES = [path.read_text(encoding="utf-8") for path in sorted((ROOMS / "budget/machines").glob("*.toml"))]
SHEETS = [
    (ROOMS / name).read_text(encoding="utf-8")
    for name in ("workbench/templates/rules.rules", "examples/lamp-room.rules", "examples/tide-table.csv")
]
ODD = ["true", "false", "1e99", "nan", "[]", "{}", '""', "[[]]", '[""]', "[0]", "[-1, 99]", "0x7f"]
VALUES = st.one_of(
    st.integers(-(10**30), 10**30).map(str),
    st.sampled_from(ODD),
    st.text(max_size=8).map(lambda text: '"' + re.sub(r'["\\\n\r\x00-\x1f\x7f]', "?", text) + '"'),
    st.lists(st.sampled_from(["a1", "b2", "1", "9", "zz", ""]), max_size=4).map(json.dumps),
)


@st.composite
def spoilt(draw, texts):
    """A good file with some lines changed, doubled, dropped, swapped, or with characters put in."""
    lines = draw(st.sampled_from(texts)).split("\n")
    for _ in range(draw(st.integers(1, 4))):
        at = draw(st.integers(0, len(lines) - 1))
        key = lines[at].partition("=")[0]
        lines[at : at + 1] = draw(
            st.one_of(
                st.just([]),
                st.just([lines[at], lines[at]]),
                VALUES.map(lambda value, key=key: [f"{key}= {value}"]),
                st.text(max_size=6).map(
                    lambda text, line=lines[at]: [line[: len(line) // 2] + text + line[len(line) // 2 :]]
                ),
                st.sampled_from(lines).map(lambda line: [line]),
            )
        )
        lines = lines or [""]
    return "\n".join(lines)


def refused_or(read):
    """What `read` gives, or nothing when it refuses in plain lines."""
    try:
        return read()
    except BadInput as refusal:
        problems = refusal.problems
    assert problems
    assert all(problem.message and "\n" not in str(problem) for problem in problems)
    return None


@given(spoilt(GAMES))
@settings(suppress_health_check=[HealthCheck.too_slow])
def test_game_files(text):
    game = refused_or(lambda: parse_game(text, "game.toml"))
    if game is not None:
        start = np.array([game.start], dtype=np.uint64)
        assert game.ending(start)[0] == UNFINISHED
        assert len(game.moves(start).move) > 0
        assert game.drawing(game.start, 0)
        [said] = game.texts(start, 0)
        assert game.read(said, 0, int(game.mover(start)[0])) == game.start


@given(spoilt(HOUSE_RULES), st.sampled_from(catalogue_names()))
@settings(suppress_health_check=[HealthCheck.too_slow])
def test_house_rules(text, name):
    game = load_game(name)
    refused_or(lambda: parse_house_rules(text, "house.toml", game))


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("spoilt")


@given(text=spoilt(MACHINES))
def test_machines(text, folder):
    (folder / "machine.toml").write_text(text, encoding="utf-8", errors="replace")
    refused_or(lambda: load_machine(folder / "machine.toml"))


@given(text=spoilt(SHEETS), name=st.sampled_from(["sheet.rules", "table.csv"]))
def test_sheets_and_tables(text, name, folder):
    (folder / name).write_text(text, encoding="utf-8", errors="replace")
    refused_or(lambda: load_strategy(folder / name))


@given(raw=st.binary(max_size=200), name=st.sampled_from(["sheet.rules", "table.csv", "game.toml"]))
def test_any_bytes(raw, name, folder):
    (folder / name).write_bytes(raw)
    if name == "game.toml":
        refused_or(lambda: load_game(folder / name))
    else:
        refused_or(lambda: load_strategy(folder / name))
