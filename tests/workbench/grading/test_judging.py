"""Sheets judged: the walk within the whole game, the kinds of mistakes and the credit, against the slow and obvious."""

from fractions import Fraction

import numpy as np
import pytest

from games.codes import PLAYERS
from solver.load import load_strategy
from solver.proof import Known, Proof, prove
from solver.record import proof_record
from solver.walk import walk
from tests.workbench.grading import naive_grading as naive
from workbench.grading import ground as ground_module
from workbench.grading.attempts import attempts_in
from workbench.grading.ground import Ground, ground
from workbench.grading.judging import judge
from workbench.grading.mistakes import mistakes_of
from workbench.grading.program import NOT_SIZED
from workbench.grading.request import asked
from workbench.grading.row import Fit, Given
from workbench.grading.rubric import credit_in, parse_rubric, read_rubric
from workbench.grading.words import fit_in_words, why_not_everywhere

SHEETS = {
    "all but a double threat": (
        "complete a line",
        "block a line",
        "take the centre",
        "take a corner",
        "take any free cell",
    ),
    "blocks first": ("block a line", "complete a line", "take a corner", "take any free cell"),
    "never blocks": ("complete a line", "take the first free of 3, 5, 1", "take any free cell"),
    "looks at nothing": ("take 1", "take the centre", "take any free cell"),
    "leaves gaps": ("block a line", "take the centre", "take 2 or 8", "take 1"),
}
GAME = "noughts-and-crosses"


def written(tmp_path, rules, seat="second", game=GAME):
    file = tmp_path / "sheet.rules"
    file.write_text("\n".join([f"game: {game}", f"seat: {seat}", "", *rules, ""]), encoding="utf-8")
    return load_strategy(file)


@pytest.mark.parametrize("seat", [0, 1], ids=list(PLAYERS))
@pytest.mark.parametrize("rules", list(SHEETS.values()), ids=list(SHEETS))
def test_the_walk_within_the_whole_game_is_the_walk(tmp_path, rules, seat):
    strategy = written(tmp_path, rules, PLAYERS[seat]).strategy(seat)
    shared = ground(GAME, "usual", seat)
    found, play = shared.walked(strategy)
    plain = walk(shared.game, strategy)
    for name in ("codes", "ply", "mover", "ending", "parent", "move", "child", "first_edge", "start"):
        assert np.array_equal(getattr(found.graph, name), getattr(plain.graph, name)), name
    assert np.array_equal(found.rule, plain.rule)
    assert found.illegal == plain.illegal
    assert np.array_equal(play.facts.codes[play.met], plain.graph.codes[plain.machine])


@pytest.mark.parametrize("house", ["lost-turn", "three-warnings"])
def test_it_is_the_walk_under_house_rules_and_with_illegal_answers_too(tmp_path, house):
    table = "game: two-by-two\nseat: first\nturning: plain\nposition,move\n__/__,a1\nMV/__,a1\nM_/V_,b1\n"
    file = tmp_path / "gaps.csv"
    file.write_text(table, encoding="utf-8")
    strategy = load_strategy(file).strategy(0)
    shared = ground("two-by-two", house, 0)
    found, _ = shared.walked(strategy)
    plain = walk(shared.game, strategy)
    assert found.illegal == plain.illegal != []
    assert np.array_equal(found.graph.codes, plain.graph.codes)
    assert np.array_equal(found.rule, plain.rule)


@pytest.mark.parametrize("claim", ["never-loses", "best-value", "quickest"])
@pytest.mark.parametrize("rules", list(SHEETS.values()), ids=list(SHEETS))
def test_a_proof_with_what_is_known_is_the_proof(tmp_path, rules, claim):
    sheet = written(tmp_path, rules)
    strategy = sheet.strategy(1)
    shared = ground(GAME, "usual", 1)
    found, _ = shared.walked(strategy)
    known = Proof(strategy, claim, sheet.house, known=Known(found, shared.solved))
    assert proof_record(known) == proof_record(prove(strategy, claim, sheet.house))


@pytest.mark.parametrize("seat", [0, 1], ids=list(PLAYERS))
@pytest.mark.parametrize("rules", list(SHEETS.values()), ids=list(SHEETS))
def test_kinds_of_mistakes_are_those_that_counting_lines_finds(tmp_path, rules, seat):
    _, play = ground(GAME, "usual", seat).walked(written(tmp_path, rules, PLAYERS[seat]).strategy(seat))
    found = {each.kind: each.positions for each in mistakes_of(play, play.met)}
    assert found == naive.mistakes(rules, PLAYERS[seat])


@pytest.mark.parametrize("seat", [0, 1], ids=list(PLAYERS))
@pytest.mark.parametrize("rules", list(SHEETS.values()), ids=list(SHEETS))
def test_credit_is_what_plain_recursion_gives(tmp_path, rules, seat):
    _, play = ground(GAME, "usual", seat).walked(written(tmp_path, rules, PLAYERS[seat]).strategy(seat))
    rubric = parse_rubric(*read_rubric(None))
    for within, boards in (
        (play.met, naive.positions(PLAYERS[seat], lambda board: naive.moves(rules, board))),
        (np.ones_like(play.met), naive.positions(PLAYERS[seat], naive.free)),
    ):
        count, total = naive.credit(rules, boards)
        found = credit_in(rubric, play, within)
        assert (found.positions, found.share) == (count, Fraction(total, 100 * count))


@pytest.mark.parametrize("seat", [0, 1], ids=list(PLAYERS))
def test_what_is_given_away_without_losing_is_counted(tmp_path, seat):
    for number, rules in enumerate(SHEETS.values()):
        (tmp_path / f"{number}.rules").write_text("\n".join(rules), encoding="utf-8")
    for attempt, rules in zip(attempts_in(tmp_path), SHEETS.values(), strict=True):
        [row] = judge(asked(GAME, PLAYERS[seat]), attempt)
        count = naive.given_away(rules, PLAYERS[seat])
        assert row.given == (() if not count else (Given("win", "draw", count),))


@pytest.mark.parametrize("seat", [0, 1], ids=list(PLAYERS))
def test_points_that_are_given_away_are_those_that_the_proof_knows(tmp_path, seat):
    file = tmp_path / "a.rules"
    file.write_text("look ahead 1 ply\n", encoding="utf-8")
    [row] = judge(asked("boxes-three-by-one", PLAYERS[seat], claim="best-value"), attempts_in(tmp_path)[0])
    sheet = load_strategy(file, game="boxes-three-by-one", seat=PLAYERS[seat])
    proof = prove(sheet.strategy(seat), "best-value", sheet.house)
    truth, graph = proof.truth, proof.walk.graph
    lost = truth.to_come[graph.parent] - truth.gains - truth.to_come[graph.child]
    gives = proof.walk.machine[graph.parent] & (lost > 0)
    counts = {mistake.kind: mistake.positions for mistake in row.mistakes}
    assert counts["points-given-away"] == len(set(graph.parent[gives].tolist()))
    assert sum(each.positions for each in row.given) == counts["points-given-away"]
    assert row.given[0].before == f"{lost[gives].max()} points"


def test_every_kind_of_a_game_of_lines_is_made_by_some_sheet():
    made = {kind for rules in SHEETS.values() for seat in PLAYERS for kind in naive.mistakes(rules, seat)}
    assert {
        "blocks-before-it-wins",
        "win-not-taken",
        "threat-not-blocked",
        "double-threat-not-stopped",
        "double-threat-not-made",
        "no-answer",
        "symmetric-case-forgotten",
    } <= made


def test_where_a_game_is_too_large_to_be_kept_the_positions_met_are_judged_alike(tmp_path, monkeypatch):
    strategy = written(tmp_path, SHEETS["blocks first"]).strategy(1)
    shared = ground(GAME, "usual", 1)
    _, whole = shared.walked(strategy)
    monkeypatch.setattr(ground_module, "MOST_SHARED", 100)
    large = Ground(shared.game)
    assert large.facts is None
    _, met = large.walked(strategy)
    assert not met.is_whole
    told = [each._replace(code=0, move=0, better=()) for each in mistakes_of(met, met.met)]
    assert told == [each._replace(code=0, move=0, better=()) for each in mistakes_of(whole, whole.met)]
    assert met.digest(met.met) == whole.digest(whole.met)


# What a program is heard to play ----------------------------------------------------------------------------

PROGRAM = """\
import sys
print("YOUR MOVE? ", end="", flush=True)
for line in sys.stdin:
    {}
    print("YOUR MOVE? ", end="", flush=True)
"""
ANSWERS = [  # what it does after the visitor's first move; the kind of its mistake, and its move
    ("print('I PLAY A1')", "illegal-move", "a1"),
    ("pass", "no-answer", None),
    ("sys.exit(3)", "no-answer", None),
]


@pytest.mark.parametrize(("does", "kind", "move"), ANSWERS, ids=["illegal", "no move", "crash"])
def test_what_a_program_plays_where_it_may_not_and_where_it_says_nothing_are_mistakes(
    tmp_path, does, kind, move
):
    """As of a sheet: where a program has gone without a move it earns nothing."""
    (tmp_path / "program.py").write_text(PROGRAM.format(does), encoding="utf-8")
    [attempt] = attempts_in(tmp_path)
    [row] = judge(asked("two-by-two", "second", wrong=0), attempt)
    [mistake] = row.mistakes
    assert (mistake.kind, mistake.move, row.verdict) == (kind, move, "fault-found")
    if move is None:
        assert (mistake.positions, row.met.points) == (4, "0")
    else:
        assert mistake.position == "V_/__"


def test_a_program_is_not_sized_and_that_is_no_fault_of_its(tmp_path):
    (tmp_path / "program.py").write_text(PROGRAM.format("pass"), encoding="utf-8")
    [attempt] = attempts_in(tmp_path)
    [row] = judge(asked("two-by-two", "second", wrong=0, machine="twelve-bit"), attempt)
    assert row.fit == Fit(None, None, None, None, NOT_SIZED)
    assert fit_in_words(row.fit) == f"not sized: {NOT_SIZED}"
    assert why_not_everywhere([row]).startswith("A program can be asked only where play leads")
