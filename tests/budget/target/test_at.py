"""Words that a program for an order sheet puts somewhere itself: reached there, and refused where they cannot lie."""

import re

import pytest

from budget.card import load_machine
from budget.machine.channel import keyed, printed
from budget.machine.simulator import WAITING
from budget.programs import machine_for, program_for
from budget.target.pal import pal_source
from budget.target.program import expanded, written
from games.problems import BadInput
from tests.budget.target.outside import assembled, needs_palbart

CARD = load_machine("twelve-bit-orders")
TOP = CARD.store_words - 3
# Remembers three keys, and prints them when a fourth has come, the middle one once more.
KEEPS = """
again: set -3
store key
read: input
by key
store kept+3
count key
ifnonzero read
input
set -3
store key
tell: by key
load kept+3
output
count key
ifnonzero tell
load kept+1
output
jump again
{key}
{at}
kept: space 3
"""


def program(at, key="key: space 1"):
    return program_for(KEEPS.format(at=at, key=key), CARD)


@pytest.mark.parametrize("at", ["", "at 300", f"at {TOP}"])
def test_words_put_somewhere_are_reached_there(at):
    machine = machine_for(program(at), fill=0o5252)
    machine.feed(keyed(CARD, "ABC.XYZ."))
    assert machine.run() == WAITING
    assert printed(CARD, machine.passed) == "ABCBXYZY"


def test_a_table_at_the_end_of_the_store_is_reached_with_nothing_added():
    anywhere, top = program(""), program(f"at {TOP}")
    assert top.words() < anywhere.words()
    assert {line.place for line in top.lines if line.text.startswith("kept:")} == {TOP}


@needs_palbart
def test_palbart_makes_the_same_words(tmp_path):
    text = KEEPS.format(at=f"at {TOP}", key="key: space 1")
    placed = expanded(text, CARD, "keeps.orders")
    source = pal_source(placed, CARD.sheet, text.split("\n"), "keeps")
    assert assembled(source, tmp_path) == written(placed, text, CARD, "keeps.orders").image


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("halt\nx: space 1\nat 20\ny: set 1\n", "expected no 'at'"),
        ("halt\nat 4095\nx: space 2\n", "no word 4095, or too few"),
        ("halt\nat -1\nx: space 1\n", "no word -1"),
        ("halt\nat 300\nx: space 3\nat 302\ny: word 1\n", "two things at word 302"),
        ("set 1\noutput\nhalt\nat 17\nx: word 1\n", "puts something at word 17 itself"),
    ],
)
def test_where_they_cannot_lie(text, told):
    with pytest.raises(BadInput) as caught:
        program_for(text, CARD)
    assert told in caught.value.problems[0].message


@pytest.mark.parametrize(
    ("text", "line", "column"),
    [
        ("set 1\nhalt\n  start: word 7\n", 3, 3),
        ("x: start: space 1\nhalt\n", 1, 4),
        ("halt\nstart: at 300\ny: word 1\n", 2, 1),
        ("halt\nstart:\n", 2, 1),
    ],
)
def test_a_program_with_orders_begins_with_one(text, line, column):
    with pytest.raises(BadInput) as caught:
        program_for(text, CARD, "days.orders")
    [told] = caught.value.problems
    assert (told.line, told.column) == (line, column)
    assert told.message == "'start' leads to no order; expected one after it"


@pytest.mark.parametrize("text", ["word 1, 2", "start: word 7", "a: space 1", "pool", "# nothing"])
def test_words_without_an_order_are_taken_as_they_stand(text):
    program = program_for(f"{text}\n", CARD)
    assert list(program.image.values()) == [int(each) for each in re.findall(r"\d+", text) if "word" in text]
