"""What others have published about games of men that step from point to point, each figure with its source.

A figure that we found published nowhere is marked as ours only: it was computed by another program of ours, and
holds the program to its own past.  A published sentence that is false of the rules that it seems to speak of
stands beside what is true.
"""

from functools import cache
from itertools import combinations
from typing import NamedTuple

import numpy as np
import pytest

from games.codes import RESULTS, UNFINISHED, Codes, turn_of
from games.load import load_game, parse_game
from games.steps.steps import Steps
from solver.graph import Graph, explore
from solver.solve import solve
from solver.values import Values, best_play

OURS = "ours only: found published nowhere, computed by another program of ours"
ARTICLE = (
    'Encyclopaedia article "Three men\'s morris": the first player has a winning strategy, and none if the first '
    "man may not be placed in the centre; H. J. R. Murray, A History of Chess, 1913, for the rules"
)
ASCHER = (
    'M. Ascher, "Mu Torere: an analysis of a Maori game", Mathematics Magazine 60, 90-100, 1987 '
    "(as summarised in D. Singmaster, Sources in Recreational Mathematics)"
)
STRAFFIN = 'P. D. Straffin, "Position graphs for Pong Hau K\'i and Mu Torere", Mathematics Magazine 68, 382-386, 1995'


class Published(NamedTuple):
    """A figure, and who says so."""

    value: object
    source: str


class Solved(NamedTuple):
    game: Steps
    graph: Graph
    values: Values

    @property
    def value(self):
        return RESULTS[self.values.value[self.graph.start]]

    @property
    def plies(self):
        plies = int(self.values.distance[self.graph.start])
        return None if plies < 0 else plies

    def results_for_mover(self, where):
        """Wins, draws and losses of whoever is to move, over some positions."""
        value, turn = self.values.value[where], turn_of(self.graph.codes[where])
        wins, draws = int((value == turn + 1).sum()), int((value == 3).sum())
        return [wins, draws, len(value) - wins - draws]


@cache
def solved(name="", text=""):
    game = load_game(name) if name else parse_game(f'kind = "game"\nfamily = "steps"\n{text}', "drawn.toml")
    graph = explore(game)
    return Solved(game, graph, best_play(graph))


# Three men's morris and its relatives ---------------------------------------------------------------------

MORRIS = "columns = 3\nrows = 3\nin-a-row = 3\n"
TAPATAN = MORRIS + 'pattern = "centre-diagonals"\n'
BARRED = 'barred = ["5"]\n'

FIRST_WINS = Published("first", ARTICLE)
DRAW_IF_BARRED = Published("draw", ARTICLE)
NINE_HOLES_IN_ARTICLE = Published("first", f"{ARTICLE} - its sentence can be read for this variant as well")
NINE_HOLES = Published("draw", OURS)
PLIES_OF_BEST_PLAY = Published({"three-mens-morris": 9, "tapatan": 9}, OURS)
ROWS_AND_COLUMNS = Published("draw", OURS)


@pytest.mark.parametrize("name", ["three-mens-morris", "tapatan"])
def test_the_first_player_wins_three_mens_morris(name):
    assert solved(name).value == FIRST_WINS.value
    assert solved(name).plies == PLIES_OF_BEST_PLAY.value[name]


@pytest.mark.parametrize("rules", [MORRIS, TAPATAN])
def test_with_the_centre_barred_to_the_first_man_it_is_a_draw(rules):
    assert solved(text=f"{rules}men = 3\n{BARRED}").value == DRAW_IF_BARRED.value
    each = f'{rules}men = 3\n{BARRED}barred-to = "each-first-man"\n'
    assert solved(text=each).value == "draw", "nor does it help to bar it to both players' first men"
    assert solved("three-mens-morris-centre-barred").value == DRAW_IF_BARRED.value


def test_nine_holes_is_a_draw():
    """The article's sentence is true where men go one step, not where they go to any free hole."""
    assert solved("nine-holes").value == NINE_HOLES.value != NINE_HOLES_IN_ARTICLE.value


def test_rows_and_columns_alone_are_a_draw():
    assert solved("morris-of-rows").value == ROWS_AND_COLUMNS.value


TAPATAN_STATES = Published(
    {"all": 5_390, "moving phase": 3_040, "moving phase, for the mover": [1_672, 544, 824]}, OURS
)


def test_states_of_tapatan():
    """All that can be reached; those in which all men are placed; and of these wins, draws, losses for the mover."""
    found = solved("tapatan")
    first, second = found.game.holdings(found.graph.codes)
    placed = np.array(
        [f.bit_count() + s.bit_count() == 6 for f, s in zip(first.tolist(), second.tolist(), strict=True)]
    )
    assert len(found.graph) == TAPATAN_STATES.value["all"]
    assert int(placed.sum()) == TAPATAN_STATES.value["moving phase"]
    assert found.results_for_mover(placed) == TAPATAN_STATES.value["moving phase, for the mover"]


ACHI = Published(("first", 11), OURS)
ACHI_BARRED = Published("second", OURS)
ACHI_WAITING = Published(("second", 12), OURS)
TAPATAN_WAITING = Published("draw", OURS)


def test_achi():
    """Four men a side; lines win at once, also while men are placed; whoever is blocked loses."""
    assert (solved("achi").value, solved("achi").plies) == ACHI.value
    assert solved(text=f"{TAPATAN}men = 4\n{BARRED}").value == ACHI_BARRED.value


def test_where_lines_do_not_count_while_men_are_placed():
    """The figures are those of *wait*: from the last man placed on, whoever has just played and has a line wins.

    So a line of the second player's that stands when the last man has been placed wins.  If a line must be made
    by a step (*never*), the first player wins achi in 11 plies; tapatan is a draw either way.
    """
    waiting = solved(text=f'{TAPATAN}men = 4\nlines-while-placing = "wait"\n')
    assert (waiting.value, waiting.plies) == ACHI_WAITING.value
    by_step = solved(text=f'{TAPATAN}men = 4\nlines-while-placing = "never"\n')
    assert (by_step.value, by_step.plies) == ("first", 11)
    for when in ("wait", "never"):
        found = solved(text=f'{TAPATAN}men = 3\nlines-while-placing = "{when}"\n')
        assert found.value == TAPATAN_WAITING.value


# Men that stand from the start ----------------------------------------------------------------------------

PONG_HAU_KI = Published("draw", f"{STRAFFIN}; R. Evans, 1976")
STUCK = Published(
    4, 'Encyclopaedia article on the game: "only one type of position", in 2 colours and 2 mirror images'
)


def test_pong_hau_ki_is_a_draw_whoever_begins():
    assert solved("pong-hau-ki").value == PONG_HAU_KI.value
    game = load_game("pong-hau-ki")
    graph = explore(game, start=game.other_start)
    assert RESULTS[best_play(graph).value[graph.start]] == PONG_HAU_KI.value


def arrangements(game) -> Codes:
    """Every way in which all men can stand, with either side to move, reached in play or not."""
    points, (first, second) = set(range(game.board.size)), game.setting.men
    codes = [
        game.code_of(sum(1 << p for p in mine), sum(1 << p for p in others), mover)
        for mine in combinations(sorted(points), first)
        for others in combinations(sorted(points - set(mine)), second)
        for mover in (0, 1)
    ]
    return np.array(codes, dtype=np.uint64)


def test_only_one_kind_of_position_of_pong_hau_ki_is_stuck():
    game = load_game("pong-hau-ki")
    every = arrangements(game)
    assert len(every) == 60
    assert int((game.ending(every) != UNFINISHED).sum()) == STUCK.value


def mu_torere(men, rule=""):
    """The game with so many men a side: a ring of 2 x men points, each joined to its neighbours and to the centre.

    The points are laid out in one row, the centre last; each side's men stand side by side.
    """
    ring = [f"p{point}" for point in range(2 * men)]
    around = [[a, b] for a, b in zip(ring, [*ring[1:], ring[0]], strict=True)]
    steps = (around if men > 1 else around[:1]) + [[point, "c"] for point in ring]
    names = str([*ring, "c"]).replace("'", '"')
    return (
        f"columns = {2 * men + 1}\nrows = 1\ncells = {names}\nsteps = {steps}\n".replace("'", '"')
        + f'start = ["{"F" * men}{"S" * men}_"]\n{rule}'
    )


ALWAYS = 'guarded = ["c"]\n'
FIRST_TWO = f"{ALWAYS}guarded-moves = 2\n"

KINDS_OF_POSITION = Published({1: 6, 2: 12, 4: 92}, ASCHER)
KINDS_WITH_FIVE = Published(272, ASCHER)
KINDS_WITH_FIVE_IN_ALL = Published(296, OURS)


def kinds(game, codes):
    """How many positions there are up to all turns and reflections of the ring, the start's or not."""
    size = game.board.size - 1
    least = codes.copy()
    for turn in range(size):
        for way in (1, -1):
            images = [(turn + way * point) % size for point in range(size)]
            image = codes & np.uint64(1 << 63)
            for shift in (0, size + 1):
                for point, goes_to in enumerate([*images, size]):
                    image |= (codes >> np.uint64(shift + point) & np.uint64(1)) << np.uint64(shift + goes_to)
            least = np.minimum(least, image)
    return len(np.unique(least))


@pytest.mark.parametrize("men", KINDS_OF_POSITION.value)
def test_kinds_of_position_of_mu_torere(men):
    game = solved(text=mu_torere(men)).game
    assert kinds(game, arrangements(game)) == KINDS_OF_POSITION.value[men]


def test_with_five_men_the_published_count_is_that_of_positions_that_are_reached():
    """272 kinds are reached from the start without any entry rule; 296 there are in all."""
    found = solved(text=mu_torere(5))
    assert kinds(found.game, found.graph.codes) == KINDS_WITH_FIVE.value
    assert kinds(found.game, arrangements(found.game)) == KINDS_WITH_FIVE_IN_ALL.value


TWO_MEN = Published("draw", ASCHER)
FOUR_MEN = Published("draw", f"{ASCHER}; {STRAFFIN}")
RULE_KEPT = Published({2: "draw", 3: "draw", 4: "draw", 5: "draw"}, OURS)
FOUR_MEN_RULE_KEPT = Published((1_180, 208, 128), OURS)


@pytest.mark.parametrize(
    ("name", "men", "figure"), [("small-mu-torere", 2, TWO_MEN), ("mu-torere", 4, FOUR_MEN)]
)
def test_mu_torere_is_a_draw(name, men, figure):
    """The entry rule holds in each side's first two moves; the catalogue's board is the ring's, laid out on a grid."""
    assert solved(name).value == figure.value
    in_a_row = solved(text=mu_torere(men, FIRST_TWO))
    assert in_a_row.value == figure.value
    assert len(in_a_row.graph) == len(solved(name).graph)


@pytest.mark.parametrize("men", RULE_KEPT.value)
def test_mu_torere_with_the_entry_rule_kept_for_the_whole_game(men):
    assert solved(text=mu_torere(men, ALWAYS)).value == RULE_KEPT.value[men]


def test_positions_of_mu_torere_with_the_entry_rule_kept():
    """Reached; and of these wins and losses for the mover."""
    found = solved(text=mu_torere(4, ALWAYS))
    wins, _, losses = found.results_for_mover(np.ones(len(found.graph), dtype=bool))
    assert (len(found.graph), wins, losses) == FOUR_MEN_RULE_KEPT.value


def test_without_the_entry_rule_the_first_move_wins():
    """Why there is an entry rule: common practice."""
    assert (solved(text=mu_torere(4)).value, solved(text=mu_torere(4)).plies) == ("first", 1)


SLIDE_FOUR = Published(("draw", 2_408_969), OURS)


@pytest.mark.long
def test_four_men_on_four_by_four():
    solution = solve(load_game("slide-four"))
    assert (solution.value, solution.positions) == SLIDE_FOUR.value
