"""A program in our orders, written in the orders of a sheet: one expansion after another, nothing improved yet."""

from collections.abc import Sequence

from budget.card import CostCard
from budget.machine.names import Mistakes, Names
from budget.machine.orders import Operand as Kind
from budget.machine.source import Statement
from budget.messages import pack_message
from budget.target.choosing import Chooser
from budget.target.code import DATA, LINK, ORDER, SPACE, Draft, Item, Literal, Operand, Ref
from budget.target.ours import GOES, START, OurFlow
from budget.target.sharing import never_written
from budget.target.sheet import Sheet
from budget.target.symbols import Symbols
from budget.target.writing import LineWriter, Meant
from games.problems import BadInput


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
        self._writer = LineWriter(sheet)
        self._chooser = Chooser(sheet, statements, flow)
        self._links = {entry: f"{label}.link" for label, entry in flow.entries.items()}
        self._lists: set[int] = set()

    def finished(self) -> Draft:
        """The program as it has been written."""
        if self._writer.pending:
            self._writer.items.append(Item(SPACE, 0, self._writer.pending, size=0))
        start = START if START in self._symbols.at else self._first_label()
        temporaries = {name: f".{name}" for name in self._sheet.temporaries}
        unwritten = never_written(self._statements, self._symbols)
        return Draft(self._writer.items, start, temporaries, self._flow.taken, unwritten)

    def _first_label(self) -> str:
        for item in self._writer.items:
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
            self._writer.pending += [label.name for label in statement.labels]
            if statement.order:
                before = at
                at = self._write_order(at)
                continue
            self._write_words(at, statement)
            at += 1
        self._refuse_a_start_among_words()

    def _refuse_a_start_among_words(self) -> None:
        """Note where a program that has orders would begin with a word that is none: nobody knows what it does."""
        items = self._writer.items
        orders = [item for item in items if item.kind == ORDER]
        if START not in self._symbols.at or not orders or any(START in item.labels for item in orders):
            return
        statement = self._statements[self._symbols.at[START]]
        [label] = [each for each in statement.labels if each.name == START]
        self._mistakes.note(statement, f"'{START}' leads to no order; expected one after it", label.column)

    def _write_link(self, at: int, statement: Statement, before: int | None) -> None:
        """The word before a subroutine for the place to go back to."""
        if before is not None and self._flow.after[before] == at and self._flow.goes_on(before):
            labels = [label for label, entry in self._flow.entries.items() if entry == at]
            self._writer.emit_before(self._chooser.general("jump").lines, Meant(Ref(labels[0])), statement)
        self._writer.items.append(Item(LINK, statement.line, [self._links[at]]))

    # -- words --------------------------------------------------------------------------------

    def _write_words(self, at: int, statement: Statement) -> None:
        what, line, place = statement.what, statement.line, self._symbols.begins.get(at)
        if place is not None and not 0 <= place <= self._card.store_words - self._symbols.size(statement):
            self._mistakes.note(statement, f"there is no word {place}, or too few from there on")
        if what == "word":
            values = tuple(self._symbols.ref(statement, each) for each in statement.operands)
            for value in values:
                self._take(statement, value)
            self._writer.add(Item(DATA, line, values=values, size=len(values), place=place))
        elif what == "text":
            try:
                words = pack_message(self._card, statement.said)
            except BadInput as bad:
                for problem in bad.problems:
                    self._mistakes.note(statement, problem.message)
                return
            self._writer.add(
                Item(DATA, line, values=tuple(Ref("", int(word)) for word in words), size=len(words))
            )
        elif what == "space":
            size = self._symbols.number(statement, statement.operands[0])
            if not 0 <= size <= self._card.store_words:
                self._mistakes.note(
                    statement, f"'space' needs a number from 0 to {self._card.store_words}, not {size}"
                )
                return
            self._writer.add(Item(SPACE, line, size=size, place=place))

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
                message = (
                    f"'{statement.what}' after 'by' needs a list of jumps, or 0 for a place that a word holds"
                )
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
        ref = self._wrapped(self._symbols.ref(statement, statement.operands[0]))
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

    def _wrapped(self, ref: Ref) -> Ref:
        """The same word; what is reckoned past the last one begins anew, where a word of the machine does so too."""
        bits = self._sheet.address_bits
        return ref if ref.label or self._sheet.word_bits < bits else Ref("", ref.offset % (1 << bits))

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
            self._writer.emit(
                self._chooser.general("halt").lines, Meant(), statement
            )  # never obeyed, since no 'call' leads here
            return at + 1
        link = Ref(f"{self._flow.owners[at]}.link") if statement.what == "back" else Ref("")
        pair = self._chooser.paired(at)
        if pair is not None:
            expansion, second = pair
            self._writer.emit(
                expansion.lines, Meant(n, self._operand(second, self._statements[second]), link), statement
            )
            return second + 1
        expansion = self._chooser.chosen(at, n, is_modified=False)
        is_wrapped = self._chooser.carry_is_put_away(at, expansion)
        self._writer.emit_wrapped(expansion.lines, Meant(n, link=link), statement, is_wrapped=is_wrapped)
        if at in self._lists:
            self._writer.items[-1].is_fixed = True
        return at + 1

    # -- orders after `by` --------------------------------------------------------------------

    def _write_modified(self, at: int, statement: Statement, added: list[Operand]) -> int:
        if statement.what == "call":
            return at + 1  # which has been noted
        base = self._operand(at, statement)
        expansion = self._chooser.chosen(at, base, is_modified=True)
        asked = self._chooser.carry_is_asked(at)
        is_kept_throughout = self._chooser.carry_is_put_away(at, expansion)
        common = self._sheet.common
        if asked:
            self._writer.emit(common["keep"], Meant(), statement)
        where = added[0]
        if self._copies or len(added) > 1 or base != Ref(""):
            where = self._address(statement, added, base)
        if asked and not is_kept_throughout:
            self._writer.emit(common["restore"], Meant(), statement)
        leads_to = self._led_to(base) if statement.what in GOES else None
        self._writer.emit(expansion.lines, Meant(base, where=where, leads_to=leads_to), statement)
        if is_kept_throughout:
            self._writer.emit(common["restore"], Meant(), statement)
        return at + 1

    def _led_to(self, base: Operand) -> tuple[str, ...]:
        """The labels where an order may go: that of a list of jumps, or all whose addresses are used."""
        return (base.label,) if isinstance(base, Ref) and base.label else tuple(sorted(self._flow.taken))

    def _address(self, statement: Statement, added: list[Operand], base: Operand) -> Operand:
        """Write the orders that add up an operand; the word that holds it then."""
        common = self._sheet.common
        self._writer.emit(common["begin"], Meant(), statement)
        for each in added:
            self._writer.emit(common["add"], Meant(each), statement)
        if base != Ref(""):
            self._writer.emit(common["base"], Meant(base), statement)
        self._writer.emit(common["end"], Meant(), statement)
        stored = [item.operand for item in self._writer.items[-len(common["end"]) :]]
        assert stored[0] is not None
        return stored[0]
