"""The sound program, played through every line: what it uses, and how it stands, after each input."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from budget.closing import LONGEST_REPLY, Differs
from budget.drilling.lines import START, Lines
from budget.drilling.noted import Flags, Links, words_of_interest
from budget.drilling.stores import MixedFleet, mixed
from budget.machine.channel import printed
from budget.machine.program import Program
from budget.machine.rows import Array, word_type
from budget.machine.simulator import WAITING


class Sound(NamedTuple):
    """What a sound program does in every line of play.

    interest: (n,) the addresses of its words; fleets: for each level the machines at its waits, in their order; used:
    (steps + 1, n) flags of words that an input makes it read or write; words, registers: (steps + 1, ...) how it stands
    after it; the last row of these, of number START, is the start; image: (n,) flags of the words that are loaded;
    carried: (n,) flags of those others that some input reads before it writes them; harmless: (n,) flags of words that
    were declared so; worst: the most instructions that an input takes, or the start.
    """

    program: Program
    lines: Lines
    interest: Array
    fleets: tuple[MixedFleet, ...]
    used: Flags
    words: Array
    registers: Array
    image: Flags
    carried: Flags
    harmless: Flags
    worst: int
    links: Links

    @property
    def matters(self) -> Flags:
        """(n,) flags of the words by which states are told apart: in the others nothing that counts is carried on."""
        return (self.image | self.carried) & ~self.harmless

    @property
    def junk(self) -> Array:
        """The addresses of the words in which nothing is carried on, those apart that were declared harmless."""
        return self.interest[~(self.matters | self.harmless)]


def play_sound(
    program: Program, lines: Lines, noise: Sequence[int] = (), harmless: Sequence[int] = ()
) -> Sound:
    """Play every line; noise: what stood in the store before, zeros if it is empty; harmless: addresses.

    Raises Differs where the program does not say what is due.
    """
    fleet = mixed(program, noise)
    run = _Run(program, lines, registers=fleet.registers({}).shape[1])
    fleet.run((), LONGEST_REPLY)
    run.take(fleet, [START], [lines.begins], np.zeros(1, dtype=np.int64))
    fleets, first = [fleet], 0
    for level in lines.levels:
        at = fleets[-1]
        after = at.chosen([lines.steps[number].wait - first for number in level])
        before = after.states.instructions.copy()
        after.run([lines.steps[number].typed for number in level], LONGEST_REPLY)
        run.take(after, level, [lines.steps[number].said for number in level], before)
        going_on = [place for place, number in enumerate(level) if lines.steps[number].leads is not None]
        first += len(at)
        if going_on:
            fleets.append(after.chosen(going_on))
    return run.sound(tuple(fleets), harmless)


class _Run:
    """Gathers what the steps have done."""

    def __init__(self, program: Program, lines: Lines, registers: int) -> None:
        self._program, self._lines = program, lines
        self._interest = words_of_interest(program)
        rows, columns = len(lines.steps) + 1, len(self._interest)
        # the last row, of number START, is the start
        self._used = np.zeros((rows, columns), dtype=np.bool_)
        self._read_first = np.zeros(columns, dtype=np.bool_)
        self._words = np.zeros((rows, columns), dtype=word_type(program.card.word_bits))
        self._registers = np.zeros((rows, registers), dtype=np.int64)
        self._worst = 0
        self._links: Links = {}

    def take(
        self, fleet: MixedFleet, numbers: Sequence[int], said: Sequence[tuple[int, ...]], before: Array
    ) -> None:
        """Write down what some steps have done, and hold it against what is due."""
        for number, due, sent, status in zip(numbers, said, fleet.sent, fleet.statuses(), strict=True):
            if list(due) != sent or status != WAITING:
                raise Differs(self._told(number, sent, due))
        places, rows = list(numbers), fleet.rows
        self._used[places] = (rows.read_first | rows.written).T
        self._read_first |= rows.read_first.any(axis=1)
        self._words[places] = rows.words(self._interest)
        self._registers[places] = fleet.registers(self._links)
        self._worst = max(self._worst, int((fleet.states.instructions - before).max()))

    def _told(self, number: int, sent: Sequence[int], due: Sequence[int]) -> str:
        card, lines = self._program.card, self._lines
        typed = [] if number == START else [repr(lines.steps[each].text) for each in lines.way_to(number)]
        where = f"after {', '.join(typed)}" if typed else "at the start"
        return f"{where}: it prints {printed(card, sent)!r} instead of {printed(card, due)!r}"

    def sound(self, fleets: tuple[MixedFleet, ...], harmless: Sequence[int]) -> Sound:
        """All that was found."""
        image = np.isin(self._interest, list(self._program.image))
        return Sound(
            self._program,
            self._lines,
            self._interest,
            fleets,
            self._used,
            self._words,
            self._registers,
            image,
            self._read_first & ~image,
            np.isin(self._interest, harmless),
            self._worst,
            self._links,
        )
