"""Planning: what is built is proved, what is kept nobody beats, and what would save words is tried."""

from functools import cache

import pytest

from budget.card import load_machine
from budget.forms import AS_WRITTEN, Form, forms_of, lowered_as
from budget.lowering.lower import TooLong
from budget.machine.layout import Layout
from budget.plan.asked import Asked
from budget.plan.candidates import candidates, searches
from budget.plan.tradeoffs import compared, plan
from budget.program_size import row_of_built, size_programs, smallest_row
from budget.savings import Now, changes, savings
from games.house import load_house_rules, parse_house_rules
from games.load import load_game, parse_game
from solver.fixed import fixed_plays
from solver.load import load_strategy
from solver.proof import PROVED, prove
from tests.budget.test_closing import HOUSE

TWELVE_BIT = load_machine("twelve-bit")
NIM = 'kind = "game"\nfamily = "take"\nplay = "heaps"\nheaps = [1, 2]\n'


@cache
def asked(name="two-by-two", seat=0, house="usual"):
    game = load_game(name)
    return Asked(name, game, seat, "never-loses", house, load_house_rules(house, game))


@cache
def planned():
    """Everything but the tables behind one rule, which are much like those behind none."""
    found = [each for each in candidates(asked(), 10) if not each.name.startswith("1 rule")]
    return plan(asked(), found, TWELVE_BIT)


@pytest.mark.long
def test_every_way_keeps_the_claim_and_has_all_figures():
    found = planned()
    assert len({way.candidate.name for way in found.ways}) > 5
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
def test_no_tradeoff_is_beaten_and_every_other_way_is():
    found = planned()
    kept = [(way.words, way.wait) for way in found.tradeoffs]
    assert kept == sorted(kept)
    assert [wait for _, wait in kept] == sorted((wait for _, wait in kept), reverse=True)
    for way in found.ways:
        if way.row.fits:
            assert any(words <= way.words and wait <= way.wait for words, wait in kept)
    assert found.best == found.tradeoffs[0]
    assert found.nearest is None


@pytest.mark.long
def test_the_best_is_the_smallest_that_answers_in_time():
    quickest = planned().tradeoffs[-1].wait
    found = compared(planned().ways, quickest)
    assert found.best is not None
    assert found.best.wait == quickest
    late = compared(planned().ways, quickest / 2)
    assert late.best is None
    assert late.nearest is not None
    assert late.nearest.wait == quickest


@pytest.mark.long
def test_where_nothing_fits_the_smallest_is_nearest():
    ways = planned().ways
    found = compared([way._replace(row=way.row._replace(fits=False)) for way in ways])
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
    [found] = searches(asked("noughts-and-crosses", 1))
    assert found.name == "look ahead 6 plies"


# Sizes --------------------------------------------------------------------------------------------------------


def with_store(words):
    """The machine with another store, and instructions laid out for it."""
    program = TWELVE_BIT.program
    layout = Layout(program.layout.sizes._replace(store_words=words))
    return TWELVE_BIT._replace(store_words=words, program=program._replace(layout=layout))


def is_as_written(form):
    return form.name == AS_WRITTEN


@cache
def nim():
    game = parse_game(NIM, "nim.toml")
    house = load_house_rules("usual", game)
    ask = Asked("nim.toml", game, 0, "never-loses", "usual", house)
    return prove(ask.strategy("look ahead 6 plies"), "never-loses", house)


def test_a_program_that_does_not_fit_says_by_how_much():
    play = fixed_plays(nim())[0]
    form = Form(AS_WRITTEN, "", play)
    words = lowered_as(form, TWELVE_BIT).words.total
    assert lowered_as(form, with_store(words)).words.total == words
    with pytest.raises(TooLong) as short:
        lowered_as(form, with_store(words - 7))
    assert short.value.words.total == words
    [row] = size_programs([play], with_store(words - 7), is_as_written)
    assert (row.fits, row.margin, row.total_words) == (False, -7, words)
    assert row.replies is None
    assert "the store has" in (row.reason or "")


@pytest.mark.long
def test_every_form_of_a_play_is_built_in_every_reading():
    plays = fixed_plays(nim())
    names = {(form.name, form.reading) for form in forms_of(plays)}
    assert {(AS_WRITTEN, play.reading) for play in plays} <= names
    assert {("sorted-keys", play.reading) for play in plays} <= names
    rows = size_programs(plays, TWELVE_BIT)
    assert [row.form for row in rows if row.total_words == smallest_row(rows).total_words]
    assert all(row.reason for row in rows if row.total_words is None)


@pytest.mark.long
def test_savings_are_what_the_changed_house_rules_take():
    game = load_game("two-by-two")
    house = load_house_rules("usual", game)
    ask = asked()
    proof = prove(ask.strategy("take any free cell"), "never-loses", house)
    play = fixed_plays(proof)[0]
    form = Form(AS_WRITTEN, "", play)
    total = lowered_as(form, TWELVE_BIT).words.total
    found = savings(proof, form, TWELVE_BIT, total)
    assert 0 < len(found) <= 3
    for saving in found:
        [changed] = [
            h for name, h in changes(Now(house, game.move_names, TWELVE_BIT)) if name == saving.change
        ]
        again = fixed_plays(prove(proof.walk.strategy, "never-loses", changed))[0]
        assert lowered_as(form._replace(play=again), TWELVE_BIT).words.total == saving.total_words
        assert saving.saved == total - saving.total_words > 0
    short = savings(proof, form, TWELVE_BIT._replace(store_words=total - 1), total)
    assert short[0].fits


def test_house_rules_that_say_least_can_hardly_be_changed():
    game = load_game("noughts-and-crosses")
    house = parse_house_rules(HOUSE, "close.toml", game)
    assert [name for name, _ in changes(Now(house, game.move_names, TWELVE_BIT))] == []


def test_rows_tell_the_slowest_reply():
    from budget.forms import built

    [form, *_] = forms_of(fixed_plays(nim()))
    row = row_of_built(built(form, TWELVE_BIT), TWELVE_BIT)
    assert row.replies is not None
    assert row.replies.most.instructions >= row.replies.mean_instructions
    assert row.as_json()["worst_seconds"] == pytest.approx(
        float(row.replies.slowest.thinking + row.replies.slowest.printing), abs=1e-9
    )
