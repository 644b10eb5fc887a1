"""When some orders in a row are the same as some others: the same words, and loops within them alike."""

from typing import NamedTuple

from budget.target.code import ORDER, Operand, Ref
from budget.target.flow import Flow


class Token(NamedTuple):
    """An order as it is compared; where it names a place of its own expansion, by how far that is."""

    names: tuple[str, ...]
    is_indirect: bool
    operand: Operand | None
    distance: int | None
    leads_to: tuple[str, ...] | None


class Likeness:
    """The tokens of a program: `tokens` has None for what must stay as it is; `kinds` are alike where those are."""

    def __init__(self, flow: Flow) -> None:
        self.flow = flow
        self.tokens = [self._token(number) for number in range(len(flow.items))]
        numbers: dict[Token | None, int] = {}
        self.kinds = [numbers.setdefault(token, len(numbers)) for token in self.tokens]

    def _token(self, number: int) -> Token | None:
        item = self.flow.items[number]
        if item.kind != ORDER or item.is_fixed:
            return None
        operand, distance = item.operand, None
        if isinstance(operand, Ref) and "." in operand.label and not operand.offset:
            target = self.flow.at.get(operand.label)
            if target is not None and self.flow.items[target].kind == ORDER:
                operand, distance = None, target - number
        return Token(item.names, item.is_indirect, operand, distance, item.leads_to)

    def is_closed(self, first: int, last: int) -> bool:
        """Whether what some orders name of their own expansion lies among them."""
        for number in range(first, last + 1):
            token = self.tokens[number]
            if (
                token is not None
                and token.distance is not None
                and not first <= number + token.distance <= last
            ):
                return False
        return True
