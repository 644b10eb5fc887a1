"""Faulty machines that have left the lines of the sound one: each is followed from the state that it is in.

As long as all is printed as it should be, every input of the lines is typed; once something else has been, the
visitor's legal moves only.  A machine is followed to the end of the next game, or until it is again where the sound
one would be.
"""

from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

import numpy as np

from budget.conversation import State
from budget.drilling.judging import CAUGHT, Judge, Judged
from budget.drilling.lines import START, Texts
from budget.drilling.replies import Reply, replies_of
from budget.drilling.sound import Sound
from budget.drilling.stores import MixedFleet
from budget.faulty import DIFFERS, SAME
from budget.machine.rows import Array

MOST_STATES = 400
"""States in which one fault is followed; more are not looked at, and that is told."""
MOST_ENDS = 2
TOGETHER = 8_000


class Stray(NamedTuple):
    """A machine that has gone astray: its fault, where the game stands, and how it got there.

    wait: the wait of the lines where it is, as long as nothing wrong has been printed; None elsewhere; differs: whether
    something has been; ends: games that have ended.
    """

    fault: int
    state: State
    wait: int | None
    differs: bool
    ends: int


Found = Callable[[int, str, int | None, Reply], None]
"""Hears what was found about a fault: its number, the class, the step of the lines if it is one, and the reply."""


class Followed:
    """Follows machines: `masks`, (faults, n), are the bits that each fault turns; `found` hears what comes of it."""

    def __init__(self, sound: Sound, texts: Texts, judge: Judge, masks: Array, found: Found) -> None:
        self._sound = sound
        self._texts = texts
        self._judge = judge
        self._masks = masks
        self._lasts = (masks[:, sound.image] != 0).any(
            axis=1
        )  # such a fault is there at the start of a game, too
        self._found = found
        self._seen: set[tuple[Stray, bytes]] = set()
        self._states: dict[int, int] = {}
        self.cut: set[int] = set()
        """Faults that were not followed to their end."""
        self.leaning: set[int] = set()
        """Faults that make a machine read what happens to stand in its workspace."""
        steps: dict[int, list[int]] = {}
        for number, step in enumerate(sound.lines.steps):
            steps.setdefault(step.wait, []).append(number)
        self._steps = steps

    def follow(self, fleet: MixedFleet, strays: Sequence[Stray]) -> None:
        """Follow machines, which stand as in `fleet`, wherever they go."""
        waiting = [(fleet, list(strays))]
        while waiting:
            fleet, some = waiting.pop()
            new = list(self._new(fleet, some))
            inputs = [each for number in new for each in self._inputs(number, some[number])]
            for at in range(0, len(inputs), TOGETHER):
                part = inputs[at : at + TOGETHER]
                after = fleet.chosen([number for number, _, _ in part])
                after.rows.note(self._sound.junk)
                after.rows.look_again()
                replies = replies_of(after, [typed for _, typed, _ in part], self._sound.worst)
                self.note_leaning(after, [some[number].fault for number, _, _ in part])
                kept, going = [], []
                for place, ((number, typed, step), reply) in enumerate(zip(part, replies, strict=True)):
                    stray = self._after(some[number], typed, step, reply)
                    if stray is not None:
                        kept.append(place)
                        going.append(stray)
                if kept:
                    waiting.append((after.chosen(kept), going))

    def note_leaning(self, fleet: MixedFleet, faults: Sequence[int]) -> None:
        """Write down which faults have made machines read what happened to stand in a word."""
        for place in np.flatnonzero(fleet.rows.read_first.any(axis=0)).tolist():
            self.leaning.add(faults[place])

    def _new(self, fleet: MixedFleet, strays: Sequence[Stray]) -> Iterator[int]:
        """Those whose state has not been seen, and that are not where the sound machine would be."""
        matters, sound = self._sound.matters, self._sound
        words = fleet.rows.words(sound.interest)[:, matters]
        registers = fleet.registers(sound.links)
        for number, stray in enumerate(strays):
            if stray.ends >= MOST_ENDS:
                continue
            begins = stray.ends and stray.state == sound.lines.waits[0]
            if begins and not (registers[number] != sound.registers[START]).any():
                turned = words[number] ^ sound.words[START][matters]
                if not turned.any() or (
                    self._lasts[stray.fault] and (turned == self._masks[stray.fault][matters]).all()
                ):
                    continue
            key = (stray, words[number].tobytes() + registers[number].tobytes())
            if key in self._seen:
                continue
            self._seen.add(key)
            if self._states.setdefault(stray.fault, 0) >= MOST_STATES:
                self.cut.add(stray.fault)
                continue
            self._states[stray.fault] += 1
            yield number

    def _inputs(self, number: int, stray: Stray) -> Iterator[tuple[int, tuple[int, ...], int | None]]:
        """What is typed: the machine's number, the codes, and the step that it is in the lines."""
        if stray.wait is not None:
            for step in self._steps[stray.wait]:
                yield number, self._sound.lines.steps[step].typed, step
            return
        for text in self._texts.moves(stray.state):
            yield number, self._texts.keys(stray.state, text), None

    def _after(self, stray: Stray, typed: tuple[int, ...], step: int | None, reply: Reply) -> Stray | None:
        """What becomes of a machine after a reply; None where it is not followed further."""
        judged = self._judge.judged(stray.state, typed, reply, differs=stray.differs)
        if judged.found != SAME:
            self._found(stray.fault, judged.found, None if stray.differs else step, reply)
        return self.going_on(stray, judged, step)

    def going_on(self, stray: Stray, judged: Judged, step: int | None) -> Stray | None:
        """The same where the reply has been judged, and told."""
        if judged.after is None or judged.found == CAUGHT:
            return None
        differs = judged.found == DIFFERS
        leads = None if step is None or differs else self._sound.lines.steps[step].leads
        return Stray(stray.fault, judged.after, leads, differs, stray.ends + judged.ends)
