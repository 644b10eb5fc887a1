"""Leave out what nobody asks for: orders, and parts of orders, whose work is overwritten before it is used."""

from budget.target.code import ORDER, Draft, Item
from budget.target.editing import changed, renamed
from budget.target.flow import Flow
from budget.target.meaning import WORD
from budget.target.meanings import Meanings, Names
from budget.target.passes.choices import Choices


def dead(draft: Draft, choices: Choices) -> Draft | None:
    """The program without orders that change nothing which is asked for later."""
    flow = choices.flow(draft)
    instead: dict[int, list[Item]] = {}
    for number, item in enumerate(draft.items):
        if item.kind != ORDER or item.is_fixed:
            continue
        later = flow.asked_after[number]
        if item.operand is not None:
            new = _without_operand(number, flow, later, choices)
        else:
            new = _needed(item.names, later, choices.meanings)
        if new != item.names and (new or not flow.guarded[number]):
            instead[number] = [renamed(item, new)] if new else []
    return changed(draft, instead) if instead else None


def _without_operand(number: int, flow: Flow, later: frozenset[str], choices: Choices) -> Names:
    """What is left of an order with an address: itself, nothing, or a word that does what is asked for."""
    item = flow.items[number]
    what = flow.meaning(item)
    changes = {flow.name(item, name) for name in what.changes}
    if not what.is_plain or None in changes:
        return item.names
    asked = {name for name in changes if name in later}
    if not asked:
        return ()
    if flow.name(item, WORD) in asked or len(asked) > 1:
        return item.names
    register = str(asked.pop())
    value, mask = flow.known(number, {})[register]
    if mask != (1 << choices.sheet.registers[register]) - 1:
        return item.names
    return choices.maker(register, value, is_clear=False, asked=later) or item.names


def _needed(names: Names, later: frozenset[str], meanings: Meanings) -> Names:
    """The orders of a word that do something which is asked for later."""
    kept: list[str] = []
    for part in reversed(meanings.parts(names)):
        what = meanings.meaning_of(part.effect)
        if what.is_plain and not set(what.changes) & later:
            continue
        kept.append(part.name)
        asked = set(later) - set(what.changes)
        for own, depends in what.changes.items():
            if own in later:
                asked |= depends
        later = frozenset(asked | what.needs)
    left = tuple(name for name in names if name in kept)
    return left if not left or meanings.effect(left) is not None else names
