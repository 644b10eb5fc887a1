"""Programs that keep their damage in a register, between two inputs: it is found, and the register is named."""

from itertools import product
from pathlib import Path

import pytest

from budget.card import load_machine
from budget.closing import Differs, close
from budget.conversation import Conversation
from budget.drilling.blame import blame_for
from budget.drilling.first_wrong import first_wrong
from budget.drilling.lines import Texts
from budget.machine.channel import keyed
from budget.machine.simulator import WAITING
from budget.programs import machine_for, program_for
from games.house import parse_house_rules
from games.load import parse_game
from solver.fixed import PLAIN, fix
from solver.proof import prove
from solver.sheet.reader import SheetReader
from solver.strategy import Strategy
from tests.budget.drilling.small import TERSE

IMAGES = Path(__file__).resolve().parents[2] / "faulty" / "images"
OWN, REAL = "twelve-bit", "twelve-bit-orders"
SEEDS = {
    "carry": (OWN, ("the carry", "1", "0"), "carry\n", "set 0\n"),
    "links": (OWN, ("the links", "1 1 1 1", "1"), "jump start\none:", "jump reply\none:"),
    "ac": (REAL, ("register AC", "277", "0"), "word 0o3000+was ", "word 0o7200 "),
    "l": (REAL, ("register L", "1", "0"), "word 0o7000 ", "word 0o7100 "),
}
"""For each: the machine, where the damage is kept, and the words that mend it."""


def mended(name):
    """A program without its fault."""
    _, _, wrong, right = SEEDS[name]
    text = (IMAGES / f"{name}.orders").read_text()
    assert text.count(wrong) == 1
    return text.replace(wrong, right)


def talk_of(card):
    """Everything that is to be said on a machine."""
    game = parse_game((IMAGES / "three.toml").read_text(), "three.toml")
    house = parse_house_rules(TERSE, "terse.toml", game)
    rules = SheetReader("", ["look ahead 3 plies"], game).read(0)
    play = fix(prove(Strategy("s", "", game, 1, rules), "never-loses", house), PLAIN)
    return play, Conversation(play, card, thorough=False)


def loaded(machine, text):
    """A program, and what it is held against; one in words of a real machine starts where its label says."""
    card = load_machine(machine)
    program = program_for(text, card)
    play, talk = talk_of(card)
    return program._replace(start=program.labels["start"]), talk, Texts(play, card, talk)


@pytest.mark.parametrize("name", list(SEEDS))
def test_damage_that_is_kept_in_a_register_is_found_and_the_register_named(name):
    machine, place, _, _ = SEEDS[name]
    program, talk, texts = loaded(machine, (IMAGES / f"{name}.orders").read_text())
    with pytest.raises(Differs):
        close(program, talk)
    blame = blame_for(program, talk, texts)
    assert [tuple(each) for each in blame.kept] == [place]
    assert set(blame.without) == {"?"}
    assert no_shorter_line_goes_wrong(program, talk, len(blame.line) - 1)
    right, talk, texts = loaded(machine, mended(name))
    assert close(right, talk).states >= 2
    assert blame_for(right, talk, texts) is None


def no_shorter_line_goes_wrong(program, talk, length):
    """Every line of a few keys, on one machine, without any short cut."""
    keys = [tuple(keyed(program.card, text)) for text in ("1", "2", "3", "?", "A")]
    for line in product(keys, repeat=length - 1):
        machine = machine_for(program)
        state, said = talk.begin()
        for typed in ((), *line):
            if typed:
                state, said = talk.enter(state, typed)
            machine.passed.clear()
            machine.feed(typed)
            if machine.run() != WAITING or tuple(machine.passed) != said:
                return False
    return True


WORD = "flag:   word 0\n"


@pytest.mark.parametrize(
    ("flag", "kept"),
    [("        store flag\n", [("word 0000 (flag: word 0)", "0077", "0000")]), ("", [])],
    ids=["in-a-word", "in-nothing"],
)
def test_what_is_kept_in_a_word_is_named_and_a_plain_mistake_is_not(flag, kept):
    """Whether wrong input leaves a mark in a word; without that, the table of moves is wrong for everybody."""
    text = WORD + (IMAGES / "carry.orders").read_text()
    if flag:
        text = text.replace("        carry\n", "        load flag\n").replace("plus -1\n", f"plus -1\n{flag}")
    else:
        text = text.replace("        carry\n", "        set 1\n")
    program, talk, texts = loaded(OWN, text)
    blame = blame_for(program, talk, texts)
    assert [tuple(each) for each in blame.kept] == kept
    assert [each.typed for each in blame.line] == (["", "?", "1"] if flag else ["", "1"])
    assert (blame.due, blame.why) == ("2W", "")


def test_what_goes_wrong_at_the_start_needs_no_line():
    text = "start: set '?'\noutput\nhalt\n"
    program, talk, texts = loaded(OWN, text)
    assert first_wrong(program, talk, texts) == []
    blame = blame_for(program, talk, texts)
    assert (blame.line, blame.due, blame.why, blame.kept) == ((("", "?"),), "", "it is halted", ())
