"""A round of a drill: the lines that have the same number of wrong inputs, and how many of them were keyed in."""

from collections.abc import Callable
from typing import NamedTuple


class Round(NamedTuple):
    """A part of the drill, in which each line has the same number of wrong inputs.

    lines, inputs: keyed in, each run counted; at_once: lines that were keyed in at once.  branches: different inputs
    after different beginnings, so many at least have to be keyed in.  is_whole: whether all lines were gone through.
    due: how many lines there are in all, 0 if that is not known: it is where every answer was heard in rounds before.
    """

    wrong: int
    lines: int = 0
    inputs: int = 0
    at_once: int = 0
    branches: int = 0
    is_whole: bool = False
    due: int = 0

    def plus(self, lines: int, inputs: int, branches: int, *, at_once: bool = False) -> "Round":
        """The same after some more lines."""
        return self._replace(
            lines=self.lines + lines,
            inputs=self.inputs + inputs,
            branches=self.branches + branches,
            at_once=self.at_once + lines * at_once,
        )


GoesOn = Callable[[Round], bool]
"""Told how far a round is; says whether to go on."""
