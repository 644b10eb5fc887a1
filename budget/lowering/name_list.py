"""A plain list of all names, each as long as the longest: for names that are made in no regular way."""

from collections.abc import Sequence

from budget.lowering.cell_names import times
from budget.lowering.choices import Choices
from budget.lowering.keyboard import Keyboard
from budget.lowering.saying import Saying
from budget.lowering.text import NotLowered, Text
from budget.lowering.units import codes_of


class NameList:
    """Finds and prints the name of the move `move`; what is typed of a name is compared with each in turn."""

    def __init__(
        self, text: Text, keyboard: Keyboard, saying: Saying, names: Sequence[str], choices: Choices
    ) -> None:
        self._text, self._keyboard, self._saying, self._choices = text, keyboard, saying, choices
        self._names = names
        self._count, self._wide = len(names), max(map(len, names))
        self._total = self._count * self._wide
        self._units = [codes_of(text.card.characters.code, name.upper()) for name in names]

    def _table(self) -> str:
        """All names, character by character, the Return key behind those that are shorter."""
        self._text.needs(-self._total, 1, "a place in the list of all names")
        spelled = [value for name in self._names for value in self._spelled(name)]
        return self._text.table("names", spelled, "the names of all moves")

    def _spelled(self, name: str) -> list[int]:
        values = []
        for sign in name:
            typed = self._keyboard.values(sign)
            if not typed:
                raise NotLowered(f"nobody can type '{sign}' on this machine")
            values.append(typed[0])
        return [*values, *[self._keyboard.return_key] * (self._wide - len(values))]

    # -- reading ------------------------------------------------------------------------------

    def find(self, unknown: str, longest: int) -> None:
        """The move that the line names; go on at a label if it names none."""
        text, wide, table = self._text, self._wide, self._table()
        at, name = text.variable("spot"), text.variable("name", remark="where a name begins, less all")
        if wide > longest:
            raise NotLowered(f"a move's name has {wide} characters and a line only {longest}")
        self._pad_line(longest, unknown)
        text.number(-self._count)
        text.op("store", "move")
        text.number(-self._total)
        text.op("store", name)
        again, other, same = text.fresh("seek"), text.fresh("other"), text.fresh("same")
        text.label(again)
        text.number(-wide)
        text.ops(f"store {at}", f"{same}:", f"by {at}", f"load line+{wide}", f"by {at}", f"by {name}")
        text.ops(f"subtract {table}+{self._total + wide}", f"ifnonzero {other}")
        found = text.fresh("found")
        text.ops(f"count {at}", f"ifnonzero {same}", f"jump {found}", f"{other}:", f"load {name}")
        text.plus(wide)
        text.ops(f"store {name}", "count move", f"ifnonzero {again}", f"jump {unknown}", f"{found}:")

    def _pad_line(self, longest: int, unknown: str) -> None:
        """Let the line end as names do in the list; a line longer than any of them names none."""
        text = self._text
        pad, put, padded = text.fresh("pad"), text.fresh("put"), text.fresh("padded")
        text.ops("load length", "store spot", f"{pad}:", "load spot")
        text.plus(longest - self._wide)
        text.ops(f"ifzero {padded}", f"ifminus {put}", f"jump {unknown}", f"{put}:")
        text.number(self._keyboard.return_key)
        text.ops("by spot", f"store line+{longest}", "count spot", f"jump {pad}", f"{padded}:")

    # -- printing -----------------------------------------------------------------------------

    def print_move(self) -> None:
        """The characters of the list where they are the codes that go out, or a message for each name."""
        as_typed = [tuple(self._spelled(name)[: len(name)]) for name in self._names] == self._units
        if as_typed and self._choices.pick("spoken", ("from the list", "as messages")) == "from the list":
            self._print_listed()
            return
        text = self._text
        offsets = [
            self._saying.offset(unit, name) for unit, name in zip(self._units, self._names, strict=True)
        ]
        table = text.table("spoken", offsets, "where the name of each move begins")
        text.ops("by move", f"load {table}+{self._count}")
        self._saying.say_at()

    def _print_listed(self) -> None:
        text, table, again, done = (
            self._text,
            self._table(),
            self._text.fresh("spell"),
            self._text.fresh("spelled"),
        )
        at, end = text.variable("spelled_at"), text.variable("spelled_left")
        text.op("load", "move")
        times(text, self._wide)
        text.op("store", at)
        text.number(-self._wide)
        text.ops(f"store {end}", f"{again}:", f"by {at}", f"load {table}+{self._total}")
        text.plus(-self._keyboard.return_key)
        text.op("ifzero", done)
        text.plus(self._keyboard.return_key)
        text.ops("output", f"count {at}", f"count {end}", f"ifnonzero {again}", f"{done}:")
