"""Grids on A4: no grid of the same legible size takes fewer sheets, and none has larger pictures on as many."""

from fractions import Fraction

import pytest

from workbench.papers.sheets import HEAD, LONG, PAD, SHORT, Content, grid_for, millimetres

CONTENTS = {
    "nine cells": Content(
        Fraction(48), Fraction(48), Fraction(4), Fraction(5), Fraction(6, 14), Fraction(15, 14)
    ),
    "two boards": Content(
        Fraction(110), Fraction(48), Fraction(26), Fraction(5), Fraction(6, 14), Fraction(15, 14)
    ),
    "a long row": Content(
        Fraction(150), Fraction(16), Fraction(9), Fraction(5), Fraction(2, 5), Fraction(4, 5)
    ),
    "long words": Content(
        Fraction(48), Fraction(48), Fraction(60), Fraction(5), Fraction(6, 14), Fraction(15, 14)
    ),
}


def fits(content, wide, high, scale):
    """Whether a picture of this scale and its text have room in a place of this size."""
    across = max(content.wide * scale, content.text) + 2 * PAD
    return across <= wide and content.high * scale + content.lines + 2 * PAD <= high


def every_grid(content):
    """All grids whose places hold a picture of the least scale, with the largest scale that they hold."""
    for wide, high in ((SHORT, LONG), (LONG, SHORT)):
        for columns in range(1, 30):
            for rows in range(1, 30):
                place = wide / columns, (high - HEAD) / rows
                if fits(content, *place, content.least):
                    yield columns * rows, place


@pytest.mark.parametrize("name", list(CONTENTS))
@pytest.mark.parametrize("count", [1, 3, 10, 44, 75, 300])
def test_no_grid_takes_fewer_sheets_or_has_larger_pictures(name, count):
    content = CONTENTS[name]
    grid, taken = grid_for(count, [content])
    assert taken == content
    assert content.least <= grid.scale <= content.most
    assert fits(content, grid.wide, grid.high, grid.scale)
    for places, place in every_grid(content):
        sheets = -(-count // places)
        assert sheets >= grid.sheets(count)
        if sheets == grid.sheets(count) and grid.scale < content.most:
            assert not fits(content, *place, grid.scale * Fraction(1001, 1000))


def test_of_two_ways_to_lay_out_a_place_the_better_is_taken():
    beside, below = (
        Content(Fraction(w), Fraction(h), Fraction(4), Fraction(5), Fraction(1, 2), Fraction(1))
        for w, h in ((210, 48), (48, 210))
    )
    either = grid_for(40, [beside, below])
    assert either[0].sheets(40) == min(grid_for(40, [each])[0].sheets(40) for each in (beside, below))


def test_a_place_that_is_larger_than_a_sheet_has_no_grid():
    assert grid_for(1, [CONTENTS["nine cells"]._replace(wide=Fraction(1000))]) is None


def test_lengths_are_rounded_down():
    assert millimetres(Fraction(2, 3)) == "0.66mm"
