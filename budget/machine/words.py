"""Writes the words of a program into its image, each address once, and keeps the lines of its listing."""

from collections.abc import Iterable

from budget.card import CostCard
from budget.machine.layout import WORDS, DoesNotFit
from budget.machine.names import Mistakes
from budget.machine.orders import Order
from budget.machine.pool import Pool
from budget.machine.program import CONSTANT, DATA, INSTRUCTION, SPACE, Line
from budget.machine.source import Statement


class Writer:
    """An image in the making: the word of every address so far."""

    def __init__(self, card: CostCard, mistakes: Mistakes) -> None:
        self.image: dict[int, int] = {}
        self._card = card
        self._layout = card.program.layout
        self._mistakes = mistakes
        self._owners: dict[int, int] = {}
        self._lines: list[Line] = []

    def finished_lines(self) -> list[Line]:
        """The lines of the listing, in the order of their places."""
        return sorted(self._lines, key=lambda line: line.place)

    def claim(self, statement: Statement, place: int, length: int, text: str, kind: str = "") -> bool:
        """Take places for a line; False if they are beyond the store, taken, or where it cannot be (noted)."""
        per_word = self._layout.places_a_word
        if place + length > self._layout.places:
            last = self._card.store_words - 1
            self._mistakes.note(statement, f"this does not fit: the store ends with word {last}")
            return False
        for each in range(place, place + length):
            if each in self._owners:
                message = f"word {each // per_word} is taken already by line {self._owners[each]}"
                self._mistakes.note(statement, message)
                return False
            self._owners[each] = statement.line
        kind = kind or (INSTRUCTION if statement.order else SPACE if statement.what == "space" else DATA)
        self._lines.append(Line(0 if kind == CONSTANT else statement.line, place, length, kind, text))
        return self._may_lie(statement, kind, place // per_word, (place + length - 1) // per_word)

    def _may_lie(self, statement: Statement, kind: str, first: int, last: int) -> bool:
        """Check that what is loaded lies where the machine keeps programs, and that what changes does not."""
        begin = self._card.first_fixed
        if not self._card.fixed_words:
            return True
        if kind == SPACE and last >= begin:
            message = f"word {last} cannot be written; expected space before word {begin}"
        elif kind != SPACE and first < begin:
            message = (
                f"word {first} holds nothing at the start; expected 'at fixed' (word {begin}) before this"
            )
        else:
            return True
        self._mistakes.note(statement, message)
        return False

    def write_words(self, statement: Statement, place: int, values: Iterable[int]) -> None:
        """Write whole words, each a number of either sign."""
        bits = self._card.word_bits
        least, most = -(1 << bits - 1), (1 << bits) - 1
        for address, value in enumerate(values, place // self._layout.places_a_word):
            if not least <= value <= most:
                message = f"a word of {bits} bits holds {least} to {most}, not {value}"
                self._mistakes.note(statement, message)
            self.image[address] = value % (1 << bits)

    def write_instruction(
        self, statement: Statement, place: int, order: Order, operand: int, *, is_long: bool = False
    ) -> None:
        """Write one instruction, in its shortest form or with its whole address."""
        layout = self._layout
        address, half = divmod(place, layout.places_a_word)
        try:
            layout.check(order, operand)
            forms = layout.forms(order, operand, address)
            if not forms:
                raise DoesNotFit(self._too_far(statement, operand, address))
            words = layout.encode(order, operand, address, forms[-1] if is_long else forms[0])
        except DoesNotFit as refusal:
            self._mistakes.note(statement, str(refusal))
            return
        if layout.shape == WORDS:
            self.image.update(enumerate(words, address))
        else:
            self.image[address] = self.image.get(address, 0) | words[0] << half * layout.part_bits

    def _too_far(self, statement: Statement, operand: int, address: int) -> str:
        where = "page zero" if address < self._layout.page_words else "page zero or in this page"
        remedy = f"a line 'pool' in {where}" if statement.order and statement.order.name != "by" else where
        return f"word {operand} is too far away; expected {remedy}"

    def write_pool(self, asking: Statement, pool: Pool) -> None:
        """Write the constants; `asking` is the statement at which a mistake is told."""
        per_word = self._layout.places_a_word
        for address, value, text in pool.values():
            if self.claim(asking, address * per_word, per_word, f"= {text}", CONSTANT):
                self.write_words(asking, address * per_word, [value])
