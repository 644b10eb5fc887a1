"""The assembler: from a program's text to the words of its image.

An instruction that can be short is short, unless what it leads to lies too far away; then it gets longer, which
moves what follows, so all places are worked out again until nothing changes.  No instruction ever gets shorter
again, so this ends.
"""

from collections.abc import Collection, Mapping
from pathlib import Path

from budget.card import CostCard
from budget.machine.layout import PAGE_ZERO, WHOLE, WORDS
from budget.machine.loose import loose_constants, loose_words
from budget.machine.names import Mistakes, Names, following
from budget.machine.orders import ORDER_NAMED, Operand, Order
from budget.machine.placement import Use, best_addresses
from budget.machine.pool import Pool
from budget.machine.program import Line, Program
from budget.machine.source import Statement, read_statements
from budget.machine.words import Writer
from budget.messages import pack_message
from budget.packing import Words
from games.problems import BadInput
from games.tomlfile import read_text

START = "start"
"""The label at which a program begins; without it, it begins at its first instruction."""
BY = ORDER_NAMED["by"]


def assemble_file(path: str | Path, card: CostCard) -> Program:
    """The program of a text file.  Raises BadInput with every mistake found."""
    return assemble(read_text(path), card, str(path))


def assemble(text: str, card: CostCard, file: str = "", counts: Mapping[int, int] | None = None) -> Program:
    """A program text in words of a machine; `file` is what messages call it.  Raises BadInput with every mistake.

    `counts` says for lines of the source how often their instructions are obeyed; it decides where loose words lie, if
    the store turns, and without it each counts as once.
    """
    source = text.split("\n")
    statements = read_statements(text, file)
    mistakes = Mistakes(file, source)
    names = Names(statements, card, mistakes)
    assembly = _Assembly(statements, card, names, Pool(names, card, source), mistakes)
    assembly.settle()
    assembly.scatter(counts or {})
    lines, image = assembly.write(source)
    mistakes.raise_all()
    labels = {name: names.places[at] for name, at in names.labels.items()}
    return Program(card, file, image, _start(statements, names), tuple(lines), labels)


def room_for(text: str, card: CostCard, file: str = "") -> dict[int, frozenset[int]]:
    """The words that each line of a program text would take, also beyond the end of the store; line 0 is the pool.

    For saying by how much a program is too long.  Raises BadInput as `assemble` does, but for what is too far away.
    """
    source = text.split("\n")
    statements = read_statements(text, file)
    mistakes = Mistakes(file, source)
    names = Names(statements, card, mistakes)
    assembly = _Assembly(statements, card, names, Pool(names, card, source), mistakes)
    assembly.settle()
    return assembly.room()


def _start(statements: list[Statement], names: Names) -> int:
    """The place at which a program begins."""
    if START in names.labels:
        return names.places[names.labels[START]]
    orders = (place for place, each in zip(names.places, statements, strict=True) if each.order)
    return next(orders, 0)


class _Assembly:
    """Statements on their way to places: which of them are long, and what the pool holds."""

    def __init__(
        self, statements: list[Statement], card: CostCard, names: Names, pool: Pool, mistakes: Mistakes
    ) -> None:
        self._statements = statements
        self._card = card
        self._layout = card.program.layout
        self._names = names
        self._pool = pool
        self._mistakes = mistakes
        self._is_long = [statement.manner == "!" and self._has_short(statement) for statement in statements]
        self._aligned = [each is not None and each.order is None for each in following(statements)]
        self._texts = [self._packed(statement) for statement in statements]
        pools = [statement for statement in statements if statement.what == "pool"]
        for statement in pools[1:]:
            mistakes.note(statement, "there is a pool already; expected it once")
        mistakes.raise_all()

    def _has_short(self, statement: Statement) -> bool:
        """Whether an instruction could be short: it has an address, and addresses have short forms."""
        order = statement.order
        is_address = order is not None and order.operand in (Operand.WORD, Operand.PLACE)
        return is_address and self._layout.page_words > 0

    def _packed(self, statement: Statement) -> Words:
        if statement.what != "text":
            return ()
        try:
            return pack_message(self._card, statement.said)
        except BadInput as bad:
            for problem in bad.problems:
                self._mistakes.note(statement, problem.message)
            return ()

    # -- places -------------------------------------------------------------------------------

    def settle(self) -> None:
        """Work out all places, again and again, until every instruction reaches what it leads to."""
        self._gather()
        changed = True
        while changed:
            self._lay_out()
            self._mistakes.raise_all()
            changed = self._lengthen()

    def _gather(self) -> None:
        """Put into the pool every constant that is asked for."""
        for statement in self._statements:
            if statement.manner == "=":
                self._pool.add(statement, Operand.NUMBER)

    def _lay_out(self) -> None:
        """Give every statement its place, with the lengths and the pool as they are now."""
        per_word = self._layout.places_a_word
        place = 0
        for at, statement in enumerate(self._statements):
            if statement.what == "at":
                place = self._size(statement) * per_word
            elif self._aligned[at]:
                place = -(-place // per_word) * per_word
            self._names.places[at] = place
            if statement.what == "pool":
                self._pool.address = place // per_word
            place += self.length(at)
        if not any(statement.what == "pool" for statement in self._statements):
            self._pool.address = -(-place // per_word)

    def length(self, at: int) -> int:
        """How many places a statement takes."""
        statement = self._statements[at]
        if statement.order is not None:
            return self._instruction_length(statement.order, is_long=self._is_long[at])
        words = {
            "word": lambda: len(statement.operands),
            "text": lambda: len(self._texts[at]),
            "space": lambda: self._size(statement),
            "pool": lambda: len(self._pool),
        }
        return words[statement.what]() * self._layout.places_a_word if statement.what in words else 0

    def _instruction_length(self, order: Order, *, is_long: bool) -> int:
        if self._layout.shape == WORDS:
            return self._layout.length(order, WHOLE if is_long else PAGE_ZERO)
        return 2 if is_long else 1

    def _size(self, statement: Statement) -> int:
        value = self._names.value(statement.operands[0], Operand.NUMBER)
        most = self._card.store_words
        if not 0 <= value <= most:
            self._mistakes.note(statement, f"'{statement.what}' needs a number from 0 to {most}, not {value}")
            return 0
        return value

    def _lengthen(self) -> bool:
        """Make every instruction long that does not reach what it leads to; whether anything has changed."""
        before = (list(self._is_long), len(self._pool))
        for at, statement in enumerate(self._statements):
            order = statement.order
            if order is None or not self._has_short(statement):
                continue
            if order is not BY or not self._layout.is_paged:
                self._is_long[at] = self._is_long[at] or not self._reaches(at, order)
            if self._is_long[at] and self._layout.is_paged and statement.manner != "=":
                self._pool.add(statement, order.operand)
        return (self._is_long, len(self._pool)) != before

    def _reaches(self, at: int, order: Order) -> bool:
        """Whether a short instruction will do; also where none will, which is told when it is written."""
        operand = self._operand(self._statements[at], order)
        if not 0 <= operand < self._layout.modulus(order.operand):
            return True
        forms = self._layout.forms(order, operand, self._names.places[at] // self._layout.places_a_word)
        return bool(forms) and forms[0] != WHOLE

    def _operand(self, statement: Statement, order: Order) -> int:
        """The operand's value; the address of its constant, where it asks for one."""
        if statement.manner == "=":
            return self._pool.address_of(statement, Operand.NUMBER)
        if not statement.operands:
            return 0
        value = self._names.value(statement.operands[0], order.operand)
        if order.operand in (Operand.WORD, Operand.PLACE):
            modulus = self._layout.modulus(order.operand)
            return value % modulus if -modulus < value < 0 else value
        return value

    def room(self) -> dict[int, frozenset[int]]:
        """The words of each line, wherever they lie."""
        per_word = self._layout.places_a_word
        taken: dict[int, set[int]] = {0: set(range(self._pool.address, self._pool.address + len(self._pool)))}
        for at, statement in enumerate(self._statements):
            if statement.what != "pool":
                place = self._names.places[at]
                words = range(place // per_word, -(-(place + self.length(at)) // per_word))
                taken.setdefault(statement.line, set()).update(words)
        return {line: frozenset(words) for line, words in taken.items()}

    # -- a store that turns -------------------------------------------------------------------

    def scatter(self, counts: Mapping[int, int]) -> None:
        """Let loose words lie where least is waited for them."""
        pace = self._card.program.pace
        if pace is None or pace.turning is None or self._layout.page_words or self._card.fixed_words:
            return
        users = {at: uses for at, uses in loose_words(self._statements).items() if self.length(at) == 1}
        constants: list[list[int]] = [[] for _ in range(len(self._pool))]
        asked = loose_constants(self._statements)
        for at in asked:
            constants[self._pool.number_of(self._statements[at], Operand.NUMBER)].append(at)
        if not asked or not all(asked.values()):
            constants = []
        uses = [[self._use(at, counts) for at in each] for each in (*users.values(), *constants)]
        addresses = best_addresses(uses, self._free(set(users), has_pool=not constants), pace)
        for at, address in zip(users, addresses, strict=False):
            self._names.places[at] = address * self._layout.places_a_word
        self._pool.moved = addresses[len(users) :]

    def _use(self, at: int, counts: Mapping[int, int]) -> Use:
        """An instruction that works on a loose word."""
        statement, place, per_word = self._statements[at], self._names.places[at], self._layout.places_a_word
        assert statement.order is not None
        after = place + self.length(at)
        last = (after - 1) // per_word
        return Use(statement.order, last, after // per_word, counts.get(statement.line, 1))

    def _free(self, loose: Collection[int], *, has_pool: bool) -> list[int]:
        """The addresses that nothing has taken, loose words apart."""
        per_word = self._layout.places_a_word
        taken = set(range(self._pool.address, self._pool.address + len(self._pool))) if has_pool else set()
        for at, statement in enumerate(self._statements):
            if at not in loose and statement.what != "pool":
                place = self._names.places[at]
                taken.update(range(place // per_word, -(-(place + self.length(at)) // per_word)))
        return [address for address in range(self._card.store_words) if address not in taken]

    # -- words --------------------------------------------------------------------------------

    def write(self, source: list[str]) -> tuple[list[Line], dict[int, int]]:
        """Every line of the listing in the order of places, and the word of every address."""
        writer = Writer(self._card, self._mistakes)
        for at, statement in enumerate(self._statements):
            place, length = self._names.places[at], self.length(at)
            text = source[statement.line - 1].rstrip()
            if statement.what == "pool" or not length or not writer.claim(statement, place, length, text):
                continue
            if statement.order is not None:
                self._write_instruction(writer, at, statement, statement.order)
            elif statement.what == "word":
                values = (self._names.value(operand, Operand.NUMBER) for operand in statement.operands)
                writer.write_words(statement, place, values)
            else:
                writer.write_words(statement, place, self._texts[at])
        if self._statements:
            pools = [statement for statement in self._statements if statement.what == "pool"]
            writer.write_pool((pools or self._statements)[-1], self._pool)
        return writer.finished_lines(), writer.image

    def _write_instruction(self, writer: Writer, at: int, statement: Statement, order: Order) -> None:
        place, operand = self._names.places[at], self._operand(statement, order)
        if not (self._is_long[at] and self._layout.is_paged):
            writer.write_instruction(statement, place, order, operand, is_long=self._is_long[at])
            return
        pointer = operand if statement.manner == "=" else self._pool.address_of(statement, order.operand)
        writer.write_instruction(statement, place, BY, pointer)
        writer.write_instruction(statement, place + 1, order, 0)
