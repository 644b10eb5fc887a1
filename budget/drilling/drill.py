"""Every fault of a store drilled through all lines of play, many machines side by side.

A machine with a fault does what the sound one does as long as the wrong words are not used.  So at each input only
those are run whose wrong words the sound program uses there; all others are known to go on alike.  A machine that
leaves the lines, in what it prints or in a word that is carried on, is followed by itself, by `budget.drilling.astray`.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from budget.drilling.astray import Followed, Stray
from budget.drilling.faults import Fault, Wrong, wrong_of
from budget.drilling.judging import CLASSES, Judge
from budget.drilling.lines import START, Texts
from budget.drilling.noted import Flags
from budget.drilling.replies import Reply, replies_of
from budget.drilling.sound import Sound
from budget.drilling.stores import MixedFleet, mixed
from budget.faulty import MOST_TOLD, SAME
from budget.machine.rows import Array
from budget.machine.simulator import WAITING

TOGETHER = 8_000
"""Machines that run side by side."""
FAULTS_TOGETHER = 4_000
Told = Callable[[Sequence["Outcome"]], None]
"""Hears what has come of all faults that were drilled so far, in the order of `drilling_order`."""


class Shown(NamedTuple):
    """Where a fault first shows in a line: the step (START for the start), and the reply, its codes cut short."""

    step: int
    reply: Reply


class Outcome(NamedTuple):
    """What comes of a fault.

    found: the worst of CLASSES; shown: every step at which it shows in a line; is_whole: whether it was followed to its
    end; leans: whether it made a machine read what happened to stand in its workspace, of which one case was tried.
    """

    found: str
    shown: tuple[Shown, ...]
    is_whole: bool
    leans: bool


def drill(
    sound: Sound,
    faults: Sequence[Fault],
    texts: Texts,
    judge: Judge,
    told: Told | None = None,
    known: Sequence[Outcome] = (),
) -> list[Outcome]:
    """What comes of each fault.

    known: what `told` has heard in another run that was broken off; only the rest is drilled then.
    """
    outcomes = list(known)
    order = drilling_order(faults)
    while len(outcomes) < len(faults):
        from_first_wait = {
            wrong_of(faults[number]): outcome
            for number, outcome in zip(order, outcomes, strict=False)
            if faults[number].wait == 0
        }
        part = order[len(outcomes) : len(outcomes) + FAULTS_TOGETHER]
        outcomes += _Drill(sound, [faults[number] for number in part], texts, judge).run(from_first_wait)
        if told is not None:
            told(outcomes)
    by_fault = dict(zip(order, outcomes, strict=True))
    return [by_fault[number] for number in range(len(faults))]


def drilling_order(faults: Sequence[Fault]) -> list[int]:
    """The numbers of faults as they are drilled: those in play first, for then others need no drill of their own."""
    return sorted(range(len(faults)), key=lambda number: faults[number].wait == START)


class _Drill:
    """The drill of some faults; `masks`, (faults, n), are the bits that each turns round."""

    def __init__(self, sound: Sound, faults: Sequence[Fault], texts: Texts, judge: Judge) -> None:
        self._sound = sound
        self._faults = faults
        self._lines = sound.lines
        self._judge = judge
        self._waits = np.array([fault.wait for fault in faults])
        column = {address: place for place, address in enumerate(sound.interest.tolist())}
        masks = np.zeros((len(faults), len(sound.interest)), dtype=sound.words.dtype)
        for number, fault in enumerate(faults):
            for address, bits in fault.wrong.items():
                masks[number, column[address]] = bits
        self._masks = masks
        self._where = ((masks != 0) & sound.matters).T.astype(
            np.float32
        )  # the others are written before they are read
        self._found = np.full(len(faults), CLASSES.index(SAME))
        self._shown: list[list[Shown]] = [[] for _ in faults]
        self._followed = Followed(sound, texts, judge, masks, self._note)

    def run(self, known: Mapping[Wrong, Outcome]) -> list[Outcome]:
        """What comes of each; known: what comes of some that are there from the first wait on."""
        started = self._started()
        same = {
            number: known[wrong_of(self._faults[number])]
            for number in np.flatnonzero(started).tolist()
            if wrong_of(self._faults[number]) in known
        }
        started[list(same)] = False
        alive, first = started[None, :], 0
        for level, fleet in zip(self._lines.levels, self._sound.fleets, strict=True):
            alive = alive | (self._waits == first + np.arange(len(fleet))[:, None])
            alive = self._advance(level, fleet, first, alive)
            first += len(fleet)
        return [
            same[number] if number in same else self._outcome(number) for number in range(len(self._faults))
        ]

    def _outcome(self, number: int) -> Outcome:
        followed = self._followed
        found, shown = CLASSES[int(self._found[number])], tuple(self._shown[number])
        return Outcome(found, shown, number not in followed.cut, number in followed.leaning)

    def _started(self) -> Flags:
        """Which faults leave the machine at its first wait as the sound one is; the others are followed."""
        going = self._waits == START
        numbers = np.flatnonzero(going)
        steps = np.full(len(numbers), START)
        fleet = mixed(self._sound.program)
        for at in range(0, len(numbers), TOGETHER):
            part = slice(at, at + TOGETHER)
            same = self._try(fleet, np.zeros(len(numbers[part]), dtype=np.intp), numbers[part], steps[part])
            going[numbers[part][~same]] = False
        return np.asarray(going)

    def _advance(self, level: Sequence[int], fleet: MixedFleet, first: int, alive: Flags) -> Flags:
        """The faults with which machines are as the sound one at the next waits; alive, (waits, faults): at these."""
        steps = np.array(level)
        at = np.array([self._lines.steps[number].wait - first for number in level])
        used = (self._sound.used[steps].astype(np.float32) @ self._where) > 0
        tried, unused = alive[at] & used, alive[at] & ~used
        numbers, places = np.nonzero(
            tried.T
        )  # by faults: so a batch has few words that are not the same in all
        for begin in range(0, len(places), TOGETHER):
            part = slice(begin, begin + TOGETHER)
            same = self._try(fleet, at[places[part]], numbers[part], steps[places[part]])
            unused[places[part][same], numbers[part][same]] = True
        going_on = [
            place for place, number in enumerate(level) if self._lines.steps[number].leads is not None
        ]
        onward: Flags = unused[going_on]
        return onward

    def _try(self, fleet: MixedFleet, waits: Array, numbers: Array, steps: Array) -> Flags:
        """Run machines with faults through a step each; which of them are then as the sound one, but for the fault."""
        sound, machines = self._sound, np.arange(len(numbers))
        after = fleet.chosen(waits)
        self._turn_round(after, numbers)
        after.rows.note(sound.junk)
        after.rows.look_again()
        is_start = bool(steps[0] == START)
        typed = [] if is_start else [self._lines.steps[number].typed for number in steps.tolist()]
        replies = replies_of(after, typed, sound.worst)
        self._followed.note_leaning(after, numbers.tolist())
        due = [
            self._lines.begins if number == START else self._lines.steps[number].said
            for number in steps.tolist()
        ]
        says = np.array(
            [reply.status == WAITING and reply.sent == said for reply, said in zip(replies, due, strict=True)]
        )
        turned = after.rows.words(sound.interest) ^ sound.words[steps]
        matters = sound.matters
        alike = (after.registers(sound.links) == sound.registers[steps]).all(axis=1)
        healed = alike & ~turned[:, matters].any(axis=1)
        same = alike & (turned == self._masks[numbers])[:, matters].all(axis=1)
        strays = []
        for machine in machines[~says | ~(healed | same)].tolist():
            stray = self._judged(int(numbers[machine]), int(steps[machine]), replies[machine])
            if stray is not None:
                strays.append((machine, stray))
        if strays:
            self._followed.follow(
                after.chosen([machine for machine, _ in strays]), [stray for _, stray in strays]
            )
        alike_but_for_it: Flags = says & same & ~healed
        return alike_but_for_it

    def _turn_round(self, fleet: MixedFleet, numbers: Array) -> None:
        """Put the faults into the machines' stores."""
        masks = self._masks[numbers]
        machines, columns = np.nonzero(masks)
        addresses = self._sound.interest[columns]
        held = fleet.rows.words(self._sound.interest)[machines, columns]
        fleet.rows.set_words(addresses, machines, held ^ masks[machines, columns])

    def _judged(self, fault: int, number: int, reply: Reply) -> Stray | None:
        """What is made of a machine that has left the lines."""
        if number == START:
            judged = self._judge.judged(None, (), reply, differs=False)
            leads: int | None = 0
            ends = 0
        else:
            step = self._lines.steps[number]
            before = self._lines.waits[step.wait]
            judged = self._judge.judged(before, step.typed, reply, differs=False)
            leads = step.leads
            ends = int(before.over or judged.ends)
        if judged.found != SAME:
            self._note(fault, judged.found, number, reply)
            leads = None
        return None if judged.after is None else Stray(fault, judged.after, leads, judged.found != SAME, ends)

    def _note(self, fault: int, found: str, step: int | None, reply: Reply) -> None:
        """Write down the worst, and where it shows in a line."""
        self._found[fault] = min(int(self._found[fault]), CLASSES.index(found))
        if step is not None:
            self._shown[fault].append(Shown(step, Reply(reply.sent[:MOST_TOLD], reply.status)))
