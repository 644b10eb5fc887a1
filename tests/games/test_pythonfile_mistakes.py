"""What is wrong with a game in Python is told, at once or when a function is asked."""

import pytest

from games.problems import BadInput
from tests.games.lamps import TWO_LAMPS, codes

TURNS = "def turned(s, codes): return codes\ndef turned_move(s, moves): return moves\n"
AT_ONCE = {
    "no Python": ("def moves(codes:\n", ["lamps.py:1:10: this is not Python: '(' was never closed ..."]),
    "an exception": (
        TWO_LAMPS.replace("start = 3", "start = 3 // 0"),
        ["lamps.py:4: the file stops with ZeroDivisionError: integer division or modulo by zero ..."],
    ),
    "an exception inside": (
        "def deep():\n    return [][1]\n\nstart = deep()\n",
        ["lamps.py:2: the file stops with IndexError: list index out of range ..."],
    ),
    "an exception elsewhere": (
        "import json\n\njson.loads('{')\n",
        [
            (
                "lamps.py:3: the file stops with JSONDecodeError: Expecting property name enclosed in double "
                "quotes ..."
            )
        ],
    ),
    "a module that is not there": (
        "import nowhere_at_all\n",
        ["lamps.py:1: the file stops with ModuleNotFoundError: No module named 'nowhere_at_all' ..."],
    ),
    "the end of the program": (
        "raise SystemExit('enough')\n",
        ["lamps.py:1: the file stops: it wants to end the whole program"],
    ),
    "an exception without words": ("raise ValueError\n", ["lamps.py:1: the file stops with ValueError"]),
    "an exception of two lines": (
        "raise ValueError('one\\ntwo')\n",
        ["lamps.py:1: the file stops with ValueError: one"],
    ),
    "an empty file": (
        "",
        [
            "lamps.py: 'moves' is missing; expected def moves(codes), which gives parent, move, child",
            "lamps.py: 'mover' is missing; expected def mover(codes), which gives 0 or 1 for each code",
            "lamps.py: 'ending' is missing; expected def ending(codes), which gives 0 to 3 for each code",
            (
                "lamps.py: 'bits' is missing; expected bits = ... (how many bits a code takes, without the "
                "turn's: a whole number from 1 to 63)"
            ),
            "lamps.py: 'start' is missing; expected start = ... (the code of a first position)",
            "lamps.py: 'move_names' is missing; expected move_names = ... (a list of the moves' names in order)",
        ],
    ),
    "a name misspelt": (
        TWO_LAMPS.replace("def moves", "def move"),
        [
            (
                "lamps.py: 'moves' is missing; expected def moves(codes), which gives parent, move, child; is "
                "it 'move' on line 16?"
            )
        ],
    ),
    "no function": (TWO_LAMPS + "ending = 3\n", ["lamps.py:21: 'ending' should be a function"]),
    "bits as a text": (
        TWO_LAMPS.replace("bits = 2", "bits = '2'"),
        [
            (
                "lamps.py:3: 'bits' should be how many bits a code takes, without the turn's: a whole number "
                "from 1 to 63, not '2'"
            )
        ],
    ),
    "bits as a flag": (
        TWO_LAMPS.replace("bits = 2", "bits = True"),
        [
            (
                "lamps.py:3: 'bits' should be how many bits a code takes, without the turn's: a whole number "
                "from 1 to 63, not True"
            )
        ],
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
        ["lamps.py:4: 'start' should be a code in bits 0 to 1, and 63 for the turn"],
    ),
    "a start that is over": (
        TWO_LAMPS.replace("start = 3", "start = 0"),
        ["lamps.py:4: 'start' is a position that is over already; expected one with moves"],
    ),
    "a second start that is over": (
        TWO_LAMPS + "other_start = 0\n",
        ["lamps.py:21: 'other_start' is a position that is over already; expected one with moves"],
    ),
    "names as one text": (
        TWO_LAMPS.replace('["left", "right"]', '"lr"'),
        ["lamps.py:5: 'move_names' should be a list of the moves' names in order, not 'lr'"],
    ),
    "no names": (
        TWO_LAMPS.replace('["left", "right"]', "[]"),
        ["lamps.py:5: there are 0 moves; expected 1 to 10,000"],
    ),
    "a name twice": (
        TWO_LAMPS.replace('"right"', '"LEFT"'),
        ["lamps.py:5: a name is given to two moves; expected each once, in capitals or not"],
    ),
    "a name with a space": (
        TWO_LAMPS.replace('"right"', '"to right"'),
        ["lamps.py:5: a move cannot be called 'to right'; expected letters, digits and hyphens, 8 at most"],
    ),
    "a name too long": (
        TWO_LAMPS.replace('"right"', '"rightmost"'),
        ["lamps.py:5: a move cannot be called 'rightmost'; expected letters, digits and hyphens, 8 at most"],
    ),
    "can_repeat as a number": (
        TWO_LAMPS + "can_repeat = 0\n",
        ["lamps.py:21: 'can_repeat' should be True or False, not 0"],
    ),
    "a title of two lines": (
        TWO_LAMPS + "title = 'a\\nb'\n",
        ["lamps.py:21: 'title' should be one line of plain text"],
    ),
    "a title as a number": (
        TWO_LAMPS + "title = 3\n",
        ["lamps.py:21: 'title' should be a text in quotes, not 3"],
    ),
    "a long value": (
        TWO_LAMPS + "title = [" + "11, " * 20 + "]\n",
        [
            f"lamps.py:21: 'title' should be a text in quotes, not [{'11, ' * 9}11, ...",
        ],
    ),
    "too many symmetries": (
        f"{TWO_LAMPS}symmetries = 257\n{TURNS}",
        ["lamps.py:21: 'symmetries' should be a whole number from 1 to 256, not 257"],
    ),
    "no symmetry": (
        f"{TWO_LAMPS}symmetries = 0\n{TURNS}",
        ["lamps.py:21: 'symmetries' should be a whole number from 1 to 256, not 0"],
    ),
    "a board too wide": (
        f"{TWO_LAMPS}columns = 27\nrows = 1\nholdings = divmod\n",
        ["lamps.py:21: 'columns' should be a whole number from 1 to 26, not 27"],
    ),
    "a board too high": (
        f"{TWO_LAMPS}columns = 1\nrows = 27\nholdings = divmod\n",
        ["lamps.py:22: 'rows' should be a whole number from 1 to 26, not 27"],
    ),
    "no bits": (
        TWO_LAMPS.replace("bits = 2", "bits = 0"),
        ["lamps.py:3: 'bits' should be a whole number from 1 to 63, not 0"],
    ),
    "too many names": (
        TWO_LAMPS.replace('["left", "right"]', "list(map(str, range(10_001)))"),
        ["lamps.py:5: there are 10,001 moves; expected 1 to 10,000"],
    ),
    "too many reasons": (
        TWO_LAMPS + "refusals = ['x' * n for n in range(1, 202)]\ndef why_not(codes, moves): pass\n",
        ["lamps.py:21: expected each reason once, and at most 200"],
    ),
    "a reason in capitals": (
        TWO_LAMPS + "refusals = ['Dark']\ndef why_not(codes, moves): pass\n",
        [
            (
                "lamps.py:21: a reason cannot be called 'Dark'; expected a name of its own in small letters and "
                "hyphens, such as no-such-move"
            )
        ],
    ),
    "a line beyond the board": (
        TWO_LAMPS + "columns, rows = 2, 1\nholdings = divmod\nlines = [3, 4]\n",
        ["lamps.py:23: 4 is no line; expected a set of two cells or more, as bits 0 to 1"],
    ),
    "a line that is none": (
        TWO_LAMPS + "columns, rows = 2, 1\nholdings = divmod\nlines = ['ab']\n",
        ["lamps.py:23: 'ab' is no line; expected a set of two cells or more, as bits 0 to 1"],
    ),
    "lines as a number": (
        TWO_LAMPS + "columns, rows = 2, 1\nholdings = divmod\nlines = 3\n",
        ["lamps.py:23: 'lines' should be a list of lines, each a set of cells as bits, not 3"],
    ),
    "symmetries without turned": (
        TWO_LAMPS + "symmetries = 2\n",
        ["lamps.py:21: 'symmetries' is here, but 'turned' is not; expected both"],
    ),
    "refusals without why_not": (
        TWO_LAMPS + "refusals = ['dark']\n",
        ["lamps.py:21: 'refusals' is here, but 'why_not' is not; expected both"],
    ),
    "a rule that is no text": (
        TWO_LAMPS + "rules = ['Put out a lamp.', 3]\n",
        ["lamps.py:21: 'rules' should be a list of sentences, each of one line"],
    ),
    "a refusal twice": (
        TWO_LAMPS + "refusals = ['dark', 'dark']\ndef why_not(codes, moves): pass\n",
        ["lamps.py:21: expected each reason once, and at most 200"],
    ),
    "a refusal that means something else": (
        TWO_LAMPS + "refusals = ['off-board']\ndef why_not(codes, moves): pass\n",
        [
            (
                "lamps.py:21: a reason cannot be called 'off-board'; expected a name of its own in small "
                "letters and hyphens, such as no-such-move"
            )
        ],
    ),
    "texts without read": (
        TWO_LAMPS + "texts = str\n",
        ["lamps.py:21: 'texts' is here, but 'read' is not; expected both"],
    ),
    "holdings without a board": (
        TWO_LAMPS + "holdings = divmod\n",
        ["lamps.py:21: 'holdings' is here, but 'columns' is not; expected both"],
    ),
    "a board without holdings": (
        TWO_LAMPS + "columns, rows = 2, 1\n",
        ["lamps.py:21: 'rows' is here, but 'holdings' is not; expected both"],
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
        [
            "lamps.py:23: 'lines' is for games in which each move is a mark on one of 3 cells; expected 3 moves"
        ],
    ),
    "a turned move that is no move": (
        TWO_LAMPS
        + "symmetries = 2\ndef turned(s, codes): return codes\ndef turned_move(s, moves): return moves + s\n",
        ["lamps.py:23: turned_move gives 2 for the move; expected 0 to 1"],
    ),
    "a turned move twice": (
        TWO_LAMPS
        + "symmetries = 2\ndef turned(s, codes): return codes\ndef turned_move(s, moves): return moves * 0\n",
        [
            (
                "lamps.py:23: turned_move: symmetry 0 does not carry each move to one of its own; expected "
                "every move once"
            )
        ],
    ),
}
"""Files with a mistake that is told when they are loaded: the text, and each of the lines.

Where a line ends with " ..." the rest is in Python's words, which differ from one Python to the next.
"""


def assert_said(line, expected):
    begin = expected.removesuffix(" ...")
    assert line == expected or (begin != expected and line.startswith(begin))


@pytest.mark.parametrize("name", AT_ONCE)
def test_mistakes_that_are_told_at_once(name, told):
    text, expected = AT_ONCE[name]
    found = told(text)
    assert len(found) == len(expected), found
    for line, whole in zip(found, expected, strict=True):
        assert_said(line, whole)


ASKED = {
    "a name that is not there": (
        "mover",
        "return codez",
        "lamps.py:9: mover stops with NameError: name 'codez' ...",
    ),
    "no argument": ("mover", None, "lamps.py:8: mover stops with TypeError: mover() takes 0 positional ..."),
    "nothing": (
        "mover",
        "return None",
        "lamps.py:8: mover gives the player as nothing; expected an array with one axis",
    ),
    "a column": (
        "mover",
        "return codes[:, None]",
        (
            "lamps.py:8: mover gives the player as an array of uint64 with 2 axes; expected an array with "
            "one axis"
        ),
    ),
    "one number": (
        "mover",
        "return 0",
        "lamps.py:8: mover gives the player as 0; expected an array with one axis",
    ),
    "a fraction": (
        "mover",
        "return codes / 1",
        "lamps.py:8: mover gives the player as float64; expected whole numbers",
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
        "lamps.py:8: mover gives -1 for the player; expected 0 to 1",
    ),
    "its own question changed": (
        "mover",
        "codes >>= 63; return codes",
        (
            "lamps.py:9: mover stops with ValueError: the arrays that a function is given belong to the "
            "caller; expected work on a copy"
        ),
    ),
    "the end of the program": (
        "mover",
        "import sys; sys.exit()",
        "lamps.py:9: mover stops: it wants to end the whole program",
    ),
    "two columns": (
        "moves",
        "return codes, codes",
        "lamps.py:16: moves gives a tuple of 2; expected three arrays: parent, move, child",
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
        (
            "lamps.py:16: moves in 0x3 (0x3, first to move): a position without moves that is not over; "
            "expected a move, or an ending"
        ),
    ),
    "a parent that is not there": (
        "moves",
        "return np.array([1]), np.array([0]), codes",
        "lamps.py:16: moves: gives 1 as a parent; expected a place from 0 to 0 in the array of codes",
    ),
    "a parent below nothing": (
        "moves",
        "return np.array([-1]), np.array([0]), codes",
        "lamps.py:16: moves: gives -1 as a parent; expected a place from 0 to 0 in the array of codes",
    ),
    "a move without a name": (
        "moves",
        "return np.array([0]), np.array([2]), codes",
        "lamps.py:16: moves gives 2 for move; expected 0 to 1",
    ),
    "a child outside": (
        "moves",
        "return np.array([0]), np.array([1]), codes + 1",
        (
            "lamps.py:16: moves in 0x3 (0x3, first to move): right leads to 0x4; expected a code in bits 0 "
            "to 1, and 63 for the turn"
        ),
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
    assert_said(str(bad.value), expected)


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


LARGEST = {
    "bits": TWO_LAMPS.replace("bits = 2", "bits = 63"),
    "a start of the second player's": TWO_LAMPS.replace("start = 3", "start = 3 | 1 << 63"),
    "names": TWO_LAMPS.replace('["left", "right"]', "list(map(str, range(10_000)))"),
    "a name": TWO_LAMPS.replace('"right"', '"to-right"'),
    "reasons": TWO_LAMPS + "refusals = ['x' * n for n in range(1, 201)]\ndef why_not(codes, moves): pass\n",
    "columns": f"{TWO_LAMPS}columns = 26\nrows = 2\nholdings = divmod\n",
    "rows": f"{TWO_LAMPS}columns = 2\nrows = 26\nholdings = divmod\n",
    "cells": f"{TWO_LAMPS}columns = 9\nrows = 7\nholdings = divmod\n",
    "a line": f"{TWO_LAMPS}columns = 2\nrows = 1\nholdings = divmod\nlines = [3]\n",
    "numbers of numpy's": TWO_LAMPS.replace("bits = 2", "bits = np.uint8(2)") + "can_repeat = np.True_\n",
}
"""Files at the very edge of what is taken."""


@pytest.mark.parametrize("text", LARGEST.values(), ids=list(LARGEST))
def test_the_largest_is_taken(text, load):
    assert load(text).name == "lamps"


def test_the_place_of_what_is_no_python_is_shown(load):
    with pytest.raises(BadInput) as bad:
        load("start = 3\nbits = (2]\n")
    [problem] = bad.value.problems
    assert (problem.line, problem.column) == (2, 10)
    assert problem.with_caret().split("\n")[1:] == ["    bits = (2]", "             ^"]


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
