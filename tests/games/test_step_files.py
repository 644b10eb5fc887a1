"""Files of games of steps: what is written is what is played, and whatever else is written is answered in words."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from games.codes import UNFINISHED
from games.load import parse_game
from games.problems import BadInput
from solver.graph import explore
from tests.games import plain_steps
from tests.games.test_steps import game_of, keys_of

HEAD = 'kind = "game"\nfamily = "steps"\n'


def toml(value):
    """A value as TOML writes it."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, list | tuple):
        return f"[{', '.join(map(toml, value))}]"
    return f'"{value}"' if isinstance(value, str) else str(value)


def written(keys):
    return HEAD + "".join(f"{key} = {toml(value)}\n" for key, value in keys.items())


def keys_of_rules(plain):
    """The plain rules as the keys of a file."""
    names = plain.names
    keys = {
        "columns": len(names),
        "rows": 1,
        "cells": names,
        "steps": [[names[a], names[b]] for a, b in plain.steps],
        "start": [plain.start.replace(".", "_")],
        "men": plain.men[0],
        "second-men": plain.men[1],
        "begins": ("first", "second")[plain.begins],
        "blocked": plain.blocked,
    }
    if plain.lines:
        keys["lines"] = [[names[point] for point in line] for line in plain.lines]
    if plain.lines and (plain.places() or plain.lines_while_placing == "never"):
        keys["lines-while-placing"] = plain.lines_while_placing
    if plain.barred and set(plain.start) == {"."}:
        keys |= {"barred": [names[point] for point in plain.barred], "barred-to": plain.barred_to}
    if plain.guarded:
        keys |= {"guarded": [names[point] for point in plain.guarded], "guarded-moves": plain.guarded_moves}
    return keys


def read(text):
    """The game of a file, or None and what is wrong with it."""
    try:
        return parse_game(text, "drawn.toml"), ()
    except BadInput as error:
        return None, error.problems


NO_SENSE = ("nobody can win", "every line has", "begins and cannot move", "a line stands already")


@given(plain_steps.rules())
def test_what_is_written_is_what_is_played(plain):
    game, problems = read(written(keys_of_rules(plain)))
    if game is None:
        assert all(any(part in problem.message for part in NO_SENSE) for problem in problems)
        return
    wanted = game_of(plain)
    if set(plain.start) != {"."} and plain.barred:
        return  # then the file does not bar anything
    assert keys_of(game, explore(game).codes) == keys_of(wanted, explore(wanted).codes)
    assert game.start == wanted.start
    assert game.move_names == wanted.move_names
    assert game.symmetries == wanted.symmetries


name = st.sampled_from(["1", "2", "5", "9", "a1", "b1", "c2", "", "x", "pass", "\u00e4"])
anything = st.one_of(
    st.integers(-1, 30),
    st.booleans(),
    st.text("ab1 -", max_size=4),
    st.lists(name, max_size=4),
    st.just([[]]),
)
few = st.integers(1, 4)
SENSIBLE = {
    "columns": few,
    "rows": few,
    "holes": st.lists(name, max_size=2),
    "cells": st.lists(name, max_size=9),
    "pattern": st.sampled_from(["orthogonal", "centre-diagonals", "all-neighbours", "anywhere"]),
    "steps": st.lists(st.lists(name, max_size=4), max_size=4),
    "lines": st.lists(st.lists(name, max_size=3), max_size=4),
    "in-a-row": st.integers(2, 4),
    "start": st.lists(st.text("FS_.M", min_size=1, max_size=4), max_size=4),
    "men": few,
    "second-men": few,
    "begins": st.sampled_from(["first", "second"]),
    "lines-while-placing": st.sampled_from(["win", "wait", "never"]),
    "blocked": st.sampled_from(["loses", "wins", "draws", "passes"]),
    "barred": st.lists(name, max_size=2),
    "barred-to": st.sampled_from(["first-man", "each-first-man"]),
    "guarded": st.lists(name, max_size=2),
    "guarded-moves": st.integers(0, 4),
    "ply-limit": st.integers(0, 1001),
    "repetition-limit": st.integers(0, 1001),
    "title": anything,
    "nonsense": anything,
}


@st.composite
def tables(draw):
    """Keys and values of a file: mostly a small board with men, a few other keys, and now and then nonsense."""
    keys = {"columns": draw(few), "rows": draw(few), "men": draw(few)}
    for key in draw(st.lists(st.sampled_from(sorted(SENSIBLE)), max_size=5, unique=True)):
        keys[key] = draw(st.one_of(SENSIBLE[key], SENSIBLE[key], SENSIBLE[key], anything))
    return keys


@given(tables())
def test_whatever_is_written_is_played_or_answered_in_words(keys):
    text = written(keys)
    game, problems = read(text)
    for problem in problems:
        assert 1 <= problem.line <= text.count("\n")
        assert problem.message.isprintable()
        assert len(problem.message) < 500
    if game is None:
        assert problems
        return
    start = np.array([game.start], dtype=np.uint64)
    assert game.ending(start)[0] == UNFINISHED
    assert len(game.moves(start).move)
    assert game.bits <= 62
    assert all(row.isascii() and len(row) <= 78 for row in game.drawing(game.start, 0, named=True))


def test_how_a_game_begins_is_looked_at_only_where_nothing_else_is_wrong():
    barred = 'columns = 2\nrows = 1\nmen = 1\nbarred = ["a1", "b1"]\n'
    _, problems = read(HEAD + barred)
    said = "the first player begins and cannot move; expected a start with some move"
    assert [problem.message for problem in problems] == [said]
    _, problems = read(f"{HEAD}title = 5\n{barred}")
    assert [problem.message for problem in problems] == [
        "'title' should be a text in quotes, such as \"...\""
    ]


def test_moves_are_placing_then_steps_then_passing_then_what_is_no_step():
    """On four points in a row; where nobody places a man or has to pass, there are no names for it."""
    steps = ("a1-b1", "b1-a1", "b1-c1", "c1-b1", "c1-d1", "d1-c1")
    no_steps = ("a1-c1", "a1-d1", "b1-d1", "c1-a1", "d1-a1", "d1-b1")
    for men, placing in (("men = 2", ("a1", "b1", "c1", "d1")), ('start = ["F_FS"]', ())):
        for blocked, passing in (("loses", ()), ("passes", ("pass",))):
            text = f'columns = 4\nrows = 1\n{men}\nlines = [["a1", "b1"]]\nblocked = "{blocked}"\n'
            game, problems = read(HEAD + text)
            assert problems == ()
            assert game.move_names == (*placing, *steps, *passing, *no_steps)


def test_a_code_takes_two_bits_a_point_and_above_them_what_the_rules_count():
    board = f"{HEAD}columns = 3\nrows = 3\nmen = 3\nin-a-row = 3\n"
    for keys, more in (
        ("", 0),
        ('lines-while-placing = "wait"\n', 1),
        ('guarded = ["5"]\n', 0),
        ('guarded = ["5"]\nguarded-moves = 1\n', 2),
        ('guarded = ["5"]\nguarded-moves = 3\nlines-while-placing = "never"\n', 5),
    ):
        game, _ = read(board + keys)
        assert game.bits == 18 + more


def test_a_line_that_a_step_has_made_is_written_behind_the_board():
    rows = 'columns = 4\nrows = 1\nstart = ["F_FS"]\nlines = [["a1", "b1"]]\nlines-while-placing = "never"\n'
    game, _ = read(HEAD + rows)
    moves = game.moves(np.array([game.start], dtype=np.uint64))
    after = moves.child[moves.move == game.move_names.index("c1-b1")]
    assert game.texts(after, 0) == ["MM_V line"]
    assert game.texts(after, 1) == ["VV_M line"]
    assert game.read("MM_V line", 0, 1) == after[0]
    assert game.ending(np.array([game.read("MM_V", 0, 1)], dtype=np.uint64))[0] == UNFINISHED


def test_the_largest_boards_are_read():
    """Where every point is like every other, the search for symmetries is given up, and the grid's are taken."""
    for keys, symmetries in (
        ({"columns": 13, "rows": 2, "men": 13, "pattern": "anywhere", "in-a-row": 13}, 4),
        ({"columns": 5, "rows": 5, "men": 12, "pattern": "anywhere", "in-a-row": 5}, 32),
        ({"columns": 5, "rows": 5, "men": 12, "pattern": "all-neighbours", "in-a-row": 3}, 8),
        ({"columns": 13, "rows": 2, "men": 13, "steps": [["a1", "b1"]], "lines": [["c2", "d2"]]}, 1),
        ({"columns": 13, "rows": 2, "men": 13}, 4),
    ):
        assert parse_game(written(keys), "large.toml").symmetries == symmetries
