"""Size passes over an expanded program, each a module with one idea; `tighten` makes them until none helps any more.

A pass gives the program anew if it has changed something, else None.  What it does follows from the effects of the
sheet's orders alone, so it holds on any machine; nothing is moved across a label.
"""

from collections.abc import Callable
from itertools import cycle

from budget.target.code import Draft
from budget.target.passes.choices import Choices
from budget.target.passes.cleared import cleared
from budget.target.passes.copies import reloaded
from budget.target.passes.dead import dead
from budget.target.passes.jumps import onward, straight, unreached
from budget.target.passes.known import folded, idle, made
from budget.target.passes.merged import merged
from budget.target.passes.routines import outlined
from budget.target.passes.tails import shared_ends

Pass = Callable[[Draft, Choices], Draft | None]
SIMPLE: tuple[Pass, ...] = (unreached, straight, onward, idle, dead, reloaded, folded, made, merged)
"""Those that only leave out or shorten."""
SHARING: tuple[Pass, ...] = (shared_ends, outlined)
"""Those that let orders be written once; they come last, for what they join can no longer be shortened apart."""
AFTER_CLEARING: tuple[Pass, ...] = (idle, dead)


def tighten(draft: Draft, choices: Choices) -> Draft:
    """A program in fewer words, which does the same."""
    while True:
        draft = _exhausted(draft, choices, SIMPLE)
        shorter = cleared(draft, choices, AFTER_CLEARING)
        if shorter is None:
            break
        draft = shorter
    while True:
        shared = next((new for each in SHARING if (new := each(draft, choices)) is not None), None)
        shared = shared or cleared(draft, choices, AFTER_CLEARING)
        if shared is None:
            return draft
        draft = _exhausted(shared, choices, SIMPLE)


def _exhausted(draft: Draft, choices: Choices, passes: tuple[Pass, ...]) -> Draft:
    """The program once none of some passes finds anything any more."""
    in_vain = 0  # passes in a row that have found nothing
    for each in cycle(passes):
        new = each(draft, choices)
        in_vain += 1
        while new is not None:
            draft, in_vain = new, 1
            new = each(draft, choices)
        if in_vain == len(passes):
            return draft
    raise AssertionError("there are passes")
