"""Every engine gives the same values, distances and positions, on random games and house rules."""

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given

from games.load import load_game, parse_game
from games.problems import BadInput
from solver.engines import solve_any, solve_game, solve_plainly
from solver.forward import EndlessPlay
from solver.graph import TooLarge, explore
from solver.halves import Halves, bytes_needed, solve_halves, table_bytes
from solver.layers import Layers, solve_by_layers
from solver.loops import Loops, solve_loops
from solver.run import Run, TooMuchMemory
from solver.slides import Slides, slide_game, solve_slides
from solver.solved import start_values
from solver.tally import lines_by_result
from solver.values import best_play
from tests import twins
from tests.solver.test_values import housed
from tests.solver.toy import Toy


@given(housed())
def test_engines_agree_on_every_position(both):
    game, _ = both
    graph = explore(game)
    values = best_play(graph)
    for engine in (solve_loops, solve_by_layers):
        solved = engine(game)
        assert solved.positions == len(graph)
        found = solved.look_up(graph.codes)
        assert (found.value.dtype, found.distance.dtype) == (np.uint8, np.intp)
        assert np.array_equal(found.value, values.value)
        assert np.array_equal(found.distance, values.distance)
        assert [len(codes) for codes in solved.plies()] == np.bincount(graph.ply).tolist()


def on_every_engine_for_marks(game):
    """The same game solved by layers and on two halves, position by position."""
    layers, halves = solve_by_layers(game), solve_halves(game)
    assert halves.positions == layers.positions
    for codes, others in zip(layers.plies(), halves.plies(), strict=True):
        assert np.array_equal(codes, others)
        wanted, found = layers.look_up(codes), halves.look_up(codes)
        assert (found.value.dtype, found.distance.dtype) == (np.uint8, np.intp)
        assert np.array_equal(found.value, wanted.value)
        assert np.array_equal(found.distance, wanted.distance)


@given(twins.games(9))
def test_the_two_halves_give_what_the_layers_give(pair):
    on_every_engine_for_marks(pair.game)


MANY_LINES = [list(line) for line in combinations([f"{c}{r}" for r in (1, 2, 3) for c in "abcd"], 3)][::4]
"""More of them reach across the middle of the board than there are bits in 32."""
MARKS = [
    "columns = 4\nrows = 3\nin-a-row = 3",
    "columns = 4\nrows = 3\nin-a-row = 3\nmisere = true",
    'columns = 3\nrows = 4\nin-a-row = 3\nholes = ["b2"]',
    "columns = 4\nrows = 4\nin-a-row = 4\ngravity = true",
    "columns = 4\nrows = 3\nin-a-row = 3\ngravity = true\nmisere = true",
    "columns = 5\nrows = 2\nin-a-row = 3\ngravity = true",
    "columns = 2\nrows = 4\nin-a-row = 3\ngravity = true",
    'columns = 3\nrows = 4\nin-a-row = 3\nholes = ["a1", "a2", "a3", "a4"]',  # with nothing in the left column
    "columns = 1\nrows = 9\nin-a-row = 3",
    f"columns = 4\nrows = 3\nlines = {MANY_LINES}",
]


@pytest.mark.parametrize("keys", MARKS)
def test_the_two_halves_give_what_the_layers_give_on_larger_boards(keys):
    on_every_engine_for_marks(parse_game(f'kind = "game"\nfamily = "marks"\n{keys}\n', "board.toml"))


SLIDES = [
    "columns = 3\nrows = 3\nmen = 3\nin-a-row = 3",
    "columns = 3\nrows = 3\nmen = 4\nin-a-row = 3",
    "columns = 4\nrows = 3\nmen = 2\nin-a-row = 2",
    "columns = 4\nrows = 3\nmen = 3\nin-a-row = 3",
    'columns = 3\nrows = 3\nmen = 3\nin-a-row = 3\npattern = "centre-diagonals"',
]


@pytest.mark.parametrize("keys", SLIDES)
@pytest.mark.parametrize("sparse", [1, 100, 10**9])
def test_the_matrices_of_slides_give_what_plain_loops_give(keys, sparse, monkeypatch):
    """Also when every frontier is taken by rows, and when every one is taken by places."""
    monkeypatch.setattr("solver.moving_phase.SPARSE_NEARBY", sparse)
    monkeypatch.setattr("solver.moving_phase.STRIP", 50)
    game = slide_game(parse_game(f'kind = "game"\nfamily = "steps"\n{keys}\n', "slides.toml"))
    assert game is not None
    plain, fast = solve_loops(game), solve_slides(game)
    assert fast.positions == plain.positions
    found = fast.look_up(plain.codes)
    assert (found.value.dtype, found.distance.dtype) == (np.uint8, np.intp)
    assert np.array_equal(found.value, plain.value)
    assert np.array_equal(found.distance, plain.distance)
    for codes, others in zip(plain.plies(), fast.plies(), strict=True):
        assert np.array_equal(codes, others)


@pytest.mark.parametrize(
    "law",
    ['begins = "second"', 'blocked = "draws"', 'lines-while-placing = "wait"', 'barred = ["5"]'],
    ids=str,
)
def test_slides_are_not_for_games_of_further_rules(law):
    plain = f'kind = "game"\nfamily = "steps"\n{SLIDES[-1]}\n'
    assert slide_game(parse_game(plain, "slides.toml")) is not None
    assert slide_game(parse_game(f"{plain}{law}\n", "slides.toml")) is None


@pytest.mark.parametrize("name", ["noughts-and-crosses", "hexapawn", "pong-hau-ki", "three-mens-morris"])
def test_a_game_is_solved_from_any_position_on(name):
    """Only what can arise from there is counted, and its values are those of the whole game."""
    game = load_game(name)
    whole = explore(game)
    begin = int(whole.codes[whole.child[0]])
    graph = explore(game, start=begin)
    solved = solve_plainly(game, begin)
    assert (solved.start, solved.positions) == (begin, len(graph))
    found, all_of_it = solved.look_up(graph.codes), solve_plainly(game).look_up(graph.codes)
    assert np.array_equal(found.value, all_of_it.value)
    assert np.array_equal(found.distance, all_of_it.distance)


def test_where_a_byte_cannot_say_the_distance_plain_loops_do(monkeypatch):
    game = load_game("three-mens-morris")
    assert isinstance(solve_game(game), Slides)
    monkeypatch.setattr("solver.moving_phase.WON", 5)
    assert isinstance(solve_game(game), Loops)


def test_a_game_that_goes_round_though_it_says_it_does_not_is_not_solved_for_ever():
    """The way into the loop is long; then the same positions come again and again."""
    drawing = [*((step % 2, [step + 1]) for step in range(30)), (0, [31]), (1, [32, 33]), (0, [31]), "first"]
    game = Toy(drawing)
    game.can_repeat = False
    with pytest.raises(
        BadInput, match=r"^toy: can_repeat is False, but play can go on for ever; expected True$"
    ):
        solve_game(game)
    game.place_of = lambda key: {"can_repeat": ("toy.py", 7)}[key]  # a game in Python knows where it says so
    told = r"^toy.py:7: can_repeat is False, but play can go on for ever; expected True$"
    with pytest.raises(BadInput, match=told):
        solve_any(game)
    housed = Toy(drawing)
    housed.can_repeat, housed.fair = False, game
    with pytest.raises(BadInput, match=told):
        solve_any(housed)
    with pytest.raises(EndlessPlay):
        solve_by_layers(game)
    game.can_repeat = True
    assert start_values(solve_game(game)) == ("draw", None)


def test_larger_boards_go_to_the_halves_and_small_or_housed_ones_do_not():
    assert isinstance(solve_game(load_game("four-by-three")), Halves)
    assert isinstance(solve_game(load_game("noughts-and-crosses")), Layers)


def test_the_memory_that_the_halves_need_is_known_before():
    game = load_game("four-by-three")
    halves = solve_halves(game)
    blocks = sum(block.size for block in halves._blocks.values())
    assert table_bytes(game) == blocks
    with pytest.raises(TooMuchMemory):
        solve_game(game, memory=bytes_needed(game) - 1)


def test_a_position_that_can_be_reached_on_several_plies_is_counted_once():
    """From the start to position 3 in one ply or in two: the layers hold it twice."""
    drawing = [(0, [1, 3]), (0, [3]), "draw", (1, [4]), "first"]
    solved = solve_by_layers(Toy(drawing))
    assert len(np.concatenate(solved.codes)) == 6
    assert solved.positions == 4
    assert [len(codes) for codes in solved.plies()] == [1, 2, 1]


def test_positions_that_cannot_arise_are_not_found():
    game = twins.twins_in_a_row(2, 2, 2).game
    for engine in (solve_loops, solve_by_layers):
        with pytest.raises(KeyError, match=r"^'position 0xf cannot arise'$"):
            engine(game).look_up(np.array([0xF], dtype=np.uint64))


def test_more_positions_than_a_number_can_hold_are_too_many_for_loops(monkeypatch):
    game = twins.twins_in_a_row(2, 2, 2).game
    count = solve_loops(game).positions
    monkeypatch.setattr("solver.loops.MOST", count + 1)
    assert solve_loops(game).positions == count
    monkeypatch.setattr("solver.loops.MOST", count)
    with pytest.raises(TooLarge, match=rf"^more than {count} positions can arise \({count} were met"):
        solve_loops(game)


def test_a_limit_stops_every_engine():
    game = twins.twins_in_a_row(3, 3, 3).game
    for engine in (solve_loops, solve_by_layers):
        with pytest.raises(TooMuchMemory, match="at least 1 MB of memory"):
            engine(game, run=Run(memory=100_000))


@pytest.mark.parametrize("steps", [10, 39, 40, 58])
def test_lines_of_play_are_exact_however_many_there_are(steps):
    drawing = [(0, [step + 1] * 3) for step in range(steps)] + ["draw"]
    assert lines_by_result(Toy(drawing), Toy(drawing).start) == {"first": 0, "second": 0, "draw": 3**steps}
