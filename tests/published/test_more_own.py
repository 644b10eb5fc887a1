"""Games that no family can say, written in Python as a user would: figures known by heart."""

import numpy as np
import pytest

from games.load import load_game
from solver import grundy
from solver.graph import explore
from solver.values import best_play
from tests.published import plainly
from tests.published.figures import Published, found

HEAD = '''"""Two heaps, or rows of heaps.

Made for a test.
"""

import numpy as np

TURN = 2**63
{constants}
move_names = {names}


def mover(codes):
    return codes >> 63


def ending(codes):
    over = np.ones(len(codes), dtype=bool)
    over[moves(codes)[0]] = False
    return np.where(over, np.where(mover(codes) == 0, 2, 1), 0)


def moves(codes):
    parents, moves, children = [], [], []
    for move, (what) in enumerate(WAYS):
        legal, child = after(codes, what)
        parents.append(np.flatnonzero(legal))
        moves.append(np.full(len(parents[-1]), move))
        children.append(child[parents[-1]] ^ TURN)
    return np.concatenate(parents), np.concatenate(moves), np.concatenate(children)


{after}
'''


def written(tmp_path, constants, names, after):
    path = tmp_path / "own.py"
    path.write_text(HEAD.format(constants=constants, names=names, after=after), encoding="utf-8")
    return load_game(path)


# Wythoff's game -------------------------------------------------------------------------------------------

LARGEST = 13
WYTHOFF = Published(
    [(0, 0), (1, 2), (3, 5), (4, 7), (6, 10), (8, 13)],
    "W. A. Wythoff, Nieuw Archief voor Wiskunde 7, 1907: take from one heap, or as many from both; lost are the pairs "
    "whose parts are the wholes of n times the golden section and of n times its square (from memory)",
)


TAKE_FROM_TWO = """
def after(codes, take):
    a, b = take
    return (codes & 15 >= a) & (codes >> 4 & 15 >= b), codes - (a | b << 4)
"""


def wythoff(tmp_path):
    """Heaps of up to 13: bits 0 to 3 and 4 to 7."""
    ways = [(a, b) for n in range(1, LARGEST + 1) for a, b in ((n, 0), (0, n), (n, n))]
    return written(
        tmp_path,
        f"WAYS = {ways}\nbits = 8\nstart = {LARGEST | LARGEST << 4}",
        [f"{a}-{b}" for a, b in ways],
        TAKE_FROM_TWO,
    )


def test_wythoffs_pairs(tmp_path):
    game = wythoff(tmp_path)
    graph = explore(game)
    lost = graph.codes[best_play(graph).value - 1 != graph.mover].tolist()
    pairs = {tuple(sorted((code & 15, code >> 4 & 15))) for code in lost}
    assert pairs == set(WYTHOFF.value)
    golden = (1 + 5**0.5) / 2
    assert sorted(pairs) == [(int(n * golden), int(n * golden**2)) for n in range(len(pairs))]


def test_wythoffs_game_against_the_plain_program(tmp_path):
    def after(heaps):
        for n in range(1, LARGEST + 1):
            for a, b in ((n, 0), (0, n), (n, n)):
                if a <= heaps[0] and b <= heaps[1]:
                    yield heaps[0] - a, heaps[1] - b

    assert found(wythoff(tmp_path)) == plainly.solve(plainly.last_move((LARGEST, LARGEST), after))


# Games in which heaps are split ---------------------------------------------------------------------------

LASKER = Published(
    [0, 1, 2, 4, 3, 5, 6, 8, 7],
    "E. Lasker, 1931: take any number from a heap, or split it in two; the octal 4.333..., whose values exchange 4n-1 "
    "and 4n (Winning Ways, chapter 4; from memory)",
)
GRUNDYS = Published(
    [0, 0, 0, 1, 0, 2, 1, 0, 2],
    "P. M. Grundy, 1939: split a heap into two unlike ones; OEIS A002188 (from memory)",
)
COUNTERS = 8


def splitting(tmp_path, *, takes, alike):
    """How many heaps there are of each size from 1 to 8, in four bits each."""
    ways = [
        ((size,), (size - n,) if n < size else ())
        for size in range(1, COUNTERS + 1)
        for n in range(1, size + 1)
    ]
    ways = (ways if takes else []) + [
        ((size,), (part, size - part))
        for size in range(2, COUNTERS + 1)
        for part in range(1, size // 2 + 1)
        if alike or 2 * part != size
    ]
    after = """
def after(codes, way):
    [old], new = way
    legal = codes >> np.uint64(4 * old - 4) & np.uint64(15) > 0
    child = codes - (1 << 4 * old - 4)
    for size in new:
        child = child + (1 << 4 * size - 4)
    return legal, child
"""
    names = [f"{old}to{'-'.join(map(str, new)) or 0}" for (old,), new in ways]
    start = 1 << 4 * COUNTERS - 4
    return written(tmp_path, f"WAYS = {ways}\nbits = {4 * COUNTERS}\nstart = {start}", names, after)


@pytest.mark.parametrize(("values", "takes", "alike"), [(LASKER, True, True), (GRUNDYS, False, False)])
def test_games_in_which_heaps_are_split(tmp_path, values, takes, alike):
    """Of a single heap of eight, and of every single heap that comes of it."""
    game = splitting(tmp_path, takes=takes, alike=alike)
    graph = explore(game)
    worth = grundy.of_positions(graph)
    singles = {1 << 4 * size - 4: size for size in range(1, COUNTERS + 1)}
    heaps = (graph.codes & np.uint64((1 << 63) - 1)).tolist()
    met = {singles[code]: value for code, value in zip(heaps, worth.tolist(), strict=True) if code in singles}
    assert COUNTERS in met
    assert met == {size: values.value[size] for size in met}
