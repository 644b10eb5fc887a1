"""What docs/machines.md and docs/encodings.md say is so."""

import re
from pathlib import Path

import pytest

from budget.card import load_machine, machine_names, parse_machine
from budget.characters import character_code_names, load_characters, parse_characters
from budget.encodings import encodings
from budget.machine.layout import SHAPES
from budget.machine.orders import ORDERS

DOCS = Path(__file__).resolve().parent.parent.parent / "docs"
MACHINES = (DOCS / "machines.md").read_text(encoding="utf-8")
ENCODINGS = (DOCS / "encodings.md").read_text(encoding="utf-8")
CARDS = re.findall(r"```toml\n(.*?)```", MACHINES, re.DOTALL)
KEYS = ["kind", "title", "from", "word-bits", "store-words", "reads", "fixed-words", "programs"]
KEYS_BELOW = [
    *("[characters]", "code", "bits", "per-word", "words-per-character"),
    *("[instructions]", "layout", "addresses", "links", "base"),
    *("[time]", "cycle", "cycles", "[time.orders]", "[time.turning]", "words", "spacing"),
    *("[input]`, `[output]", "per-second"),
]
PROGRAMS = (DOCS / "programs.md").read_text(encoding="utf-8")


def rows(page):
    """The rows of every table, cell by cell."""
    return [
        [cell.strip() for cell in line.split(" | ")] for line in page.splitlines() if line.startswith("| ")
    ]


def first_cells(page):
    return [row[0].strip("|` ") for row in rows(page)]


def test_every_machine_is_described_by_its_figures():
    for name in machine_names():
        card = load_machine(name)
        store, speed = (
            [cell.strip("| ") for cell in row[1:]] for row in rows(MACHINES) if f"`{name}`" in row[0]
        )
        reads = "lines and keys" if len(card.reads) == 2 else f"{card.reads[0]}s"
        characters = f"`{card.characters.code.name}`, {card.characters.per_word} to a word"
        assert store == [f"{card.store_words} words of {card.word_bits} bits", characters, reads]
        assert speed[2] == f"{mixed(card.program.reading)}, {mixed(card.program.printing)}"
        assert ("two a word" in speed[0]) == (card.program.layout.places_a_word == 2)
        assert ("page zero" in speed[0]) == card.program.layout.is_paged
        assert (f"the {card.fixed_words} that cannot be written" in speed[0]) == (card.fixed_words > 0)
        assert ("turns" in speed[1]) == (card.program.pace.turning is not None)


def mixed(rate):
    """A fraction as people write it: ``6 2/3``."""
    whole, rest = divmod(rate, 1)
    return f"{whole} {rest}" if rest else str(whole)


@pytest.mark.parametrize("text", CARDS)
def test_file_of_the_page_is_well_written(text):
    parse = parse_characters if 'kind = "characters"' in text else parse_machine
    assert parse(text, "page.toml").title


def test_every_key_is_explained_and_shown():
    assert [cell for cell in first_cells(MACHINES) if cell in KEYS + KEYS_BELOW] == KEYS + KEYS_BELOW
    shown = "\n".join(CARDS)
    assert all(key.partition("`")[0] in shown for key in KEYS + KEYS_BELOW)


def test_every_character_code_is_described():
    told = {row[0].strip("|` "): row for row in rows(MACHINES)}
    for name in character_code_names():
        code = load_characters(name)
        assert told[name][1] == str(code.bits)
        assert told[name][3].startswith(f"code {code.end}")
    for name in ("ita2", "six-bit"):
        signs = [sign for sign in load_characters(name).characters if not sign.isalnum() and sign != " "]
        quoted = re.search(r"and (`+) ?(.*?) ?\1$", told[name][2])
        assert sorted(quoted[2].split()) == sorted(signs)
    with_capitals = {sign for sign in load_characters("iso646").characters if not sign.islower()}
    assert with_capitals == set(load_characters("six-bit").characters)


def test_every_encoding_has_a_section_and_a_row():
    for name in encodings():
        assert f"\n## {name}\n" in ENCODINGS
        assert name in first_cells(ENCODINGS)


def test_every_order_is_explained_with_its_code():
    told = {row[0].strip("|` ").split()[0]: row[1] for row in rows(PROGRAMS) if len(row) > 2}
    for order in ORDERS:
        assert told[order.name] == (str(order.code) if order.code else f"0, {order.detail}")


def test_every_layout_has_a_row():
    assert [cell for cell in first_cells(PROGRAMS) if cell.startswith("layout")] == [
        f'layout = "{shape}"' for shape in SHAPES
    ]


@pytest.mark.parametrize("page", [MACHINES, ENCODINGS, PROGRAMS])
def test_pages_are_plain_ascii(page):
    assert page.isascii()
