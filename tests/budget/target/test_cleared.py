"""Clearings are tried only where they can make something known: the programs are the same as if all were tried."""

from importlib import import_module

import pytest

from budget.card import load_machine
from budget.forms import AS_WRITTEN, Form, lowered_as
from budget.target.program import expanded
from solver.fixed import PLAIN
from tests.budget.lowering.test_rules import LAMP_ROOM, WEIGHED, play_of
from tests.budget.target.random_programs import random_program

cleared = import_module("budget.target.passes.cleared")  # the package has a function of this name
CARD = load_machine("twelve-bit-orders")


def with_all_tried(text, monkeypatch):
    """A program for which every clearing is tried that some order after it might do without; how many there were."""
    tried = []
    shorter = cleared._shorter
    with monkeypatch.context() as patch:
        patch.setattr(cleared, "_is_news", lambda *given: True)
        patch.setattr(cleared, "_shorter", lambda *given: tried.append(given) or shorter(*given))
        return expanded(text, CARD).items, len(tried)


@pytest.mark.parametrize("seed", range(12))
def test_random_programs(seed, monkeypatch):
    text = random_program(seed, 40, with_carry=seed % 3 == 0)
    assert expanded(text, CARD).items == with_all_tried(text, monkeypatch)[0]


@pytest.mark.long
@pytest.mark.parametrize("rules", [LAMP_ROOM, WEIGHED], ids=["lamp room", "weighed"])
def test_whole_programs(rules, monkeypatch):
    text = lowered_as(Form(AS_WRITTEN, "", play_of(rules, 1, reading=PLAIN)), load_machine("twelve-bit")).text
    items, tried = with_all_tried(text, monkeypatch)
    assert expanded(text, CARD).items == items
    assert tried > 10  # else this would show nothing
