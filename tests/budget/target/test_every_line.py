"""A built program in every state, and every line of play of it on the simulator of others, byte for byte.

The program begins the next game by itself, so one run of that simulator plays all lines, one after another, with wrong
input in every state.
"""

import pytest

from budget.card import load_machine
from budget.closing import close
from budget.conversation import Conversation
from budget.lowering.answering.sheet import by_rules
from budget.lowering.lower import lower
from budget.machine.simulator import WAITING
from budget.programs import machine_for
from games.house import parse_house_rules
from games.load import load_game
from solver.fixed import PLAIN, fix
from solver.proof import prove
from solver.sheet.reader import SheetReader
from solver.strategy import Strategy
from tests.budget.target.one_by_one import OneByOne
from tests.budget.target.outside import Pdp8, needs_pdp8
from tests.budget.test_closing import HOUSE

CARD = load_machine("twelve-bit-orders")
RULES = """\
take the heaviest cell
    -2 for a straight line with no marks
    -1 for a straight line with 1 of mine
    -1 for a straight line with 1 of the visitor's
    16 for a straight line with 2 of mine
    -2 for a straight line with 1 of mine and 1 of the visitor's
    2 for a straight line with 2 of the visitor's
    1 for a diagonal line with no marks
    -1 for a diagonal line with 1 of mine
    2 for a diagonal line with 1 of the visitor's
    16 for a diagonal line with 2 of mine
    2 for a diagonal line with 2 of the visitor's
"""


@pytest.fixture(scope="module")
def built():
    """A program and the conversation that it should have."""
    game = load_game("noughts-and-crosses")
    rules = SheetReader("", RULES.split("\n"), game).read(0)
    house = parse_house_rules(HOUSE, "lines.toml", game)
    play = fix(prove(Strategy("lines", "", game, 1, rules), "never-loses", house), PLAIN)
    return lower(play, CARD, by_rules).program, Conversation(play, CARD)


SIGNS = [(code,) for code in range(0o241, 0o340)]
"""Keys that their keyboard sends as they are pressed; figures are among them."""


def lines_from(talk, state, start):
    """Every row of the visitor's legal keys that ends a game, from a state on, with a wrong key in every state."""
    wrong = [key for key in SIGNS if not talk.moves_on(state, key)]
    before = wrong[state.code * 31 % len(wrong)]
    for key in SIGNS:
        if not talk.moves_on(state, key):
            continue
        following, _ = talk.enter(state, key)
        if following == start:
            yield (*before, *key)
            continue
        for line in lines_from(talk, following, start):
            yield (*before, *key, *line)


@pytest.mark.long
def test_every_key_in_every_state_side_by_side_and_one_by_one(built, monkeypatch):
    program, talk = built
    closed = close(program, talk)
    assert closed.inputs == 256 * closed.states
    monkeypatch.setattr("budget.closing.loaded", OneByOne.loaded)
    assert close(program, talk) == closed


@needs_pdp8
@pytest.mark.long
def test_every_line_of_play_with_wrong_keys_in_every_state(tmp_path, built):
    program, talk = built
    start, _ = talk.begin()
    lines = list(lines_from(talk, start, start))
    assert (len(lines), sum(map(len, lines))) == (457, 3442)
    ours = machine_for(program)
    assert ours.run() == WAITING
    with Pdp8(tmp_path, program.start, program.image) as outside:
        for line in lines:
            for key in line:
                ours.passed.clear()
                ours.feed([key])
                assert ours.run() == WAITING
                assert ours.passed
                due = bytes(each & 0o177 for each in ours.passed).decode("ascii")
                assert outside.answer(key & 0o177, len(due)) == due
        assert not outside.silence()
