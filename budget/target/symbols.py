"""What the names of a program are worth where it is not yet known where anything lies."""

from collections.abc import Sequence

from budget.characters import CharacterCode
from budget.machine.channel import code_of
from budget.machine.names import Mistakes, Names, following
from budget.machine.source import Expression, Name, Number, Sign, Statement
from budget.target.code import Ref


class Symbols:
    """Turns expressions into labels and numbers.

    is_code: for each label whether an instruction stands there; at: the statement before which it stands; places: the
    addresses of those words that the program puts somewhere itself, by their labels, and by their statements in
    `begins`; runs, run_at: the run of data in which a label or a statement stands, up to the next order, `at`, `pool`.
    """

    def __init__(
        self, statements: Sequence[Statement], names: Names, code: CharacterCode, mistakes: Mistakes
    ) -> None:
        self._statements = statements
        self._names = names
        self._code = code
        self._mistakes = mistakes
        self.at = names.labels
        after = following(statements)
        self.is_code = {
            name: (found := after[at]) is not None and found.order is not None
            for name, at in names.labels.items()
        }
        self.places: dict[str, int] = {}
        self.begins: dict[int, int] = {}
        self._note_places()
        self.run_at: list[tuple[int, int]] = []
        self.runs: dict[str, tuple[int, int]] = {}
        self._block = self._blocks()

    def _note_places(self) -> None:
        """Note what lies behind an `at`: words only, for orders lie where there is room."""
        address: int | None = None
        asked = self._statements[:1]
        for at, statement in enumerate(self._statements):
            if statement.what == "at":
                address, asked = self.number(statement, statement.operands[0]), [statement]
                continue
            if address is None:
                continue
            self.places.update((label.name, address) for label in statement.labels)
            if statement.what in ("word", "space"):
                self.begins[at] = address
                address += self.size(statement)
            elif statement.order or statement.what == "text":
                message = "where orders and texts lie is worked out with an order sheet; expected no 'at' before them"
                self._mistakes.note(asked[0], message)
                address = None

    def _blocks(self) -> dict[str, tuple[int, int]]:
        """For each label of data the run of data in which it lies, and how far from its beginning."""
        where: dict[str, tuple[int, int]] = {}
        run = offset = pools = 0
        for statement in self._statements:
            where.update((label.name, (run, offset)) for label in statement.labels)
            pools += statement.what == "pool"
            self.run_at.append((run, pools))
            self.runs.update((label.name, (run, pools)) for label in statement.labels)
            if statement.order or statement.what == "at":
                run, offset = run + 1, 0
            elif statement.what in ("word", "space"):
                offset += self.size(statement)
            elif statement.what == "text":
                offset += 1 << 20  # how long it is does not matter: nothing is counted across it
        return {name: place for name, place in where.items() if not self.is_code[name]}

    def ref(self, statement: Statement, expression: Expression) -> Ref:
        """A label and how far from it, or a number; notes what is neither, and gives 0."""
        parts = self._parts(expression)
        number = parts.pop("", 0)
        labels = {name: times for name, times in parts.items() if times}
        if not labels:
            return Ref("", number)
        if len(labels) == 1 and set(labels.values()) == {1}:
            return Ref(next(iter(labels)), number)
        if sorted(labels.values()) == [-1, 1]:
            less, more = sorted(labels, key=lambda name: labels[name])
            if less in self._block and more in self._block and self._block[less][0] == self._block[more][0]:
                return Ref("", number + self._block[more][1] - self._block[less][1])
        self._mistakes.note(
            statement, "this depends on how long instructions are, and in an order sheet they are others"
        )
        return Ref("", 0)

    def number(self, statement: Statement, expression: Expression) -> int:
        """A number that no label is part of."""
        return self.ref(statement, expression).offset

    def size(self, statement: Statement) -> int:
        """How many words a `word` or a `space` gives."""
        is_words = statement.what == "word"
        return len(statement.operands) if is_words else self.number(statement, statement.operands[0])

    def names_below(self, expression: Expression) -> frozenset[str]:
        """The labels that are part of an expression."""
        return frozenset(name for name, times in self._parts(expression).items() if name and times)

    def _parts(self, expression: Expression) -> dict[str, int]:
        """How often each label is in a sum; the number under no name."""
        if isinstance(expression, Number):
            return {"": expression.value}
        if isinstance(expression, Sign):
            return {"": code_of(self._code, expression.sign) or 0}
        if isinstance(expression, Name):
            meant = self._names.stands_for(expression.name)
            if expression.name in self.places:
                return {"": self.places[expression.name]}
            return {expression.name: 1} if meant is None else self._parts(meant)
        left, right = self._parts(expression.left), self._parts(expression.right)
        if expression.mark == "*":
            return self._product(left, right)
        sign = 1 if expression.mark == "+" else -1
        return {name: left.get(name, 0) + sign * right.get(name, 0) for name in {**left, **right}}

    @staticmethod
    def _product(left: dict[str, int], right: dict[str, int]) -> dict[str, int]:
        if set(left) <= {""}:
            left, right = right, left
        times = right.get("", 0) if set(right) <= {""} else 2  # labels times labels: no sum has them twice
        return {name: value * times for name, value in left.items()}
