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
        ["holdings in M______ (0x81, first to move): a cell is held by both; expected one at most"],
    ),
    "a mark of the wrong player": (
        [("(mover(codes[parent]) * BERTHS + berth)", "((1 - mover(codes[parent])) * BERTHS + berth)")],
        ["holdings in _______ (0x0, first to move): a does not just put one mark of the mover's"],
    ),
    "a parent too far": (
        [("parents.append(parent)", "parents.append(parent + 1)")],
        ["moves: gives 1 as a parent; expected a place from 0 to 0 in the array of codes"],
    ),
    "a move without a name": (
        [("np.full(len(parent), berth)", "np.full(len(parent), berth + 1)")],
        ["moves gives 7 for move; expected 0 to 6"],
    ),
    "a move under another's name": (
        [("np.full(len(parent), berth)", "np.full(len(parent), (berth + 1) % 7)")],
        [
            "turned_move in V_M____",
            "moves_onto in _______ (0x0, first to move): does not give the moves that mark",
        ],
    ),
    "moves given twice": (
        [
            (
                "for berth in range(BERTHS):\n        parent =",
                "for berth in [*range(BERTHS), 3]:\n        parent =",
            )
        ],
        ["moves in _______ (0x0, first to move): gives d twice; expected each move once"],
    ),
    "a child outside": (
        [("* BERTHS + berth)", "* BERTHS + berth + 7)")],
        ["moves in _V_____", "a leads to 0x4100; expected a code in bits 0 to 13, and 63 for the turn"],
    ),
    "a dead end": (
        [("np.where(open_berths(codes) == 0, not_the_mover, 0)", "np.zeros(len(codes), dtype=int)")],
        ["moves in", ": a position without moves that is not over; expected a move, or an ending"],
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
        ["after a lost turn, moves in", "a position without moves that is not over; expected a move"],
    ),
    "an ending that is none": (
        [("result[has_three(first)] = 1", "result[has_three(first)] = 4")],
        ["ending gives 4 for the ending; expected 0 to 3"],
    ),
    "a mover who stays": (
        [("return codes >> 63", "return codes & 0")],
        [
            "mover in _______ (0x0, first to move): with bit 63 flipped, as by a lost turn, expected the other player"
        ],
    ),
    "a turn told by the number of marks": (
        [
            ("return codes >> 63", "return bit_count(codes & ALL | codes >> BERTHS & ALL) % 2"),
            ("def has_three", BIT_COUNT),
        ],
        [
            "mover in _______ (0x0, first to move): with bit 63 flipped, as by a lost turn, expected the other player"
        ],
    ),
    "a symmetry that is none": (
        [("return moves if symmetry == 0 else BERTHS - 1 - moves", "return moves")],
        ["turned_move: symmetry 1 does to the moves what 0 does"],
    ),
    "a symmetry that forgets a player": (
        [("for low in (0, BERTHS):", "for low in (0,):")],
        [
            "turned in V_M____ (0x84, first to move): symmetry 1 turns it into ____M__ (0x10",
            "cannot be reached",
        ],
    ),
    "a symmetry that makes one of two": (
        [("    image = codes & TURN", "    return codes & 0\n    image = codes")],
        ["turned in", "symmetry 1 turns this and", "into one; expected two"],
    ),
    "a symmetry that forgets the turn": (
        [("image = codes & TURN", "image = codes & 0")],
        ["turned in", "symmetry 1 turns it into", "which cannot be reached"],
    ),
    "a symmetry that moves the start": (
        [("image = codes & TURN", "image = codes & TURN | 1")],
        [
            "turned in _______ (0x0, first to move): symmetry 1 turns this first position into M______",
            "to stay",
        ],
    ),
    "a symmetry that changes players": (
        [("<< (low + BERTHS - 1 - berth)", "<< (BERTHS - low + BERTHS - 1 - berth)")],
        ["turned in", "symmetry 1 turns it into"],
    ),
    "a symmetry that does not carry moves along": (
        [("<< (low + BERTHS - 1 - berth)", "<< (low + berth)")],
        [
            "turned_move in",
            "symmetry 1 calls g a, which is no move in the image V_M____ (0x84, first to move)",
        ],
    ),
    "an identity that is none": (
        [("    if symmetry == 0:\n        return codes\n    image", "    image")],
        ["turned in", "symmetry 0 changes the position; expected the identity first"],
    ),
    "symmetries that are no group": (
        [
            ("symmetries = 2", "symmetries = 3"),
            ("return moves if symmetry == 0 else BERTHS - 1 - moves", "return (moves + symmetry * 2) % 7"),
        ],
        ["turned_move", "symmetry 1 and then 2 is none of them; expected a group, closed in itself"],
    ),
    "positions that come back": (
        [
            (
                "children.append((codes[parent] | boat) ^ TURN)",
                "children.append(np.where(berth < 6, codes[parent] | boat, codes[parent]) ^ TURN)",
            )
        ],
        ["can_repeat in _______ (0x0, first to move): is False, but this comes back by g, g; expected True"],
    ),
    "a question that is changed": (
        [
            (
                "    first, second = holdings(codes)\n    others",
                "    codes ^= TURN\n    first, second = holdings(codes)\n    others",
            )
        ],
        [
            "stops with ValueError: the arrays that a function is given belong to the caller; expected work on a copy"
        ],
    ),
    "answers that depend on the others": (
        [("return codes >> 63", "return np.maximum.accumulate(codes >> 63)")],
        ["mover", "alone it is answered otherwise than among others; expected the same"],
    ),
    "reasons that are wrong": (
        "refusals = ['taken']\n\ndef why_not(codes, moves):\n    return (codes | codes >> BERTHS) >> moves & 1",
        ["why_not in V_M____ (0x84, first to move): b cannot be played, but why_not gives no reason"],
    ),
    "a reason too many": (
        "refusals = ['taken']\n\ndef why_not(codes, moves):\n    return (open_berths(codes) >> moves & 1 ^ 1) * 2",
        ["why_not gives 2 for the reason; expected 0 to 1"],
    ),
    "texts that are alike": (
        "def texts(codes, seat):\n    return ['quay'] * len(codes)\n\ndef read(text, seat, mover):\n    return 0",
        ["texts in quay (0x84, first to move): gives 'quay' for 0x0 as well; expected different texts"],
    ),
    "texts of two lines": (
        "def texts(codes, seat):\n    return [f'{code}\\n' for code in codes]\n\nread = max",
        ["texts", "expected one line of plain text"],
    ),
    "texts that are read wrongly": (
        "def texts(*asked): return [*map(str, asked[0])]\ndef read(text, seat, mover): return int(text) & ALL",
        ["read in", "expected this position again"],
    ),
    "texts that are not read": (
        "def texts(*asked): return [*map(str, asked[0])]\ndef read(*asked): raise ValueError('no idea')",
        ["read in 0 (0x0, first to move): does not read '0': no idea"],
    ),
    "a drawing too wide": (
        "def drawing(code, seat, last=None, named=False):\n    return ['_' * 77]",
        ["drawing in", "expected lines of plain text of 76 characters at most"],
    ),
    "cells that are not there": (
        [("return codes & ALL, codes >> BERTHS & ALL", "return (codes & ALL) << 1, codes >> BERTHS & ALL")],
        ["holdings in", "a cell is held that is not there; expected cells 0 to 6"],
    ),
    "moves that score and an ending that wins": (
        "def gains(codes, moves):\n    return moves * 0",
        ["ending in", "the moves score, so expected an end to be a draw"],
    ),
    "gains that are not kept": (
        "def gains(codes, moves):\n    return moves",
        ["gains in", "a brings 0, turned by symmetry 1 6; expected the same"],
    ),
}
"""One mistake of each kind in the example: what is replaced, or added at the end; and parts of what must be told."""


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
    told = "\n".join(problems)
    assert all(part in told for part in expected), told
    for problem in problems:
        file, line, _ = problem.split(":", 2)
        assert (file, line.isdigit()) == ("my_game.py", True), problem
        assert problem.isprintable()
