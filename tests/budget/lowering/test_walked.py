"""A diagram that is walked in a program, without a game: on short words, whose numbers are soon below 0."""

from random import Random
from types import SimpleNamespace

import numpy as np
import pytest

from budget.diagrams import placed, smallest_diagram
from budget.lowering.answering.table_diagram import Walked
from budget.lowering.ground import Digit
from budget.lowering.text import PROGRAM, Text, composed
from budget.machine.assembler import assemble
from budget.machine.simulator import HALTED, Machine
from budget.packed import Packed
from budget.packing import Run, as_words
from solver.fixed import PLAIN
from tests.budget.lowering.test_wide import BITS, card

CELLS, KINDS = 3, 2
SHORT = 1 << BITS - 1
"""Numbers of a row up to which a place in it is not below 0."""


def diagram(seed):
    """Some boards of three cells, their answers, and the diagram in one row of numbers."""
    luck = Random(seed)
    numbers = sorted(luck.sample(range(3**CELLS), luck.randint(3, 9)))
    digits = np.array([[number // 3**cell % 3 for cell in range(CELLS)] for number in numbers])
    answers = np.array([number % KINDS for number, _ in enumerate(numbers)])
    return digits, answers, placed(smallest_diagram(digits, answers), KINDS)


def answer_of(program, digits):
    machine = Machine.loaded(program, fill=5)
    for cell, digit in enumerate(digits):
        machine.store[program.labels["cell"] + cell] = digit
    assert machine.run() == HALTED
    return machine.store[program.labels["move"]] - (1 << BITS) + KINDS


SEEDS = [seed for seed in range(60) if diagram(seed)[2].bits <= BITS]


@pytest.mark.parametrize("seed", SEEDS[:12])
def test_every_board_is_led_to_its_answer(seed):
    digits, answers, found = diagram(seed)
    total = len(found.numbers)
    numbers = as_words(Run(found.bits, BITS, total).pack(found.numbers.astype(np.uint64)))
    known = {"by place": 0, "root": found.root, "leaf": found.leaf}
    packed = Packed("diagram", PLAIN, BITS, numbers, ((found.bits, total),), known)
    text = Text(card())
    text.variable("cell", CELLS)
    text.variable("move")
    text.label("start")
    ground = SimpleNamespace(digits=lambda: tuple(Digit(f"cell+{cell}", 3) for cell in range(CELLS)))
    Walked(SimpleNamespace(text=text, moves=KINDS), ground, packed).answer("found")
    text.label("found")
    text.op("halt")
    assert ("node_at" in text.routines) == (total > SHORT or found.bits * 2 <= BITS)
    rows = {**text.rows, PROGRAM: [*text.rows[PROGRAM], *text.routines.get("node_at", ())]}
    program = assemble(composed(card(), rows).text, card())
    for board, answer in zip(digits.tolist(), answers.tolist(), strict=True):
        assert answer_of(program, board) == answer


def test_rows_are_long_and_short():
    totals = [len(diagram(seed)[2].numbers) for seed in SEEDS[:12]]
    assert min(totals) <= SHORT < max(totals)
    assert SHORT in totals or SHORT - 1 in totals
