"""What makes a program go wrong: a shortest line to it, and where it keeps what it should have forgotten.

In one position a program has to go on alike, however the game came there: after wrong input that changes nothing, or
after other games.  So the line is keyed in once more without all that only leads back to where it has been.  Where
that ends as it should, what the two machines hold before the last input tells what does the harm: each register and
each word in which they differ is tried by itself.
"""

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from typing import NamedTuple

from budget.conversation import Conversation, State
from budget.drilling.first_wrong import LONGEST_REPLY, Typed, first_wrong
from budget.drilling.lines import Texts
from budget.drilling.tally import word_text
from budget.faulty import MOST_TOLD
from budget.machine.channel import printed, typed_text
from budget.machine.listing import in_base, word_digits
from budget.machine.program import Program
from budget.machine.simulator import LIMIT, WAITING, Machine
from budget.programs import AnyMachine, machine_for
from budget.selftest import Entry


class Kept(NamedTuple):
    """Where a program keeps what does harm: what it holds there, and what it holds where all goes well."""

    where: str
    holds: str
    due: str


class Blame(NamedTuple):
    """A shortest line at whose end a program says what it should not.

    line: what is typed and what is printed, first at the start; due: what should be printed at its end; why: what has
    stopped the machine there, nothing where it waits; without: what can be left out of the line, so that its end is as
    it should be; kept: what makes the difference, each by itself, or all together where nothing does so alone.
    """

    line: tuple[Entry, ...]
    due: str
    why: str
    without: tuple[str, ...]
    kept: tuple[Kept, ...]


class _Place(NamedTuple):
    """A register or a word in which two machines differ; `put` puts into a machine what the first of them holds."""

    kept: Kept
    put: Callable[[AnyMachine], None]


def blame_for(program: Program, talk: Conversation, texts: Texts) -> Blame | None:
    """What makes a program go wrong; None where no line shows it."""
    line = first_wrong(program, talk, texts)
    if line is None:
        return None
    card, machine = program.card, machine_for(program)
    answers = [_answer(machine, typed) for typed in ((), *line)]
    told = [
        Entry(typed_text(card, typed), printed(card, sent[:MOST_TOLD]))
        for typed, (sent, _) in zip(((), *line), answers, strict=True)
    ]
    why = _why(machine)
    if not line:
        return Blame(tuple(told), printed(card, talk.begin()[1]), why, (), ())
    states = _states(talk, line)
    due = talk.enter(states[-1], line[-1])[1]
    straight, left_out = _straight(line[:-1], states)
    kept = _kept(program, line, straight, due) if left_out else ()
    without = tuple(typed_text(card, typed) for typed in left_out) if kept else ()
    return Blame(tuple(told), printed(card, due), why, without, kept)


def _answer(machine: AnyMachine, typed: Typed) -> tuple[Typed, str]:
    """What a machine prints after an input, and how it stands then."""
    before = len(machine.passed)
    machine.feed(typed)
    status = machine.run(LONGEST_REPLY)
    return tuple(machine.passed[before:]), status


def _why(machine: AnyMachine) -> str:
    """What has stopped a machine; nothing where it waits for input."""
    if machine.status == WAITING:
        return ""
    return "it runs for ever" if machine.status == LIMIT else machine.fault or f"it is {machine.status}"


def _after(program: Program, line: Sequence[Typed]) -> AnyMachine:
    """A machine that has been given a line."""
    machine = machine_for(program)
    for typed in ((), *line):
        _answer(machine, typed)
    return machine


def _states(talk: Conversation, line: Sequence[Typed]) -> list[State]:
    """Where the game should stand before each input."""
    states = [talk.begin()[0]]
    for typed in line[:-1]:
        states.append(talk.enter(states[-1], typed)[0])
    return states


def _straight(line: Sequence[Typed], states: Sequence[State]) -> tuple[list[Typed], list[Typed]]:
    """A line without what leads back to a state where it has been, and what was left out of it."""
    straight: list[Typed] = []
    left_out: list[Typed] = []
    been = [states[0]]
    for typed, state in zip(line, states[1:], strict=True):
        straight.append(typed)
        if state in been:
            at = been.index(state)
            left_out += straight[at:]
            del straight[at:], been[at + 1 :]
        else:
            been.append(state)
    return straight, left_out


def _kept(program: Program, line: Sequence[Typed], straight: Sequence[Typed], due: Typed) -> tuple[Kept, ...]:
    """What makes the difference between a line and the straight one; nothing where that goes wrong, too."""

    def goes_wrong(*places: _Place) -> bool:
        machine = _after(program, straight)
        for place in places:
            place.put(machine)
        return _answer(machine, line[-1]) != (due, WAITING)

    if goes_wrong():
        return ()
    places = [*_differences(program, _after(program, line[:-1]), _after(program, straight))]
    alone = [place for place in places if goes_wrong(place)]
    return tuple(place.kept for place in alone or places)


def _differences(program: Program, one: AnyMachine, other: AnyMachine) -> Iterator[_Place]:
    """The registers and words in which two machines differ; not A, where it is `input` that fills it."""
    base, digits = program.card.program.base, word_digits(program)
    if one.place != other.place:
        kept = Kept("the place where it waits", in_base(one.place, base), in_base(other.place, base))
        yield _Place(kept, partial(_put_into_place, one.place))
    if isinstance(one, Machine):
        assert isinstance(other, Machine)
        yield from _own_registers(one, other)
    else:
        assert not isinstance(other, Machine)
        assert program.card.sheet is not None
        for number, name in enumerate(program.card.sheet.registers):
            holds, due = one.registers[number], other.registers[number]
            if holds != due:
                kept = Kept(f"register {name}", in_base(holds, base), in_base(due, base))
                yield _Place(kept, partial(_put_into_register, number, holds))
    for address, (holds, due) in enumerate(zip(one.store, other.store, strict=True)):
        if holds != due:
            where = f"word {word_text(program, address)}"
            kept = Kept(where, in_base(holds, base, digits), in_base(due, base, digits))
            yield _Place(kept, partial(_put_into_word, address, holds))


def _own_registers(one: Machine, other: Machine) -> Iterator[_Place]:
    """Those of a machine of our own orders that `input` leaves as they are."""
    if one.carry != other.carry:
        yield _Place(Kept("the carry", str(one.carry), str(other.carry)), partial(_put_into_carry, one.carry))
    if one.links != other.links:
        holds, due = (" ".join(map(str, each.links)) or "none" for each in (one, other))
        yield _Place(Kept("the links", holds, due), partial(_put_into_links, tuple(one.links)))


def _put_into_place(place: int, machine: AnyMachine) -> None:
    machine.place = place


def _put_into_word(address: int, word: int, machine: AnyMachine) -> None:
    machine.store[address] = word


def _put_into_register(number: int, held: int, machine: AnyMachine) -> None:
    assert not isinstance(machine, Machine)
    machine.registers[number] = held


def _put_into_carry(carry: int, machine: AnyMachine) -> None:
    assert isinstance(machine, Machine)
    machine.carry = carry


def _put_into_links(links: Sequence[int], machine: AnyMachine) -> None:
    assert isinstance(machine, Machine)
    machine.links[:] = links
