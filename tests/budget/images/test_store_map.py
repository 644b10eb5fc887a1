"""The map of the store shows each word once, as what it is."""

import re
from pathlib import Path

import pytest

from budget.card import load_machine, machine_names, parse_machine
from budget.images.store_map import LEGEND, map_lines, store_letters
from budget.machine.assembler import assemble
from budget.machine.program import CONSTANT, DATA, INSTRUCTION, SPACE

TEXT = """\
        at {first}
start:  load x
        jump on
on:     add =5
        halt
        word 1, 2, 3
        pool
        at 20
x:      space 3
"""


def program_on(card):
    return assemble(TEXT.format(first="fixed" if card.fixed_words else 40), card, "my.orders")


def drawn(lines):
    """The addresses and letters of each line of the map."""
    for line in lines:
        row = re.fullmatch(r"([0-9A-F]+)  ([ICDs. ]+)", line)
        some = re.fullmatch(r"([0-9A-F]+)  \(([\d,]+) words unused\)", line)
        if row:
            yield row[1], row[2].replace(" ", "")
        elif some:
            yield some[1], "." * int(some[2].replace(",", ""))


@pytest.mark.parametrize("machine", machine_names())
def test_every_word_is_shown(machine):
    card = load_machine(machine)
    program = program_on(card)
    lines = list(map_lines(program))
    assert lines[1] == LEGEND
    shown = [(int(at, card.program.base), letters) for at, letters in drawn(lines)]
    assert [at for at, _ in shown] == [sum(len(other) for _, other in shown[:n]) for n in range(len(shown))]
    assert "".join(letters for _, letters in shown) == store_letters(program)
    assert all(len(line) <= 80 for line in lines)
    assert sum("cannot be written" in line for line in lines) == bool(card.fixed_words)


@pytest.mark.parametrize("machine", machine_names())
def test_the_letters_are_the_kinds_of_the_lines(machine):
    program = program_on(load_machine(machine))
    letters = store_letters(program)
    for address, letter in enumerate(letters):
        uses = {line.kind for line in program.lines if address in program.addresses(line)}
        names = {INSTRUCTION: "I", CONSTANT: "C", DATA: "D", SPACE: "s"}
        assert letter in {names[use] for use in uses} or (letter, uses) == (".", set())
        assert (letter in "ICD") == (address in program.image)


def test_labels_and_the_start():
    lines = list(map_lines(program_on(load_machine("transistor-39"))))
    assert lines[lines.index("") :][-4:] == [
        "0024  x",
        "0050  start",
        "0051  on",
        "0050  (the program begins here)",
    ]
    half = assemble("load 0\nstart: halt\n", load_machine("transistor-39"), "my.orders")
    assert list(map_lines(half))[-1] == "0000 upper half  (the program begins here)"


def test_a_line_begins_where_the_fixed_part_does():
    lines = list(map_lines(program_on(load_machine("rom-4k"))))
    at = next(number for number, line in enumerate(lines) if "cannot be written" in line)
    assert lines[at + 1].startswith("0080  III")


@pytest.mark.parametrize("base", [2, 8, 10, 16])
def test_long_addresses_find_room(base):
    card = parse_machine(
        'kind = "machine"\nfrom = "made up"\nword-bits = 20\nstore-words = 1000000\nfixed-words = 777777\n'
        f'[characters]\ncode = "ita2"\n[instructions]\nlayout = "words"\nbase = {base}\n',
        "wide.toml",
    )
    lines = list(map_lines(program_on(card)))
    assert all(len(line) <= 80 for line in lines)
    assert "".join(letters for _, letters in drawn(lines)) == store_letters(program_on(card))


def test_the_map_in_the_documents():
    text = (Path(__file__).parents[3] / "docs" / "images.md").read_text(encoding="utf-8")
    program = re.search(r"<!-- file: days.orders -->\n```text\n(.*?)```", text, re.DOTALL)[1]
    shown = re.search(r"```text\n(twelve-bit: .*?)```", text, re.DOTALL)[1]
    assembled = assemble(program, load_machine("twelve-bit"), "days.orders")
    assert "".join(f"{line}\n" for line in map_lines(assembled)) == shown
