"""A program on its way into a machine's own orders: which orders, on what, but not yet where."""

from dataclasses import dataclass, field
from typing import NamedTuple

ORDER, DATA, SPACE, LINK = "order", "data", "space", "link"
"""What an item is: an order; words that are loaded; words that are left free; the word of a subroutine's link."""


class Ref(NamedTuple):
    """The address of a label, and so many words further on; without a label a number."""

    label: str
    offset: int = 0

    def __str__(self) -> str:
        if not self.label:
            return str(self.offset)
        return self.label + (f"{self.offset:+d}" if self.offset else "")


class Literal(NamedTuple):
    """The address of a word that holds a number, or the address of a label."""

    value: Ref


Operand = Ref | Literal


@dataclass(slots=True)
class Item:
    """One order, or some words that stay together.

    labels: those before it; names, operand, is_indirect: of an order; values, size: of words; line: of the source, 0
    for none; leads_to: for an order that goes elsewhere through a word, the labels where it may go; is_fixed: it has to
    stay one word in its place; place: the address that the program asks for, None where any will do.
    """

    kind: str
    line: int
    labels: list[str] = field(default_factory=list)
    names: tuple[str, ...] = ()
    operand: Operand | None = None
    is_indirect: bool = False
    values: tuple[Ref, ...] = ()
    size: int = 1
    leads_to: tuple[str, ...] | None = None
    is_fixed: bool = False
    place: int | None = None

    @property
    def is_code(self) -> bool:
        """Whether it is an order or belongs to a subroutine."""
        return self.kind in (ORDER, LINK)

    def said(self) -> str:
        """An order as people write it."""
        if self.operand is None:
            return " ".join(self.names)
        operand = f"={self.operand.value}" if isinstance(self.operand, Literal) else str(self.operand)
        return f"{' '.join(self.names)} {f'[{operand}]' if self.is_indirect else operand}"


class Draft(NamedTuple):
    """The items of a program in the order of its text.

    start: the label at which it begins; temporaries: labels of the words that expansions work on; taken: labels of
    instructions whose address the program uses as a number; unwritten: lines whose words nothing ever writes.
    """

    items: list[Item]
    start: str
    temporaries: dict[str, str]
    taken: frozenset[str]
    unwritten: frozenset[int] = frozenset()
