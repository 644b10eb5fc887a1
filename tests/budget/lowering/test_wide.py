"""Numbers of several words, held against Python's own: on words of four bits, so that carries run through many."""

from functools import cache
from importlib.resources import files

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from budget.card import parse_machine
from budget.lowering.text import Text, composed
from budget.lowering.wide import Wide
from budget.machine.assembler import assemble
from budget.machine.simulator import HALTED, Machine

BITS = 4


@cache
def card():
    """Words of four bits, and room for any program."""
    text = files("budget").joinpath("machines", "kit-96.toml").read_text("utf-8")
    return parse_machine(text.replace("store-words = 96", "store-words = 2048"), "roomy.toml")


def holds(text, number, value):
    for place, word in enumerate(number.words):
        text.number(value >> BITS * place & (1 << BITS) - 1)
        text.op("store", word)


def run(text, shown):
    """What stands in some words, and in A, when the program has halted."""
    text.op("halt")
    program = assemble(composed(card(), text.rows).text, card(), "wide")
    machine = Machine.loaded(program, fill=5)
    assert machine.run() == HALTED
    store = machine.store
    addresses = [program.labels[word.split("+")[0]] + int([*word.split("+"), "0"][1]) for word in shown]
    return sum(store[address] << BITS * place for place, address in enumerate(addresses)), machine.a


def begun(value, most, name="number", **more):
    text = Text(card())
    text.label("start")
    number = Wide(text, name, most, **more)
    holds(text, number, value)
    return text, number


SOME = settings(max_examples=40, deadline=None)


@SOME
@given(st.data(), st.integers(1, 18))
def test_sums(data, bits):
    most = (1 << bits) - 1
    one, two = (data.draw(st.integers(0, most)) for _ in range(2))
    text, number = begun(one, most)
    other = Wide(text, "other", most)
    holds(text, other, two)
    number.add(other)
    assert number.count == -(-bits // BITS)
    assert run(text, number.words)[0] == (one + two) % (1 << BITS * number.count)


@SOME
@given(st.data(), st.integers(1, 18))
def test_differences_and_their_signs(data, bits):
    most = (1 << bits) - 1
    one, two = (data.draw(st.integers(0, most)) for _ in range(2))
    text, number = begun(one, most, signed=True)
    number.minus(two)
    found, a = run(text, number.words)
    assert found == (one - two) % (1 << BITS * number.count)
    if two:
        assert (a >> BITS - 1 == 1) == (one < two)


@SOME
@given(st.integers(0, 4095))
def test_one_more(value):
    text, number = begun(value, 4095)
    number.up()
    assert run(text, number.words)[0] == (value + 1) % 4096


@pytest.mark.parametrize("size", [7, 16, 100])
def test_a_word_of_a_table(size):
    entries = [(7 * place + place // 16) % 16 for place in range(size)]
    for place in {0, 6, size // 2, size - 1}:
        text, number = begun(place, size - 1)
        text.table("entries", entries)
        number.index("entries")
        text.op("store", text.variable("found"))
        assert run(text, ["found"])[0] == entries[place]


def test_one_becomes_another():
    text, number = begun(1234, 4095)
    copy = Wide(text, "copy", 4095)
    copy.clear()
    copy.become(number)
    assert run(text, copy.words)[0] == 1234
