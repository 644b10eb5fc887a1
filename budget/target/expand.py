"""A program in our orders, written in the orders of a sheet: one expansion after another, nothing improved yet."""

from collections.abc import Callable, Sequence
from typing import NamedTuple

from budget.card import CostCard
from budget.machine.names import Mistakes, Names
from budget.machine.orders import Operand as Kind
from budget.machine.source import Statement
from budget.messages import pack_message
from budget.target.code import DATA, LINK, ORDER, SPACE, Draft, Item, Literal, Operand, Ref
from budget.target.ours import BRANCHES, GOES, SETS_CARRY, START, OurFlow
from budget.target.sheet import Expansion, Sheet, TemplateLine
from budget.target.symbols import Symbols
from games.problems import BadInput


class Meant(NamedTuple):
    """What the operands of an expansion stand for.

    n, m: the operands of our orders; link: the word of the subroutine's link; where: the word that holds n, if `by`
    has changed it.
    """

    n: Operand = Ref("")
    m: Operand = Ref("")
    link: Ref = Ref("")
    where: Operand | None = None
    leads_to: tuple[str, ...] | None = None


def draft(
    statements: Sequence[Statement], card: CostCard, sheet: Sheet, mistakes: Mistakes, *, copies: bool
) -> Draft:
    """A program in the orders of a sheet.  Raises BadInput with every statement that cannot be expanded.

    `copies`: every address that `by` works out is put into a temporary, even where a word of the program holds it.
    """
    names = Names(statements, card, mistakes)
    symbols = Symbols(statements, names, card.characters.code, mistakes)
    flow = OurFlow(statements, symbols, mistakes)
    drafter = _Drafter(statements, card, sheet, symbols, flow, mistakes, copies=copies)
    drafter.write()
    mistakes.raise_all()
    return drafter.finished()


class _Drafter:
    """Writes item after item."""

    def __init__(
        self,
        statements: Sequence[Statement],
        card: CostCard,
        sheet: Sheet,
        symbols: Symbols,
        flow: OurFlow,
        mistakes: Mistakes,
        *,
        copies: bool,
    ) -> None:
        self._statements = statements
        self._card = card
        self._sheet = sheet
        self._symbols = symbols
        self._flow = flow
        self._mistakes = mistakes
        self._copies = copies
        self._items: list[Item] = []
        self._pending: list[str] = []
        self._locals = 0
        self._links = {entry: f"{label}.link" for label, entry in flow.entries.items()}
        self._lists: set[int] = set()

    def finished(self) -> Draft:
        """The program as it has been written."""
        if self._pending:
            self._items.append(Item(SPACE, 0, self._pending, size=0))
        start = START if START in self._symbols.at else self._first_label()
        temporaries = {name: f".{name}" for name in self._sheet.temporaries}
        return Draft(self._items, start, temporaries, self._flow.taken)

    def _first_label(self) -> str:
        for item in self._items:
            if item.kind == ORDER:
                item.labels.append(".start")
                break
        return ".start"

    def write(self) -> None:
        """Write every statement."""
        self._note_lists()
        before: int | None = None
        at = 0
        while at < len(self._statements):
            statement = self._statements[at]
            if at in self._links:
                self._write_link(at, statement, before)
            self._pending += [label.name for label in statement.labels]
            if statement.order:
                before = at
                at = self._write_order(at)
                continue
            self._write_words(statement)
            at += 1

    def _write_link(self, at: int, statement: Statement, before: int | None) -> None:
        """The word before a subroutine for the place to go back to."""
        if before is not None and self._flow.after[before] == at and self._flow.goes_on(before):
            labels = [label for label, entry in self._flow.entries.items() if entry == at]
            self._emit_lines(self._general("jump"), Meant(Ref(labels[0])), statement)
        self._items.append(Item(LINK, statement.line, [self._links[at]]))

    # -- words --------------------------------------------------------------------------------

    def _write_words(self, statement: Statement) -> None:
        what, line = statement.what, statement.line
        if what == "word":
            values = tuple(self._symbols.ref(statement, each) for each in statement.operands)
            for value in values:
                self._take(statement, value)
            self._add(Item(DATA, line, values=values, size=len(values)))
        elif what == "text":
            try:
                words = pack_message(self._card, statement.said)
            except BadInput as bad:
                for problem in bad.problems:
                    self._mistakes.note(statement, problem.message)
                return
            self._add(Item(DATA, line, values=tuple(Ref("", int(word)) for word in words), size=len(words)))
        elif what == "space":
            size = self._symbols.number(statement, statement.operands[0])
            if not 0 <= size <= self._card.store_words:
                self._mistakes.note(
                    statement, f"'space' needs a number from 0 to {self._card.store_words}, not {size}"
                )
                return
            self._add(Item(SPACE, line, size=size))
        elif what == "at":
            self._mistakes.note(
                statement, "where words lie is worked out with an order sheet; expected no 'at'"
            )

    def _take(self, statement: Statement, value: Ref) -> None:
        """Note where a number depends on how long instructions are."""
        if value.offset and value.label and self._symbols.is_code[value.label] and not self._in_list(value):
            message = "this depends on how long instructions are, and in an order sheet they are others"
            self._mistakes.note(statement, message)

    # -- lists of jumps -----------------------------------------------------------------------

    def _note_lists(self) -> None:
        """Find the lists of jumps that orders after `by` lead into: they must stay one word each."""
        for at, statement in enumerate(self._statements):
            if not self._flow.is_modified[at] or statement.what not in GOES:
                continue
            jumps = self._flow.list_of(at)
            ref = self._symbols.ref(statement, statement.operands[0])
            if (ref.label and not (jumps and self._symbols.is_code[ref.label])) or statement.what == "call":
                message = f"'{statement.what}' after 'by' needs a list of jumps, or 0 for a place that a word holds"
                self._mistakes.note(statement, message)
            self._lists.update(jumps)

    def _in_list(self, value: Ref) -> bool:
        begin = self._flow.order_at(self._symbols.at[value.label])
        return 0 <= value.offset <= len(self._flow.list_from(begin))

    # -- orders -------------------------------------------------------------------------------

    def _write_order(self, at: int) -> int:
        """Write the expansion of an order, with the `by` before it; the statement after it."""
        added: list[Operand] = []
        begin = at
        while self._statements[at].what in ("by", "high"):
            statement = self._statements[at]
            following = self._flow.after[at]
            if following is None or any(each.labels for each in self._statements[at + 1 : following + 1]):
                self._mistakes.note(
                    statement, f"'{statement.what}' needs its order right after it, without a label between"
                )
                return at + 1
            if statement.what == "by":
                added.append(self._word(statement))
            elif self._sheet.word_bits < self._sheet.address_bits:
                self._mistakes.note(statement, "'high' cannot be expanded")
            else:
                added = []  # whatever was added is moved out of the word
            at = following
        statement = self._statements[at]
        if at != begin and (statement.order is None or statement.order.operand is Kind.NONE):
            added = []
        return self._write_modified(at, statement, added) if added else self._write_plain(at, statement)

    def _word(self, statement: Statement) -> Operand:
        """The word that an order works on."""
        ref = self._symbols.ref(statement, statement.operands[0])
        if statement.manner == "=":
            self._take(statement, ref)
            if statement.what in ("store", "count", "look"):
                self._mistakes.note(statement, f"'{statement.what}' of a constant cannot be expanded")
            return Literal(ref)
        if ref.label and self._symbols.is_code[ref.label]:
            message = (
                f"'{statement.what}' works on an instruction here, and in an order sheet that is another"
            )
            self._mistakes.note(statement, message)
        return ref

    def _operand(self, at: int, statement: Statement) -> Operand:
        """What an order's operand is worth, as its expansion has it."""
        order = statement.order
        assert order is not None
        if order.operand is Kind.NONE:
            return Ref("")
        if statement.what == "call":
            target = self._flow.targets[at]
            return Ref("" if target is None else self._links[target])
        if order.operand is Kind.WORD:
            return self._word(statement)
        ref = self._symbols.ref(statement, statement.operands[0])
        if order.operand is not Kind.PLACE:
            self._take(statement, ref)
            size = 1 << self._sheet.word_bits
            if not ref.label and order.operand is Kind.NUMBER:
                ref = Ref("", ref.offset % size)
        return ref

    def _write_plain(self, at: int, statement: Statement) -> int:
        n = self._operand(at, statement)
        if statement.what == "back" and at not in self._flow.owners:
            self._emit(self._general("halt"), Meant(), statement)  # never obeyed, since no 'call' leads here
            return at + 1
        link = Ref(f"{self._flow.owners[at]}.link") if statement.what == "back" else Ref("")
        pair = self._paired(at)
        if pair is not None:
            expansion, second = pair
            self._emit(
                expansion.lines, Meant(n, self._operand(second, self._statements[second]), link), statement
            )
            return second + 1
        expansion = self._chosen(at, n, is_modified=False)
        is_wrapped = self._is_wrapped(at, expansion)
        self._wrapped(expansion.lines, Meant(n, link=link), statement, is_wrapped=is_wrapped)
        if at in self._lists:
            self._items[-1].is_fixed = True
        return at + 1

    def _paired(self, at: int) -> tuple[Expansion, int] | None:
        """An expansion for this order and the next together, if there is one that will do."""
        second = self._flow.after[at]
        if second is None or self._statements[second].what not in BRANCHES or self._flow.is_modified[second]:
            return None
        if any(each.labels for each in self._statements[at + 1 : second + 1]) or second != at + 1:
            return None
        wanted = self._asked(second)
        fitting = [
            each
            for each in self._sheet.expansions
            if (each.order, each.then) == (self._statements[at].what, self._statements[second].what)
            and not each.needs & wanted
        ]
        return (min(fitting, key=lambda each: len(each.lines)), second) if fitting else None

    def _asked(self, at: int) -> frozenset[str]:
        """What is asked for after an order, in the words of a sheet's `free`."""
        there = self._flow.wanted_there(at)
        asked = self._flow.wanted_after(at) | there
        if self._statements[at].what in ("call", "back"):
            asked |= {"A", "carry"}
        return asked | ({"A there"} if "A" in there else frozenset())

    def _chosen(self, at: int, n: Operand, *, is_modified: bool) -> Expansion:
        """The shortest expansion that fits an order and its operand."""
        what = self._statements[at].what
        asked = self._asked(at)
        size = 1 << self._sheet.word_bits
        fitting = [
            each
            for each in self._sheet.expansions
            if each.order == what
            and not each.then
            and not each.needs & asked
            and (each.at is None or (not is_modified and _is_number(n, each.at, size)))
            and (not each.is_modified or is_modified)
        ]
        special = [each for each in fitting if each.is_modified]
        return min(special or fitting, key=lambda each: len(each.lines))

    def _is_wrapped(self, at: int, expansion: Expansion) -> bool:
        """Whether the carry has to be put away meanwhile."""
        is_asked = "carry" in self._flow.wanted_after(at) | self._flow.wanted_there(at)
        return not expansion.keeps_carry and is_asked and self._statements[at].what not in SETS_CARRY

    # -- orders after `by` --------------------------------------------------------------------

    def _write_modified(self, at: int, statement: Statement, added: list[Operand]) -> int:
        base = (
            self._operand(at, statement)
            if statement.what != "call"
            else self._symbols.ref(statement, statement.operands[0])
        )
        if statement.what == "call":
            self._mistakes.note(statement, "'call' after 'by' cannot be expanded")
        expansion = self._chosen(at, base, is_modified=True)
        is_asked = "carry" in self._flow.wanted_after(at) | self._flow.wanted_there(at)
        asked = is_asked and statement.what not in SETS_CARRY
        is_kept_throughout = asked and self._is_wrapped(at, expansion)
        common = self._sheet.common
        if asked:
            self._emit(common["keep"], Meant(), statement)
        where = added[0]
        if self._copies or len(added) > 1 or base != Ref(""):
            where = self._address(statement, added, base)
        if asked and not is_kept_throughout:
            self._emit(common["restore"], Meant(), statement)
        leads_to = None
        if statement.what in GOES:
            leads_to = (base.label,) if isinstance(base, Ref) and base.label else tuple(sorted(self._flow.taken))
        self._emit(expansion.lines, Meant(base, where=where, leads_to=leads_to), statement)
        if is_kept_throughout:
            self._emit(common["restore"], Meant(), statement)
        return at + 1

    def _address(self, statement: Statement, added: list[Operand], base: Operand) -> Operand:
        """Write the orders that add up an operand; the word that holds it then."""
        common = self._sheet.common
        self._emit(common["begin"], Meant(), statement)
        for each in added:
            self._emit(common["add"], Meant(each), statement)
        if base != Ref(""):
            self._emit(common["base"], Meant(base), statement)
        self._emit(common["end"], Meant(), statement)
        stored = [item.operand for item in self._items[-len(common["end"]) :]]
        assert stored[0] is not None
        return stored[0]

    # -- lines --------------------------------------------------------------------------------

    def _general(self, order: str) -> tuple[TemplateLine, ...]:
        return next(
            each.lines
            for each in self._sheet.expansions
            if each.order == order and not each.needs and each.at is None
        )

    def _emit_lines(self, lines: tuple[TemplateLine, ...], meant: Meant, statement: Statement) -> None:
        """Write lines before the labels that wait."""
        waiting, self._pending = self._pending, []
        self._emit(lines, meant, statement)
        self._pending = waiting

    def _wrapped(
        self, lines: tuple[TemplateLine, ...], meant: Meant, statement: Statement, *, is_wrapped: bool
    ) -> None:
        if is_wrapped:
            self._emit(self._sheet.common["keep"], Meant(), statement)
        self._emit(lines, meant, statement)
        if is_wrapped:
            self._emit(self._sheet.common["restore"], Meant(), statement)

    def _emit(self, lines: tuple[TemplateLine, ...], meant: Meant, statement: Statement) -> None:
        """Write the lines of an expansion."""
        self._locals += 1
        for line in lines:
            item = Item(ORDER, statement.line, names=line.names, is_indirect=line.is_indirect)
            if line.label:
                item.labels.append(self._local(line.label))
            self._put_operand(item, line, meant)
            self._add(item)

    def _local(self, label: str) -> str:
        return f"{label}.{self._locals}"

    def _put_operand(self, item: Item, line: TemplateLine, meant: Meant) -> None:
        if not line.kind:
            return
        if line.kind == "n" and meant.where is not None:
            item.operand, item.is_indirect = meant.where, not line.is_literal
            item.leads_to = meant.leads_to if item.is_indirect else None
            return
        refs: dict[str, Callable[[], Operand]] = {
            "n": lambda: meant.n,
            "m": lambda: meant.m,
            "link": lambda: meant.link,
            "temporary": lambda: Ref(f".{line.operand}"),
            "local": lambda: Ref(self._local(line.operand)),
            "number": lambda: Ref("", int(line.operand)),
        }
        operand = refs[line.kind]()
        item.operand = Literal(operand) if line.is_literal and isinstance(operand, Ref) else operand

    def _add(self, item: Item) -> None:
        item.labels = [*self._pending, *item.labels]
        self._pending = []
        self._items.append(item)


def _is_number(operand: Operand, number: int, size: int) -> bool:
    """Whether an operand is this number, in words of so many values."""
    return isinstance(operand, Ref) and not operand.label and (operand.offset - number) % size == 0
