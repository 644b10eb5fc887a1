"""A game in a Python file: what it may leave out, what is told about its mistakes, and how it is run."""

import sys
from pathlib import Path

import numpy as np
import pytest

from games.codes import TURN, by_parent
from games.game import inverse_symmetries, on_board, scored, with_lines
from games.inputs import InputForm, Shape, classify, possible_classes
from games.load import load_game
from games.own.file import load_python_game
from games.own.lawful import problems_of
from games.problems import BadInput
from solver.solve import solve
from tests.games.lamps import TWO_LAMPS, codes

EXAMPLE = Path(__file__).parents[2] / "workbench" / "templates" / "python-game.txt"

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
    assert inverse_symmetries(game) == (0, 1)
    assert game.why_not(codes(1, 1), np.array([0, 1], dtype=np.uint16)).tolist() == [0, 1]
    assert (game.texts(codes(1), 0), game.read("01", 0, 1)) == (["01"], 1 | 1 << 63)
    assert game.drawing(1, 0, 1, named=True) == ["01", "last 1 True"]
    with pytest.raises(ValueError, match="invalid literal"):
        game.read("dark", 0, 0)
    scores = scored(game)
    assert scores is not None
    assert scores.gains(codes(3, 3), np.array([0, 1], dtype=np.int16)).tolist() == [-1, 0]
    nothing = scores.gains(codes(), np.zeros(0, dtype=np.uint16))
    assert (nothing.dtype, nothing.tolist()) == (np.int8, [])


def test_a_file_is_asked_about_moves_of_a_type_that_codes_can_be_shifted_by(load):
    refusing = "\nrefusals = ['dark']\ndef why_not(codes, moves): return codes >> moves & 1 == 0\n"
    game = load(TWO_LAMPS + refusing)
    shape = Shape(game.move_names, InputForm())
    assert [classify(game, shape, 1, 0, name) for name in (b"left", b"RIGHT")] == [
        ("legal", 0),
        ("dark", None),
    ]
    assert possible_classes(game, shape, codes(1, 3), 0)["dark"].tolist() == [True, False]


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
    assert game.refusals == ("no-such-move", "taken-by-first", "taken-by-second")
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
