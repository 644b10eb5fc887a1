"""Whether a program leads too far is told before it is made short, and what is told is so."""

import pytest

from budget.card import load_machine
from budget.machine.names import Mistakes
from budget.machine.source import read_statements
from budget.target import program
from budget.target.expand import draft
from budget.target.passes import tighten
from budget.target.passes.choices import choices_of
from budget.target.place import OutOfReach, place
from budget.target.program import expanded
from budget.target.reach import leads_too_far

CARD = load_machine("twelve-bit-orders")


def text_of(words_before, orders_behind):
    """A program that stores through the word `p`, which lies so many words behind its data's beginning."""
    between = [each for number in range(orders_behind // 2) for each in (f"plus {100 + number}", "store sum")]
    table = [f"word {', '.join(['7'] * words_before)}"] if words_before else []
    return "\n".join(
        [
            *["start: input", "by p", "store 0", "load sum", *between, "output", "jump start"],
            *["list:", *table, "p: space 1", "sum: space 1", "rest: space 130"],
        ]
    )


def is_out_of_reach(text):
    choices, mistakes = choices_of(CARD.sheet), Mistakes("far", text.split("\n"))
    plain = draft(read_statements(text, "far"), CARD, CARD.sheet, mistakes, copies=False)
    try:
        place(tighten(plain, choices), CARD.sheet, CARD.store_words, choices.jump)
    except OutOfReach:
        return leads_too_far(plain, CARD.sheet), True
    return leads_too_far(plain, CARD.sheet), False


@pytest.mark.parametrize(
    ("words", "orders", "is_told", "is_far"),
    [
        pytest.param(200, 0, True, True, id="far in its table"),
        pytest.param(120, 40, True, True, id="orders between, too"),
        pytest.param(0, 0, False, False, id="near"),
        pytest.param(110, 40, False, True, id="found out only afterwards"),
    ],
)
def test_what_is_told_is_so(words, orders, is_told, is_far):
    assert is_out_of_reach(text_of(words, orders)) == (is_told, is_far)


def test_to_be_told_changes_nothing_but_the_time(monkeypatch):
    text, made = text_of(200, 0), []
    short = program.tighten
    monkeypatch.setattr(program, "tighten", lambda *given: made.append(given) or short(*given))
    told = expanded(text, CARD)
    assert len(made) == 1
    monkeypatch.setattr(program, "leads_too_far", lambda *given: False)
    assert expanded(text, CARD) == told
    assert len(made) == 3
