"""What is known and asked for is the same as without a memory, whoever has asked before."""

from functools import cache

import pytest

from budget.card import load_machine
from budget.machine.names import Mistakes
from budget.machine.source import read_statements
from budget.target import memory
from budget.target.code import ORDER
from budget.target.expand import draft
from budget.target.flow import Flow
from budget.target.knowing import UNKNOWN, agreed
from budget.target.meaning import WORD
from budget.target.meanings import Meanings
from tests.budget.target.random_programs import random_program

CARD = load_machine("twelve-bit-orders")


@cache
def draft_of(seed):
    text = random_program(seed, 40, with_carry=seed % 3 == 0)
    mistakes = Mistakes("random", text.split("\n"))
    return draft(read_statements(text, "random"), CARD, CARD.sheet, mistakes, copies=False)


def asked_slowly(flow):
    """From the last item to the first, over and over until nothing changes."""
    count = len(flow.items)
    before, after, changed = [frozenset()] * (count + 2), [frozenset()] * count, True
    while changed:
        changed = False
        for number in reversed(range(count)):
            if flow.items[number].kind == ORDER:
                after[number] = frozenset().union(*[before[each] for each in flow.onward[number]])
                facts = flow.facts(number)
                asked = (after[number] - facts.kills) | facts.always
                asked = asked.union(*[depends for own, depends in facts.when if own in after[number]])
                changed |= asked != before[number]
                before[number] = asked
    return after


def after_slowly(flow, meanings, number, state):
    """What is known after an order; a word is apart from another if both have labels, at different places."""
    facts = flow.facts(number)
    holds = state.get(str(facts.word), UNKNOWN) if facts.holds is None else facts.holds
    registers, word = meanings.after(facts.effect, state, holds)
    found = {**flow._still_known(facts, state), **registers}
    return {**found, facts.word: word} if WORD in facts.meaning.changes and facts.word is not None else found


def known_slowly(flow, meanings):
    """From the entries on, the first item that has to be looked at again first."""
    registers = (*meanings.sheet.registers, *flow._temporaries)
    states = dict.fromkeys(flow.entries, dict.fromkeys(registers, UNKNOWN))
    waiting = set(flow.entries)
    while waiting:
        number = min(waiting)
        waiting.remove(number)
        if number >= len(flow.items) or flow.items[number].kind != ORDER:
            continue
        known = after_slowly(flow, meanings, number, states[number])
        for each in flow.onward[number]:
            after = flow.known_on(number, each, known)
            joined = agreed(states[each], after) if each in states else after
            if states.get(each) != joined:
                states[each] = joined
                waiting.add(each)
    return [states.get(number) for number in range(len(flow.items))]


@pytest.mark.parametrize("most", [20_000, 5], ids=["all kept", "soon forgotten"])
def test_a_memory_changes_nothing(most, monkeypatch):
    monkeypatch.setattr(memory, "MOST_STATES", most)
    meanings = Meanings(CARD.sheet)
    for seed in (0, 1, 2, 0):
        flow = Flow(draft_of(seed), meanings)
        assert flow.known_before == known_slowly(Flow(draft_of(seed), meanings), meanings)
        assert flow.asked_after == asked_slowly(flow)
        for number, state in enumerate(flow.known_before):
            if state is not None and flow.items[number].kind == ORDER:
                assert flow.known(number, state) == after_slowly(flow, meanings, number, state)
                assert flow.known(number, dict(state)) == after_slowly(flow, meanings, number, state)


def test_a_state_is_kept_once_and_forgotten_between_two_graphs(monkeypatch):
    monkeypatch.setattr(memory, "MOST_STATES", 1)
    kept = memory.Memory()
    first = kept.once({"A": (1, 1)})
    assert kept.once({"A": (1, 1)}) is first
    assert kept.holds(first)
    assert not kept.holds({"A": (1, 1)})
    assert kept.remembered((id(first), "more"), lambda: {"A": (3, 3)}) == {"A": (3, 3)}
    assert kept.remembered((id(first), "more"), dict) == {"A": (3, 3)}  # it is not found out again
    kept.begin()
    assert not kept.holds(first)
    assert kept.remembered((id(first), "more"), dict) == {}
