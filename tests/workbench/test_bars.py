"""Bars are as long as the logarithm of their figures, and fit the line."""

from itertools import pairwise

import pytest

from workbench.bars import bars


def test_bars_grow_with_the_figures_and_pass_the_mark_only_where_the_figure_does():
    figures = [1, 2, 3, 10, 255, 256, 257, 5000, 1 << 20]
    lines = bars([f"game {figure}" for figure in figures], figures, 256)
    assert all(len(line) <= 80 for line in lines)
    *drawn, ticks = lines
    marks = {line.index("|") for line in drawn}
    assert len(marks) == 1
    lengths = [line.count("#") for line in drawn]
    assert lengths == sorted(lengths)
    for line, figure in zip(drawn, figures, strict=True):
        assert ("|#" in line) == (figure > 256)
        assert line.endswith(f" {figure:,}")
    places = [ticks.index(f" {figure:,} ") for figure in (1, 10, 100, 1_000)]
    steps = [after - before for before, after in pairwise(places)]
    assert max(steps) - min(steps) <= 1, "ten times as many is the same length everywhere"
    assert drawn[3].rindex("#") == places[1], "the bar of 10 ends where 10 stands"


@pytest.mark.parametrize(
    ("figures", "mark"), [([7], 7), ([7], 8), ([9], 8), ([1, 1 << 20], 1), ([5, 6], 1 << 20)]
)
def test_bars_at_the_ends_of_the_scale(figures, mark):
    lines = bars(["a", "b"][: len(figures)], figures, mark)
    for line, figure in zip(lines, figures, strict=False):
        assert len(line) <= 80
        assert ("|#" in line) == (figure > mark)


def test_no_figures_make_no_bars():
    assert bars([], [], 256) == []
