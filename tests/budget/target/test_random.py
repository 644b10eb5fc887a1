"""Programs made at random do the same on our machine and expanded, tightened or not, on two machines of others."""

from pathlib import Path
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from budget.card import load_machine, parse_machine
from budget.machine.assembler import assemble
from budget.machine.simulator import FAULT, HALTED, WAITING, Machine
from budget.programs import machine_for
from budget.target.pal import pal_source
from budget.target.program import expanded, written
from tests.budget.target.outside import Pdp8, assembled, needs_palbart, needs_simh
from tests.budget.target.random_programs import random_program
from workbench.new import template

OURS = """\
kind = "machine"
from = "made for a test"
word-bits = {bits}
store-words = {words}

[characters]
code = "marked-eight-bit"

[instructions]
layout = "words"
links = 8
"""
LIMIT, FURTHER = 2_000, 40_000
"""Instructions of ours, and of theirs, which take several for each of ours."""
TWELVE = (load_machine("twelve-bit-orders"), parse_machine(OURS.format(bits=12, words=4096), "ours.toml"))


@pytest.fixture(scope="module")
def sixteen(tmp_path_factory):
    folder = tmp_path_factory.mktemp("sixteen")
    (folder / "my-orders.toml").write_text(template("order-sheet"), encoding="utf-8")
    named = 'programs = "order-sheet"\norder-sheet = "my-orders.toml"\n\n[characters]'
    text = OURS.format(bits=16, words=2048).replace("[characters]", named)
    card = parse_machine(text, str(folder / "card.toml"))
    return card, parse_machine(OURS.format(bits=16, words=2048), "ours.toml")


def alike(cards, seed, is_tight):
    """One random program on both machines: what both print, as far as both get."""
    theirs, ours = cards
    text = random_program(seed, 8 + seed % 40, with_carry=seed % 3 == 0)
    codes = [Random(seed).randrange(256) for _ in range(12)]
    plain = Machine.loaded(assemble(text, ours))
    placed = expanded(text, theirs, "random", is_tight=is_tight)
    other = machine_for(written(placed, text, theirs, "random"))
    for machine in (plain, other):
        machine.feed(codes)
    first, second = plain.run(LIMIT), other.run(FURTHER)
    shortest = min(len(plain.passed), len(other.passed))
    assert plain.passed[:shortest] == other.passed[:shortest]
    assert first != FAULT
    if first in (HALTED, WAITING):
        assert (first, len(plain.passed)) == (second, len(other.passed))


@given(seed=st.integers(0, 1 << 32), is_tight=st.booleans())
def test_twelve_bits(seed, is_tight):
    alike(TWELVE, seed, is_tight)


@given(seed=st.integers(0, 1 << 32), is_tight=st.booleans())
def test_sixteen_bits(sixteen, seed, is_tight):
    alike(sixteen, seed, is_tight)


@needs_palbart
@pytest.mark.parametrize("seed", range(4))
def test_palbart_makes_the_same_words(tmp_path, seed):
    text = random_program(seed, 30, with_carry=True)
    placed = expanded(text, TWELVE[0], "random", is_tight=seed % 2 == 0)
    source = pal_source(placed, TWELVE[0].sheet, text.split("\n"), "random")
    assert assembled(source, tmp_path) == written(placed, text, TWELVE[0], "random").image


@needs_simh
@pytest.mark.parametrize("seed", [33, 47, 56])  # those that print little and do much
def test_the_simulator_of_others_leaves_the_same_store(tmp_path, seed):
    """Without keys, so that it comes to rest by itself; what stands in every word of the program is compared."""
    text = random_program(seed, 30, with_carry=True, with_keys=False)
    card = TWELVE[0]
    placed = expanded(text, card, "random")
    assembled(pal_source(placed, card.sheet, text.split("\n"), "random"), tmp_path)
    machine = machine_for(written(placed, text, card, "random"))
    assert machine.run(FURTHER) == HALTED
    with Pdp8(tmp_path, placed.start) as outside:
        outside.wait_for("HALT instruction")
        store = outside.store(0, max(machine.written) + 1)
    assert {address: store[address] for address in machine.written} == {
        address: machine.store[address] for address in machine.written
    }


def test_the_sheets_are_read_from_files_too():
    path = Path(__file__).parents[3] / "budget" / "order_sheets" / "twelve-bit-operate.toml"
    assert path.read_text(encoding="utf-8").isascii()
