"""Put orders that follow one another into one word, where a word of the machine holds both."""

from budget.target.code import ORDER, Draft, Item
from budget.target.editing import changed, renamed
from budget.target.effect import Effect, Statement
from budget.target.flow import Flow
from budget.target.meanings import Names
from budget.target.passes.choices import Choices


def merged(draft: Draft, choices: Choices) -> Draft | None:
    """The program with orders put together in one word."""
    flow = choices.flow(draft)
    instead: dict[int, list[Item]] = {}
    number = 0
    while number + 1 < len(draft.items):
        first, second = draft.items[number], draft.items[number + 1]
        names = _together(first, second, choices) if _may(flow, number) else None
        if names is not None:
            instead[number], instead[number + 1] = [renamed(first, names)], []
            number += 1
        number += 1
    return changed(draft, instead) if instead else None


def _may(flow: Flow, number: int) -> bool:
    first, second = flow.items[number], flow.items[number + 1]
    are_orders = first.kind == second.kind == ORDER and not (
        first.is_fixed or second.is_fixed or second.labels
    )
    return (
        are_orders
        and first.operand is None
        and second.operand is None
        and not flow.guarded[number]
        and flow.meaning(first).is_plain
    )


def _together(first: Item, second: Item, choices: Choices) -> Names | None:
    """The names of the word that does what two orders do one after the other."""
    names = (*first.names, *(name for name in second.names if name not in first.names))
    effect, one, other = (choices.meanings.effect(each) for each in (names, first.names, second.names))
    if effect is None or one is None or other is None:
        return None
    return names if alike((*one, *other), effect, choices) else None


def alike(one: Effect, other: Effect, choices: Choices) -> bool:
    """Whether two effects have the same statements, but for the order of those that do not touch each other."""
    left = list(one)
    for statement in other:
        place = next((number for number, each in enumerate(left) if each == statement), None)
        if place is None or not all(_apart(each, statement, choices) for each in left[:place]):
            return False
        del left[place]
    return not left


def _apart(one: Statement, other: Statement, choices: Choices) -> bool:
    """Whether two statements may change places."""
    first, second = (choices.meanings.meaning_of((each,)) for each in (one, other))
    if not (first.is_plain and second.is_plain):
        return False
    touched = [
        set(each.changes) | {name for needs in each.changes.values() for name in needs}
        for each in (first, second)
    ]
    return not (set(first.changes) & touched[1] or set(second.changes) & touched[0])
