"""Noughts and crosses on every machine that a compiler reaches, from both seats, under three sets of house rules.

Each program is played through every input in every state, as `build` does it.  The wording is one that replies soon:
simulators take most of the time.
"""

import pytest

from budget.card import compiled_names, load_machine
from budget.conversation import Conversation
from budget.toolchains.drill import drill, everything
from budget.toolchains.making import toolchain_of
from tests.budget.c90.programs import CAREFUL, installed, sheet_play, written_as

REST = "stop a double threat\ntake the centre\ntake a corner\ntake any free cell\n"
SEATS = {"first": CAREFUL + REST, "second": CAREFUL.replace("first", "second") + REST}
HOUSES = ["usual", "lost-turn", "three-warnings"]
SOON = {"rules": "drawn", "sums": "kept", "pictures": "one by one", "variables": "static"}
STATES = {
    ("first", "usual"): 65,
    ("first", "lost-turn"): 94,
    ("first", "three-warnings"): 279,
    ("second", "usual"): 245,
    ("second", "lost-turn"): 413,
    ("second", "three-warnings"): 1_082,
}


def drilled_on(machines, folder, seat, house):
    """Play the program of each machine through everything; the walk is the same for all."""
    play = sheet_play(folder, SEATS[seat], house)
    due = everything(Conversation(play, load_machine(machines[0]), thorough=False))
    assert due.states == STATES[seat, house]
    for machine in machines:
        card = load_machine(machine)
        text, _ = written_as(play, "as-written", SOON, machine)
        toolchain = toolchain_of(card)
        found = drill(toolchain, toolchain.link(text), due, card)
        assert (found.states, found.inputs, found.steps) == (due.states, due.inputs, len(due.walk))


@pytest.mark.parametrize("house", HOUSES)
def test_the_first_seat_here(tmp_path, house):
    drilled_on(["host"], tmp_path, "first", house)


@pytest.mark.long
@pytest.mark.parametrize("house", HOUSES)
@pytest.mark.parametrize("seat", sorted(SEATS))
def test_every_machine(tmp_path, seat, house):
    machines = compiled_names()
    for machine in machines:
        installed(machine)
    drilled_on(machines, tmp_path, seat, house)
