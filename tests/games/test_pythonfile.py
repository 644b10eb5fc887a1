"""A game in a Python file: what it may leave out, what is told about its mistakes, and how it is run."""

import sys
from pathlib import Path

import numpy as np
import pytest

from games.codes import TURN, by_parent
from games.game import on_board, scored, with_lines
from games.load import load_game
from games.own.file import load_python_game
from games.own.lawful import problems_of
from games.problems import BadInput
from solver.solve import solve

EXAMPLE = Path(__file__).parents[2] / "workbench" / "templates" / "python-game.txt"
TWO_LAMPS = """\
import numpy as np

bits = 2
start = 3
move_names = ["left", "right"]


def mover(codes):
    return codes >> 63


def ending(codes):
    return np.where(codes & 3 == 0, np.where(codes >> 63 == 0, 2, 1), 0)


def moves(codes):
    parents = [np.flatnonzero(codes >> lamp & 1) for lamp in range(2)]
    parent = np.concatenate(parents)
    move = np.repeat([0, 1], [len(lit) for lit in parents])
    return parent, move, codes[parent] ^ np.uint64(2**63) ^ (np.uint64(1) << move.astype(np.uint64))
"""
"""As little as a file can hold: each player puts out one of two lamps; who finds both dark has lost."""


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


def codes(*values):
    return np.array(values, dtype=np.uint64)


# What is left out -------------------------------------------------------------------------------------------


def test_a_file_of_the_least_size_is_a_game(load):
    game = load(TWO_LAMPS)
    assert (game.name, game.title, game.size, game.origin) == ("lamps", "lamps", "2 moves", "")
    assert (game.symmetries, game.can_repeat, game.other_start) == (1, True, None)
    assert game.refusals == ("no-such-move",)
    assert game.rules == ("The rules stand in lamps.py.",)
    assert (on_board(game), with_lines(game), scored(game)) == (None, None, None)
    solution = solve(game)
    assert (solution.value, solution.distance, solution.positions) == ("second", 2, 4)


def test_identity_is_the_only_symmetry_unless_told(load):
    game = load(TWO_LAMPS)
    some = codes(1, 2, 3)
    assert game.turned(0, some).tolist() == [1, 2, 3]
    assert game.turned_move(0, np.array([1, 0], dtype=np.uint16)).tolist() == [1, 0]


def test_a_move_that_is_not_legal_has_one_reason_unless_told(load):
    game = load(TWO_LAMPS)
    pairs = codes(3, 3, 1, 1, 0, 1), np.array([0, 1, 0, 1, 0, 1], dtype=np.uint16)
    assert game.why_not(*pairs).tolist() == [0, 0, 0, 1, 1, 1]


def test_a_position_is_written_as_its_code_unless_told(load):
    game = load(TWO_LAMPS)
    after = codes(1) | TURN
    assert game.texts(after, 0) == ["0x1"]
    assert game.read(" 0x1 ", 0, 1) == int(after[0])
    assert game.read("0X3", 1, 0) == 3
    assert game.drawing(3, 0) == ["0x3"]
    assert game.drawing(3, 0, named=True) == ["0x3", "moves: left right"]
    assert game.drawing(int(after[0]), 0, last=1) == ["0x1 after right"]
    assert game.drawing(int(TURN), 0, named=True) == ["0x0"]
    for text in ("", "3", "0x4", "0xg", "0x11111111111111111"):
        with pytest.raises(ValueError, match=r"expected a position's code such as 0x3, not"):
            game.read(text, 0, 0)


def test_nothing_is_asked_about_no_positions(load):
    game = load(TWO_LAMPS.replace("    return codes >> 63", "    assert len(codes)\n    return codes >> 63"))
    none, no_moves = codes(), np.zeros(0, dtype=np.uint16)
    assert [len(column) for column in game.moves(none)] == [0, 0, 0]
    for answer in (game.mover(none), game.ending(none), game.why_not(none, no_moves), game.turned(0, none)):
        assert len(answer) == 0


def test_the_text_on_top_is_the_rules_unless_told(load):
    on_top = '"""Lamps.\n\nEach player puts\n  out a lamp.\n\n\n"""\n'
    assert load(on_top + TWO_LAMPS).rules == ("Lamps.", "Each player puts out a lamp.")
    assert load(on_top + TWO_LAMPS + "rules = ['None.']").rules == ("None.",)


def test_a_file_may_say_everything(load):
    said = """
title, origin, size = "Two lamps", "Made up", "two"
can_repeat = False
symmetries = 2
refusals = ["dark"]
other_start = 3 | 2**63

def turned(symmetry, codes):
    return codes if symmetry == 0 else codes & 2**63 | codes >> 1 & 1 | (codes & 1) << 1

def turned_move(symmetry, moves):
    return moves if symmetry == 0 else 1 - moves

def why_not(codes, moves):
    return codes >> moves & 1 == 0

def texts(codes, seat):
    return [f"{code & 3:02b}" for code in codes.tolist()]

def read(text, seat, mover):
    return int(text, 2) | mover << 63

def drawing(code, seat, last=None, named=False):
    return f"{code & 3:02b}\\nlast {last} {named}"

def gains(codes, moves):
    return moves - 1
"""
    game = load(TWO_LAMPS + said)
    assert (game.title, game.origin, game.size, game.can_repeat) == ("Two lamps", "Made up", "two", False)
    assert (game.symmetries, game.refusals, game.other_start) == (2, ("dark",), 3 | 1 << 63)
    assert game.turned(1, codes(1) | TURN).tolist() == [2 | 1 << 63]
    assert game.turned_move(1, np.array([0, 1], dtype=np.uint16)).tolist() == [1, 0]
    assert game.why_not(codes(1, 1), np.array([0, 1], dtype=np.uint16)).tolist() == [0, 1]
    assert (game.texts(codes(1), 0), game.read("01", 0, 1)) == (["01"], 1 | 1 << 63)
    assert game.drawing(1, 0, 1, named=True) == ["01", "last 1 True"]
    with pytest.raises(ValueError, match="invalid literal"):
        game.read("dark", 0, 0)
    scores = scored(game)
    assert scores is not None
    assert scores.gains(codes(3, 3), np.array([0, 1], dtype=np.int16)).tolist() == [-1, 0]


def test_moves_can_score(load):
    """The lamps are worth 1 and 2, so whoever begins puts out the second and is 1 ahead."""
    plain = "np.where(codes & 3 == 0, np.where(codes >> 63 == 0, 2, 1), 0)"
    assert plain in TWO_LAMPS
    gains = (
        "\ndef gains(codes, moves):\n    return np.where(codes >> 63 == 0, 1, -1) * (moves.astype(int) + 1)\n"
    )
    game = load(TWO_LAMPS.replace(plain, "np.where(codes & 3 == 0, 3, 0)") + gains)
    assert problems_of(game) == []
    assert solve(game).value == 1


# Cells and lines --------------------------------------------------------------------------------------------


def test_the_example_is_a_game_on_cells_with_lines(load):
    game = load(EXAMPLE.read_text(encoding="utf-8"))
    assert game.size == "7 x 1"
    assert game.rules[0] == "Moorings: two clubs moor boats at a quay of seven berths."
    cells = on_board(game)
    assert cells is not None
    assert cells.board.names == tuple("abcdefg")
    code = cells.code_of(0b1, 0b1000, 1)
    assert game.texts(codes(code), 0) == ["M__V___"]
    assert game.texts(codes(code), 1) == ["V__M___"]
    assert game.read("M__V___", 0, 1) == code
    assert game.drawing(code, 0, last=3) == [" M  _  _ (V) _  _  _ "]
    assert game.drawing(code, 0, named=True) == ["M | _ | c | V | e | f | g"]
    every = np.arange(7, dtype=np.uint16)
    assert game.why_not(np.repeat(codes(code), 7), every).tolist() == [2, 1, 0, 3, 0, 0, 0]
    marks = with_lines(game)
    assert marks is not None
    assert marks.lines == (7, 14, 28, 56, 112)
    assert marks.cell_images == (tuple(range(7)), tuple(range(6, -1, -1)))
    place, move = marks.moves_onto(codes(0, code), codes(0b11, 0b1111))
    assert (place.tolist(), move.tolist()) == ([0, 0, 1], [0, 1, 2])


def test_the_example_has_the_value_that_the_obvious_way_finds(load):
    """Held against a search over tuples that knows nothing of codes."""
    berths = 7

    def value(board, mover):
        for side in (0, 1):
            if any(board[at : at + 3] == (side,) * 3 for at in range(berths - 2)):
                return side
        around = [(None, *board, None)[at : at + 3] for at in range(berths)]
        open_ = [at for at in range(berths) if board[at] is None and 1 - mover not in around[at]]
        children = [(*board[:at], mover, *board[at + 1 :]) for at in open_]
        return mover if any(value(child, 1 - mover) == mover for child in children) else 1 - mover

    names = ("first", "second")
    assert solve(load(EXAMPLE.read_text(encoding="utf-8"))).value == names[value((None,) * berths, 0)]


def test_cells_packed_in_another_way_need_code_of(load):
    swapped = EXAMPLE.read_text(encoding="utf-8").replace(
        "return codes & ALL, codes >> BERTHS & ALL", "return codes >> BERTHS & ALL, codes & ALL"
    )
    swapped = swapped.replace("mover(codes[parent]) * BERTHS", "(1 - mover(codes[parent])) * BERTHS")
    game = load(swapped)
    with pytest.raises(ValueError, match="expected a function code_of in it"):
        game.read("M__V___", 0, 1)
    told_how = "\n\ndef code_of(first, second, mover):\n    return first << 7 | second | mover << 63\n"
    game = load(swapped + told_how)
    assert game.read("M__V___", 0, 1) == 1 << 7 | 8 | 1 << 63


def test_moves_that_are_no_cells_are_listed_below_the_board(load):
    """One man of each player on a row of three points; a move is a step to a free point."""
    text = """
import numpy as np
columns, rows = 3, 1
bits, start = 6, 0b100_001
move_names = ["a1-b1", "b1-a1", "b1-c1", "c1-b1"]
STEPS = [(0, 1), (1, 0), (1, 2), (2, 1)]

def holdings(codes):
    return codes & 7, codes >> 3 & 7

def mover(codes):
    return codes >> 63

def ending(codes):
    return np.where(len(codes) and codes & 7 == 4, 1, np.where(codes >> 3 & 7 == 1, 2, 0))

def moves(codes):
    columns = [[], [], []]
    shift = mover(codes) * 3
    for number, (start, goal) in enumerate(STEPS):
        men = np.uint64(1 << start) << shift
        free = (codes | codes >> 3) >> goal & 1 == 0
        parent = np.flatnonzero((codes & men != 0) & free)
        columns[0].append(parent)
        columns[1].append(np.full(len(parent), number))
        columns[2].append(codes[parent] ^ men[parent] ^ np.uint64(1 << goal) << shift[parent] ^ 2**63)
    return [np.concatenate(column) for column in columns]
"""
    game = load(text)
    assert game.drawing(game.start, 0, named=True) == ["M  | b1 | V", "moves: a1-b1"]
    assert game.drawing(int(game.moves(codes(game.start)).child[0]), 0, last=0) == [" _ (M) V "]


# The same game through both doors -----------------------------------------------------------------------------


def test_noughts_and_crosses_in_python_is_the_one_of_the_catalogue(load):
    four = (Path(__file__).parents[2] / "benchmarks" / "four_by_four.py").read_text(encoding="utf-8")
    three = four.replace("SIDE = 4", "SIDE = 3").replace('"abcd"', '"abc"')
    three = three.replace("0b1111 <<", "0b111 <<").replace("0x1111 <<", "0o111 <<")
    three = three.replace("0x8421, 0x1248", "0o421, 0o124")
    ours, theirs = load(three), load_game("noughts-and-crosses")
    found, wanted = solve(ours), solve(theirs)
    assert (found.value, found.positions) == (wanted.value, wanted.positions) == ("draw", 5478)
    for mine, known in zip(found.solved.plies(), wanted.solved.plies(), strict=True):
        assert np.array_equal(mine, known)
        assert np.array_equal(found.solved.look_up(mine).value, wanted.solved.look_up(known).value)
        assert np.array_equal(ours.ending(mine), theirs.ending(known))
        open_ = mine[ours.ending(mine) == 0]
        for mine_, known_ in zip(by_parent(ours.moves(open_)), by_parent(theirs.moves(open_)), strict=True):
            assert np.array_equal(mine_, known_)


# Mistakes ---------------------------------------------------------------------------------------------------

AT_ONCE = {
    "no Python": ("def moves(codes:\n", ["lamps.py:1:10: this is not Python: '(' was never closed"]),
    "an exception": (
        TWO_LAMPS.replace("start = 3", "start = 3 // 0"),
        ["lamps.py:4: the file stops with ZeroDivisionError: integer division or modulo by zero"],
    ),
    "an exception inside": (
        "def deep():\n    return [][1]\n\nstart = deep()\n",
        ["lamps.py:2: the file stops with IndexError: list index out of range"],
    ),
    "an exception elsewhere": (
        "import json\n\njson.loads('{')\n",
        [
            "lamps.py:3: the file stops with JSONDecodeError: Expecting property name enclosed in double quotes"
        ],
    ),
    "a module that is not there": (
        "import nowhere_at_all\n",
        ["lamps.py:1: the file stops with ModuleNotFoundError: No module named 'nowhere_at_all'"],
    ),
    "the end of the program": (
        "raise SystemExit('enough')\n",
        ["lamps.py:1: the file stops: it wants to end"],
    ),
    "an empty file": (
        "",
        [
            "lamps.py: 'moves' is missing; expected def moves(codes)",
            "lamps.py: 'mover' is missing",
            "lamps.py: 'ending' is missing",
            "lamps.py: 'bits' is missing; expected bits = ... (how many bits",
            "lamps.py: 'start' is missing",
            "lamps.py: 'move_names' is missing",
        ],
    ),
    "a name misspelt": (
        TWO_LAMPS.replace("def moves", "def move"),
        [
            "lamps.py: 'moves' is missing; expected def moves(codes), which gives parent, move, child; is it 'move' on"
        ],
    ),
    "no function": (TWO_LAMPS + "ending = 3\n", ["lamps.py:21: 'ending' should be a function"]),
    "bits as a text": (
        TWO_LAMPS.replace("bits = 2", "bits = '2'"),
        ["lamps.py:3: 'bits' should be how many bits"],
    ),
    "bits as a flag": (
        TWO_LAMPS.replace("bits = 2", "bits = True"),
        ["lamps.py:3: 'bits' should be how many bits"],
    ),
    "too many bits": (
        TWO_LAMPS.replace("bits = 2", "bits = 64"),
        ["lamps.py:3: 'bits' should be a whole number from 1 to 63, not 64"],
    ),
    "a start outside": (
        TWO_LAMPS.replace("start = 3", "start = 4"),
        ["lamps.py:4: 'start' should be a code in bits 0 to 1, and 63 for the turn"],
    ),
    "a start below nothing": (
        TWO_LAMPS.replace("start = 3", "start = -1"),
        ["lamps.py:4: 'start' should be a code"],
    ),
    "a start that is over": (
        TWO_LAMPS.replace("start = 3", "start = 0"),
        ["lamps.py:4: 'start' is a position that is over already"],
    ),
    "a second start that is over": (
        TWO_LAMPS + "other_start = 0\n",
        ["lamps.py:21: 'other_start' is a position that is over already"],
    ),
    "names as one text": (
        TWO_LAMPS.replace('["left", "right"]', '"lr"'),
        ["lamps.py:5: 'move_names' should be a list of the moves' names in order, not lr"],
    ),
    "no names": (
        TWO_LAMPS.replace('["left", "right"]', "[]"),
        ["lamps.py:5: there are 0 moves; expected 1 to"],
    ),
    "a name twice": (TWO_LAMPS.replace('"right"', '"LEFT"'), ["lamps.py:5: a name is given to two moves"]),
    "a name with a space": (
        TWO_LAMPS.replace('"right"', '"to right"'),
        ["lamps.py:5: a move cannot be called 'to right'; expected letters, digits and hyphens, 8 at most"],
    ),
    "a name too long": (
        TWO_LAMPS.replace('"right"', '"rightmost"'),
        ["lamps.py:5: a move cannot be called 'rightm"],
    ),
    "can_repeat as a number": (
        TWO_LAMPS + "can_repeat = 0\n",
        ["lamps.py:21: 'can_repeat' should be True or False"],
    ),
    "a title of two lines": (TWO_LAMPS + "title = 'a\\nb'\n", ["lamps.py:21: 'title' should be one line"]),
    "a title as a number": (
        TWO_LAMPS + "title = 3\n",
        ["lamps.py:21: 'title' should be a text in quotes, not 3"],
    ),
    "symmetries without turned": (
        TWO_LAMPS + "symmetries = 2\n",
        ["lamps.py:21: 'symmetries' is here, but 'turned' is not; expected both"],
    ),
    "refusals without why_not": (
        TWO_LAMPS + "refusals = ['dark']\n",
        ["lamps.py:21: 'refusals' is here, but"],
    ),
    "a rule that is no text": (
        TWO_LAMPS + "rules = ['Put out a lamp.', 3]\n",
        ["lamps.py:21: 'rules' should be a list"],
    ),
    "a refusal twice": (
        TWO_LAMPS + "refusals = ['dark', 'dark']\ndef why_not(codes, moves): pass\n",
        ["lamps.py:21: expected each reason once, and at most 200"],
    ),
    "a refusal that means something else": (
        TWO_LAMPS + "refusals = ['off-board']\ndef why_not(codes, moves): pass\n",
        ["lamps.py:21: a reason cannot be called 'off-board'; expected a name of its own"],
    ),
    "texts without read": (TWO_LAMPS + "texts = str\n", ["lamps.py:21: 'texts' is here, but 'read' is not"]),
    "holdings without a board": (
        TWO_LAMPS + "holdings = divmod\n",
        ["lamps.py:21: 'holdings' is here, but 'columns'"],
    ),
    "a board without holdings": (
        TWO_LAMPS + "columns, rows = 2, 1\n",
        ["lamps.py:21: 'rows' is here, but 'holdings'"],
    ),
    "a board too large": (
        TWO_LAMPS + "columns, rows = 8, 8\nholdings = divmod\n",
        ["lamps.py:21: a board of 8 x 8 is too large; expected at most 63 cells"],
    ),
    "a line of one cell": (
        TWO_LAMPS + "columns, rows = 2, 1\nholdings = divmod\nlines = [1]\n",
        ["lamps.py:23: 1 is no line; expected a set of two cells or more, as bits 0 to 1"],
    ),
    "lines where moves are no cells": (
        TWO_LAMPS + "columns, rows = 3, 1\nholdings = divmod\nlines = [7]\n",
        ["lamps.py:23: 'lines' is for games in which each move is a mark on one of 3 cells; expected 3"],
    ),
    "a turned move that is no move": (
        TWO_LAMPS
        + "symmetries = 2\ndef turned(s, codes): return codes\ndef turned_move(s, moves): return moves + s\n",
        ["lamps.py:23: turned_move gives 2 for the move; expected 0 to 1"],
    ),
    "a turned move twice": (
        TWO_LAMPS
        + "symmetries = 2\ndef turned(s, codes): return codes\ndef turned_move(s, moves): return moves * 0\n",
        ["lamps.py:23: turned_move: symmetry 0 does not carry each move to one of its own"],
    ),
}
"""Files with a mistake that is told when they are loaded: the text, and how each of the lines begins."""


@pytest.mark.parametrize("name", AT_ONCE)
def test_mistakes_that_are_told_at_once(name, told):
    text, expected = AT_ONCE[name]
    found = told(text)
    assert len(found) == len(expected), found
    for line, begin in zip(found, expected, strict=True):
        assert line.startswith(begin), line


ASKED = {
    "a name that is not there": (
        "mover",
        "return codez",
        "lamps.py:9: mover stops with NameError: name 'codez'",
    ),
    "no argument": ("mover", None, "lamps.py:8: mover stops with TypeError: mover() takes 0 positional"),
    "nothing": ("mover", "return None", "lamps.py:8: mover gives the player as nothing; expected an array"),
    "a column": (
        "mover",
        "return codes[:, None]",
        "lamps.py:8: mover gives the player as an array of uint64 with 2 axes",
    ),
    "one number": (
        "mover",
        "return 0",
        "lamps.py:8: mover gives the player as 0; expected an array with one axis",
    ),
    "a fraction": (
        "mover",
        "return codes / 1",
        "lamps.py:8: mover gives the player as float64; expected whole",
    ),
    "too few": (
        "mover",
        "return codes[1:] >> 63",
        "lamps.py:8: mover gives 0 values for the player; expected 1",
    ),
    "a third player": ("mover", "return codes", "lamps.py:8: mover gives 3 for the player; expected 0 to 1"),
    "below nothing": (
        "mover",
        "return (codes >> 63).astype(int) - 1",
        "lamps.py:8: mover gives -1 for the player",
    ),
    "its own question changed": (
        "mover",
        "codes >>= 63; return codes",
        "lamps.py:9: mover stops with ValueError: the arrays that a function is given belong to the caller",
    ),
    "the end of the program": (
        "mover",
        "import sys; sys.exit()",
        "lamps.py:9: mover stops: it wants to end the",
    ),
    "two columns": (
        "moves",
        "return codes, codes",
        "lamps.py:16: moves gives a tuple of 2; expected three arrays",
    ),
    "codes that are numbers": (
        "moves",
        "a = np.array([0]); return a, a, a",
        "lamps.py:16: moves gives child as int64; expected uint64",
    ),
    "codes that are fractions": (
        "moves",
        "a = np.array([0]); return a, a, a + codes",
        "lamps.py:16: moves gives child as float64, which numpy makes of uint64 and signed numbers; expected uint64",
    ),
    "no moves": (
        "moves",
        "return codes[:0] > 0, codes[:0], codes[:0]",
        "lamps.py:16: moves in 0x3 (0x3, first to move): a position without moves that is not over; expected a move",
    ),
    "a parent that is not there": (
        "moves",
        "return np.array([1]), np.array([0]), codes",
        "lamps.py:16: moves: gives 1 as a parent; expected a place from 0 to 0",
    ),
    "a parent below nothing": (
        "moves",
        "return np.array([-1]), np.array([0]), codes",
        "lamps.py:16: moves: gives -1 as a parent; expected a place from 0 to 0",
    ),
    "a move without a name": (
        "moves",
        "return np.array([0]), np.array([2]), codes",
        "lamps.py:16: moves gives 2 for move; expected 0 to 1",
    ),
    "a child outside": (
        "moves",
        "return np.array([0]), np.array([1]), codes + 1",
        "lamps.py:16: moves in 0x3 (0x3, first to move): right leads to 0x4; expected a code in bits 0 to 1, and 63",
    ),
}
"""Functions with a mistake that is told when they are asked: what stands in them instead, and what is told."""


@pytest.mark.parametrize("name", ASKED)
def test_mistakes_that_are_told_when_a_function_is_asked(name, load):
    function, body, expected = ASKED[name]
    head, _, rest = TWO_LAMPS.partition(f"def {function}(codes):\n")
    _, following, after = rest.partition("\n\n\ndef")
    game = load(f"{head}def {function}({'codes' if body else ''}):\n    {body}{following}{after}\n")
    with pytest.raises(BadInput) as bad:
        getattr(game, function)(codes(3))
    assert str(bad.value).startswith(expected)
    assert "\n" not in str(bad.value)


def test_memory_that_runs_out_is_no_mistake_of_the_file(load):
    game = load(TWO_LAMPS.replace("return codes >> 63", "raise MemoryError"))
    with pytest.raises(MemoryError):
        game.mover(codes(3))


def test_words_of_the_file_that_are_none_are_told(load):
    words = "\ndef texts(codes, seat): return 'ab'\ndef read(text, seat, mover): return -1\n"
    words += "def drawing(*a, named): pass\n"
    game = load(TWO_LAMPS + words)
    for ask, expected in (
        (lambda: game.texts(codes(1, 3), 0), "lamps.py:22: texts gives 'ab'; expected a list of a text"),
        (lambda: game.read("x", 0, 0), "lamps.py:23: read gives -1; expected a code, or a ValueError"),
        (lambda: game.drawing(3, 0), "lamps.py:24: drawing gives nothing; expected a list of lines"),
    ):
        with pytest.raises(BadInput) as bad:
            ask()
        assert str(bad.value).startswith(expected)


CELLS = "columns, rows = 2, 1\ndef holdings(codes): return codes & 1, codes >> 1 & 1\n"


def test_cells_that_are_none_are_told(load):
    game = load(f"{TWO_LAMPS}{CELLS}def code_of(first, second, mover): return 1 << 40\n")
    with pytest.raises(
        BadInput, match=r"lamps.py:23: code_of gives 1099511627776; expected a code, or a ValueError"
    ):
        game.read("M_", 0, 0)
    game = load(TWO_LAMPS + CELLS.replace("return", "return codes,; return"))
    with pytest.raises(
        BadInput, match=r"lamps.py:22: holdings gives a tuple of 1; expected two arrays of sets"
    ):
        game.texts(codes(1), 0)


def test_what_callers_do_to_the_answers_does_the_file_no_harm(load):
    """Answers that are parts of the question, or that the file keeps, are handed on as copies."""
    game = load(
        TWO_LAMPS + "symmetries = 1\ndef turned(s, codes): return codes\ndef turned_move(s, m): return m\n"
    )
    asked = codes(1, 3)
    game.turned(0, asked)[:] = 0
    assert asked.tolist() == [1, 3]


# How it is run ------------------------------------------------------------------------------------------------


def test_what_a_file_prints_goes_to_standard_error(load, capsys):
    game = load(
        "print('loading')\n"
        + TWO_LAMPS.replace("    return codes >> 63", "    print('asked'); return codes >> 63")
    )
    game.mover(codes(3))
    out, err = capsys.readouterr()
    assert (out, err) == ("", "loading\nasked\nasked\n"[: len(err)])
    assert "loading\nasked\n" in err


def test_the_file_is_read_afresh_and_nothing_is_left_beside_it(load):
    assert load(TWO_LAMPS).start == 3
    assert load(TWO_LAMPS.replace("start = 3", "start = 1")).start == 1
    assert [path.name for path in Path().iterdir()] == ["lamps.py"]


def test_the_file_stands_under_a_name_that_hides_no_module(load):
    Path("numpy.py").write_text(TWO_LAMPS, encoding="utf-8")
    game = load_python_game("numpy.py")
    assert game.name == "numpy"
    assert sys.modules["numpy"] is np


def test_dataclasses_work_in_the_file(load):
    text = "from __future__ import annotations\nfrom dataclasses import dataclass\n"
    assert load(f"{text}@dataclass\nclass Lamp:\n    lit: bool\n{TWO_LAMPS}").start == 3


def test_a_module_with_a_mistake_is_told_where_it_is_imported(told, monkeypatch, tmp_path):
    (tmp_path / "helper_of_lamps.py").write_text("def (", encoding="utf-8")
    monkeypatch.syspath_prepend(tmp_path)
    [line] = told("\nimport helper_of_lamps\n")
    assert line.startswith("lamps.py:2: helper_of_lamps.py is not Python: ")


def test_a_file_that_stops_leaves_no_module_behind(tmp_path):
    (tmp_path / "stops_at_once.py").write_text("raise ValueError", encoding="utf-8")
    with pytest.raises(BadInput):
        load_python_game(tmp_path / "stops_at_once.py")
    assert not [name for name in sys.modules if "stops_at_once" in name]


@pytest.mark.parametrize(
    ("write", "expected"),
    [
        (None, "lamps.py: cannot be read: there is no such file"),
        (b"\xff\xfe", "lamps.py:1: this is UTF-16 text"),
        (b"x = '\xe9'", "lamps.py:1: expected UTF-8 text"),
        (b"x = 1\0", "lamps.py:1: holds a byte 0"),
    ],
)
def test_a_file_that_cannot_be_read_is_told_so(write, expected, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    if write is not None:
        Path("lamps.py").write_bytes(write)
    with pytest.raises(BadInput) as bad:
        load_python_game("lamps.py")
    assert str(bad.value).startswith(expected)


def test_line_ends_and_marks_of_other_systems_are_read(load):
    Path("lamps.py").write_bytes(b"\xef\xbb\xbf" + TWO_LAMPS.replace("\n", "\r\n").encode())
    assert load_game("lamps.py").start == 3
