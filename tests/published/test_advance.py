"""What others have published about hexapawn, dodgem and Dawson's chess, each figure with its source.

A figure that we found published nowhere is marked as ours only: it holds the program to its own past.
"""

from functools import cache
from typing import NamedTuple

import numpy as np
import pytest

from games.codes import DRAW, FIRST, RESULTS, SECOND, UNFINISHED, win_of
from games.game import least_images
from games.load import load_game, parse_game
from solver.graph import Graph, explore
from solver.values import Values, best_play

GARDNER = (
    'M. Gardner, "Mathematical Games", Scientific American, March 1962 (in The Unexpected Hanging, 1969)'
)
WINNING_WAYS = "E. R. Berlekamp, J. H. Conway, R. K. Guy, Winning Ways, 1982 (a game by C. Vout)"
OURS = "ours only: found published nowhere, computed by another program of ours"


class Published(NamedTuple):
    """A figure, and who says so."""

    value: object
    source: str


class Solved(NamedTuple):
    graph: Graph
    values: Values

    def value(self):
        return RESULTS[self.values.value[self.graph.start]]

    def plies(self):
        return int(self.values.distance[self.graph.start])


def solved(game):
    graph = explore(game)
    return Solved(graph, best_play(graph))


def read(keys):
    return parse_game('kind = "game"\nfamily = "advance"\n' + "\n".join(keys), "published.toml")


def hexapawn(columns, rows):
    return solved(read([f"columns = {columns}", f"rows = {rows}"]))


# Hexapawn -------------------------------------------------------------------------------------------------

HEXAPAWN = Published(("second", 6), f"{GARDNER}: White loses in 3 moves of each")
HEXAPAWN_ELSEWHERE = {
    (4, 3): Published(("first", 5, 1_128), OURS),
    (6, 3): Published(("second", 8, 64_074), OURS),
    (7, 3): Published(("first", 9, 459_086), OURS),
    (3, 4): Published(("second", 8, 987), OURS),
    (3, 5): Published(("first", 11, 3_708), OURS),
    (3, 6): Published(("second", 14, 9_984), OURS),
}
"""Value, plies and positions, by columns and rows."""
BOXES = Published(24, f"{GARDNER}: boxes that a machine needs which moves second")


def test_hexapawn_is_lost_for_the_first_player():
    found = solved(load_game("hexapawn"))
    assert (found.value(), found.plies()) == HEXAPAWN.value


@pytest.mark.parametrize("size", HEXAPAWN_ELSEWHERE)
def test_hexapawn_on_other_boards(size):
    found = hexapawn(*size)
    assert (found.value(), found.plies(), len(found.graph)) == HEXAPAWN_ELSEWHERE[size].value


def test_a_machine_that_plays_hexapawn_second_needs_fewer_boxes_than_was_published():
    """The published 24 does not come out, and no reading that we tried gives it.

    A box stands for a position in which the machine has to move.  These are 2, 10 and 7 after 1, 3 and 5
    plies when mirrored ones share a box, which makes 19, and 37 when they do not.  A position in which the
    visitor has already won, or the machine has no move, needs no box.
    """
    graph = hexapawn(3, 3).graph
    asked = (graph.ending == UNFINISHED) & (graph.mover == SECOND)
    least, _ = least_images(graph.game, graph.codes)
    boxes = [len(set(least[asked & (graph.ply == plies)].tolist())) for plies in (1, 3, 5)]
    assert boxes == [2, 10, 7]
    assert sum(boxes) == 19 != BOXES.value
    assert asked.sum() == 37
    assert graph.ply.max() == 7, "nobody is asked later"


# Dodgem ---------------------------------------------------------------------------------------------------

DODGEM = Published("first", WINNING_WAYS)
DODGEM_FOUR = Published("draw", "D. des Jardins, 1996, as encyclopaedias quote him; from memory")
LATE_FOUR = Published((395_294, 210_883, 149_130, 35_281), OURS)
"""Positions, and how many the mover wins, loses and draws."""
LATE_TWO = Published(("first", 4, 23), OURS)
"""Value, plies and positions."""


@cache
def dodgem(size, no_men):
    start = ["S" + "_" * (size - 1)] * (size - 1) + ["_" + "F" * (size - 1)]
    keys = [
        f"columns = {size}",
        f"rows = {size}",
        f"start = {start}".replace("'", '"'),
        'second-goes = "right"',
        'steps = ["forward", "sideways"]',
        "captures = []",
        'far-edge = "leaves"',
        f'no-men = "{no_men}"',
        'blocked = "wins"',
    ]
    return solved(read(keys))


def test_dodgem_is_won_for_the_first_player():
    assert solved(load_game("dodgem")).value() == DODGEM.value
    assert dodgem(3, "wins").value() == DODGEM.value


def test_dodgem_on_4_x_4_goes_on_for_ever():
    assert dodgem(4, "wins").value() == DODGEM_FOUR.value


def test_the_counts_of_dodgem_come_out_where_having_no_man_left_is_noticed_one_ply_late():
    """Our other program looked only at whose turn it is: who cannot move has won, be it for want of men or of room.

    So a player who has just got the last man off wins one ply later, and the positions between are counted.  As
    the rules stand in Winning Ways the first to be rid of all men has won at once; the values are the same.
    """
    late = dodgem(4, "nothing")
    value, mover = late.values.value, late.graph.mover
    mine = np.where(mover == SECOND, win_of(SECOND), win_of(FIRST))
    wins, draws = int((value == mine).sum()), int((value == DRAW).sum())
    assert (len(late.graph), wins, len(late.graph) - wins - draws, draws) == LATE_FOUR.value
    small = dodgem(2, "nothing")
    assert (small.value(), small.plies(), len(small.graph)) == LATE_TWO.value


@pytest.mark.parametrize(("size", "plies", "positions"), [(2, 3, 15), (3, 19, 1_963), (4, None, 393_900)])
def test_dodgem_as_it_stands_in_winning_ways_ends_a_ply_sooner(size, plies, positions):
    at_once, late = dodgem(size, "wins"), dodgem(size, "nothing")
    assert at_once.value() == late.value()
    assert len(at_once.graph) == positions < len(late.graph)
    if plies is not None:
        assert at_once.plies() == plies == late.plies() - 1
    shared = at_once.graph.codes[at_once.graph.ending == UNFINISHED]
    value_late = late.values.value[late.graph.places(shared)]
    assert np.array_equal(at_once.values.value[at_once.graph.places(shared)], value_late)


# Dawson's chess -------------------------------------------------------------------------------------------

DAWSONS_CHESS = Published(
    [0, 1, 1, 2, 0, 3, 1, 1, 0, 3],
    "Grundy values on 0 to 9 files, OEIS A002187; R. K. Guy and C. A. B. Smith, 'The G-values of various games', "
    "Proceedings of the Cambridge Philosophical Society 52, 1956: the same game as taking pins by the octal 0.137",
)


@pytest.mark.parametrize("files", range(1, 10))
def test_dawsons_chess_is_lost_for_the_first_player_where_its_grundy_value_is_0(files):
    game = read([f"columns = {files}", "rows = 3", "must-capture = true", 'far-edge = "nothing"'])
    assert solved(game).value() == ("first" if DAWSONS_CHESS.value[files] else "second")
