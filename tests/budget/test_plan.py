"""Planning: what is built is proved, what is kept nobody beats."""

import pickle
import re
from concurrent.futures import Executor, Future
from functools import cache
from itertools import islice
from pathlib import Path

import numpy as np
import pytest

from budget import closing
from budget.card import load_machine
from budget.closing import LONGEST_REPLY, Differs, Patience, TooSlow, close
from budget.conversation import Conversation
from budget.forms import AS_WRITTEN, Form, built, forms_of, lowered_as
from budget.lowering.answering.first_turns import boards_by_turn
from budget.lowering.lower import TooLong
from budget.machine import fleet
from budget.plan import ahead, probing, roughs
from budget.plan.ahead import Helpers
from budget.plan.asked import Asked, Candidate
from budget.plan.attempts import Rough, Sent, Stated
from budget.plan.candidates import candidates
from budget.plan.effort import Effort
from budget.plan.giving import what_would_do
from budget.plan.noticing import to_be_quicker
from budget.plan.searching import searches
from budget.plan.tradeoffs import compared, plan
from budget.plan.ways import Tried, Way, unbeaten
from budget.program_size import row_of_built, size_programs
from budget.programs import machine_for, program_for
from games.load import load_game
from solver.fixed import fixed_plays
from solver.load import load_strategy
from solver.proof import PROVED, prove
from tests.budget.lowering.test_rules import house_of
from tests.budget.small_plans import TWELVE_BIT, asked, nim, nim_asked, with_store

BEHIND = ("1 rule", "2 rules")


@cache
def planned():
    """Of everything but what stands behind rules, which is much like what stands alone."""
    return plan(asked(), not_behind_rules(), TWELVE_BIT)


def not_behind_rules():
    """The candidates of `planned`."""
    return [each for each in candidates(asked(), Effort()) if not each.name.startswith(BEHIND)]


def built_one_by_one():
    """The same without leaving anything out: every candidate in every form that a plan tries, one after the other.

    Weights are tried on the board as it stands alone: on a turned one they take more words, and what they may gain here
    are fractions of a millisecond.
    """
    ways = []
    for candidate in candidates(asked(), Effort()):
        if candidate.name.startswith(BEHIND):
            continue
        plays = fixed_plays(prove(candidate.strategy, "never-loses", asked().house))
        for form in forms_of(plays if candidate.is_better_turned else plays[:1]):
            if form.name == AS_WRITTEN or candidate.is_stored:
                result = built(form, TWELVE_BIT)
                if result.words is not None:
                    row = row_of_built(result, TWELVE_BIT)
                    ways.append(Way(candidate, form, row, result.lowered))
    return ways


@pytest.mark.long
def test_every_way_keeps_the_claim_and_has_all_figures():
    found = planned()
    assert found.ways
    for way in found.ways:
        assert prove(way.candidate.strategy, "never-loses", asked().house).verdict == PROVED
        record = way.as_json()
        assert record["total_words"] == sum(
            record[f"{name}_words"] for name in ("program", "table", "constant", "message", "workspace")
        )
        if way.row.fits:
            assert record["worst_instructions"] > 0
            assert record["worst_seconds"] > 0


@pytest.mark.long
def test_nothing_that_was_left_behind_would_have_been_a_tradeoff():
    found = planned()
    every = built_one_by_one()
    assert found.tried + found.left_behind <= len(every)
    assert [(way.words, way.wait) for way in found.tradeoffs] == [
        (way.words, way.wait) for way in unbeaten(every)
    ]


def test_waits_that_begin_alike_are_alike():
    assert [to_be_quicker(wait) for wait in (2.9013, 2.9, 2.8999, 0.00528, 1, 2577, 0)] == [
        *(2.9, 2.9, 2.8, 0.0052, 1, 2500, 0)
    ]
    for longer, shorter, is_quicker in (
        (2.9994, 2.9013, False),
        (1.02, 0.98, True),
        (10.6, 9.94, True),
        (3.0, 2.9999, True),
        (2.9, 2.9, False),
    ):
        assert (shorter < to_be_quicker(longer)) is is_quicker
    in_time = to_be_quicker(2.96, within=2.955)
    assert [wait < in_time for wait in (2.95, 2.955, 2.956)] == [True, True, False]
    assert to_be_quicker(2.94, within=2.955) == 2.9


@pytest.mark.long
def test_no_tradeoff_is_beaten_and_every_other_way_is():
    found = planned()
    kept = [(way.words, way.wait) for way in found.tradeoffs]
    assert kept == sorted(kept)
    assert [wait for _, wait in kept] == sorted((wait for _, wait in kept), reverse=True)
    for way in found.ways:
        if way.row.fits:
            assert any(words <= way.words and to_be_quicker(wait) <= way.wait for words, wait in kept)
    assert found.best == found.tradeoffs[0]
    assert found.nearest is None


@pytest.mark.long
def test_the_best_is_the_smallest_that_answers_in_time():
    quickest = planned().tradeoffs[-1].wait
    found = compared(Tried(planned().ways, 0), quickest)
    assert found.best is not None
    assert found.best.wait == quickest
    late = compared(Tried(planned().ways, 0), quickest / 2)
    assert late.best is None
    assert late.nearest is not None
    assert late.nearest.wait == quickest


@pytest.mark.long
def test_where_nothing_fits_the_smallest_is_nearest():
    ways = planned().ways
    found = compared(Tried(tuple(way._replace(row=way.row._replace(fits=False)) for way in ways), 0))
    assert (found.tradeoffs, found.best) == ((), None)
    assert found.nearest is not None
    assert found.nearest.words == min(way.words for way in ways)


@pytest.mark.long
def test_a_sheet_of_the_plan_can_be_written_and_is_the_same_strategy(tmp_path):
    for way in planned().tradeoffs:
        (tmp_path / "plan.rules").write_text(way.candidate.sheet, encoding="utf-8")
        if way.candidate.table:
            (tmp_path / "plan.csv").write_text(way.candidate.table, encoding="utf-8")
        written = load_strategy(tmp_path / "plan.rules")
        proof = prove(written.strategy(0), "never-loses", written.house)
        assert proof.verdict == PROVED
        rows = size_programs(fixed_plays(proof), TWELVE_BIT, lambda form, way=way: form.name == way.row.form)
        assert min(row.total_words for row in rows if row.reading == way.row.reading) == way.words


def test_looking_ahead_is_tried_with_as_few_plies_as_keep_the_claim():
    found = list(searches(asked("noughts-and-crosses", 1), (), Effort()))
    assert [each.name for each in found] == [
        "look ahead 6 plies",
        "9 answers for the first turn, then look ahead 6 plies",
        "63 answers for the first 2 turns, then look ahead 4 plies",
        "261 answers for the first 3 turns, then look ahead 2 plies",
    ]
    for each in found:
        assert prove(each.strategy, "never-loses", asked("noughts-and-crosses", 1).house).verdict == PROVED
    [behind_rules] = searches(asked("noughts-and-crosses", 1), ("complete a line", "block a line"), Effort())
    assert behind_rules.name == "2 rules, then look ahead 6 plies"


def test_boards_by_turn_are_those_of_every_line_of_play():
    ask = asked("two-by-two", 1, "lost-turn")
    play = fixed_plays(prove(ask.strategy("take any free cell"), "never-loses", ask.house))[0]
    found = []

    def walk(code, turn):
        """Every line of play, one after the other."""
        for child, by_machine in sorted(after[code]):
            if by_machine:
                found.extend([] if turn < len(found) else [set()])
                found[turn].add(int(play.game.fair_codes(np.array([code], dtype=np.uint64))[0]))
            walk(child, turn + by_machine)

    after = {}
    graph = play.graph
    for parent, child in zip(graph.parent.tolist(), graph.child.tolist(), strict=True):
        by_machine = bool(graph.mover[parent] == play.game.seat)
        after.setdefault(int(graph.codes[parent]), set()).add((int(graph.codes[child]), by_machine))
    for code in graph.codes.tolist():
        after.setdefault(code, set())
    walk(int(graph.codes[graph.start]), 0)
    assert [set(codes.tolist()) for codes in boards_by_turn(play)] == found


def test_a_program_looks_up_its_first_turns_and_searches_after_them():
    ask = asked("two-by-two", 0, "lost-turn")
    [search, *behind] = searches(ask, (), Effort())
    assert search.table is None
    assert behind
    for each in behind:
        [play, *_] = fixed_plays(prove(each.strategy, "never-loses", ask.house))
        found = built(Form(AS_WRITTEN, "", play), TWELVE_BIT)
        assert found.closed is not None
        assert "turns_left" in found.lowered.text
        assert "look ahead" in found.lowered.text


def test_a_turn_too_many_in_the_table_of_the_first_turns_is_noticed():
    ask = asked("two-by-two", 0, "lost-turn")
    [_, behind, *_] = searches(ask, (), Effort())
    [play, *_] = fixed_plays(prove(behind.strategy, "never-loses", ask.house))
    lines = [
        " ".join(line.split())
        for line in lowered_as(Form(AS_WRITTEN, "", play), TWELVE_BIT).text.splitlines()
    ]
    at = lines.index("store turns_left") - 1
    assert lines[at] == "set -1"
    lines[at] = "set -2"
    wrong = program_for("\n".join(lines), TWELVE_BIT, "wrong")
    with pytest.raises((Differs, TooSlow)):
        close(wrong, Conversation(play, TWELVE_BIT), patience=Patience(100_000, None))


@pytest.mark.long
def test_a_plan_for_a_real_order_code_needs_fewer_words_than_by_hand():
    """Two of the first ways that a plan tries decide it; the page that tells their words tells these.

    By hand, elsewhere, for such a machine: 177 words.
    """
    game, ways = load_game("noughts-and-crosses"), ("weights (apart), wins first", "weights (cell by cell)")
    ask = Asked("noughts-and-crosses", game, 1, "never-loses", "terse.toml", house_of(game))
    weights = [each for each in islice(candidates(ask, Effort()), 5) if each.name in ways]
    found = plan(ask, weights, load_machine("twelve-bit-orders"))
    assert found.best is not None
    assert found.best.candidate.name == ways[1]
    assert found.best.words <= 177
    page = " ".join((Path(__file__).parents[2] / "docs/order-sheets.md").read_text(encoding="utf-8").split())
    assert f"the smallest is a program of {found.best.words} words" in page


class AtOnce(Executor):
    """Does what it is asked for at once: ahead of its turn, when the fewest ways are known; some of it fails."""

    def __init__(self, fails):
        self.asked, self._fails = 0, fails

    def submit(self, fn, /, *args):
        self.asked += 1
        future = Future()
        if self.asked in self._fails:
            future.set_exception(OSError("no process could be started"))
        else:
            future.set_result(fn(*args))
        return future


def seen_of_plan(found):
    """All of a plan that can be told."""
    return [way.as_json() for way in found.ways], found.left_behind, [way.words for way in found.tradeoffs]


@cache
def planned_searches(helpers=None):
    """A small game's plan, of what searches alone."""
    ask = nim_asked()
    return plan(ask, list(searches(ask, (), Effort())), TWELVE_BIT, helpers=helpers)


@pytest.mark.parametrize(
    "fails",
    [
        pytest.param((), id="all-help"),
        pytest.param((1,), id="the-first-fails", marks=pytest.mark.long),
        pytest.param((4,), id="another-fails", marks=pytest.mark.long),
    ],
)
def test_other_processes_change_nothing_but_the_time(fails, monkeypatch):
    monkeypatch.setattr(ahead, "FEW", 0)
    monkeypatch.setattr(roughs, "FEW", 0)
    executor = AtOnce(fails)
    there = planned_searches(Helpers(executor, 3))
    assert seen_of_plan(there) == seen_of_plan(planned_searches())
    assert executor.asked >= 1


def test_what_cannot_be_sent_to_another_process_is_built_here(monkeypatch):
    monkeypatch.setattr(ahead, "FEW", 0)
    monkeypatch.setattr(roughs, "FEW", 0)

    def not_sent(*_):
        raise pickle.PicklingError("a game of somebody's own")

    monkeypatch.setattr(Sent, "of", not_sent)
    executor = AtOnce(())
    there = planned_searches(Helpers(executor, 3))
    assert seen_of_plan(there) == seen_of_plan(planned_searches())
    assert executor.asked == 0


@pytest.mark.long
def test_other_processes_change_nothing_of_a_whole_plan():
    executor = AtOnce((9,))
    found = plan(asked(), not_behind_rules(), TWELVE_BIT, helpers=Helpers(executor, 2))
    assert seen_of_plan(found) == seen_of_plan(planned())
    assert executor.asked >= 9


def test_a_program_that_is_too_long_can_be_sent():
    card = with_store(60)
    too_long = Rough.of(Form(AS_WRITTEN, "", fixed_plays(nim())[0]), card).found
    assert isinstance(too_long, TooLong)
    there = pickle.loads(pickle.dumps(Stated.of(too_long))).found(card)
    assert (str(there), there.words) == (str(too_long), too_long.words)


def test_a_strategy_that_is_sent_to_another_process_plays_the_same():
    ask = asked()
    strategy = ask.strategy(
        "complete a line\ntake the opposite corner\ntake the heaviest cell\n    1 for a corner"
    )
    there = pickle.loads(pickle.dumps(strategy))
    here, there = (fixed_plays(prove(each, "never-loses", ask.house))[0] for each in (strategy, there))
    assert here.codes.tolist() == there.codes.tolist()
    assert here.moves.tolist() == there.moves.tolist()


def test_who_waits_for_another_process_can_ask_for_an_end(monkeypatch):
    """It is never done; the first form is written and built here."""
    monkeypatch.setattr(ahead, "FEW", 0)
    monkeypatch.setattr(roughs, "FEW", 0)
    monkeypatch.setattr(ahead, "AT_A_TIME", 0.001)
    monkeypatch.setattr(roughs, "AT_A_TIME", 0.001)
    never = AtOnce(())
    monkeypatch.setattr(never, "submit", lambda fn, *args: Future())
    ask, told = nim_asked(), []

    def tell(what, least):
        told.append(what)
        return told.count(what) < 3

    found = plan(ask, list(searches(ask, (), Effort())), TWELVE_BIT, told=tell, helpers=Helpers(never, 2))
    assert found.tried == 1
    assert told[0].startswith("writing look ahead")
    assert re.search(r"building \d of \d: .* \(as-written, plain\)", told[-1])


def test_an_effort_is_counted_in_looks():
    told = Effort(looks=3).told()
    assert [told("stage", None, 0), told(1, 2), told()] == [True, True, False]
    assert Effort(seconds=12).shared(4).seconds == 3


def test_closing_stops_at_the_first_reply_that_takes_as_long():
    play = fixed_plays(nim())[0]
    lowered = lowered_as(Form(AS_WRITTEN, "", play), TWELVE_BIT)
    talk = Conversation(play, TWELVE_BIT, thorough=False)
    closed = close(lowered.program, talk)
    slowest = float(closed.slowest.seconds)
    most = closed.worst.instructions + 1
    assert close(lowered.program, talk, patience=Patience(most, slowest * 1.001)) == closed
    for patience in (Patience(most, slowest * 0.999), Patience(closed.worst.instructions - 1, None)):
        with pytest.raises(TooSlow):
            close(lowered.program, talk, patience=patience)


@pytest.mark.parametrize(
    ("module", "name", "value"),
    [(closing, "LONG", 0), (closing, "FEW", 0), (fleet, "LONG", 5), (fleet, "TOGETHER", 0)],
    ids=["all-kept", "none-kept", "soon-alone", "never-alone"],
)
def test_closing_finds_the_same_however_the_machines_run(module, name, value, monkeypatch):
    """What a search has run is kept or run again, on arrays or one machine after the other."""
    play = fixed_plays(nim())[0]
    lowered = lowered_as(Form(AS_WRITTEN, "", play), TWELVE_BIT)
    found = close(lowered.program, Conversation(play, TWELVE_BIT))
    monkeypatch.setattr(module, name, value)
    assert close(lowered.program, Conversation(play, TWELVE_BIT)) == found


def test_games_are_tried_that_lead_to_the_longest_answers():
    play = fixed_plays(nim())[0]
    talk = Conversation(play, TWELVE_BIT, thorough=False)
    first, *others = probing.games_to_try(talk)
    state, _ = talk.begin()
    for typed in first:
        assert talk.moves_on(state, typed)
        state, _ = talk.enter(state, typed)
    assert state.over
    waiting, seen, longest = [talk.begin()[0]], set(), 0
    while waiting:
        state = waiting.pop()
        for after, said in (talk.enter(state, typed) for typed in talk.inputs(state) if state not in seen):
            longest = max(longest, len(said))
            waiting.append(after)
        seen.add(state)
    assert len(others) <= probing.LONGEST
    assert len(last_said(talk, others[0])) == longest
    assert len({last_said(talk, game) for game in others}) == len(others)


def last_said(talk, game):
    """What is printed at the end of a game."""
    state, said = talk.begin()
    for typed in game:
        state, said = talk.enter(state, typed)
    return said


def test_what_is_slow_in_a_few_games_is_too_slow_for_closing(monkeypatch):
    """The first legal move of all is fed to one machine, which is looked at every ten instructions."""
    monkeypatch.setattr(probing, "AT_A_TIME", 10)
    play = fixed_plays(nim())[0]
    program = lowered_as(Form(AS_WRITTEN, "", play), TWELVE_BIT).program
    talk = Conversation(play, TWELVE_BIT, thorough=False)
    games = probing.games_to_try(talk)
    machine = machine_for(program)
    machine.run()
    begun = machine.instructions
    machine.feed(games[0][0])
    machine.run()
    took = machine.instructions - begun
    closed = close(program, talk)
    assert took > 100
    for patience in (
        Patience(closed.worst.instructions + 1, None),
        Patience(LONGEST_REPLY, float(closed.slowest.seconds) * 1.001),
    ):
        assert not probing.slowest_in(program, talk, games, patience).is_beyond(patience)
    for patience in (Patience(took - 10, None), Patience(LONGEST_REPLY, 1e-6)):
        assert probing.slowest_in(program, talk, games[:1], patience).is_beyond(patience)
        with pytest.raises(TooSlow):
            close(program, talk, patience=patience)


@pytest.mark.long
def test_where_nothing_does_it_is_told_what_would():
    ask = asked()
    proof = prove(ask.strategy("take any free cell"), "never-loses", ask.house)
    form = Form(AS_WRITTEN, "", fixed_plays(proof)[0])
    row = row_of_built(built(form, TWELVE_BIT), TWELVE_BIT)
    nearest = Way(Candidate("", proof.walk.strategy, ""), form, row, None)
    card = with_store(nearest.words - 1)
    given = what_would_do(ask, nearest, card, None)
    assert given
    assert given[0].does
    assert all(each.does == (each.way.words <= card.store_words) for each in given)
    late = what_would_do(ask, nearest, TWELVE_BIT, nearest.wait / 2)
    assert all(each.does == (each.way.wait <= nearest.wait / 2) for each in late)
    assert any(each.way.wait < nearest.wait for each in late)
