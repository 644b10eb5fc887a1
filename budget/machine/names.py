"""What the labels and names of a program are worth, and the mistakes that can be made with them."""

from collections.abc import Sequence

from budget.card import CostCard
from budget.machine.channel import code_of, named_codes
from budget.machine.orders import Operand
from budget.machine.source import Expression, Name, Number, Sign, Statement, names_in, signs_in
from games.problems import BadInput, Problem, near_miss

LARGEST = 1 << 64
"""No value gets beyond it, whatever a program multiplies."""


class Mistakes:
    """Gathers the mistakes of a program, each with its place."""

    def __init__(self, file: str, source: Sequence[str]) -> None:
        self._file = file
        self._source = source
        self._problems: list[Problem] = []

    def note(self, statement: Statement, message: str, column: int = 0) -> None:
        """Note a mistake in a statement's line, at its operand unless told."""
        shown = self._source[statement.line - 1]
        self._problems.append(Problem(self._file, statement.line, column or statement.column, message, shown))

    def raise_all(self) -> None:
        """Raise BadInput if there are any."""
        if self._problems:
            raise BadInput(sorted(self._problems, key=lambda problem: (problem.line, problem.column)))


class Names:
    """The labels, given names and fixed names of a program.

    places: the place of every statement, which the assembler fills in anew in each round; labels: the statement before
    which each stands.
    """

    def __init__(self, statements: Sequence[Statement], card: CostCard, mistakes: Mistakes) -> None:
        self.labels: dict[str, int] = {}
        self.places: list[int] = [0] * len(statements)
        self._given: dict[str, Expression] = {}
        self._code = card.characters.code
        self._fixed = {**named_codes(self._code), "fixed": card.first_fixed}
        self._places_a_word = card.program.layout.places_a_word
        self._is_instruction = [each is not None and each.order is not None for each in following(statements)]
        self._collect(statements, mistakes)
        mistakes.raise_all()
        for statement in statements:
            for operand in statement.operands:
                self._check(statement, operand, mistakes)
        mistakes.raise_all()

    def _collect(self, statements: Sequence[Statement], mistakes: Mistakes) -> None:
        for at, statement in enumerate(statements):
            defined = [(label.name, label.column) for label in statement.labels]
            if statement.what == "=":
                defined.append((statement.said, statement.column))
            for name, column in defined:
                if name in self._fixed:
                    mistakes.note(statement, f"'{name}' has a meaning already; expected another name", column)
                elif name in self.labels or name in self._given:
                    mistakes.note(statement, f"'{name}' is here already; expected it once", column)
            self.labels.update((label.name, at) for label in statement.labels)
            if statement.what == "=":
                self._given[statement.said] = statement.operands[0]

    def _check(self, statement: Statement, operand: Expression, mistakes: Mistakes) -> None:
        for name in names_in(operand):
            if not any(name.name in names for names in (self.labels, self._given, self._fixed)):
                known = (*self.labels, *self._given, *self._fixed)
                message = f"there is no '{name.name}' in this program{near_miss(name.name, known)}"
                mistakes.note(statement, message, name.column)
            elif statement.what in ("space", "at") and self.depends_on_places(name):
                mistakes.note(statement, f"'{statement.what}' cannot depend on a label", name.column)
        for sign in signs_in(operand):
            if code_of(self._code, sign.sign) is None:
                mistakes.note(statement, f"{self._code.title} has no '{sign.sign}'", sign.column)
        if statement.what == "=" and statement.said in self._names_below(operand):
            mistakes.note(statement, f"'{statement.said}' is worked out from itself")

    def _names_below(self, expression: Expression) -> set[str]:
        """Every name that an expression needs, directly or through others."""
        reached: set[str] = set()
        waiting = [name.name for name in names_in(expression)]
        while waiting:
            name = waiting.pop()
            if name not in reached:
                reached.add(name)
                below = self._given.get(name)
                if below is not None:
                    waiting.extend(each.name for each in names_in(below))
        return reached

    def depends_on_places(self, expression: Expression) -> bool:
        """Whether a label is in it, so that its value may change from round to round."""
        return any(name in self.labels for name in self._names_below(expression))

    def stands_for(self, name: str) -> Expression | None:
        """What a fixed or given name stands for; None if it is a label."""
        return Number(self._fixed[name]) if name in self._fixed else self._given.get(name)

    def value(self, expression: Expression, unit: Operand) -> int:
        """What an expression is worth.

        A label is an address for an operand that is a word, a place for one that is a place; in a number it is a place
        if an instruction stands there, else an address.
        """
        if isinstance(expression, Number):
            return expression.value
        if isinstance(expression, Sign):
            return code_of(self._code, expression.sign) or 0
        if isinstance(expression, Name):
            return self._worth(expression.name, unit)
        left, right = self.value(expression.left, unit), self.value(expression.right, unit)
        value = {"+": left + right, "-": left - right, "*": left * right}[expression.mark]
        return max(-LARGEST, min(value, LARGEST))

    def _worth(self, name: str, unit: Operand) -> int:
        if name in self._fixed:
            return self._fixed[name]
        if name in self._given:
            return self.value(self._given[name], unit)
        at = self.labels[name]
        is_place = unit is Operand.PLACE or (unit is Operand.NUMBER and self._is_instruction[at])
        return self.places[at] if is_place else self.places[at] // self._places_a_word


def following(statements: Sequence[Statement]) -> list[Statement | None]:
    """For each statement, the first at or after it that takes store."""
    found: list[Statement | None] = []
    after: Statement | None = None
    for statement in reversed(statements):
        if statement.what not in ("", "="):
            after = statement
        found.append(after)
    return found[::-1]
