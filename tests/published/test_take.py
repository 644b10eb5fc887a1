"""What others have published about heaps and pins, each figure with its source.

The figures are reached twice: by the rules for sums of games, and by solving the games themselves.
"""

from typing import NamedTuple

import numpy as np
import pytest

from games.take.heaps import Heaps
from games.take.octal import any_number, read_octal
from games.take.pins import Pins
from solver import grundy
from solver.graph import explore
from solver.values import best_play
from tests import naive_take


class Published(NamedTuple):
    """A figure, and who says so."""

    value: list[int] | int
    source: str


KAYLES = Published(
    [
        0, 1, 2, 3, 1, 4, 3, 2, 1, 4, 2, 6, 4, 1, 2, 7, 1, 4, 3, 2, 1, 4, 6, 7,
        4, 1, 2, 8, 5, 4, 7, 2, 1, 8, 6, 7, 4, 1, 2, 3, 1, 4, 7, 2, 1, 8, 2, 7,
        4, 1, 2, 8, 1, 4, 7, 2, 1, 4, 2, 7, 4, 1, 2, 8, 1, 4, 7, 2, 1, 8, 6, 7,
    ],
    "OEIS A002186; R. K. Guy and C. A. B. Smith, 'The G-values of various games', Proceedings of the "
    "Cambridge Philosophical Society 52, 1956",
)  # fmt: skip
DAWSONS_CHESS = Published(
    [
        0, 1, 1, 2, 0, 3, 1, 1, 0, 3, 3, 2, 2, 4, 0, 5, 2, 2, 3, 3, 0, 1, 1, 3,
        0, 2, 1, 1, 0, 4, 5, 2, 7, 4, 0, 1, 1, 2, 0, 3, 1, 1, 0, 3, 3, 2, 2, 4,
        4, 5, 5, 2, 3, 3, 0, 1, 1, 3, 0, 2, 1, 1, 0, 4, 5, 3, 7, 4, 8,
    ],
    "OEIS A002187 (octal 0.137)",
)  # fmt: skip
NIM_LOST = Published(
    64,
    "of 512; C. L. Bouton, 'Nim, a game with a complete mathematical theory', Annals of Mathematics 3, 1901",
)
PERIOD = Published(12, "Guy and Smith, 1956: the values of Kayles repeat from row 71 on (from memory)")


def test_kayles_rows_0_to_71():
    assert grundy.of_rows(read_octal("0.77"), 71).tolist() == KAYLES.value


def test_dawsons_chess_rows_0_to_68():
    assert grundy.of_rows(read_octal("0.137"), 68).tolist() == DAWSONS_CHESS.value


def test_dawsons_kayles_is_dawsons_chess_one_pin_longer():
    """OEIS A002187, comment: the values of 0.07 are those of 0.137, shifted by one."""
    values = grundy.of_rows(read_octal("0.07"), len(DAWSONS_CHESS.value)).tolist()
    assert values == [0, *DAWSONS_CHESS.value]


def test_kayles_repeats_every_twelve_from_row_71_on():
    values = grundy.of_rows(read_octal("0.77"), 400).tolist()
    assert values[71 : -PERIOD.value] == values[71 + PERIOD.value :]
    assert values[70] != values[70 + PERIOD.value]


@pytest.mark.parametrize(
    ("octal", "published", "rows"),
    [("0.77", KAYLES.value, 12), ("0.137", DAWSONS_CHESS.value, 13), ("0.07", [0, *DAWSONS_CHESS.value], 13)],
)
def test_the_game_graphs_of_single_rows_have_these_values(octal, published, rows):
    """Found from the moves alone, without the rule for sums; and the first player wins where they are not 0."""
    for row in range(2, rows + 1):
        graph = explore(Pins("row", [row], read_octal(octal)))
        assert grundy.of_positions(graph)[graph.start] == published[row]
        first_wins = best_play(graph).value[graph.start] == 1
        assert first_wins == (published[row] != 0)


def lost_in(heaps, misere):
    """The positions of the solved game in which whose turn it is loses, as sets of heaps."""
    game = Heaps("nim", heaps, any_number(max(heaps)), misere=misere)
    graph = explore(game)
    value = best_play(graph).value
    lost = value - 1 != graph.mover
    found = {tuple(sizes) for sizes in game.parts(graph.codes[lost]).tolist()}
    kept = {tuple(sizes) for sizes in game.parts(graph.codes[~lost]).tolist()}
    assert not found & kept, "it makes no difference whose turn it is"
    return found, found | kept


def test_nim_is_lost_exactly_where_the_exclusive_or_is_0():
    lost, every = lost_in([7, 7, 7], misere=False)
    assert len(every) == 8**3
    assert len(lost) == NIM_LOST.value
    assert lost == {heaps for heaps in every if naive_take.exclusive_or(heaps) == 0}


def test_misere_nim_follows_boutons_rule():
    """Bouton 1901: as in nim, but where all heaps are 1 or 0, an odd number of ones is lost."""
    lost, every = lost_in([7, 7, 7], misere=True)
    assert lost == {heaps for heaps in every if naive_take.bouton_loses(heaps, misere=True)}
    assert lost != lost_in([7, 7, 7], misere=False)[0]


def test_the_grundy_value_of_a_heap_of_nim_is_its_size():
    assert grundy.of_rows(any_number(99), 99).tolist() == list(range(100))


@pytest.mark.parametrize("most", [2, 3, 5])
def test_taking_up_to_a_number_is_lost_at_each_multiple_of_one_more(most):
    """Common practice: leave a multiple of `most` + 1."""
    game = Heaps("counters", [21], any_number(most))
    graph = explore(game)
    lost = game.parts(graph.codes[best_play(graph).value - 1 != graph.mover])[:, 0]
    assert set(lost.tolist()) == set(range(0, 22, most + 1))
    assert np.array_equal(grundy.of_rows(game.octal, 21), np.arange(22) % (most + 1))
