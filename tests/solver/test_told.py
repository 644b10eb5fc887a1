"""What those who wait are told while a game is solved and counted, against the positions and moves of each ply."""

from itertools import accumulate

import numpy as np
import pytest

from games.house import load_house_rules
from games.load import load_game
from solver.graph import explore
from solver.halves import solve_halves, table_bytes
from solver.layers import solve_by_layers
from solver.loops import solve_loops
from solver.meanings import LooksAhead
from solver.progress import COUNTING, PLANNED
from solver.proof import PROVED, prove
from solver.run import Run, TooMuchMemory
from solver.scores import solve_scores
from solver.search import SearchRule
from solver.slides import solve_slides
from solver.strategy import Strategy
from solver.tally import tally


def by_layers(game, report):
    return solve_by_layers(game, run=Run(report=report))


def by_loops(game, report):
    return solve_loops(game, run=Run(report=report))


def by_scores(game, report):
    return solve_scores(game, report=report)


def by_slides(game, report):
    return solve_slides(game, Run(report=report))


def by_halves(game, report):
    return solve_halves(game, Run(report=report))


def solved_and_told(solve, name):
    """A game solved, and the reports of each stage by its name, in order."""
    told = []
    solved = solve(load_game(name), told.append)
    return solved, by_stage(told)


def by_stage(told):
    stages = {}
    for progress in told:
        stages.setdefault(progress.stage.name, []).append(progress)
    return stages


def of_plies(name):
    """How many positions are first met on each ply, and how many moves they have."""
    graph = explore(load_game(name))
    moves = np.bincount(graph.ply[graph.parent], minlength=graph.ply.max() + 1)
    return np.bincount(graph.ply).tolist(), moves.tolist()


LAYERED = [(by_layers, "hexapawn"), (by_layers, "two-by-two"), (by_scores, "boxes-three-by-one")]


@pytest.mark.parametrize(("solve", "name"), [*LAYERED, (by_loops, "pong-hau-ki"), (by_loops, "hexapawn")])
def test_positions_are_told_ply_by_ply_as_they_are_counted(solve, name):
    positions, _ = of_plies(name)
    solved, stages = solved_and_told(solve, name)
    assert list(stages)[:2] == ["counting positions", "planned"]
    so_far = list(accumulate(positions))
    first = {}
    for progress in stages["counting positions"]:
        assert progress.stage == COUNTING
        assert progress.total == 0
        assert progress.memory > 0
        first.setdefault(progress.done, progress.positions)
        assert progress.positions <= solved.positions
    assert [first[ply] for ply in range(1, len(so_far))] == so_far[1:]
    assert max(first) in (len(so_far) - 1, len(so_far))
    [planned] = stages["planned"]
    assert planned == (PLANNED, 0, 0, 0, planned.memory)
    assert planned.memory > 0


def test_what_is_planned_is_what_was_last_known():
    told = []
    run = Run(memory=1000, report=told.append)
    assert run.planned == 0
    run.count(3, 50, 400)
    assert run.planned == 400
    run.plan(600)
    assert run.planned == 600
    with pytest.raises(TooMuchMemory):
        run.count(4, 90, 1001)
    assert told == [(COUNTING, 3, 0, 50, 400), (PLANNED, 0, 0, 0, 600)]


def test_a_graph_tells_its_plies_and_nothing_of_memory():
    positions, _ = of_plies("hexapawn")
    told = []
    explore(load_game("hexapawn"), report=told.append)
    so_far = [*accumulate(positions), sum(positions)]  # a last look finds nothing more
    assert told == [(COUNTING, ply, 0, count, 0) for ply, count in enumerate(so_far)][1:]


@pytest.mark.parametrize(("solve", "name"), LAYERED)
def test_working_back_over_plies_takes_as_long_as_they_have_positions_and_moves(solve, name):
    """Half as long as all positions again is kept for counting those that stand in several plies."""
    positions, moves = of_plies(name)
    _, stages = solved_and_told(solve, name)
    work = [ours + theirs for ours, theirs in zip(positions, moves, strict=True)]
    after = sum(positions) // 2 if solve is by_layers else 0
    told = stages["working back"]
    assert [progress.done for progress in told] == [sum(work[ply + 1 :]) for ply in range(len(work))][::-1]
    assert {progress.total for progress in told} == {sum(work) + after}
    assert {progress.positions for progress in told} == {sum(positions)}
    assert told[0].stage._replace(name="") == ("", True, True, False)


def test_working_back_through_loops_tells_how_many_moves_were_followed():
    """From the final positions outward, ply by ply: each move to one that is decided is followed once."""
    game = load_game("pong-hau-ki")
    graph = explore(game)
    solved, stages = solved_and_told(by_loops, "pong-hau-ki")
    distance = solved.look_up(graph.codes).distance
    into = [int((distance[graph.child] == plies).sum()) for plies in range(distance.max() + 1)]
    told = stages["working back"]
    assert [progress.done for progress in told] == [sum(into[:plies]) for plies in range(len(into))]
    assert {(progress.total, progress.positions) for progress in told} == {(len(graph.child), len(graph))}
    assert told[0].stage._replace(name="") == ("", True, True, True)
    for name, is_even in (("joining positions", True), ("putting moves in order", False)):
        [progress] = stages[name]
        assert progress[:4] == ((name, False, is_even, False), 0, len(graph), len(graph))


def test_working_back_over_sliding_men_tells_how_many_positions_are_decided():
    solved, stages = solved_and_told(by_slides, "three-mens-morris")
    told = stages["working back"]
    done = [progress.done for progress in told]
    every = 84 * 20  # three of nine points, and three of the six that are left
    assert done == sorted(set(done))
    assert 0 < done[0] <= done[-1] <= every
    assert {(progress.total, progress.positions) for progress in told} == {(every, every)}
    assert told[0].stage._replace(name="") == ("", False, False, False)
    assert solved.positions > every


def test_on_halves_of_the_board_the_way_back_takes_five_parts_of_nine():
    game = load_game("two-by-two")
    solved, stages = solved_and_told(by_halves, "two-by-two")
    cells = table_bytes(game)
    told = stages["working back and forth"]
    plies = game.board.size + 1
    assert len(told) == 2 * plies
    assert {(progress.total, progress.positions) for progress in told} == {(9 * cells, cells)}
    done = [progress.done for progress in told]
    assert done == sorted(set(done))
    assert (done[plies - 1], done[-1]) == (5 * cells, 9 * cells)
    # Of a board of four cells 1, 4, 4 * 3, 4 * 3 and 3 * 2 fillings hold so many marks, half of them each side's.
    assert cells == 1 + 4 + 12 + 12 + 6
    assert done[:plies] == [5 * each for each in accumulate([6, 12, 12, 4, 1])]
    assert done[plies:] == [5 * cells + 4 * each for each in accumulate([1, 4, 12, 12, 6])]
    assert told[0].stage._replace(name="") == ("", True, True, False)
    assert len(solved.counts) == plies


@pytest.mark.parametrize(
    ("solve", "name"),
    [*LAYERED, (by_halves, "two-by-two"), (by_loops, "pong-hau-ki"), (by_loops, "hexapawn")],
)
def test_counting_tells_how_many_positions_have_had_their_turn(solve, name):
    positions, _ = of_plies(name)
    solved, _ = solved_and_told(solve, name)
    told = []
    counted = tally(solved, Run(report=told.append))
    stages = by_stage(told)
    before = [0, *accumulate(positions)][:-1]
    every = sum(positions)
    assert [progress[1:4] for progress in stages["counting up to symmetry"]] == [
        (done, every, every) for done in before
    ]
    lines = stages.get("counting lines of play", [])
    if counted.lines is None:
        assert [progress.done for progress in lines] == before[: len(lines)]
    else:
        assert [progress[1:4] for progress in lines] == [(done, every, every) for done in before]
        assert lines[0].stage._replace(name="") == ("", True, True, False)


def test_who_waits_for_a_proof_is_told_of_the_walk_and_of_the_values_of_the_game():
    """The walk counts the positions that the strategy meets; then all of the game is solved."""
    game = load_game("noughts-and-crosses")
    strategy = Strategy("s", "s", game, 1, [SearchRule("look ahead", 1, LooksAhead(9))])
    told = []
    proof = prove(strategy, "best-value", load_house_rules("usual", game), told.append)
    assert proof.verdict == PROVED
    stages = by_stage(told)
    positions, _ = of_plies("noughts-and-crosses")
    assert stages["counting positions"][0].positions < stages["counting positions"][-1].positions
    assert {each.positions for each in stages["working back"]} == {sum(positions)}
