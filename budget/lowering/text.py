"""A program as it is being written: orders, tables, messages and words of workspace, each in its own section.

Numbers of moves and of cells are kept *less their count*, from -count to -1: then `count` steps to the next and says
when there is none, and a table of so many words is reached from its end.
"""

from collections.abc import Callable, Iterable
from typing import NamedTuple

from budget.card import CostCard
from budget.machine.layout import signed
from budget.machine.orders import ORDER_NAMED, Operand
from budget.packing import Words

PROGRAM, TABLE, MESSAGES, CONSTANTS, WORKSPACE = "program", "table", "messages", "constant", "workspace"
"""The sections of a program.  Those constants that the assembler puts into its pool are not written in any."""
_ASTRAY = "astray"


class NotLowered(Exception):
    """There is no program for this on this machine, or none that we can write; the message is the reason, in words."""


class WrongWay(NotLowered):
    """Two ways to write parts of a program do not go together; others may."""


class Row(NamedTuple):
    """One line of a program: labels before it, an order with its operand, and a remark; any may be missing."""

    labels: tuple[str, ...] = ()
    order: str = ""
    operand: str = ""
    remark: str = ""

    def __str__(self) -> str:
        """The line as text."""
        label = " ".join(f"{each}:" for each in self.labels)
        body = f"{self.order} {self.operand}".strip()
        line = f"{label:<10} {body}" if body else label
        return f"{line:<30}# {self.remark}".strip() if self.remark else line.rstrip()


class Astray(NamedTuple):
    """A table that is looked up by keys which name none of its words: where they lead, no word may ever be 0.

    first, words: the key that names its first word, and how many words it has; keys: how many there are.
    """

    table: str
    first: int
    words: int
    keys: int


class Text:
    """The text of a program for a card, section by section."""

    def __init__(self, card: CostCard) -> None:
        self.card = card
        self.word_bits = card.word_bits
        self.rows: dict[str, list[Row]] = {
            section: [] for section in (PROGRAM, TABLE, MESSAGES, CONSTANTS, WORKSPACE)
        }
        self.routines: dict[str, list[Row]] = {}
        """Subroutines by name; each ends with `back`."""
        self.astray: Astray | None = None
        self._labels: list[str] = []
        self._names: dict[str, int] = {}
        self._variables: set[str] = set()
        self._tables: set[str] = set()
        self._into = self.rows[PROGRAM]
        self._remark = ""

    # -- orders -------------------------------------------------------------------------------

    def op(self, order: str, operand: str | int = "", remark: str = "") -> None:
        """Write one order; labels that wait are put before it."""
        remark, self._remark = remark or self._remark, ""
        self._into.append(Row(tuple(self._labels), order, str(operand), remark))
        self._labels = []

    def ops(self, *lines: str) -> None:
        """Write several orders, each with its operand in one text: ``"load x"``; ``"x:"`` puts a label."""
        for line in lines:
            if line.endswith(":"):
                self.label(line[:-1])
            else:
                self.op(*line.split(" ", 1))

    def label(self, name: str) -> None:
        """Let what follows be called so."""
        self._labels.append(name)

    def remark(self, text: str) -> None:
        """Put a remark beside the next order."""
        self._remark = text

    def fresh(self, stem: str) -> str:
        """A label that nothing has yet, such as ``next2``."""
        self._names[stem] = self._names.get(stem, 0) + 1
        return f"{stem}{self._names[stem]}"

    # -- numbers ------------------------------------------------------------------------------

    def number(self, number: int) -> None:
        """A becomes a number, whether or not an order can hold it."""
        self._with_number("set", "load", number)

    def plus(self, number: int) -> None:
        """A number is added to A; nothing is written for 0."""
        if number:
            self._with_number("plus", "add", number)

    def _with_number(self, short: str, long: str, number: int) -> None:
        bits = self.word_bits
        number = signed(number % (1 << bits), bits)
        least, most = self.card.program.layout.number_range
        if least <= number <= most:
            self.op(short, number)
        else:
            self.op(long, f"={number}")

    def needs(self, least: int, most: int, what: str) -> None:
        """Raise NotLowered where a word does not hold all numbers from `least` to `most`, signed."""
        half = 1 << self.word_bits - 1
        if least < -half or most >= half:
            raise NotLowered(f"a word of {self.word_bits} bits does not hold {what}")

    def jump_if(self, number: int, label: str) -> None:
        """Go on at a label if A is a number; A is lost."""
        self.plus(-number)
        self.op("ifzero", label)

    # -- words --------------------------------------------------------------------------------

    def variable(self, name: str, words: int = 1, remark: str = "") -> str:
        """A word of workspace, or a few; the same name asked for again is the same word."""
        if name not in self._variables:
            self._variables.add(name)
            self.rows[WORKSPACE].append(Row((name,), "space", str(words), remark))
        return name

    def table(self, name: str, words: Iterable[int | str], remark: str = "", section: str = TABLE) -> str:
        """Words that never change, under a label; the same name asked for again is the same table."""
        if name in self._tables:
            return name
        self._tables.add(name)
        listed = [str(word) for word in words]
        for at in range(0, len(listed), 8):
            labels = (name,) if at == 0 else ()
            self.rows[section].append(
                Row(labels, "word", ", ".join(listed[at : at + 8]), remark if at == 0 else "")
            )
        if not listed:
            self.rows[section].append(Row((name,)))
        return name

    def message(self, words: Words, remark: str) -> None:
        """The words of a message, after those before it; the first of all is called ``messages``."""
        labels = () if self.rows[MESSAGES] else ("messages",)
        self.rows[MESSAGES].append(Row(labels, "word", ", ".join(map(str, words)), remark))

    # -- routines -----------------------------------------------------------------------------

    def routine(self, name: str, write: Callable[[], None]) -> None:
        """Call a subroutine, which `write` writes when it is called for the first time; it ends with `back`."""
        self.op("call", name)
        if name in self.routines:
            return
        before = self._into, self._labels
        self.routines[name] = self._into = []
        self._labels = [name]
        write()
        self._into, self._labels = before


class Written(NamedTuple):
    """A program text, the section of each of its lines, counted from 1, and the table that is looked up by any key."""

    text: str
    sections: dict[int, str]
    astray: Astray | None = None


def composed(card: CostCard, rows: dict[str, list[Row]], astray: Astray | None = None) -> Written:
    """Sections put one after the other: workspace, then what is fixed, with the pool where all can reach it.

    A table that is looked up by any key lies between instructions and words that never change.
    """
    lines: list[str] = []
    sections: dict[int, str] = {}
    if astray is not None:
        table = [row for row in rows[WORKSPACE] if astray.table in row.labels]
        rest = [row for row in rows[WORKSPACE] if astray.table not in row.labels]
        rows = {**rows, _ASTRAY: table, WORKSPACE: rest}

    def put(section: str, title: str) -> None:
        if rows[section]:
            lines.extend([*([""] if lines else []), f"# {title}"])
        for row in rows[section]:
            lines.append(str(row))
            sections[len(lines)] = WORKSPACE if section == _ASTRAY else section

    if astray is not None:
        put(PROGRAM, "The program")
        put(_ASTRAY, "Looked up by any key: what lies before it and behind it is never 0")
    elif card.program.layout.is_paged:  # page zero is reached from everywhere
        put(WORKSPACE, "Workspace")
        lines.append("           pool")
        put(PROGRAM, "The program")
    else:
        if card.fixed_words:
            put(WORKSPACE, "Workspace")
            lines.append("           at fixed")
        put(PROGRAM, "The program")
    put(TABLE, "Tables")
    put(MESSAGES, "What it says")
    if astray is not None or not card.program.layout.is_paged:
        lines.append("           pool")
    put(CONSTANTS, "The last of the words that never change")
    if astray is not None or not (card.program.layout.is_paged or card.fixed_words):
        put(WORKSPACE, "Workspace")
    return Written("\n".join(lines) + "\n", sections, astray)


def takes_place(order: str) -> bool:
    """Whether an order's operand is the place of an instruction."""
    return order in ORDER_NAMED and ORDER_NAMED[order].operand is Operand.PLACE
