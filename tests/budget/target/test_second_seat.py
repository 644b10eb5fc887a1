"""Noughts and crosses for the real twelve-bit machine: our program expanded, and one written by hand in its orders.

Every key is pressed in every state that the machine can get into, so what holds here holds for ever, also for the
second game.  Then whole games are played on the simulator of others.
"""

import re
from pathlib import Path

import pytest

from budget.card import load_machine
from budget.machine.assembler import assemble
from budget.machine.channel import keyed, printed
from budget.machine.program import CONSTANT, DATA, INSTRUCTION, SPACE, Program
from budget.machine.simulator import WAITING, Machine
from budget.programs import machine_for, program_of_file
from budget.target.pal import pal_source
from budget.target.program import expanded, written
from tests.budget.second_seat import NEW_GAME, judge_of
from tests.budget.target.closing import followed
from tests.budget.target.outside import Pdp8, assembled, needs_palbart, needs_simh

CARD = load_machine("twelve-bit-orders")
HERE = Path(__file__).parent
FILE = HERE.parent / "orders" / "second_seat_plain.orders"
BY_HAND_START = 0o202
TEXT = FILE.read_text(encoding="utf-8")
PROGRAM = program_of_file(FILE, CARD)
KEYS = range(0o200, 0o400)
"""What such a keyboard sends: the upper bit is always set."""
SOME_KEYS = (*keyed(CARD, "0123456789:?W"), 0o200, 0o215, 0o377)
judged = judge_of(CARD)
ELSEWHERE = 177
"""Words of a program for a real 12-bit one-address order code, written by hand, that does the same."""
GAMES = ("1X1924", "5?1374689", "2468", "1928", "591246", "37A4682", "8652")


def hand_written(folder):
    """The program that was written by hand, as palbart assembles it."""
    source = (HERE / "second_seat.pal").read_text(encoding="ascii")
    return Program(CARD, "second_seat.pal", assembled(source, folder), BY_HAND_START, (), {})


@pytest.mark.parametrize("keys", [SOME_KEYS, pytest.param(KEYS, marks=pytest.mark.long)], ids=["some", "all"])
def test_every_key_in_every_state(keys):
    seen, most = followed(PROGRAM, keys, NEW_GAME, judged, fill=0o7777)
    assert len({game for _, game in seen}) > 100
    assert most == 4396


@needs_palbart
@pytest.mark.parametrize("keys", [SOME_KEYS, pytest.param(KEYS, marks=pytest.mark.long)], ids=["some", "all"])
def test_every_key_in_every_state_by_hand(tmp_path, keys):
    seen, most = followed(hand_written(tmp_path), keys, NEW_GAME, judged, fill=0o7777)
    assert len({game for _, game in seen}) > 100
    assert most == 694


@needs_palbart
def test_the_words_of_the_program_written_by_hand(tmp_path):
    """Those that are loaded, and those that it leaves free by moving on."""
    source = (HERE / "second_seat.pal").read_text(encoding="ascii")
    free = sum(int(words, 8) for words in re.findall(r"\*\.\+([0-7]+)", source))
    assert len(hand_written(tmp_path).image) + free == 141


def test_it_takes_fewer_words_than_a_program_written_by_hand_elsewhere():
    assert PROGRAM.words() == 172 < ELSEWHERE
    kinds = [PROGRAM.words(kind) for kind in (INSTRUCTION, CONSTANT, DATA, SPACE)]
    assert sum(kinds) == PROGRAM.words()


@pytest.mark.parametrize("fill", [0, 0o1234, 0o7777])
def test_a_game_whatever_stood_in_the_store(fill):
    machine = machine_for(PROGRAM, fill=fill)
    machine.feed(keyed(CARD, "1X1924"))
    assert machine.run() == WAITING
    assert printed(CARD, machine.passed) == "5??837W"


def test_our_own_machine_plays_alike():
    card = load_machine("twelve-bit")
    for game in GAMES:
        ours = Machine.loaded(assemble(TEXT, card))
        theirs = machine_for(PROGRAM)
        ours.feed(keyed(card, game))
        theirs.feed(keyed(CARD, game))
        assert ours.run() == theirs.run() == WAITING
        assert printed(card, ours.passed) == printed(CARD, theirs.passed)


def placed_and_written(is_tight):
    placed = expanded(TEXT, CARD, str(FILE), is_tight=is_tight)
    return placed, written(placed, TEXT, CARD, str(FILE))


@needs_palbart
@pytest.mark.parametrize("is_tight", [False, True])
def test_palbart_makes_the_same_words_of_its_source(tmp_path, is_tight):
    placed, program = placed_and_written(is_tight)
    source = pal_source(placed, CARD.sheet, TEXT.split("\n"), "second seat")
    assert assembled(source, tmp_path) == program.image


@needs_simh
@pytest.mark.parametrize("is_by_hand", [False, True])
def test_whole_games_on_the_simulator_of_others(tmp_path, is_by_hand):
    if is_by_hand:
        program = hand_written(tmp_path)
    else:
        placed, program = placed_and_written(True)
        assembled(pal_source(placed, CARD.sheet, TEXT.split("\n"), "second seat"), tmp_path)
    ours = machine_for(program)
    with Pdp8(tmp_path, program.start) as outside:
        for key in "".join(GAMES):
            before = len(ours.passed)
            ours.feed(keyed(CARD, key))
            assert ours.run() == WAITING
            outside.key(key, printed(CARD, ours.passed[before:]))
        assert not outside.silence()
