"""The machines of the catalogue that a compiler reaches: each plays what it should, and says what it lacks."""

import shutil

import pytest

from budget.card import compiled_names, load_machine, parse_machine, toolchain_names
from budget.closing import Differs
from budget.forms import Form, lowered_as
from budget.lowering.text import NotLowered
from budget.programs import program_for
from budget.toolchains import toolchain, toolchains
from budget.toolchains.making import drilled, made, room_lacking, toolchain_of
from budget.toolchains.sizing import compiled_row
from budget.toolchains.ucsim import loaded_bytes
from games.problems import BadInput
from solver.fixed import PLAIN
from tests.budget.c90.programs import CAREFUL, TERSE, drilled_text, sheet_play, written_as
from tests.budget.plays import any_move, housed, never_losing, play_of

CROSS = sorted(set(compiled_names()) - {"host"})
SECOND = (
    CAREFUL.replace("first", "second")
    + "stop a double threat\ntake the centre\ntake a corner\ntake any free cell\n"
)


def installed(machine):
    """Skip, with one clear line, where a tool of a machine is missing."""
    try:
        toolchain_of(load_machine(machine))
    except BadInput as bad:
        pytest.skip(str(bad.problems[0].message))


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
    with pytest.raises(BadInput, match="lacks avr-gcc, avr-size, simavr, gcc; expected the Debian packages"):
        toolchain_of(load_machine("avr"))


def test_orders_are_refused_where_a_compiler_stands():
    with pytest.raises(BadInput, match="through a compiler"):
        program_for("halt", load_machine("host"))
    play = small_play()
    with pytest.raises(NotLowered, match="through a compiler"):
        lowered_as(Form("dense", "", play), load_machine("host"))


def test_the_smallest_wording_is_no_longer_than_any_that_was_tried():
    play, card = small_play(), load_machine("host")
    best = made(play, "sorted-keys", card)
    text, offered = written_as(play, "sorted-keys")
    assert (
        best.words.total <= toolchains()["host"].link(text).loaded + toolchains()["host"].link(text).written
    )
    assert set(best.choices) <= set(offered)
    row = compiled_row(Form("sorted-keys", "keys", play), card)
    assert (row.fits, row.total_words, row.margin) == (True, best.words.total, -room_lacking(best, card))


def test_a_program_that_is_too_long_does_not_fit():
    play, card = small_play(), load_machine("host")
    small = card._replace(store_words=compiled_row(Form("dense", "", play), card).total_words - 1)
    row = compiled_row(Form("dense", "", play), small)
    assert (row.fits, row.margin, row.reason) == (False, -1, "it takes 1 bytes more than there are")


def test_records_are_counted_by_their_data():
    assert loaded_bytes(b":0300300002337A1E\n:00000001FF\n") == 3


def test_a_tool_that_fails_says_what_it_said():
    with pytest.raises(toolchain.Failed, match="implicit"):
        toolchains()["host"].link("int main(void) { return nothing(); }\n")


# Every other machine; CI installs their tools ------------------------------------------------------


@pytest.mark.long
@pytest.mark.parametrize("machine", CROSS)
@pytest.mark.parametrize("form", ["as-written", "sorted-keys", "reply-tree"])
def test_every_machine_plays_through_everything(tmp_path, machine, form):
    installed(machine)
    play = sheet_play(tmp_path, SECOND, TERSE.replace('"key"', '"line"'))
    text, _ = written_as(play, form, machine=machine)
    found = drilled_text(text, play, machine)
    assert found.states > 90
    if machine == "avr":
        assert found.worst is not None
        assert found.cycles > found.replies > 0


@pytest.mark.long
@pytest.mark.parametrize("machine", CROSS)
@pytest.mark.parametrize("game", ["misere-noughts-and-crosses", "two-by-two"])
def test_every_machine_plays_other_games(machine, game):
    installed(machine)
    play = play_of(
        housed(game, "usual"), PLAIN, any_move(1) if game == "two-by-two" else never_losing(housed(game))
    )
    text, _ = written_as(play, "sorted-keys", machine=machine)
    assert drilled_text(text, play, machine).states > 5


@pytest.mark.long
@pytest.mark.parametrize("machine", CROSS)
def test_every_machine_finds_a_fault(machine):
    installed(machine)
    play = small_play()
    text, _ = written_as(play, "sorted-keys", machine=machine)
    with pytest.raises(Differs, match="instead of"):
        drilled_text(text.replace("still_free = CELLS;", "still_free = 3;"), play, machine)


# How large the smallest are: what we have reached must not be lost again, in bytes of the linked image.
REACHED = {"avr": 348, "z80": 466, "8051": 402, "6502": 666}


@pytest.mark.long
@pytest.mark.parametrize("machine", CROSS)
def test_the_second_seat_takes_no_more_than_was_reached(tmp_path, machine):
    installed(machine)
    play, card = sheet_play(tmp_path, SECOND, TERSE), load_machine(machine)
    best = made(play, "as-written", card)
    assert best.image.loaded <= REACHED[machine]
    assert drilled(best, play, card).states > 90
