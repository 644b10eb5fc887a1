"""Halves of a board: their fillings, what one mark leads to and the lines they make, one filling at a time."""

from itertools import product

import numpy as np
import pytest

from solver.fillings import Half, HalfShape, Stack

SHAPES = {
    "one cell": ((4,), 1),
    "three cells in any order": ((5, 0, 3), 1),
    "a column": ((2, 1, 0), 3),
    "two columns": ((4, 0, 5, 1), 2),
}
"""Cells, stack after stack and each from the bottom up, and the height of a stack."""


def half(cells, height, inside=(), across=(), side=0):
    return Half(HalfShape(tuple(cells), height, tuple(inside), tuple(across)), side)


def columns(height):
    """Everything that can lie in a column, from the bottom up."""
    return [marks for count in range(height + 1) for marks in product((0, 1), repeat=count)]


def naive_fillings(cells, height):
    """Every filling as two sets of cells, by how many marks of each side it has."""
    stacks = [cells[begin : begin + height] for begin in range(0, len(cells), height)]
    found = {}
    for filling in product(columns(height), repeat=len(stacks)):
        held = [0, 0]
        for stack, marks in zip(stacks, filling, strict=True):
            for cell, mark in zip(stack, marks, strict=False):  # the cells above are free
                held[mark] |= 1 << cell
        found.setdefault(tuple(each.bit_count() for each in held), set()).add(tuple(held))
    return found


def one_more(cells, height, held, player):
    """The fillings that one mark of a player's makes of one."""
    taken = held[0] | held[1]
    for begin in range(0, len(cells), height):
        free = [cell for cell in cells[begin : begin + height] if not taken >> cell & 1]
        if free:
            after = list(held)
            after[player] |= 1 << free[0]
            yield tuple(after)


def of_class(half, kind):
    return list(zip(*(held.tolist() for held in half.holdings(kind)), strict=True))


@pytest.mark.parametrize(("cells", "height"), SHAPES.values(), ids=SHAPES)
def test_every_filling_stands_in_its_class_once_and_is_found_there(cells, height):
    whole, naive = half(cells, height), naive_fillings(cells, height)
    assert whole.classes.keys() == naive.keys()
    assert whole.count((len(cells), 1)) == 0
    for kind, fillings in naive.items():
        listed = of_class(whole, kind)
        assert len(listed) == len(fillings) == whole.count(kind)
        assert set(listed) == fillings
        first, second = whole.holdings(kind)
        other = np.uint64(1 << 40)  # what lies on the other half of the board changes nothing
        assert whole.ranks_on(first | other, second).tolist() == list(range(len(listed)))


@pytest.mark.parametrize("player", [0, 1])
@pytest.mark.parametrize(("cells", "height"), SHAPES.values(), ids=SHAPES)
def test_one_mark_leads_from_filling_to_filling_and_back(cells, height, player):
    whole = half(cells, height)
    for kind in whole.classes:
        more = (kind[0] + (player == 0), kind[1] + (player == 1))
        forth = whole.steps(kind, player, back=False)
        after = of_class(whole, more) if whole.count(more) else []
        for place, held in enumerate(of_class(whole, kind)):
            assert {after[step] for step in forth[:, place]} == set(one_more(cells, height, held, player))
        if not after:
            continue
        back, behind = whole.steps(more, player, back=True), whole.count(kind)
        for place, held in enumerate(after):
            origins = {
                before
                for before, filling in enumerate(of_class(whole, kind))
                if held in one_more(cells, height, filling, player)
            }
            assert {*back[:, place].tolist(), behind} == {*origins, behind}


LINES = [(0, 1), (2, 3), (0, 2), (1, 3), (0, 3), (0, 1, 2)]
"""Lines on four cells, of which some lie in one half and some reach over the middle."""


@pytest.mark.parametrize("many", [1, 7], ids=["few lines", "more than 32 bits hold"])
def test_two_fillings_own_a_line_together_where_they_share_a_bit(many):
    sets = [sum(1 << cell for cell in line) for line in LINES]
    left, right = (
        half(
            cells,
            1,
            [line for line in sets if line & ~own == 0],
            [line & own for line in sets if 0 != line & own != line] * many,
            side,
        )
        for side, (cells, own) in enumerate([((0, 1), 0b0011), ((2, 3), 0b1100)])
    )
    for one, other, player in product(left.classes, right.classes, (0, 1)):
        flags = left.flags(one, player), right.flags(other, player)
        share = flags[0][:, None] & flags[1] != 0
        for (row, here), (column, there) in product(
            enumerate(of_class(left, one)), enumerate(of_class(right, other))
        ):
            held = here[player] | there[player]
            assert share[row, column] == any(line & ~held == 0 for line in sets)
        kinds, kind_of = left.kinds(one, player)
        assert len(set(kinds.tolist())) == len(kinds)
        assert kinds[kind_of].tolist() == flags[0].tolist()


def test_the_states_of_a_column_are_what_can_lie_in_it():
    stack = Stack(2)
    assert stack.states == len(columns(2)) == 7
    as_marks = [tuple(mark + 1 for mark in marks) + (0,) * (2 - len(marks)) for marks in columns(2)]
    assert sorted(map(tuple, stack.cells.tolist())) == sorted(as_marks)
    for state, cells in enumerate(stack.cells.tolist()):
        assert stack.state_of[cells[0] + 3 * cells[1]] == state
