"""A program that we built for a real machine, on the simulator of others, drilled as any outside program is."""

import pytest

from budget.card import load_machine
from budget.lowering.answering.sheet import by_rules
from budget.lowering.lower import lower
from games.house import parse_house_rules
from games.load import load_game
from solver.fixed import PLAIN, fix
from solver.proof import prove
from solver.sheet.reader import SheetReader
from solver.strategy import Strategy
from tests.budget.target.outside import needs_pdp8
from tests.workbench.drill.bank import drilled, open_folder, written

GAME = "falling-three-4x3"
KEYS = 'kind = "house-rules"\ninput = "key"\n\n[[rule]]\nwhen = ["any"]\nsay = "NO"\n'
RULES = """\
complete a line
block a line
take the first free of b3, c3, b2, c2, b1, c1
take any free cell
"""


@pytest.fixture(scope="module")
def program():
    """The words of the image, and where to start."""
    game = load_game(GAME)
    house = parse_house_rules(KEYS, "keys.toml", game)
    rules = SheetReader("", RULES.split("\n"), game).read(0)
    play = fix(prove(Strategy("falling", "", game, 0, rules), "never-loses", house), PLAIN)
    return lower(play, load_machine("twelve-bit-orders"), by_rules).program


def script(program, image):
    """What simh is given."""
    words = [f"deposit {address:o} {word:o}" for address, word in image.items()]
    return "\n".join(["set cpu 4k", *words, f"run {program.start:o}\n"])


@needs_pdp8
@pytest.mark.long
@pytest.mark.parametrize(("lost", "verdict"), [(0, "no-fault-found"), (30, "fault-found")])
def test_an_emulator_is_a_program_like_any_other(program, lost, verdict):
    """lost: words of the table of lines that are 0."""
    lines = program.labels["lines"]
    image = {
        address: 0 if lines <= address < lines + lost else word for address, word in program.image.items()
    }
    with open_folder() as folder:
        house = written(KEYS, folder, "keys.toml")
        command = ["pdp8", written(script(program, image), folder, "go.ini")]
        assert drilled(command, game=GAME, house=house, wrong=0).verdict == verdict
