"""The ordered rules of Newell and Simon for noughts and crosses, as rule sheets, in every reading of *block fork*.

The list: A. Newell and H. A. Simon, Human Problem Solving, 1972, as tabulated by K. Crowley and R. S. Siegler,
Flexible strategy use in young children's tic-tac-toe, Cognitive Science 17:531-561, 1993.  The readings, and what
we found published nowhere, are ours.  Whichever of several cells a rule allows is played, all are gone through.
"""

from functools import cache
from itertools import combinations
from typing import NamedTuple

import numpy as np
import pytest

from games.codes import UNFINISHED
from games.house import load_house_rules
from games.load import load_game
from solver.claims import worth
from solver.counts import one_of_each
from solver.graph import explore
from solver.load import load_strategy
from solver.proof import prove
from solver.sheet.reader import SheetReader
from solver.strategy import Strategy
from solver.values import best_play

THE_LIST = "A. Newell, H. A. Simon, Human Problem Solving, 1972, as tabulated by Crowley and Siegler, 1993"
OURS = "ours only: found published nowhere, computed by another program of ours"

BLOCK_FORK = "stop a double threat"
RULES = {
    "win": "complete a line",
    "block": "block a line",
    "fork": "make a double threat",
    "block fork": BLOCK_FORK,
    "centre": "take the centre",
    "opposite corner": "take the opposite corner",
    "empty corner": "take a corner",
    "empty side": "take an edge",
}
"""The list's rules in its order and by its names, each as a rule of a sheet."""
READINGS = {
    "A": "by occupying it",
    "B": "by any threat, else occupying it",
    "C": "by a safe threat, else occupying it",
    "D": "by occupying the only one, else a clearing threat, else a safe threat, else occupying it",
    "E": "by clearing it, else a safe threat, else occupying it",
    "F": "by occupying the only one, else a safe threat, else occupying it",
    "G": "by occupying the only one, else any threat, else occupying it",
    "H": "by an occupying threat, else occupying it",
    "I": "by occupying the only one",
}
"""How *block fork* may be read; B is what the words of the table say."""
SEATS = ("first", "second")


class Published(NamedTuple):
    """A figure, and who says so; ``refuted`` says why a published sentence is false for the rules used."""

    value: object
    source: str
    refuted: str = ""


def sheet(reading="", without=(), names=tuple(RULES)):
    """The rules of the list (but some), with *block fork* in a reading; without one it is the usual meaning."""
    block_fork = f"{BLOCK_FORK} {READINGS[reading]}" if reading else BLOCK_FORK
    kept = {**RULES, "block fork": block_fork}
    return [kept[name] for name in names if name not in without]


@pytest.fixture
def proof_of(tmp_path):
    """Write the rules down as a sheet, read it as a user's and prove that it never loses."""

    def proof(rules, seat, choice="open"):
        path = tmp_path / "list.rules"
        header = ["game: noughts-and-crosses", f"seat: {seat}", f"choice: {choice}"]
        path.write_text("\n".join([*header, "", *rules, ""]), encoding="utf-8")
        written = load_strategy(path)
        return prove(
            written.strategy(written.seats[0]), written.claim, load_house_rules("usual", written.game)
        )

    return proof


def plies_to_a_loss(proof):
    """How many plies the shortest losing line has; None if there is none."""
    return len(proof.failure.line.edges) if proof.verdict == "refuted" else None


@pytest.mark.parametrize("seat", SEATS)
@pytest.mark.parametrize("choice", ["open", "plain", "turned"])
def test_the_list_in_our_own_reading_never_loses(proof_of, seat, choice):
    """Clearing it or a safe threat, else occupying it: never beaten in either seat, whichever cell is chosen."""
    assert proof_of(sheet(), seat, choice).verdict == "proved"


AS_FIRST = Published(dict.fromkeys(READINGS), THE_LIST)


@pytest.mark.parametrize("reading", READINGS)
def test_the_list_never_loses_as_first_in_any_reading(proof_of, reading):
    assert plies_to_a_loss(proof_of(sheet(reading), "first")) == AS_FIRST.value[reading]


LITERALLY_AS_SECOND = Published(
    "never loses",
    THE_LIST,
    refuted="Read to the letter, any two in a row stops a fork; but the reply that it forces can itself be a fork, "
    "so the list loses in seven plies.",
)
BEATEN_BY = "X0 O4 X5 O6 X2 O1 X8"
"""Cells from 0 in reading order.  Ours only."""


def test_the_list_loses_as_second_when_block_fork_is_read_to_the_letter(proof_of):
    proof = proof_of(sheet("B"), "second")
    assert (proof.verdict != "refuted") != bool(LITERALLY_AS_SECOND.refuted)
    assert plies_to_a_loss(proof) == 7
    assert plies_to_a_loss(proof_of(sheet("B"), "second", "plain")) == 7
    line = [proof.walk.graph.move[edge] for edge in proof.failure.line.edges]
    assert line == [int(cell[1:]) for cell in BEATEN_BY.split()]


def test_read_to_the_letter_it_never_loses_when_the_choice_is_good(proof_of):
    """Only choices lose it: where the rule allows several cells, one of them is always good enough."""
    walk = proof_of(sheet("B"), "second").walk
    graph = walk.graph
    full = explore(walk.game)
    values = worth(best_play(full).value, walk.game.seat)[full.places(graph.codes)]
    best = np.zeros(len(graph), dtype=int)
    np.maximum.at(best, graph.parent, values[graph.child])
    reached = {graph.start}
    waiting = [graph.start]
    while waiting:
        at = waiting.pop()
        edges = list(graph.edges_of(at))
        if walk.machine[at]:
            assert best[at] == values[at]
            edges = [next(edge for edge in edges if values[graph.child[edge]] == values[at])]
        else:
            assert graph.ending[at] != walk.game.visitor + 1
        new = {int(graph.child[edge]) for edge in edges} - reached
        reached |= new
        waiting += new


WITHOUT = {
    "win": Published(([None, 7], [0, 0]), OURS),
    "fork": Published(([None, None], [0, 0]), OURS),
    "centre": Published(([None, 7], [0, 0]), OURS),
    "empty corner": Published(([None, 7], [0, 4]), OURS),
    "empty side": Published(([None, None], [8, 4]), OURS),
}
"""Reading C without one of its rules: plies to a loss, and positions where no rule applies, as first and as second."""


@pytest.mark.parametrize("dropped", WITHOUT)
def test_the_list_without_one_of_its_rules(proof_of, dropped):
    proofs = [proof_of(sheet("C", without=[dropped]), seat) for seat in SEATS]
    plies, unanswered = WITHOUT[dropped].value
    assert [plies_to_a_loss(proof) for proof in proofs] == plies
    assert [len(proof.walk.unanswered) for proof in proofs] == unanswered


MET = Published({"first": (209, 29), "second": (641, 88)}, OURS)
"""Positions that the list can meet in reading C: on a fixed board, and up to symmetry."""


@pytest.mark.parametrize("seat", SEATS)
def test_positions_that_the_list_meets(proof_of, seat):
    proof = proof_of(sheet("C"), seat)
    assert (proof.positions, proof.walk.positions_up_to_symmetry()) == MET.value[seat]


@pytest.mark.parametrize("seat", SEATS)
@pytest.mark.parametrize("reading", READINGS)
def test_no_win_is_missed_in_the_lists_own_play(proof_of, reading, seat):
    """Ours only: in no reading does the list let a win go that it meets."""
    proof = proof_of(sheet(reading), seat)
    won = proof.truth.worth == 2
    graph = proof.walk.graph
    assert won[graph.child[proof.walk.machine[graph.parent] & won[graph.parent]]].all()


VALUE_THROWN_AWAY = Published({"C": 9, "D": 7, "E": 8}, OURS)
"""Legal positions up to symmetry in which the list may throw value away."""


@pytest.mark.parametrize("reading", VALUE_THROWN_AWAY.value)
def test_positions_in_which_the_list_may_throw_value_away(proof_of, reading):
    game = load_game("noughts-and-crosses")
    graph = explore(game)
    value = best_play(graph).value
    rules = proof_of(sheet(reading), "first").walk.strategy.rules
    thrown = []
    for seat in (0, 1):
        places = np.nonzero((graph.ending == UNFINISHED) & (graph.mover == seat))[0]
        answers = Strategy("list", "", game, seat, rules).answers(graph.codes[places])
        pairs = set(zip(places[answers.place].tolist(), answers.move.tolist(), strict=True))
        worths = worth(value, seat)
        for edge in range(len(graph.child)):
            parent = int(graph.parent[edge])
            if (parent, int(graph.move[edge])) in pairs and worths[graph.child[edge]] < worths[parent]:
                thrown.append(graph.codes[parent])
    assert len(one_of_each(game, np.array(thrown, dtype=np.uint64))) == VALUE_THROWN_AWAY.value[reading]


SHORTEST = Published({"first": 3, "second": 5, "both": 5}, OURS)
"""How many rules of the list (reading C) are enough never to lose, when any free cell is taken where none applies."""
SHORTEST_FOR_BOTH = ("win", "block", "block fork", "centre", "empty corner")


@cache
def read_rules():
    """The rules of the list in reading C and *any free cell*, read once for all."""
    game = load_game("noughts-and-crosses")
    lines = [*sheet("C"), "take any free cell"]
    return game, dict(zip([*RULES, "any"], SheetReader("list", lines, game).read(0), strict=True))


def never_loses(names, seat):
    game, rules = read_rules()
    strategy = Strategy("list", "", game, SEATS.index(seat), [rules[name] for name in (*names, "any")])
    return prove(strategy, "never-loses", load_house_rules("usual", game)).verdict == "proved"


def test_five_rules_are_enough_for_both_seats():
    assert all(never_loses(SHORTEST_FOR_BOTH, seat) for seat in SEATS)
    assert len(SHORTEST_FOR_BOTH) == SHORTEST.value["both"]


@pytest.mark.long
def test_no_shorter_choice_of_rules_is_enough():
    sublists = [names for size in range(6) for names in combinations(RULES, size)]
    enough = {seat: {names for names in sublists if never_loses(names, seat)} for seat in SEATS}
    enough["both"] = enough["first"] & enough["second"]
    assert {seat: min(map(len, lists)) for seat, lists in enough.items()} == SHORTEST.value
    assert SHORTEST_FOR_BOTH in enough["both"]


LITERAL_WITHOUT = Published(
    {
        "first": [None, 6, None, None, None, None, 8, None],
        "second": [7, 5, 7, 7, 7, 7, 7, 7],
    },
    OURS,
)
"""Read to the letter and without one rule, in the order of the list: plies to a loss."""


@pytest.mark.parametrize("seat", SEATS)
def test_the_literal_list_without_each_rule_in_turn(proof_of, seat):
    plies = [plies_to_a_loss(proof_of(sheet("B", without=[dropped]), seat)) for dropped in RULES]
    assert plies == LITERAL_WITHOUT.value[seat]
