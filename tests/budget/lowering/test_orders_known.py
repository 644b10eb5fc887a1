"""What the passes take each order to do is what the machine does when it obeys it."""

from functools import cache
from typing import NamedTuple

import pytest

from budget.card import load_machine
from budget.lowering.passes import dead, flow, folded, values
from budget.machine.assembler import assemble
from budget.machine.orders import ORDERS, Operand
from budget.machine.simulator import HALTED, Machine

CARD = load_machine("twelve-bit")
OPERANDS = {
    Operand.NONE: "",
    Operand.WORD: "held",
    Operand.PLACE: "there",
    Operand.NUMBER: "5",
    Operand.AMOUNT: "1",
}
NUMBERS = (0, 1, 6, 0o7777)
"""Of A, and of the word: also one below 0."""


class Seen(NamedTuple):
    """How a machine stands after one order: what it holds, where it goes on, how M has changed, what went through."""

    a: int
    word: int
    place: str
    m: int
    carry: int
    through: tuple[int, ...]


def after(order, a, word):
    text = f"start: {order.name} {OPERANDS[order.operand]}\nnext: halt\nthere: halt\ncalled: halt\nheld: word {word}\n"
    program = assemble(text + "word 1\n" * 8, CARD)
    machine = Machine.loaded(program)
    begun = 1 if order.name == "high" else 0  # M is moved up there
    machine.a, machine.m, machine.carry = a, begun, 1
    machine.links.append(program.labels["called"])
    machine.feed([9])
    machine.step()
    places = {program.labels[name]: name for name in ("next", "there", "called")}
    place = "" if machine.status == HALTED else places[machine.place]
    held = machine.store[program.labels["held"]]
    through = (machine.characters_in, *machine.passed)
    return Seen(machine.a, held, place, machine.m - begun, machine.carry, through)


@cache
def every(order):
    """By A and the word."""
    return {(a, word): after(order, a, word) for a in NUMBERS for word in NUMBERS}


def same(found):
    return len(set(found)) == 1


def reads(order):
    """What comes of it hangs on the word, beyond that the word stays what it is."""
    seen = every(order)
    return any(
        not same([seen[a, word]._replace(word=seen[a, word].word - word) for word in NUMBERS])
        for a in NUMBERS
    ) and not all(seen[a, word].word == a for a, word in seen)


def asks_a(order):
    """What comes of it hangs on A, beyond that A stays what it is."""
    seen = every(order)
    keeps = all(seen[a, word].a == a for a, word in seen)
    return any(
        not same([seen[a, word]._replace(a=0 if keeps else seen[a, word].a) for a in NUMBERS])
        for word in NUMBERS
    )


def changes_only_a(order):
    begun = {"m": 0, "carry": 1, "through": (0,), "place": "next"}
    return not keeps_a(order) and all(
        each.word == word and each._asdict() | begun == each._asdict()
        for (_, word), each in every(order).items()
    )


def keeps_a(order):
    return all(each.a == a for (a, _), each in every(order).items())


def goes(order):
    return {each.place for each in every(order).values()}


KNOWN = {
    "reads": (flow.READS, lambda order: order.name != "look" and reads(order)),
    "writes": (flow.WRITES, lambda order: any(each.word != word for (_, word), each in every(order).items())),
    "goes away": (flow.GOES_AWAY, lambda order: "next" not in goes(order) and order.name != "call"),
    "branches": (flow.BRANCHES, lambda order: len(goes(order)) > 1),
    "modifies": (flow.MODIFIES, lambda order: any(each.m for each in every(order).values())),
    "asks for A": (dead.ASKS_A, asks_a),
    "writes A": (dead.WRITES_A, lambda order: not keeps_a(order) and not asks_a(order)),
    "brings": (dead.BRINGS, changes_only_a),
    "leaves A": (values.LEAVES_A, lambda order: keeps_a(order) and order.name != "halt"),
}
"""`look` finds its word by A and not by a name, and `call` comes back."""


@pytest.mark.parametrize("what", KNOWN)
def test_orders_do_what_the_passes_take_them_to_do(what):
    taken, does = KNOWN[what]
    assert taken == {order.name for order in ORDERS if does(order)}


def test_words_that_an_index_is_added_to():
    """All that work on a word, but the order that adds the index itself."""
    worked = {order.name for order in ORDERS if order.operand is Operand.WORD}
    assert worked - {"by", "look"} == folded._INDEXED


def test_a_branch_turned_round_goes_the_other_way():
    for one, other in flow.OTHER_WAY.items():
        here, there = (every(next(order for order in ORDERS if order.name == name)) for name in (one, other))
        assert all(here[at].place != there[at].place for at in here)
