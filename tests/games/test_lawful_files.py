"""Each mistake in a game in Python of the user's is found, and told with its file and line."""

from pathlib import Path

import pytest

from games.own.file import load_python_game
from games.own.lawful import problems_of
from games.problems import BadInput

ROOT = Path(__file__).parents[2]
EXAMPLE = (ROOT / "workbench" / "templates" / "python-game.txt").read_text(encoding="utf-8")

MISTAKES = {
    "taken cells can be played": (
        [("~(first | second | others << 1", "~(others << 1")],
        [
            (
                "30: texts in M_M____ (0x205, first to move): gives 'M_M____' for 0x85 as well; expected "
                "different texts"
            ),
            "30: holdings in M______ (0x81, first to move): a cell is held by both; expected one at most",
            (
                "25: can_repeat in ______M (0x2040, first to move): is False, but this comes back by g, g; "
                "expected True"
            ),
        ],
    ),
    "a mark of the wrong player": (
        [("(mover(codes[parent]) * BERTHS + berth)", "((1 - mover(codes[parent])) * BERTHS + berth)")],
        [
            (
                "30: holdings in _______ (0x0, first to move): a does not just put one mark of the mover's, "
                "which lines are for"
            )
        ],
    ),
    "a parent too far": (
        [("parents.append(parent)", "parents.append(parent + 1)")],
        ["47: moves: gives 1 as a parent; expected a place from 0 to 0 in the array of codes"],
    ),
    "a move without a name": (
        [("np.full(len(parent), berth)", "np.full(len(parent), berth + 1)")],
        ["47: moves gives 7 for move; expected 0 to 6"],
    ),
    "a move under another's name": (
        [("np.full(len(parent), berth)", "np.full(len(parent), (berth + 1) % 7)")],
        [
            (
                "91: turned_move in V_M____ (0x84, first to move): symmetry 1 calls g a, which is no move in "
                "the image ____M_V (0x2010, first to move)"
            ),
            "47: moves_onto in _______ (0x0, first to move): does not give the moves that mark one of the cells",
        ],
    ),
    "moves given twice": (
        [
            (
                "for berth in range(BERTHS):\n        parent =",
                "for berth in [*range(BERTHS), 3]:\n        parent =",
            )
        ],
        ["47: moves in _______ (0x0, first to move): gives d twice; expected each move once"],
    ),
    "a child outside": (
        [("* BERTHS + berth)", "* BERTHS + berth + 7)")],
        [
            (
                "47: moves in _V_____ (0x8000000000000100, second to move): a leads to 0x4100; expected a code "
                "in bits 0 to 13, and 63 for the turn"
            )
        ],
    ),
    "a dead end": (
        [("np.where(open_berths(codes) == 0, not_the_mover, 0)", "np.zeros(len(codes), dtype=int)")],
        [
            (
                "47: moves in V_M__M_ (0x80000000000000a4, second to move): a position without moves that is "
                "not over; expected a move, or an ending"
            )
        ],
    ),
    "a dead end after a lost turn": (
        [
            ("not_the_mover = ", "odd = bit_count(first | second) % 2 == 1\n    not_the_mover = "),
            ("open_berths(codes) == 0, not", "(open_berths(codes) == 0) & (odd == (mover(codes) == 1)), not"),
            (
                "def has_three",
                BIT_COUNT
                := "def bit_count(sets):\n    return sum(sets >> b & 1 for b in range(7))\n\ndef has_three",
            ),
        ],
        [
            (
                "47: after a lost turn, moves in VV_M_M_ (0x80000000000001a8, second to move): a position "
                "without moves that is not over; expected a move, or an ending"
            )
        ],
    ),
    "an ending that is none": (
        [("result[has_three(first)] = 1", "result[has_three(first)] = 4")],
        ["65: ending gives 4 for the ending; expected 0 to 3"],
    ),
    "a mover who stays": (
        [("return codes >> 63", "return codes & 0")],
        [
            (
                "35: mover in _______ (0x0, first to move): with bit 63 flipped, as by a lost turn, expected "
                "the other player"
            ),
            (
                "30: read in M______ (0x8000000000000001, second to move): reads 'M______' as M______ (0x1, "
                "first to move); expected this position again"
            ),
        ],
    ),
    "a turn told by the number of marks": (
        [
            ("return codes >> 63", "return bit_count(codes & ALL | codes >> BERTHS & ALL) % 2"),
            ("def has_three", BIT_COUNT),
        ],
        [
            (
                "35: mover in _______ (0x0, first to move): with bit 63 flipped, as by a lost turn, expected "
                "the other player"
            ),
            (
                "30: read in M______ (0x8000000000000001, second to move): reads 'M______' as M______ (0x1, "
                "first to move); expected this position again"
            ),
        ],
    ),
    "a symmetry that is none": (
        [("return moves if symmetry == 0 else BERTHS - 1 - moves", "return moves")],
        ["91: turned_move: symmetry 1 does to the moves what 0 does; expected each once"],
    ),
    "a symmetry that forgets a player": (
        [("for low in (0, BERTHS):", "for low in (0,):")],
        [
            (
                "79: turned in V_M____ (0x84, first to move): symmetry 1 turns it into ____M__ (0x10, first to "
                "move), which cannot be reached"
            )
        ],
    ),
    "a symmetry that makes one of two": (
        [("    image = codes & TURN", "    return codes & 0\n    image = codes")],
        [
            (
                "79: turned in _______ (0x0, first to move): symmetry 1 turns this and V_M____ (0x84, first to "
                "move) into one; expected two"
            ),
            (
                "79: turned in V__V_MM (0x4e0, first to move): symmetry 1 turns it into _______ (0x0, first to "
                "move), where ending gives 0; expected 2 as here"
            ),
            (
                "79: turned in M______ (0x8000000000000001, second to move): symmetry 1 turns it into _______ "
                "(0x0, first to move), where mover gives 0; expected 1 as here"
            ),
            (
                "79: turned in V_M____ (0x84, first to move): symmetry 1 turns it into _______ (0x0, first to "
                "move), where e can be played as well; expected the same moves"
            ),
        ],
    ),
    "a symmetry that forgets the turn": (
        [("image = codes & TURN", "image = codes & 0")],
        [
            (
                "79: turned in M______ (0x8000000000000001, second to move): symmetry 1 turns it into ______M "
                "(0x40, first to move), which cannot be reached"
            )
        ],
    ),
    "a symmetry that moves the start": (
        [("image = codes & TURN", "image = codes & TURN | 1")],
        [
            (
                "79: turned in _______ (0x0, first to move): symmetry 1 turns this first position into M______ "
                "(0x1, first to move); expected it to stay"
            )
        ],
    ),
    "a symmetry that changes players": (
        [("<< (low + BERTHS - 1 - berth)", "<< (BERTHS - low + BERTHS - 1 - berth)")],
        [
            (
                "79: turned in M______ (0x8000000000000001, second to move): symmetry 1 turns it into ______V "
                "(0x8000000000002000, second to move), which cannot be reached"
            )
        ],
    ),
    "a symmetry that does not carry moves along": (
        [("<< (low + BERTHS - 1 - berth)", "<< (low + berth)")],
        [
            (
                "91: turned_move in V_M____ (0x84, first to move): symmetry 1 calls g a, which is no move in "
                "the image V_M____ (0x84, first to move)"
            )
        ],
    ),
    "an identity that is none": (
        [("    if symmetry == 0:\n        return codes\n    image", "    image")],
        [
            (
                "79: turned in V_M____ (0x84, first to move): symmetry 0 changes the position; expected the "
                "identity first"
            )
        ],
    ),
    "symmetries that are no group": (
        [
            ("symmetries = 2", "symmetries = 3"),
            ("return moves if symmetry == 0 else BERTHS - 1 - moves", "return (moves + symmetry * 2) % 7"),
        ],
        ["91: turned_move: symmetry 1 and then 2 is none of them; expected a group, closed in itself"],
    ),
    "positions that come back": (
        [
            (
                "children.append((codes[parent] | boat) ^ TURN)",
                "children.append(np.where(berth < 6, codes[parent] | boat, codes[parent]) ^ TURN)",
            )
        ],
        [
            (
                "79: turned in M______ (0x1, first to move): symmetry 1 turns it into ______M (0x40, first to "
                "move), which cannot be reached"
            ),
            (
                "30: holdings in _______ (0x0, first to move): g does not just put one mark of the mover's, "
                "which lines are for"
            ),
            "25: can_repeat in _______ (0x0, first to move): is False, but this comes back by g, g; expected True",
        ],
    ),
    "a question that is changed": (
        [
            (
                "    first, second = holdings(codes)\n    others",
                "    codes ^= TURN\n    first, second = holdings(codes)\n    others",
            )
        ],
        [
            (
                "42: ending stops with ValueError: the arrays that a function is given belong to the caller; "
                "expected work on a copy"
            )
        ],
    ),
    "answers that depend on the others": (
        [("return codes >> 63", "return np.maximum.accumulate(codes >> 63)")],
        [
            (
                "35: mover in M______ (0x8000000000000001, second to move): with bit 63 flipped, as by a lost "
                "turn, expected the other player"
            ),
            (
                "35: mover in _MM__VV (0x3006, first to move): alone it is answered otherwise than among "
                "others; expected the same"
            ),
            (
                "65: ending in MM_V_V_ (0x1403, first to move): alone it is answered otherwise than among "
                "others; expected the same"
            ),
            (
                "47: moves in V_M_M_V (0x2094, first to move): a position without moves that is not over; "
                "expected a move, or an ending"
            ),
        ],
    ),
    "reasons that are wrong": (
        "refusals = ['taken']\n\ndef why_not(codes, moves):\n    return (codes | codes >> BERTHS) >> moves & 1",
        ["98: why_not in V_M____ (0x84, first to move): b cannot be played, but why_not gives no reason"],
    ),
    "a reason too many": (
        "refusals = ['taken']\n\ndef why_not(codes, moves):\n    return (open_berths(codes) >> moves & 1 ^ 1) * 2",
        ["98: why_not gives 2 for the reason; expected 0 to 1"],
    ),
    "texts that are alike": (
        "def texts(codes, seat):\n    return ['quay'] * len(codes)\n\ndef read(text, seat, mover):\n    return 0",
        ["96: texts in quay (0x84, first to move): gives 'quay' for 0x0 as well; expected different texts"],
    ),
    "texts of two lines": (
        "def texts(codes, seat):\n    return [f'{code}\\n' for code in codes]\n\nread = max",
        ["96: texts in 0\\n (0x0, first to move): gives '0\\n'; expected one line of plain text"],
    ),
    "texts that are read wrongly": (
        "def texts(*asked): return [*map(str, asked[0])]\ndef read(text, seat, mover): return int(text) & ALL",
        [
            (
                "97: read in 132 (0x84, first to move): reads '132' as 4 (0x4, first to move); expected this "
                "position again"
            )
        ],
    ),
    "texts that are not read": (
        "def texts(*asked): return [*map(str, asked[0])]\ndef read(*asked): raise ValueError('no idea')",
        ["97: read in 0 (0x0, first to move): does not read '0': no idea"],
    ),
    "a drawing too wide": (
        "def drawing(code, seat, last=None, named=False):\n    return ['_' * 77]",
        [
            "96: drawing in _______ (0x0, first to move): expected lines of plain text of 76 characters at most"
        ],
    ),
    "cells that are not there": (
        [("return codes & ALL, codes >> BERTHS & ALL", "return (codes & ALL) << 1, codes >> BERTHS & ALL")],
        [
            (
                "79: turned in V_M____ (0x82, first to move): symmetry 1 turns it into ______M (0x2020, first "
                "to move), which cannot be reached"
            ),
            (
                "30: texts in VV_M___ (0x1c4, first to move): gives 'VV_M___' for 0x184 as well; expected "
                "different texts"
            ),
            (
                "30: holdings in V______ (0xc0, first to move): a cell is held that is not there; expected "
                "cells 0 to 6"
            ),
        ],
    ),
    "moves that score and an ending that wins": (
        "def gains(codes, moves):\n    return moves * 0",
        ["65: ending in V__V_MM (0x4e0, first to move): the moves score, so expected an end to be a draw"],
    ),
    "gains that are not kept": (
        "def gains(codes, moves):\n    return moves",
        [
            "65: ending in V__V_MM (0x4e0, first to move): the moves score, so expected an end to be a draw",
            "96: gains in _______ (0x0, first to move): a brings 0, turned by symmetry 1 6; expected the same",
        ],
    ),
}
"""One mistake of each kind in the example: what is replaced, or added at the end; and each line that must be told."""


def faulty(mistake):
    if isinstance(mistake, str):
        return f"{EXAMPLE}\n\n{mistake}\n"
    text = EXAMPLE
    for old, new in mistake:
        assert old in text, old
        text = text.replace(old, new)
    return text


@pytest.mark.parametrize("name", MISTAKES)
def test_a_mistake_in_a_file_is_found_and_told_with_its_line(name, tmp_path, monkeypatch):
    mistake, expected = MISTAKES[name]
    monkeypatch.chdir(tmp_path)
    Path("my_game.py").write_text(faulty(mistake), encoding="utf-8")
    try:
        problems = [str(problem) for problem in problems_of(load_python_game("my_game.py"))]
    except BadInput as bad:
        problems = str(bad).split("\n")
    assert problems == [f"my_game.py:{line}" for line in expected]
