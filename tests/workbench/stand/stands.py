"""Stands for tests: lines and silences from a list, views kept in a list, and a clock that goes by itself."""

from itertools import count

from solver.load import load_strategy
from solver.proof import prove
from solver.strategy import OPEN, PLAIN
from workbench.stand.course import Course, bond
from workbench.stand.logbook import Logbook
from workbench.stand.stand import Pace, Stand
from workbench.stand.typist import TypedOut

GOOD = (
    "game: noughts-and-crosses\nseat: second\n"
    "complete a line\nblock a line\nstop a double threat\ntake the centre\ntake any free cell\n"
)
WEAK = "game: noughts-and-crosses\nseat: second\ntake a corner\ntake any free cell\n"
SHORT = "game: noughts-and-crosses\nseat: second\ntake the centre\n"
FIRST = "game: two-by-two\nseat: first\ntake any free cell\n"
CHARGED = (
    'kind = "house-rules"\n[[rule]]\nwhen = ["taken-by-machine"]\nsay = "TURN LOST"\ncost = "turn"\nforgive = 1\n'
    '[[rule]]\nwhen = ["off-board"]\nsay = "GAME LOST"\ncost = "game"\n'
)
SILENCE = None
PACE = Pace()


def proof_of(folder, sheet=GOOD, house=None, name="my.rules", **options):
    """The proof of a sheet as `serve` makes it; `house` is the text of house rules."""
    (folder / name).write_text(sheet, encoding="utf-8")
    if house is not None:
        (folder / "house.toml").write_text(house, encoding="utf-8")
        options["house_rules"] = str(folder / "house.toml")
    written = load_strategy(folder / name, **options)
    strategy = written.strategy(written.seats[0])
    return prove(strategy.fixed(PLAIN) if strategy.choice == OPEN else strategy, written.claim, written.house)


class Typed:
    """A typist: lines and silences in order, then the end of the input."""

    def __init__(self, *lines):
        self._lines = list(lines)
        self.waited = []

    def line(self, seconds):
        self.waited.append(seconds)
        if not self._lines:
            raise TypedOut
        line = self._lines.pop(0)
        if isinstance(line, BaseException):
            raise line
        return line


class Views:
    """A screen that keeps what it was shown; `look` is called before each view."""

    def __init__(self, look=lambda view: None):
        self.views = []
        self._look = look

    def show(self, view):
        self._look(view)
        self.views.append(view)


def ticking():
    """A clock that goes on by a second whenever it is asked."""
    seconds = count()
    return lambda: float(next(seconds))


def day(log, proof, *lines, go_on=None, look=lambda view: None, pace=PACE):
    """One opening of a stand: what was shown.  The log stays behind."""
    views = Views(look)
    with Logbook(log, bond(proof), ticking(), lambda: "now") as logbook:
        stand = Stand(
            Course(proof), logbook, views, Typed(*lines), pace=pace, word="close", title=("WELCOME",)
        )
        stand.run(go_on)
    return views.views
