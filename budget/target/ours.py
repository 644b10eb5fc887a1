"""What is asked for later in a program in our orders, and which subroutine each `back` ends.

An expansion may be shorter where nobody asks for A or the carry afterwards; a subroutine's link is a word of its own,
so it must be clear which one a `back` belongs to.
"""

from collections.abc import Iterable, Sequence

from budget.machine.names import Mistakes
from budget.machine.orders import Operand
from budget.machine.source import Statement
from budget.target.symbols import Symbols

START = "start"
A, CARRY = "A", "carry"
BRANCHES = frozenset({"ifzero", "ifnonzero", "ifminus"})
GOES = frozenset({"jump", "call", *BRANCHES})
READS_A = frozenset(
    {"store", "add", "subtract", "and", "look", "plus", "negate", "output", "left", "right", *BRANCHES}
)
SETS_A = frozenset(
    {
        "load",
        "add",
        "subtract",
        "and",
        "look",
        "count",
        "set",
        "plus",
        "carry",
        "input",
        "negate",
        "left",
        "right",
    }
)
SETS_CARRY = frozenset({"add", "subtract", "plus"})
WORDS = ("word", "text", "space", "at")


class OurFlow:
    """The statements of a program as a graph.

    after: for each statement the order that follows it, None where there is none; targets: where an order that goes
    elsewhere leads; owners: for each `back` the label of its subroutine; entries: the statement of each subroutine, by
    its label.
    """

    def __init__(self, statements: Sequence[Statement], symbols: Symbols, mistakes: Mistakes) -> None:
        self._statements = statements
        self._symbols = symbols
        self._mistakes = mistakes
        self.after = self._following()
        self.is_modified = [False] * len(statements)
        for at, statement in enumerate(statements):
            following = self.after[at]
            if statement.what in ("by", "high") and following is not None:
                self.is_modified[following] = True
        self.taken = self._taken()
        self.targets: list[int | None] = [None] * len(statements)
        self.entries: dict[str, int] = {}
        for at, statement in enumerate(statements):
            if statement.what in GOES and not self.is_modified[at]:
                self._lead(at, statement, symbols)
        mistakes.raise_all()
        orders = [at for at, each in enumerate(statements) if each.order]
        self.begin = self.order_at(symbols.at[START]) if START in symbols.at else min(orders, default=None)
        self.owners: dict[int, str] = {}
        self._find_owners()
        mistakes.raise_all()
        self.wanted = self._liveness()

    def _following(self) -> list[int | None]:
        found: list[int | None] = []
        after: int | None = None
        for at in range(len(self._statements) - 1, -1, -1):
            found.append(after)
            if self._statements[at].order:
                after = at
            elif self._statements[at].what in WORDS:
                after = None
        return found[::-1]

    def order_at(self, at: int) -> int | None:
        """The first order at or after a statement."""
        return at if self._statements[at].order else self.after[at]

    def _lead(self, at: int, statement: Statement, symbols: Symbols) -> None:
        ref = symbols.ref(statement, statement.operands[0])
        if not ref.label or ref.offset or not symbols.is_code[ref.label]:
            self._mistakes.note(statement, f"'{statement.what}' needs the label of an instruction here")
            return
        self.targets[at] = self.order_at(symbols.at[ref.label])
        if statement.what == "call":
            entry = self.targets[at]
            if entry in self.entries.values():
                return
            self.entries[ref.label] = entry or 0

    def entry_label(self, at: int) -> str:
        """The label under which the subroutine is known that a `call` leads to."""
        return next(label for label, entry in self.entries.items() if entry == self.targets[at])

    def goes_on(self, at: int) -> bool:
        """Whether the next order may follow this one."""
        return self._statements[at].what not in ("jump", "halt", "back")

    def _within(self, at: int) -> Iterable[int]:
        """The orders that may follow one in the same subroutine."""
        following, target = self.after[at], self.targets[at]
        if self.goes_on(at):
            if following is None:
                self._mistakes.note(
                    self._statements[at], "the program runs into what is no instruction after this"
                )
            else:
                yield following
        if target is not None and self._statements[at].what != "call":
            yield target
        if self.is_modified[at] and self._statements[at].what in GOES:
            yield from self.through_a_word(at)

    def list_of(self, at: int) -> list[int]:
        """The list of jumps into which an order after `by` leads; empty if it goes where a word says."""
        statement = self._statements[at]
        ref = self._symbols.ref(statement, statement.operands[0])
        begin = self.order_at(self._symbols.at[ref.label]) if self._symbols.is_code.get(ref.label) else None
        return self.list_from(begin)

    def list_from(self, begin: int | None) -> list[int]:
        """The jumps that follow one another from a statement on."""
        found = []
        while begin is not None and self._statements[begin].what == "jump" and not self.is_modified[begin]:
            found.append(begin)
            begin = self.after[begin]
        return found

    def through_a_word(self, at: int) -> list[int]:
        """Where an order may lead whose operand `by` has changed."""
        places = (self.order_at(self._symbols.at[label]) for label in sorted(self.taken))
        return self.list_of(at) or [place for place in places if place is not None]

    def _taken(self) -> frozenset[str]:
        """The labels of instructions whose addresses the program uses as numbers."""
        numbers = [
            each
            for each in self._statements
            if each.what == "word"
            or each.manner == "="
            or (each.order and each.order.operand is Operand.NUMBER)
        ]
        names = {
            name
            for each in numbers
            for operand in each.operands
            for name in self._symbols.names_below(operand)
        }
        return frozenset(name for name in names if self._symbols.is_code.get(name))

    def _find_owners(self) -> None:
        calls: dict[str, set[str]] = {}
        for label, entry in self.entries.items():
            calls[label] = set()
            for at in self._reached(entry):
                what = self._statements[at].what
                if what == "call" and self.targets[at] is not None:
                    calls[label].add(self.entry_label(at))
                if what == "back" and self.owners.setdefault(at, label) != label:
                    message = (
                        f"this 'back' ends both '{self.owners[at]}' and '{label}'; expected one for each"
                    )
                    self._mistakes.note(self._statements[at], message)
        for at in self._reached(self.begin):
            if self._statements[at].what == "back":
                self._mistakes.note(self._statements[at], "this 'back' can be reached without a 'call'")
        self._refuse_recursion(calls)

    def _refuse_recursion(self, calls: dict[str, set[str]]) -> None:
        for label, entry in self.entries.items():
            below, waiting = set[str](), list(calls[label])
            while waiting:
                each = waiting.pop()
                if each not in below:
                    below.add(each)
                    waiting.extend(calls[each])
            if label in below:
                message = f"'{label}' calls itself, and its link has room for one place"
                self._mistakes.note(self._statements[entry], message)

    def _reached(self, start: int | None) -> set[int]:
        reached, waiting = set[int](), [] if start is None else [start]
        while waiting:
            at = waiting.pop()
            if at not in reached:
                reached.add(at)
                waiting.extend(self._within(at))
        return reached

    # -- what is asked for later --------------------------------------------------------------

    def _liveness(self) -> list[frozenset[str]]:
        """For each statement what is asked for just before it: A, the carry, or both."""
        returns = {
            label: [
                self.after[at]
                for at, each in enumerate(self._statements)
                if each.what == "call" and not self.is_modified[at] and self.entry_label(at) == label
            ]
            for label in self.entries
        }
        wanted = [frozenset[str]()] * len(self._statements)
        orders = [at for at, each in enumerate(self._statements) if each.order]
        changed = True
        while changed:
            changed = False
            for at in reversed(orders):
                found = self._before(at, self._later(at, wanted, returns))
                changed |= found != wanted[at]
                wanted[at] = found
        return wanted

    def _before(self, at: int, later: frozenset[str]) -> frozenset[str]:
        what = self._statements[at].what
        found = set(later)
        if what in SETS_A:
            found.discard(A)
        if what in SETS_CARRY:
            found.discard(CARRY)
        if what in READS_A:
            found.add(A)
        if what == CARRY:
            found.add(CARRY)
        return frozenset(found)

    def _later(
        self, at: int, wanted: Sequence[frozenset[str]], returns: dict[str, list[int | None]]
    ) -> frozenset[str]:
        what = self._statements[at].what
        onward: list[int | None] = []
        if what == "back":
            onward += returns[self.owners[at]] if at in self.owners else []
        elif what == "call" and not self.is_modified[at]:
            onward.append(self.targets[at])
        else:
            if self.goes_on(at):
                onward.append(self.after[at])
            onward.append(self.targets[at])
            if self.is_modified[at] and what in GOES:
                onward += self.through_a_word(at)
        return frozenset().union(*(wanted[each] for each in onward if each is not None))

    def wanted_after(self, at: int) -> frozenset[str]:
        """What is asked for where the next order follows this one."""
        following = self.after[at]
        if not self.goes_on(at) or following is None:
            return frozenset()
        return self.wanted[following]

    def wanted_there(self, at: int) -> frozenset[str]:
        """What is asked for where this order leads."""
        target = self.targets[at]
        if self.is_modified[at] and self._statements[at].what in GOES:
            return frozenset().union(*(self.wanted[each] for each in self.through_a_word(at)))
        return self.wanted[target] if target is not None else frozenset()
