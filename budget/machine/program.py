"""A program as the assembler leaves it: the words of its image, where they lie, and which line asked for them."""

from typing import NamedTuple

from budget.card import CostCard

INSTRUCTION, CONSTANT, DATA, SPACE = "instruction", "constant", "data", "space"
"""What words are for: instructions; constants from the pool; what `word` and `text` say; what `space` leaves free."""


class Line(NamedTuple):
    """Some words that belong together.

    number: the line of the source, 0 for a constant of the pool; place: where it begins, in places; length: how many
    places it takes; kind: what it is; text: the source as written, or what stands for it.
    """

    number: int
    place: int
    length: int
    kind: str
    text: str


class Program(NamedTuple):
    """A program in words of store.

    image: the word of each address that is loaded; start: the place at which it begins; lines: in the order of their
    places; labels: the place of each.  Words of kind SPACE are not in the image: they hold whatever they hold.
    """

    card: CostCard
    file: str
    image: dict[int, int]
    start: int
    lines: tuple[Line, ...]
    labels: dict[str, int]

    def addresses(self, line: Line) -> range:
        """The addresses of the words that a line has a part in."""
        per_word = self.card.program.layout.places_a_word
        return range(line.place // per_word, -(-(line.place + line.length) // per_word))

    def words(self, *kinds: str) -> int:
        """How many words of store are taken by lines of these kinds, or of any kind."""
        wanted = (line for line in self.lines if not kinds or line.kind in kinds)
        return len({address for line in wanted for address in self.addresses(line)})

    def store(self, fill: int = 0) -> list[int]:
        """The whole store after loading; `fill` stands in every word that the program leaves as it was."""
        words = [fill] * self.card.store_words
        for address, word in self.image.items():
            words[address] = word
        return words
