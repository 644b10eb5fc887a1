"""What docs/machines.md and docs/encodings.md say is so."""

import re
from pathlib import Path

import pytest

from budget.card import load_machine, machine_names, parse_machine
from budget.characters import character_code_names, load_characters
from budget.encodings import encodings

DOCS = Path(__file__).resolve().parent.parent.parent / "docs"
MACHINES = (DOCS / "machines.md").read_text(encoding="utf-8")
ENCODINGS = (DOCS / "encodings.md").read_text(encoding="utf-8")
CARDS = re.findall(r"```toml\n(.*?)```", MACHINES, re.DOTALL)
KEYS = ["kind", "title", "from", "word-bits", "store-words", "reads", "[characters]"]
KEYS_BELOW = ["code", "bits", "per-word", "words-per-character"]


def rows(page):
    """The rows of every table, cell by cell."""
    return [
        [cell.strip() for cell in line.split(" | ")] for line in page.splitlines() if line.startswith("| ")
    ]


def first_cells(page):
    return [row[0].strip("|` ") for row in rows(page)]


def test_every_machine_is_described_by_its_figures():
    told = {row[0].strip("|` "): [cell.strip("| ") for cell in row[1:]] for row in rows(MACHINES)}
    for name in machine_names():
        card = load_machine(name)
        reads = "lines and keys" if len(card.reads) == 2 else f"{card.reads[0]}s"
        characters = f"`{card.characters.code.name}`, {card.characters.per_word} to a word"
        assert told[name] == [f"{card.store_words} words of {card.word_bits} bits", characters, reads]


@pytest.mark.parametrize("text", CARDS)
def test_card_of_the_page_is_well_written(text):
    assert parse_machine(text, "page.toml").title


def test_every_key_is_explained_and_shown():
    assert [cell for cell in first_cells(MACHINES) if cell in KEYS + KEYS_BELOW] == KEYS + KEYS_BELOW
    shown = "\n".join(CARDS)
    assert all(key in shown for key in KEYS + KEYS_BELOW)


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


@pytest.mark.parametrize("page", [MACHINES, ENCODINGS])
def test_pages_are_plain_ascii(page):
    assert page.isascii()
