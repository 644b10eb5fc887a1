"""Every form on every machine of the catalogue that holds it: the image answers as the strategy does, in every state.

Forms are rules as they are written, search, and tables in every encoding; games of four families.  `built` raises
Differs where a program prints anything else than it should.  Weights and pictures as they are written, and the machine
with an order sheet, are tried with the first way of every part.
"""

from functools import cache

import pytest

from budget.card import load_machine, machine_names
from budget.closing import close
from budget.conversation import Conversation
from budget.encodings import encodings
from budget.forms import AS_WRITTEN, Form, built, forms_of, search_of
from budget.lowering.lower import TooLong
from budget.lowering.text import NotLowered
from games.house import load_house_rules, parse_house_rules
from games.load import load_game
from solver.best import prove_best
from solver.fixed import PLAIN, TURNED, fix
from solver.proof import PROVED, prove
from solver.sheet.reader import SheetReader
from solver.solve import solve
from solver.strategy import Strategy
from tests.budget.lowering.test_rules import DRAWN, play_of
from tests.budget.lowering.test_small import WINS_FIRST
from tests.budget.test_closing import HOUSE

SHEET = ["complete a line", "block a line", "stop a double threat", "take the centre", "take a corner"]
SHEET += ["take any free cell"]
BY_KEY = HOUSE.replace('"W"', '"1"').replace('"L"', '"2"').replace('"D"', '"3"').replace('"?"', '"0"')
"""What a machine can say that has figures only."""
GAMES = {
    "noughts-and-crosses second": ("noughts-and-crosses", 1, SHEET),
    "noughts-and-crosses first": ("noughts-and-crosses", 0, SHEET),
    "nim": ("nim-1-2-3", 1, None),
    "hexapawn": ("hexapawn", 1, None),
    "chomp": ("chomp-four-by-three", 0, None),
    "search": ("nim-1-2-3", 1, ["look ahead 6 plies"]),
    "dominoes": ("domineering-four", 0, None),
    "pins": ("dawsons-kayles", 0, None),
}
PLAINLY = ("noughts-and-crosses second", "noughts-and-crosses first", "nim", "hexapawn", "chomp", "search")
ROOMY = 4096
"""Words of a store in which some form of each of these games fits."""


def reads_keys(name, card):
    """Whether a game is played by keys on a machine."""
    return max(map(len, load_game(GAMES[name][0]).move_names)) == 1 and "key" in card.reads


@cache
def play(name, by_key, reading=PLAIN):
    """One play for all machines that read alike: what is laid out for it is kept, and laid out once."""
    game_name, seat, sheet = GAMES[name]
    game = load_game(game_name)
    house = parse_house_rules(BY_KEY, "by-key.toml", game) if by_key else load_house_rules("usual", game)
    if sheet is None:
        return fix(prove_best(solve(game).solved, seat, reading, house), reading)
    proof = prove(Strategy("s", "", game, seat, SheetReader("", sheet, game).read(0)), "never-loses", house)
    assert proof.verdict == PROVED
    return fix(proof, reading)


def can_be_typed(name, machine):
    """A machine that shows figures only can say nothing of moves that have letters."""
    return machine != "kit-96" or GAMES[name][0] == "noughts-and-crosses"


CASES = [
    (name, machine)
    for name in PLAINLY
    for machine in sorted(set(machine_names()) - {"twelve-bit-orders"})
    if can_be_typed(name, machine)
]


@pytest.mark.long
@pytest.mark.parametrize(("name", "machine"), CASES)
def test_every_form_that_fits_plays_as_the_strategy_does(name, machine):
    card = load_machine(machine)
    fitting, reasons = 0, []
    for form in forms_of([play(name, reads_keys(name, card))]):
        found = built(form, card)
        fitting += found.fits
        reasons.append(found.reason)
        assert found.fits == (found.reason is None)
        assert not found.fits or found.closed.inputs > found.closed.states > 0
    assert fitting or card.store_words < ROOMY, reasons


SCORES = {"pictures", "weights"}
"""What needs moves that are cells, on a board that is turned."""
TURNED_WITHOUT = {
    ("noughts-and-crosses first", "transistor-39"): set(),
    ("noughts-and-crosses first", "delay-line"): {"dense"},
    ("noughts-and-crosses first", "twelve-bit"): {"dense"},
    ("noughts-and-crosses second", "transistor-39"): {"weights"},
    ("noughts-and-crosses second", "twelve-bit"): {"dense", "weights"},
    ("hexapawn", "transistor-39"): SCORES,
    ("hexapawn", "twelve-bit"): {"dense", *SCORES},
    ("dominoes", "transistor-39"): {"dense", *SCORES},
    ("dominoes", "twelve-bit"): {"dense", "reply-tree", *SCORES},
    ("pins", "transistor-39"): SCORES,
    ("pins", "twelve-bit"): {"dense", *SCORES},
}
"""Games that can be turned, machines, and the encodings of which there is no program that fits."""


@pytest.mark.long
@pytest.mark.parametrize(("name", "machine"), TURNED_WITHOUT)
def test_every_form_on_a_turned_board_plays_as_the_strategy_does(name, machine):
    """With the first way of every part; four families, and noughts and crosses from both seats."""
    card, settled = load_machine(machine), play(name, by_key=False, reading=TURNED)
    without, every = set(), {form.name: form for form in forms_of([settled])}
    for form in every.values():
        try:
            found = search_of(form, card).roughly()
        except NotLowered:
            without.add(form.name)
            continue
        if isinstance(found, TooLong):
            without.add(form.name)
        else:
            assert close(found.program, Conversation(settled, card, thorough=False)).states > 10
    assert (AS_WRITTEN in every) == (GAMES[name][2] is not None)
    assert without == TURNED_WITHOUT[name, machine]


KINDS = {"weights": WINS_FIRST, "pictures": DRAWN}
"""Strategies of noughts and crosses from the second seat, beside the rules and the search of the matrix."""


@pytest.mark.long
@pytest.mark.parametrize("machine", ["delay-line", "transistor-39", "twelve-bit-orders"])
@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_rule_plays_as_it_is_written(kind, machine):
    card, settled = load_machine(machine), play_of(KINDS[kind], 1)
    program = search_of(Form(AS_WRITTEN, "", settled), card).roughly().program
    assert close(program, Conversation(settled, card, thorough=False)).states > 1


@pytest.mark.long
def test_every_form_plays_as_the_strategy_does_by_an_order_sheet():
    card, settled = load_machine("twelve-bit-orders"), play("nim", by_key=False)
    names = set()
    for form in forms_of([settled]):
        try:
            program = search_of(form, card).roughly().program
        except NotLowered:
            continue
        assert close(program, Conversation(settled, card, thorough=False)).states > 1
        names.add(form.name)
    assert names == {name for name in encodings() if name != "weights"}


@pytest.mark.long
@pytest.mark.parametrize("seat", ["first", "second"])
def test_both_seats_play_as_their_sheet_on_a_real_order_code(seat):
    """By lines, as visitors type them there."""
    card, settled = load_machine("twelve-bit-orders"), play(f"noughts-and-crosses {seat}", by_key=False)
    program = search_of(Form(AS_WRITTEN, "", settled), card).roughly().program
    assert close(program, Conversation(settled, card, thorough=False)).states > 30
