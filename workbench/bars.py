"""Numbers of very different size as bars of plain text, against one mark that they stay below or pass."""

import math
from collections.abc import Sequence

from workbench.output import WIDTH

BAR, MARK = "#", "|"


def bars(labels: Sequence[str], figures: Sequence[int], mark: int) -> list[str]:
    """A line for each label: the label, a bar, the figure; and a last line with a few figures where they lie.

    Lengths are logarithms, from half the least figure on.  The mark stands in every line; a bar reaches past it
    exactly where the figure is greater.  All figures are at least 1.
    """
    if not figures:
        return []
    label_width = max(map(len, labels))
    figure_width = max(len(f"{figure:,}") for figure in figures)
    scale = _Scale(min(*figures, mark) / 2, max(*figures, mark), WIDTH - label_width - figure_width - 4)
    at_mark = min(scale.place(mark), scale.columns - 2)  # there is room for one sign behind it
    lines = []
    for label, figure in zip(labels, figures, strict=True):
        length = scale.place(figure)
        length = max(length, at_mark + 2) if figure > mark else min(length, at_mark)
        bar = (BAR * length).ljust(scale.columns)
        bar = bar[:at_mark] + MARK + bar[at_mark + 1 :]
        lines.append(f"{label:<{label_width}}  {bar}  {figure:>{figure_width},}")
    return [*lines, f"{'':<{label_width}}  {scale.ticks()}".rstrip()]


class _Scale:
    """Where figures lie on a line of so many columns, by their logarithms."""

    def __init__(self, least: float, most: int, columns: int) -> None:
        self.columns = columns
        self._least = math.log2(least)
        self._per_doubling = columns / (math.log2(most) - self._least)

    def place(self, figure: float) -> int:
        """The column of a figure, from 0 to `columns`."""
        return round((math.log2(figure) - self._least) * self._per_doubling)

    def ticks(self) -> str:
        """The powers of ten that lie on the line, each beginning in its own column."""
        line = ""
        figure = 1
        while (place := self.place(figure)) + len(f"{figure:,}") <= self.columns:
            if place >= 0:
                line = line.ljust(place) + f"{figure:,}"
            figure *= 10
        return line
