"""Which words of a program may lie anywhere, and which instructions work on them.

The line `loose` offers the single words after it, and the pool if it comes after it.  A word whose address is used for
anything but to work on that word - with `look`, after `by`, in a sum or in another word - stays where it is.
"""

from collections.abc import Sequence

from budget.machine.orders import ORDER_NAMED, Operand
from budget.machine.source import Name, Statement, names_in

BY = ORDER_NAMED["by"]


def offered(statements: Sequence[Statement]) -> list[bool]:
    """For each statement whether it comes after a line `loose`, with no `at` between."""
    flags = []
    is_loose = False
    for statement in statements:
        is_loose = statement.what == "loose" or (is_loose and statement.what != "at")
        flags.append(is_loose)
    return flags


def works_directly(statements: Sequence[Statement], at: int) -> bool:
    """Whether a statement is an instruction that works on the very word that it names, and on no other."""
    order = statements[at].order
    if order is None or order.operand is not Operand.WORD or order.name == "look":
        return False
    before = next((each for each in reversed(statements[:at]) if each.what), None)
    return before is None or before.order is not BY


def uses_of_labels(statements: Sequence[Statement]) -> dict[str, list[int]]:
    """For each name that is only used to work on its word, the statements that do."""
    uses: dict[str, list[int]] = {}
    bound: set[str] = set()
    for at, statement in enumerate(statements):
        is_direct = works_directly(statements, at) and not statement.manner
        for operand in statement.operands:
            for name in names_in(operand):
                if is_direct and isinstance(operand, Name):
                    uses.setdefault(name.name, []).append(at)
                else:
                    bound.add(name.name)
    return {name: each for name, each in uses.items() if name not in bound}


def loose_words(statements: Sequence[Statement]) -> dict[int, list[int]]:
    """The statements whose one word may lie anywhere, with the statements that work on it.

    Whether a `space` is of one word is for the caller to see.
    """
    free = uses_of_labels(statements)
    found: dict[int, list[int]] = {}
    for at, is_offered in enumerate(offered(statements)):
        statement = statements[at]
        has_label_above = at > 0 and not statements[at - 1].what
        is_one_word = statement.what == "space" or (statement.what == "word" and len(statement.operands) == 1)
        names = [label.name for label in statement.labels]
        if (
            is_offered
            and is_one_word
            and not has_label_above
            and names
            and all(name in free for name in names)
        ):
            found[at] = [use for name in names for use in free[name]]
    return found


def loose_constants(statements: Sequence[Statement]) -> dict[int, bool]:
    """For each statement that asks for a constant, whether it works on it directly; none if the pool is not offered."""
    pools = [at for at, statement in enumerate(statements) if statement.what == "pool"]
    flags = offered(statements)
    if not flags or not flags[pools[0] if pools else -1]:
        return {}
    return {
        at: works_directly(statements, at)
        for at, statement in enumerate(statements)
        if statement.manner == "="
    }
