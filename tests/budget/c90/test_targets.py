"""The machines of the catalogue that a compiler reaches: each plays what it should, and says what it lacks."""

import re
import shutil
from pathlib import Path
from types import SimpleNamespace

import pytest

from budget.card import compiled_names, load_machine, parse_machine, toolchain_names
from budget.closing import Differs
from budget.conversation import Conversation
from budget.forms import Form, lowered_as
from budget.programs import program_for
from budget.toolchains import toolchain, toolchains
from budget.toolchains.drill import drill, everything
from budget.toolchains.estimating import bare_bytes, calibrated, orders_of
from budget.toolchains.making import kept, toolchain_of
from budget.toolchains.sizing import row_of_kept
from budget.toolchains.timing import slowest
from budget.toolchains.toolchain import Heard, Image
from budget.toolchains.tour import edges_of
from budget.toolchains.ucsim import loaded_bytes
from games.codes import SECOND
from games.problems import BadInput
from solver.fixed import PLAIN
from tests.budget.c90.programs import CAREFUL, drilled_text, installed, sheet_play, written_as
from tests.budget.plays import any_move, housed, never_losing, play_of
from tests.budget.test_closing import HOUSE as TERSE

ROOT = Path(__file__).resolve().parents[3]
CROSS = sorted(set(compiled_names()) - {"host"})
SECOND_SEAT = (
    CAREFUL.replace("first", "second")
    + "stop a double threat\ntake the centre\ntake a corner\ntake any free cell\n"
)


def small_play(house_rules="usual"):
    return play_of(housed("two-by-two", house_rules), PLAIN, any_move(1))


def test_every_card_names_a_toolchain_and_every_toolchain_has_a_card():
    cards = [load_machine(name) for name in compiled_names()]
    assert {card.toolchain for card in cards} == set(toolchains()) == set(toolchain_names())
    assert all(card.programs == "compiler" and card.origin for card in cards)


def test_a_card_of_ones_own_names_its_toolchain():
    text = 'kind = "machine"\nfrom = "us"\nword-bits = 8\nstore-words = 600\nprograms = "compiler"\n'
    code = '[characters]\ncode = "iso646"\nbits = 8\n'
    assert parse_machine(f'{text}toolchain = "host"\n{code}', "own.toml").toolchain == "host"
    with pytest.raises(BadInput, match="toolchain"):
        parse_machine(f'{text}toolchain = "gc"\n{code}', "own.toml")
    with pytest.raises(BadInput, match="toolchain"):
        parse_machine(f'{text.replace("compiler", "own")}toolchain = "host"\n{code}', "own.toml")


def test_missing_tools_are_told_in_one_line(monkeypatch):
    monkeypatch.setattr(shutil, "which", lambda name: None)
    with pytest.raises(
        BadInput,
        match="'avr' needs tools: avr-gcc, avr-size, simavr, gcc are not installed; expected the Debian",
    ):
        toolchain_of(load_machine("avr"))


def test_orders_are_refused_where_a_compiler_stands():
    with pytest.raises(BadInput, match="through a compiler"):
        program_for("halt", load_machine("host"))
    play = small_play()
    with pytest.raises(BadInput, match="through a compiler"):
        lowered_as(Form("dense", "", play), load_machine("host"))


@pytest.fixture(scope="module")
def smallest():
    """The smallest program of a small play, by its rules' answers as sorted keys."""
    return kept(small_play(), "sorted-keys", load_machine("host"))


def test_the_smallest_wording_is_no_longer_than_the_first(smallest):
    text, offered = written_as(small_play(), "sorted-keys")
    first = toolchains()["host"].link(text)
    assert smallest.made.words.total < first.loaded + first.written
    assert set(smallest.made.choices) <= set(offered)
    assert smallest.refused == 0


def test_a_program_that_is_too_long_does_not_fit(smallest):
    form, card = Form("sorted-keys", "keys", small_play()), load_machine("host")
    words = smallest.made.words
    for bytes_, lacking in ((words.total, 0), (words.total - 1, 1)):
        row = row_of_kept(form, smallest, card._replace(store_words=bytes_))
        assert (row.fits, row.total_words, row.margin) == (lacking == 0, words.total, -lacking)
    fixed = card._replace(fixed_words=smallest.made.image.loaded, store_words=smallest.made.image.loaded + 5)
    assert row_of_kept(form, smallest, fixed).margin == 5 - smallest.made.image.written


def test_an_estimate_of_what_calibrates_it_is_exact_and_of_another_play_it_is_near(smallest):
    """Tables count to the byte: so whatever the rate, it gives back the program from which it comes."""
    card, choices = load_machine("host"), smallest.made.choices
    rate = calibrated(small_play(), "sorted-keys", card, choices)
    assert rate.of(smallest.made, orders_of(small_play(), "sorted-keys")) == smallest.made.image.loaded
    other = play_of(housed("two-by-two", "usual", SECOND), PLAIN, any_move(2))
    made = kept(other, "sorted-keys", card).made
    guess = rate.of(made, orders_of(other, "sorted-keys"))
    assert guess > bare_bytes(toolchains()["host"]) + sum(made.program.bytes[:2])
    assert abs(guess - made.image.loaded) < made.image.loaded / 3


def test_the_page_has_every_machine_and_form_once():
    page = (ROOT / "docs" / "targets.md").read_text()
    rows = re.findall(r"^\| (\S+) \| ([a-z, -]+) \| [\d,]+ \| [\d,]+ \| [+-]\d+ % \|", page, re.M)
    forms = ["as-written", "sorted-keys, turned", "reply-tree"]
    assert sorted(rows) == sorted((name, form) for name in compiled_names() for form in forms)
    for name in compiled_names():
        assert re.search(rf"^\| {name} \| as-written, soonest \|", page, re.M)
        assert re.search(rf"^\| {name} \| [\d,]+ \| [\d,]+ \|$", page, re.M)


@pytest.mark.parametrize("machine", CROSS)
def test_what_was_reached_is_what_the_page_shows(machine):
    page = (ROOT / "docs" / "targets.md").read_text()
    for form, reached in (("as-written", REACHED), ("reply-tree", TREES)):
        shown = re.search(rf"^\| {machine} \| {form} \| ([\d,]+) \|", page, re.M)
        assert shown is not None
        assert int(shown[1].replace(",", "")) == reached[machine]


def test_a_simulator_has_time_by_what_is_typed():
    assert toolchain.patience([]) == toolchain.SECONDS
    assert toolchain.patience([b"1"] * 2_000) == toolchain.SECONDS + 100


def test_ci_installs_every_tool_and_the_page_names_it():
    ci, page = ((ROOT / name).read_text() for name in (".ci/run", "docs/targets.md"))
    packages = {
        package
        for each in toolchains().values()
        for names in each.TOOLS.values()
        for package in names.split()
    }
    for package in packages - {"binutils"}:  # which comes with gcc
        assert re.search(rf"missing\+=\([^)]*\b{package}\b", ci), package
        assert f"`{package}`" in page
    for name in compiled_names():
        assert f"| `{name}` |" in page


def test_records_are_counted_by_their_data():
    assert loaded_bytes(b":0300300002337A1E\n:00000001FF\n") == 3


def test_a_tool_that_fails_says_what_it_said():
    with pytest.raises(toolchain.Failed, match="implicit"):
        toolchains()["host"].link("int main(void) { return nothing(); }\n")


def test_a_wording_that_a_compiler_gets_wrong_is_passed_over(monkeypatch, smallest):
    host, pointed = toolchains()["host"], "all cells, by a pointer"
    assert smallest.made.choices["lines"] == pointed
    link = host.link

    def wrongly(text):
        return link(text.replace("I WIN", "I WON") if "++at_line" in text else text)

    monkeypatch.setattr(host, "link", wrongly)
    found = kept(small_play(), "sorted-keys", load_machine("host"))
    assert found.refused > 0
    assert found.made.choices.get("lines") != pointed
    assert found.made.words.total > smallest.made.words.total


def test_where_every_wording_is_wrong_that_is_told(monkeypatch):
    host = toolchains()["host"]
    link = host.link
    monkeypatch.setattr(host, "link", lambda text: link(text.replace("I PLAY", "I PLAI")))
    with pytest.raises(Differs, match="I PLAI"):
        kept(small_play(), "sorted-keys", load_machine("host"))


def test_the_slowest_reply_is_found_by_the_difference_of_two_runs():
    """A made-up machine that takes 7 cycles to start, and for each input as many as the sum of its codes."""
    made_up = SimpleNamespace(play=lambda image, inputs: Heard(b"", None, 7 + sum(map(sum, inputs))))
    talk = Conversation(small_play(), load_machine("host"), thorough=False)
    edges = [(state, edge.typed) for state, out in edges_of(talk).items() for edge in out]
    most = max(sum(typed) for state, typed in edges if talk.moves_on(state, typed))
    assert slowest(made_up, Image(b"", 0, 0), talk).cycles == most
    silent = SimpleNamespace(play=lambda image, inputs: Heard(b"", None))
    assert slowest(silent, Image(b"", 0, 0), talk) is None


# Every other machine; CI installs their tools ------------------------------------------------------


@pytest.mark.long
@pytest.mark.parametrize("machine", CROSS)
@pytest.mark.parametrize("form", ["as-written", "sorted-keys", "reply-tree"])
def test_every_machine_plays_through_everything(tmp_path, machine, form):
    installed(machine)
    play = sheet_play(tmp_path, SECOND_SEAT, TERSE.replace('"key"', '"line"'))
    text, _ = written_as(play, form, machine=machine)
    found = drilled_text(text, play, machine)
    assert found.states > 90
    if machine == "avr":
        assert found.worst is not None
        assert found.cycles > found.replies > 0


@pytest.mark.long
@pytest.mark.parametrize("machine", CROSS)
@pytest.mark.parametrize("game", ["misere-noughts-and-crosses", "two-by-two", "nim-1-2-3"])
def test_every_machine_plays_other_games(machine, game):
    installed(machine)
    play = play_of(
        housed(game, "usual"),
        PLAIN,
        never_losing(housed(game)) if game == "misere-noughts-and-crosses" else any_move(1),
    )
    static = {
        "variables": "static"
    }  # sdcc 4.2 gets the others wrong on the Z80: a fault that drills have found
    text, _ = written_as(play, "sorted-keys", static, machine)
    assert drilled_text(text, play, machine).states >= 4


@pytest.mark.long
@pytest.mark.parametrize("machine", CROSS)
def test_every_machine_finds_a_fault(machine):
    installed(machine)
    play = small_play()
    text, _ = written_as(play, "sorted-keys", machine=machine)
    with pytest.raises(Differs, match="instead of"):
        drilled_text(text.replace("I WIN", "I WON"), play, machine)


# How large the smallest are: what we have reached must not be lost again, in bytes of the linked image.
REACHED = {"avr": 274, "z80": 347, "8051": 318, "6502": 475}
TREES = {"avr": 480, "z80": 483, "8051": 499, "6502": 673}
PACKED, FROM_LAST = {"lines": "a cell and a step in a byte"}, {"lines": "all cells, from the last"}
CLEARED, BY_SIGN = {"the board is cleared": "from the last"}, {"endings": "by its sign"}
DRAWN, FOUND = {"rules": "drawn"}, {"the cell that is found": "static"}
TWICE = {**DRAWN, "wins": "by the rule, as one with the next"}
POINTED = {"the next picture": "by a pointer, in bits"}
IN_BITS, BY_CALLS = {"tree": "in bits"}, {"tree": "in bits, by calls"}
SMALLEST = {
    "avr": ({**TWICE, **PACKED, **POINTED}, {**IN_BITS, **PACKED, **BY_SIGN}),
    "z80": (
        {
            **DRAWN,
            **FOUND,
            **FROM_LAST,
            **CLEARED,
            **POINTED,
            **BY_SIGN,
            "the cell that is pictured": "static",
        },
        {**BY_CALLS, **FROM_LAST, **CLEARED, **BY_SIGN, "cells of branches": "by address"},
    ),
    "8051": (
        {
            **TWICE,
            **FOUND,
            **PACKED,
            **CLEARED,
            **BY_SIGN,
            "full boards": "sought",
            "the next picture": "by its place, in bits",
        },
        {**BY_CALLS, **PACKED, **CLEARED, **BY_SIGN},
    ),
    "6502": ({**TWICE, **FOUND, **FROM_LAST, **CLEARED}, {**IN_BITS, **FROM_LAST, **CLEARED}),
}
"""The wordings with which they were reached, by rules and as a tree."""


@pytest.mark.long
@pytest.mark.parametrize("machine", CROSS)
def test_the_second_seat_takes_no_more_than_was_reached(tmp_path, machine):
    installed(machine)
    play, card = sheet_play(tmp_path, SECOND_SEAT, TERSE), load_machine(machine)
    toolchain, due = toolchain_of(card), everything(Conversation(play, card, thorough=False))
    assert due.states > 90
    by_rules, by_tree = SMALLEST[machine]
    for form, picked, reached in (
        ("as-written", by_rules, REACHED),
        ("reply-tree", by_tree, TREES),
    ):
        image = toolchain.link(written_as(play, form, picked, machine)[0])
        assert image.loaded <= reached[machine]
        drill(toolchain, image, due, card)
