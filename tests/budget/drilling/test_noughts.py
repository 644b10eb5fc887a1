"""The fault drill of noughts and crosses, as docs/faults.json keeps it: some faults of each kind drilled anew."""

import json
from pathlib import Path
from runpy import run_path

import pytest

from budget.card import load_machine
from budget.conversation import Conversation
from budget.drilling.drill import drill
from budget.drilling.faults import faults_of
from budget.drilling.judging import Judge
from budget.drilling.lines import Texts, lines_of
from budget.drilling.sound import play_sound
from budget.drilling.tally import LETTERS
from budget.lowering.units import codes_of
from budget.machine.assembler import assemble
from games.house import parse_house_rules
from games.load import load_game
from solver.fixed import fix
from solver.proof import prove
from solver.sheet.reader import SheetReader
from solver.strategy import Strategy
from tests.budget.drilling.small import TERSE

DOCS = Path(__file__).parents[3] / "docs"
PAGE = run_path(str(DOCS / "faults.py"))
STORED = json.loads(PAGE["STORED"].read_text(encoding="utf-8"))
EACH = 12
"""Faults of each kind that are drilled anew."""


def test_the_documents_show_the_house_rules_of_the_drill():
    for name in ("faults.md", "paper.md"):
        assert f"```toml\n{TERSE}```" in (DOCS / name).read_text(encoding="utf-8")


@pytest.mark.long
@pytest.mark.parametrize("check", list(PAGE["OPTIONS"]))
def test_some_faults_come_to_what_is_stored(check):
    """The program is the stored one, whatever `build` makes today."""
    stored = STORED[check]
    game = load_game("noughts-and-crosses")
    house = parse_house_rules(TERSE, "terse.toml", game)
    rules = SheetReader("", PAGE["SHEET"].partition("\n\n")[2].splitlines(), game).read(0)
    play = fix(prove(Strategy("s", "", game, 1, rules), "never-loses", house), stored["reading"])
    card = load_machine(PAGE["MACHINE"])
    talk = Conversation(play, card, thorough=False)
    texts = Texts(play, card, talk)
    sound = play_sound(assemble(stored["program"], card), lines_of(texts, talk))
    by_kind = {}
    for fault in faults_of(sound):
        by_kind.setdefault(fault.kind, []).append(fault)
    assert {kind: len(some) for kind, some in by_kind.items()} == {
        kind: len(letters) for kind, letters in stored["faults"].items()
    }
    some = [
        (kind, number)
        for kind, all_of_it in by_kind.items()
        for number in range(0, len(all_of_it), max(1, len(all_of_it) // EACH))
        if number not in stored["leaning"].get(kind, [])
    ]
    sign = None if check == "none" else codes_of(card.characters.code, "E")
    found = drill(sound, [by_kind[kind][number] for kind, number in some], texts, Judge(talk, sign))
    assert [LETTERS[each.found] for each in found] == [
        stored["faults"][kind][number] for kind, number in some
    ]
