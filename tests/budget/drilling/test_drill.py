"""Faults drilled side by side against each machine played alone, one instruction after another."""

import random
from collections import Counter

import pytest

from budget.drilling.drill import drill
from budget.drilling.faults import BOARD, KINDS, faults_of
from budget.drilling.judging import CAUGHT, CLASSES, Judge
from budget.drilling.lines import START
from budget.faulty import DIFFERS, LOSES, SAME, STOPS, STRAYS
from budget.lowering.units import codes_of
from budget.machine.simulator import HALTED, LIMIT, WAITING, Machine
from budget.programs import machine_for
from budget.target.machine import TargetMachine
from tests.budget.drilling.small import small

EACH, MANY = 1, 12
"""Faults of each kind that are played alone, and in the long run."""


def sign_of(case):
    return codes_of(case.program.card.characters.code, "E")


def sample(case, seed, each):
    by_kind = {kind: [] for kind in KINDS}
    for fault in faults_of(case.sound):
        by_kind[fault.kind].append(fault)
    rng = random.Random(seed)
    return [fault for some in by_kind.values() for fault in rng.sample(some, min(each, len(some)))]


def copied(machine, program):
    """Another machine that stands alike and has printed nothing yet."""
    other = machine_for(program)
    other.store[:] = machine.store
    other.place = machine.place
    if isinstance(machine, Machine):
        other.m, other.carry, other.links = machine.m, machine.carry, list(machine.links)
    else:
        assert isinstance(machine, TargetMachine)
        other.registers[:] = machine.registers
        for name in ("key", "typed", "printed", "_is_printing"):
            setattr(other, name, getattr(machine, name))
    return other


class Alone:
    """One faulty machine, played through every line without any short cut."""

    def __init__(self, case, fault):
        self.case, self.fault, self.lines = case, fault, case.lines
        self.limit = 10 * case.sound.worst
        self.found, self.shown = [], []

    def run(self):
        machine = machine_for(self.case.program)
        if self.fault.wait == START:
            self.turn_round(machine)
            machine.run(self.limit)
            self.judge(machine, None, (), START, False, 0)
        else:
            machine.run()
            self.to_the_wait(machine)
            self.turn_round(machine)
            state = self.lines.waits[self.fault.wait]
            self.go_on(machine, state, self.fault.wait, False, int(state.over))
        worst = min(map(CLASSES.index, self.found), default=CLASSES.index(SAME))
        return CLASSES[worst], sorted(self.shown)

    def turn_round(self, machine):
        for address, bits in self.fault.wrong.items():
            machine.store[address] ^= bits

    def to_the_wait(self, machine):
        leads = {step.leads: number for number, step in enumerate(self.lines.steps) if step.leads is not None}
        if self.fault.wait:
            for number in self.lines.way_to(leads[self.fault.wait]):
                machine.feed(self.lines.steps[number].typed)
                machine.run()

    def go_on(self, machine, state, wait, differs, ends):
        if ends > 2 or (ends == 2 and state.over) or (ends == 2 and not state.over and self.ends_at_once):
            return
        if wait is not None:
            for number, step in enumerate(self.lines.steps):
                if step.wait == wait:
                    self.feed(machine, state, step.typed, number, differs, ends)
        else:
            for text in self.case.texts.moves(state):
                self.feed(machine, state, self.case.talk.keys(state, text), None, differs, ends)

    @property
    def ends_at_once(self):
        return not any(state.over for state in self.lines.waits)

    def feed(self, before, state, typed, number, differs, ends):
        machine = copied(before, self.case.program)
        machine.feed(typed)
        machine.run(self.limit)
        self.judge(machine, state, typed, number, differs, ends)

    def judge(self, machine, state, typed, number, differs, ends):
        sent, status = tuple(machine.passed), machine.status
        talk = self.case.talk
        courses = talk.any_begin() if state is None else talk.any_enter(state, typed)
        try:
            due = (talk.begin() if state is None else talk.enter(state, typed))[1]
        except KeyError:
            due = None
        before, differs = differs, differs or due != sent
        taken = [course for course in courses if course.said == sent]
        lost = [each for each in taken or courses if each.lost_at is not None]
        after, ended = None, False
        if differs and any(sent[: each.lost_at] == each.said[: each.lost_at] for each in lost):
            found = LOSES
        elif status == HALTED and sent[-1:] == sign_of(self.case):
            found = CAUGHT
        elif status != WAITING:
            found = STOPS
        elif not taken:
            found = STRAYS
        else:
            found, after, ended = DIFFERS if differs else SAME, taken[0].state, taken[0].final is not None
        self.found.append(found)
        if found != SAME and number is not None and not before:
            self.shown.append(number)
        if after is None:
            return
        leads = 0 if number == START else None if number is None else self.lines.steps[number].leads
        now = 0 if state is None else ends + ended
        self.go_on(machine, after, None if differs else leads, differs, now)


def hold_together(case, check, each):
    """Drill some faults both ways; which classes came up."""
    faults = sample(case, 7, each)
    found = drill(
        case.sound, faults, case.texts, Judge(case.talk, sign_of(case) if check != "none" else None)
    )
    seen = Counter()
    for fault, outcome in zip(faults, found, strict=True):
        assert outcome.is_whole
        kind, shown = Alone(case, fault).run()
        seen[outcome.found] += 1
        if not outcome.leans:
            assert (outcome.found, sorted({each.step for each in outcome.shown})) == (
                kind,
                sorted(set(shown)),
            ), fault
    return seen


def test_every_fault_comes_to_what_the_machine_alone_comes_to():
    assert len(hold_together(small("at-start", "at-once"), "at-start", EACH)) >= 2


@pytest.mark.long
def test_faults_of_a_built_program_of_an_order_sheet():
    assert len(hold_together(small("none", "at-once", "twelve-bit-orders"), "none", EACH)) >= 2


@pytest.mark.long
@pytest.mark.parametrize(("check", "next_game"), [("none", "asked-for"), ("at-start", "at-once")])
def test_many_faults_come_to_what_the_machine_alone_comes_to(check, next_game):
    seen = hold_together(small(check, next_game), check, MANY)
    assert len(seen) >= 4
    assert (CAUGHT in seen) == (check != "none")


def test_a_check_at_the_start_does_not_see_what_comes_in_play():
    case = small("at-start", "at-once")
    faults = [fault for fault in sample(case, 3, 30) if fault.kind == BOARD]
    found = drill(case.sound, faults, case.texts, Judge(case.talk, sign_of(case)))
    assert CAUGHT not in {outcome.found for outcome in found}
    assert LIMIT not in {
        shown.reply.status for outcome in found for shown in outcome.shown if outcome.found == SAME
    }
