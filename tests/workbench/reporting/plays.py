"""Plays to put on a page: small games of several families, in several readings and under several house rules."""

from functools import cache

from games.house import load_house_rules
from games.load import load_game
from solver.best import prove_best
from solver.engines import solve_any
from solver.fixed import PLAIN, TURNED, fix
from solver.proof import prove
from solver.sheet.reader import SheetReader
from solver.strategy import Strategy

SHEETS = {"two-by-two": ["take any free cell"]}
"""The rules of games that are played under costs: best play of a fair game knows nothing of lost turns."""
CASES = [
    ("two-by-two", 0, "lost-turn", PLAIN),
    ("hexapawn", 1, "usual", TURNED),
    ("nim-1-2-3", 0, "three-warnings", PLAIN),
    ("pong-hau-ki", 1, "usual", TURNED),
    ("falling-three-4x3", 0, "usual", PLAIN),
    ("boxes-three-by-one", 1, "usual", PLAIN),
]
IDS = ["-".join(map(str, case)) for case in CASES]


@cache
def played(name, seat, house, reading):
    """A good play of a game, as it is settled in one reading: by its sheet above, or best play."""
    game = load_game(name)
    rules = load_house_rules(house, game)
    if name in SHEETS:
        sheet = SheetReader("", SHEETS[name], game).read(0)
        return fix(prove(Strategy("sheet", "", game, seat, sheet, reading), "never-loses", rules), reading)
    return fix(prove_best(solve_any(game), seat, reading, rules), reading)
