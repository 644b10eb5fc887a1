"""How a group of machines obeys one instruction, with a few operations on arrays."""

from collections.abc import Callable, Sequence
from typing import Any, ClassVar

import numpy as np

from budget.machine.group import LOST, Group
from budget.machine.layout import Instruction, NoSuchAddress
from budget.machine.operands import Operands, Ready
from budget.machine.rows import Array, Value
from budget.machine.states import IS_FAULTY, IS_HALTED, IS_WAITING, States

NOBODY: tuple[Group, ...] = ()
"""What is left of a group all of whose machines have stopped."""
Onward = tuple[Group, ...] | None
"""The groups that go on after an instruction; None where it is the same group, at the next place."""


class Orders(Operands):
    """The orders, obeyed by groups of the machines of `states`.

    codes: what each machine is going to read, shape (count, k), the first `lengths` of each row; read: how much of it
    has been; sent: what has gone out, as (machines, codes) in the order of time; forget: see `Operands`.
    """

    def __init__(self, states: States, codes: Array, lengths: Array, forget: Callable[[int], None]) -> None:
        super().__init__(states, forget)
        card = states.card
        self._codes = codes
        self._lengths = lengths
        self.read = np.zeros(len(lengths), dtype=np.intp)
        self.sent: list[tuple[Array, Array]] = []
        self._most_links = card.program.links
        self._m_mask = (1 << card.program.layout.modifier_bits) - 1
        characters = card.characters
        self._sends = (1 << (characters.bits if characters.words_each == 1 else card.word_bits)) - 1

    def obey(self, group: Group, ready: Ready) -> Onward:
        """Let a group obey an instruction: the groups that go on, or None if it goes on whole at the next place."""
        return self._obey[ready.name](self, group, ready)

    def unread(self, machine: int) -> list[int]:
        """What a machine has yet to read."""
        codes: list[int] = self._codes[machine, self.read[machine] : self._lengths[machine]].tolist()
        return codes

    def pass_by(self, machine: int, read: int, sent: Sequence[int]) -> None:
        """Note what a machine has read and sent by itself."""
        self.read[machine] += read
        kind = self._rows.word_type
        self.sent.extend((np.array([machine]), np.array([code], dtype=kind)) for code in sent)

    def ready(self, instruction: Instruction, place: int) -> Ready:
        """An instruction of this place, made ready."""
        order, program = instruction.order, self._states.card.program
        cycles = program.pace.cycles[order.name] if program.pace else 0
        return Ready(
            order.name,
            instruction.operand,
            program.layout.modulus(order.operand),
            instruction.next_place,
            place // program.layout.places_a_word,
            instruction.words,
            cycles,
        )

    # -- orders that work on a word ------------------------------------------------------------

    def _load(self, group: Group, ready: Ready) -> Onward:
        return self._with_word(group, ready, lambda word: self._set(group, word))

    def _add(self, group: Group, ready: Ready) -> Onward:
        return self._with_word(group, ready, lambda word: self._increase(group, word))

    def _subtract(self, group: Group, ready: Ready) -> Onward:
        return self._with_word(group, ready, lambda word: self._decrease(group, word))

    def _and(self, group: Group, ready: Ready) -> Onward:
        return self._with_word(group, ready, lambda word: self._set(group, group.a & word))

    def _by(self, group: Group, ready: Ready) -> Onward:
        address = ready.operand
        if address >= self._store_words:
            self._states.park(group, IS_FAULTY, str(NoSuchAddress(address)))
            return NOBODY
        self._states.touched[address] = True
        word = self._signed(self._read(group, address))
        self._count(group, ready, address)
        total: Value = group.m + word
        group.m = total & self._m_mask
        return None

    def _with_word(self, group: Group, ready: Ready, change: Callable[[Value], None]) -> Onward:
        address = self._word(group, ready)
        if address is None:
            return NOBODY
        word = self._read(group, address)
        self._count(group, ready, address)
        change(word)
        return None

    def _look(self, group: Group, ready: Ready) -> Onward:
        address = self._word(group, ready, self._signed(group.a))
        if address is None:
            return NOBODY
        group.a = self._read(group, address)
        self._count(group, ready, address)
        return None

    def _store(self, group: Group, ready: Ready) -> Onward:
        address = self._word(group, ready)
        if address is None:
            return NOBODY
        self._count(group, ready, address)
        self._write(group, address, group.a)
        return None

    def _count_up(self, group: Group, ready: Ready) -> Onward:
        address = self._word(group, ready)
        if address is None:
            return NOBODY
        group.a = self._masked(self._read(group, address) + 1)
        self._count(group, ready, address, address)
        self._write(group, address, group.a)
        return None

    # -- orders that work on registers ---------------------------------------------------------

    def _set(self, group: Group, value: Value) -> None:
        group.a = value

    def _increase(self, group: Group, word: Value) -> None:
        total = self._masked(group.a + word)
        group.carry = (total, group.a, False)
        group.a = total

    def _decrease(self, group: Group, word: Value) -> None:
        group.carry = (group.a, word, True)
        group.a = self._less(group.a, word)

    def _less(self, value: Value, word: Value) -> Value:
        """A difference, modulo the size of a word."""
        if isinstance(value, int) and isinstance(word, int):
            return value - word & self._mask
        return self._masked(np.subtract(value, word, dtype=self._rows.word_type))

    def _number(self, value: Value) -> Value:
        """A number cut to a word."""
        if isinstance(value, int):
            return value & self._mask
        return (value & self._mask).astype(self._rows.word_type)

    def _set_number(self, group: Group, ready: Ready) -> Onward:
        number = self._number(self._effective(group, ready))
        self._count(group, ready)
        group.a = number
        return None

    def _plus(self, group: Group, ready: Ready) -> Onward:
        number = self._number(self._effective(group, ready))
        self._count(group, ready)
        self._increase(group, number)
        return None

    def _negate(self, group: Group, ready: Ready) -> Onward:
        self._count(group, ready)
        group.a = self._less(0, group.a)
        return None

    def _take_carry(self, group: Group, ready: Ready) -> Onward:
        self._count(group, ready)
        carry = group.carry_value()
        group.a = carry if isinstance(carry, int) else carry.astype(self._rows.word_type)
        return None

    def _high(self, group: Group, ready: Ready) -> Onward:
        self._count(group, ready)
        group.m = (group.m << self._bits) & self._m_mask
        return None

    def _left(self, group: Group, ready: Ready) -> Onward:
        return self._shift(group, ready, lambda value, amount: self._masked(value << amount))

    def _right(self, group: Group, ready: Ready) -> Onward:
        return self._shift(group, ready, lambda value, amount: value >> amount)

    def _shift(self, group: Group, ready: Ready, move: Callable[[Any, Any], Value]) -> Onward:
        amount = self._effective(group, ready)
        self._count(group, ready)
        if isinstance(amount, int):
            group.a = move(group.a, amount) if amount < self._bits else 0
        else:
            fits = amount < self._bits
            value = np.broadcast_to(np.asarray(group.a, dtype=self._rows.word_type), amount.shape)
            moved = move(value, np.where(fits, amount, 0).astype(self._rows.word_type))
            group.a = np.where(fits, moved, np.zeros(1, dtype=self._rows.word_type))
        return None

    # -- orders that go elsewhere --------------------------------------------------------------

    def _jump(self, group: Group, ready: Ready) -> Onward:
        target = self._effective(group, ready)
        self._count(group, ready)
        return _sent_to(group, target)

    def _if_zero(self, group: Group, ready: Ready) -> Onward:
        return self._jump_if(group, ready, lambda a: a == 0)

    def _if_nonzero(self, group: Group, ready: Ready) -> Onward:
        return self._jump_if(group, ready, lambda a: a != 0)

    def _if_minus(self, group: Group, ready: Ready) -> Onward:
        return self._jump_if(group, ready, lambda a: a >= 1 << self._bits - 1)

    def _jump_if(self, group: Group, ready: Ready, holds: Callable[[Any], Any]) -> Onward:
        target = self._effective(group, ready)
        self._count(group, ready)
        jumps = holds(group.a)
        if isinstance(group.a, int):
            return _sent_to(group, target) if jumps else None
        how_many = int(np.count_nonzero(jumps))
        if how_many == len(group):
            return _sent_to(group, target)
        if how_many == 0:
            return None
        which = np.flatnonzero(jumps)
        jumping = group.part(which)
        group.keep(np.flatnonzero(~jumps))
        onward = _sent_to(jumping, target if isinstance(target, int) else target[which])
        return (group, *(onward or (jumping,)))

    def _call(self, group: Group, ready: Ready) -> Onward:
        if len(group.links) == self._most_links:
            self._states.park(group, IS_FAULTY, "links full")
            return NOBODY
        target = self._effective(group, ready)
        self._count(group, ready)
        group.links = (*group.links, group.place)
        return _sent_to(group, target)

    def _back(self, group: Group, ready: Ready) -> Onward:
        if not group.links:
            self._states.park(group, IS_FAULTY, "no link")
            return NOBODY
        self._count(group, ready)
        *before, place = group.links
        group.links = tuple(before)
        group.place = place
        return None

    def _halt(self, group: Group, ready: Ready) -> Onward:
        self._count(group, ready)
        self._states.park(group, IS_HALTED)
        return NOBODY

    # -- characters ----------------------------------------------------------------------------

    def _input(self, group: Group, ready: Ready) -> Onward:
        has = self.read[group.machines] < self._lengths[group.machines]
        if not has.all():
            self._states.park(group.part(np.flatnonzero(~has)), IS_WAITING)
            if not has.any():
                return NOBODY
            group.keep(np.flatnonzero(has))
        self._count(group, ready)
        group.a = self._codes[group.machines, self.read[group.machines]]
        self.read[group.machines] += 1
        self._states.characters_in[group.machines] += 1
        self._lose_angle(group)
        return None

    def _output(self, group: Group, ready: Ready) -> Onward:
        self._count(group, ready)
        codes = np.broadcast_to(np.asarray(group.a, dtype=self._rows.word_type), len(group))
        self.sent.append((group.machines, codes & self._sends))
        self._lose_angle(group)
        return None

    def _lose_angle(self, group: Group) -> None:
        if not self._states.keeps_angle:
            group.angle = LOST

    _obey: ClassVar[dict[str, Callable[["Orders", Group, Ready], Onward]]] = {
        "halt": _halt,
        "back": _back,
        "input": _input,
        "output": _output,
        "negate": _negate,
        "carry": _take_carry,
        "high": _high,
        "left": _left,
        "right": _right,
        "load": _load,
        "store": _store,
        "add": _add,
        "subtract": _subtract,
        "and": _and,
        "look": _look,
        "by": _by,
        "count": _count_up,
        "jump": _jump,
        "ifzero": _if_zero,
        "ifnonzero": _if_nonzero,
        "ifminus": _if_minus,
        "call": _call,
        "set": _set_number,
        "plus": _plus,
    }


def _sent_to(group: Group, target: Value) -> Onward:
    """A group at its new place; several groups where machines jump to different ones."""
    if isinstance(target, int):
        group.place = target
        return None
    parts = []
    for place in np.unique(target).tolist():
        part = group.part(np.flatnonzero(target == place))
        part.place = place
        parts.append(part)
    return tuple(parts)
