"""Programs are counted to the word in every form, and what other house rules would save."""

import pytest

from budget.forms import AS_WRITTEN, Form, built, forms_of, lowered_as
from budget.lowering.lower import TooLong
from budget.program_size import row_of_built, size_programs, smallest_row
from budget.savings import Now, changes, savings
from games.house import load_house_rules, parse_house_rules
from games.load import load_game
from solver.fixed import fixed_plays
from solver.proof import prove
from tests.budget.small_plans import TWELVE_BIT, asked, nim, with_store
from tests.budget.test_closing import HOUSE


def is_as_written(form):
    return form.name == AS_WRITTEN


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
    [form, *_] = forms_of(fixed_plays(nim()))
    row = row_of_built(built(form, TWELVE_BIT), TWELVE_BIT)
    assert row.replies is not None
    assert row.replies.most.instructions >= row.replies.mean_instructions
    assert row.as_json()["worst_seconds"] == pytest.approx(
        float(row.replies.slowest.thinking + row.replies.slowest.printing), abs=1e-9
    )
