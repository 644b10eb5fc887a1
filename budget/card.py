"""The cost card: a machine described by the figures that decide whether a game fits it.

Cards are TOML files, checked here; docs/machines.md explains every key to whoever writes one.
"""

import os
from pathlib import Path
from typing import NamedTuple

from budget.card_program import ProgramPart, read_program_part
from budget.characters import CharacterCode, character_code_names, load_characters
from budget.packing import Fields, ceil_divide
from budget.target.reading import load_sheet, sheet_names
from budget.target.sheet import Sheet
from games.problems import bad, listed, near_miss
from games.tomlfile import Table, parse_toml, read_text

_FOLDER = Path(__file__).parent / "machines"
_COMPILED = _FOLDER / "compiled"
_SHIMS = Path(__file__).parent / "toolchains" / "shims"
LEAST_WORD, LONGEST_WORD = 4, 40
"""Bits of a word."""
LARGEST_STORE = 1 << 20
"""Words."""
LONGEST_CHARACTER = 8
"""Bits of a character in store."""
WAYS_TO_READ = ("line", "key")
OWN, ORDER_SHEET, COMPILER = "own", "order-sheet", "compiler"
WAYS_TO_PROGRAM = (OWN, ORDER_SHEET, COMPILER)
"""How programs reach a machine: in our own orders, expanded into its own by an order sheet, or by a compiler."""


class Characters(NamedTuple):
    """How a machine stores characters: `bits` each; `per_word` to a word, or `words_each` words to a character."""

    code: CharacterCode
    bits: int
    per_word: int
    words_each: int


class CostCard(NamedTuple):
    """A machine: words of `word_bits` bits, `store_words` of them, its characters, and how it can read input.

    The last `fixed_words` of the store hold the program and cannot be written by it; the words before them hold
    nothing when the machine is switched on, and no instructions.  `program` says how instructions lie in words and
    how long they take, and `programs` how they reach the machine; `sheet` has its orders where they are its own, and
    `toolchain` names its compiler where there is one (see `budget.toolchains`).
    """

    name: str
    title: str
    origin: str
    word_bits: int
    store_words: int
    characters: Characters
    reads: tuple[str, ...]
    fixed_words: int
    programs: str
    program: ProgramPart
    sheet: Sheet | None = None
    toolchain: str | None = None

    @property
    def first_fixed(self) -> int:
        """The address of the first word that a program cannot write; the end of the store if there is none."""
        return self.store_words - self.fixed_words

    @property
    def address_words(self) -> int:
        """How many words hold the address of any word of the store."""
        return self.words_holding((self.store_words - 1).bit_length())

    def words_holding(self, bits: int) -> int:
        """How many words hold a number of this many bits: at least one."""
        return max(1, ceil_divide(bits, self.word_bits))

    @property
    def message_fields(self) -> Fields:
        """How the characters of a message lie in words."""
        characters = self.characters
        bits = characters.bits if characters.words_each == 1 else characters.words_each * self.word_bits
        return Fields(bits, self.word_bits, characters.per_word, characters.words_each)


def machine_names() -> tuple[str, ...]:
    """The cost cards that come with Wordtight, by name, of machines that are programmed in orders."""
    return tuple(sorted(path.stem for path in _FOLDER.glob("*.toml")))


def compiled_names() -> tuple[str, ...]:
    """The same of machines that a compiler reaches."""
    return tuple(sorted(path.stem for path in _COMPILED.glob("*.toml")))


def toolchain_names() -> tuple[str, ...]:
    """The toolchains that a cost card can name: each has a folder of shims."""
    return tuple(sorted(path.name for path in _SHIMS.iterdir() if path.is_dir()))


def load_machine(which: str | Path) -> CostCard:
    """A cost card by name or from a TOML file.  Raises BadInput with every mistake of the file."""
    name = str(which)
    return parse_machine(card_text(name), f"{name}.toml" if _is_ours(name) else name)


def card_text(which: str | Path) -> str:
    """What the file of a cost card says, be it one of ours or the user's own.  Raises BadInput if there is none."""
    name = str(which)
    if _is_ours(name):
        return read_text((_COMPILED if name in compiled_names() else _FOLDER) / f"{name}.toml")
    if name.lower().endswith(".toml") or os.path.exists(name):  # noqa: PTH110 - pathlib's raises for long names
        return read_text(name)
    known = (*machine_names(), *compiled_names())
    raise bad(
        f"there is no machine called '{name}'; expected a .toml file, or {listed(known)}{near_miss(name, known)}"
    )


def _is_ours(name: str) -> bool:
    """Whether this names a card that comes with Wordtight."""
    return name in (*machine_names(), *compiled_names())


def parse_machine(text: str, file: str) -> CostCard:
    """A cost card from TOML text; `file` is what messages call it, and its stem names the machine."""
    table = parse_toml(text, file, "machine")
    title = _some_text(table, "title", Path(file).stem)
    origin = _some_text(table, "from")
    word_bits = table.whole("word-bits", least=LEAST_WORD, most=LONGEST_WORD)
    store_words = table.whole("store-words", least=1, most=LARGEST_STORE)
    reads = _read_ways(table)
    characters = _read_characters(table, word_bits)
    fixed_words = table.whole("fixed-words", default=0, most=max(store_words - 1, 0))
    programs = table.text("programs", default=WAYS_TO_PROGRAM[0], one_of=WAYS_TO_PROGRAM)
    program = read_program_part(table, word_bits, store_words)
    sheet = _read_sheet(table, word_bits, store_words) if programs == ORDER_SHEET else None
    toolchain = table.text("toolchain", one_of=toolchain_names()) if programs == COMPILER else None
    table.finish()
    table.raise_problems()
    assert characters is not None, "whatever is wrong with them has been told"
    return CostCard(
        Path(file).stem,
        title,
        origin,
        word_bits,
        store_words,
        characters,
        reads,
        fixed_words,
        programs,
        program,
        sheet,
        toolchain,
    )


def _read_sheet(card: Table, word_bits: int, store_words: int) -> Sheet | None:
    """The order sheet that a card names: one that comes with Wordtight, or a TOML file beside the card."""
    known = sheet_names()
    before = len(card.problems)
    name = card.text("order-sheet")
    if len(card.problems) > before:
        return None
    if name not in known and not name.lower().endswith(".toml"):
        quoted = listed([*(f'"{each}"' for each in known), "a .toml file"])
        card.wrong("order-sheet", f"'order-sheet' should be {quoted}, not \"{name}\"{near_miss(name, known)}")
        return None
    sheet = load_sheet(name, Path(card.file).parent)
    if sheet.word_bits != word_bits:
        card.wrong(
            "order-sheet", f"words have {word_bits} bits here, and {sheet.word_bits} in this order sheet"
        )
    if store_words > 1 << sheet.address_bits:
        card.wrong(
            "order-sheet", f"its addresses have {sheet.address_bits} bits, too few for {store_words} words"
        )
    if "fixed-words" in card:
        card.wrong(
            "fixed-words", "expected no 'fixed-words' with an order sheet: its programs write into themselves"
        )
    return sheet


def _some_text(table: Table, key: str, default: str | None = None) -> str:
    """A text that says something."""
    before = len(table.problems)
    text = table.text(key, default=default)
    if key in table and not text.strip() and len(table.problems) == before:
        table.wrong(key, f"'{key}' is empty; expected a few words")
    return text


def _read_ways(table: Table) -> tuple[str, ...]:
    ways = table.texts("reads", default=WAYS_TO_READ, one_of=WAYS_TO_READ)
    if "reads" in table and not ways and not table.problems:
        table.wrong("reads", '\'reads\' is empty; expected "line", "key" or both')
    return ways


def _read_characters(card: Table, word_bits: int) -> Characters | None:
    """The characters' part of a card; None if the card has mistakes, which have been noted."""
    if "characters" not in card:
        card.wrong("characters", "'characters' is missing; expected a table, begun by [characters]")
    before = len(card.problems)
    table = card.table("characters")
    if "characters" not in card or len(card.problems) > before:
        return None
    code = load_characters(_code_name(table), Path(card.file).parent)
    bits = table.whole("bits", default=code.bits, least=1, most=LONGEST_CHARACTER)
    per_word = table.whole("per-word", default=max(1, word_bits // bits), least=1, most=LONGEST_WORD)
    words_each = table.whole("words-per-character", default=ceil_divide(bits, word_bits), least=1, most=2)
    table.finish()
    if table.problems:
        return None  # what follows compares figures, which makes sense only where each is sound
    characters = Characters(code, bits, per_word, words_each)
    if bits < code.bits:
        table.wrong("bits", f"'bits' is {bits}, but {code.title} needs {code.bits} bits a character")
    elif bits > word_bits:
        _check_wide(table, characters, word_bits)
    else:
        _check_packed(table, characters, word_bits)
    return characters


def _code_name(table: Table) -> str:
    """The character code: one that comes with Wordtight, or a TOML file beside the card."""
    known = character_code_names()
    before = len(table.problems)
    name = table.text("code")
    if name in known or name.lower().endswith(".toml"):
        return name
    if len(table.problems) == before:
        quoted = listed([*(f'"{each}"' for each in known), "a .toml file"])
        table.wrong("code", f"'code' should be {quoted}, not \"{name}\"{near_miss(name, known)}")
    return known[0]


def _check_wide(table: Table, characters: Characters, word_bits: int) -> None:
    """Check a character that is wider than a word."""
    needed = ceil_divide(characters.bits, word_bits)
    sizes = f"a character has {characters.bits} bits and a word {word_bits}"
    if characters.per_word > 1:
        table.wrong("per-word", f"{sizes}; expected words-per-character = {needed} in place of 'per-word'")
    if characters.words_each != needed:
        table.wrong("words-per-character", f"{sizes}; expected words-per-character = {needed}")


def _check_packed(table: Table, characters: Characters, word_bits: int) -> None:
    """Check characters of which one or more go into a word."""
    bits, per_word = characters.bits, characters.per_word
    if characters.words_each > 1:
        table.wrong(
            "words-per-character",
            f"a character of {bits} bits fits in a word of {word_bits}; leave 'words-per-character' out",
        )
    if bits * per_word > word_bits:
        table.wrong(
            "per-word",
            f"{per_word} characters of {bits} bits take {bits * per_word} bits, and a word has {word_bits}; "
            f"expected at most {word_bits // bits}",
        )
