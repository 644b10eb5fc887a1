"""Compile and drill the second seat of noughts and crosses on every target, and write the tables of docs/targets.md.

    python docs/targets.py [PART ...]

The parts are as-written, sorted-keys, reply-tree, soonest and measured: all of them, unless some are named; what the
page shows of the others stays.  It is done on every machine whose tools are installed, and all of it takes a quarter of
an hour: compilers try every wording, and of simulators that tell the cycles of whole runs only each reply is asked in a
run of its own.  What is measured is of this computer, so it differs from one to another; all else does not.
"""

import resource
import sys
from itertools import pairwise
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import NamedTuple

from budget.c90.program import AS_WRITTEN, written
from budget.card import CostCard, compiled_names, load_machine
from budget.closing import Differs
from budget.conversation import Conversation
from budget.forms import Form, lowered_as
from budget.lowering.choices import Choices, Search
from budget.lowering.text import NotLowered
from budget.toolchains.drill import Drilled, Everything, drill, everything
from budget.toolchains.estimating import IN_ORDERS, calibrated, orders_of
from budget.toolchains.making import Kept, Made, kept, toolchain_of
from budget.toolchains.timing import slowest
from budget.toolchains.toolchain import Image, Toolchain
from games.problems import BadInput
from solver.fixed import PLAIN, TURNED, FixedPlay, fix
from solver.load import load_strategy
from solver.proof import prove

PAGE = Path(__file__).parent / "targets.md"
TITLES = (
    "machine",
    "form",
    "image",
    "estimate",
    "error",
    "of it tables",
    "written",
    "most cycles",
    "in orders",
)
SPEED_TITLES = ("machine", "inputs a second", "games a second")
FORMS = ((AS_WRITTEN, PLAIN), ("sorted-keys", TURNED), ("reply-tree", PLAIN))
SOONEST = "as-written, soonest"
RUNS = 3
"""Of which the median is told."""
SHEET = """
game: noughts-and-crosses
seat: {seat}
complete a line
block a line
stop a double threat
take the centre
take a corner
take any free cell
"""
HOUSE = """
kind = "house-rules"
input = "key"
print = "close"
next-game = "at-once"
[messages]
ask = ""
machine-moves = ""
machine-wins = "W"
visitor-wins = "L"
draw = "D"
[[rule]]
when = ["any"]
say = "?"
"""
Row = tuple[str, ...]


class Plays(NamedTuple):
    """The second seat in both readings, and the first seat, which calibrates."""

    second: dict[str, FixedPlay]
    first: dict[str, FixedPlay]


def main() -> None:
    """Go through all machines and parts and put the tables in their places."""
    parts = set(sys.argv[1:]) or {*(form for form, _ in FORMS), "soonest", "measured"}
    plays = Plays(_plays("second"), _plays("first"))
    second = plays.second[PLAIN]
    sizes, speeds = _shown_rows("sizes", 2), _shown_rows("measured", 1)
    soonest = _soonest(second) if "soonest" in parts else {}
    for card in _cards():
        due = everything(Conversation(second, card, thorough=False))
        for form, reading in FORMS:
            if form in parts:
                _enter(sizes, 2, _row(plays, form, reading, card))
        if "soonest" in parts:
            _enter(sizes, 2, _soonest_row(second, card, soonest, due))
        if "measured" in parts:
            _enter(speeds, 1, _speed(second, card, due))
    _put("sizes", TITLES, sizes)
    _put("measured", SPEED_TITLES, speeds)


def _enter(rows: dict[Row, Row], key: int, row: Row) -> None:
    """A row of a table, known by its first fields."""
    rows[row[:key]] = row
    print(*row, file=sys.stderr, flush=True)


def _cards() -> list[CostCard]:
    """The machines whose tools are installed."""
    found: list[CostCard] = []
    for name in compiled_names():
        card = load_machine(name)
        try:
            toolchain_of(card)
        except BadInput as missing:
            print(f"left out: {missing.problems[0].message}", file=sys.stderr)
            continue
        found.append(card)
    return found


def _plays(seat: str) -> dict[str, FixedPlay]:
    """The rules of a sheet, settled in both readings."""
    with TemporaryDirectory() as folder:
        sheet, house = Path(folder) / "sheet.rules", Path(folder) / "terse.toml"
        sheet.write_text(SHEET.format(seat=seat), "utf-8")
        house.write_text(HOUSE, "utf-8")
        strategy = load_strategy(str(sheet), game=None, seat=None, claim=None, house_rules=str(house))
    proof = prove(strategy.strategy(strategy.seats[0]), strategy.claim, strategy.house)
    return {reading: fix(proof, reading) for reading in (PLAIN, TURNED)}


# -- sizes ----------------------------------------------------------------------------------------


def _row(plays: Plays, form: str, reading: str, card: CostCard) -> Row:
    play = plays.second[reading]
    found: Kept = kept(play, form, card)
    guess, error = _estimate(plays, form, reading, card, found.made)
    name = form if reading == PLAIN else f"{form}, turned"
    cycles = _most_cycles(play, form, card, found.made.image, found.drilled)
    words = lowered_as(Form(form, "", play), load_machine(IN_ORDERS)).words
    return _shown(card, name, found.made, guess, error, cycles, f"{words.total - words.workspace:,}")


def _estimate(plays: Plays, form: str, reading: str, card: CostCard, made: Made) -> tuple[str, str]:
    """The estimate of a program, and its error against what was made."""
    try:
        rate = calibrated(plays.first[reading], form, card, made.choices)
        guess = rate.of(made, orders_of(plays.second[reading], form))
    except NotLowered:
        return "-", "-"
    return f"{guess:,}", f"{100 * (guess - made.image.loaded) / made.image.loaded:+.0f} %"


def _shown(
    card: CostCard, name: str, made: Made, guess: str, error: str, cycles: int | None, orders: str
) -> Row:
    tables = f"{made.words.table:,}"
    told = "-" if cycles is None else f"{cycles:,}"
    return (
        card.name,
        name,
        f"{made.image.loaded:,}",
        guess,
        error,
        tables,
        f"{made.image.written:,}",
        told,
        orders,
    )


def _most_cycles(play: FixedPlay, form: str, card: CostCard, image: Image, found: Drilled) -> int | None:
    """What the slowest reply takes; of a table it is told only where one run tells it."""
    worst = found.worst
    if worst is None and form == AS_WRITTEN:
        worst = slowest(toolchain_of(card), image, Conversation(play, card, thorough=False))
    return None if worst is None else worst.cycles


# -- the soonest ----------------------------------------------------------------------------------


def _soonest(play: FixedPlay) -> dict[str, str]:
    """The wording by rules whose slowest reply takes fewest cycles on the ATtiny85, whose simulator tells them all."""
    card = load_machine("avr")
    toolchain, due = toolchain_of(card), everything(Conversation(play, card, thorough=False))

    def timed(choices: Choices) -> tuple[int, dict[str, str]]:
        image = toolchain.link(written(play, AS_WRITTEN, card, choices).text)
        worst = drill(toolchain, image, due, card).worst
        assert worst is not None, "this simulator tells the cycles of each input"
        return worst.cycles, choices.picked

    return Search(timed, lambda each: each[0]).least()[1]


def _soonest_row(play: FixedPlay, card: CostCard, picked: dict[str, str], due: Everything) -> Row:
    """The same wording on another machine, with its variables where that is quicker."""
    toolchain = toolchain_of(card)
    tried: list[tuple[int, Made, Drilled]] = []
    for kept_in in ("in main", "static"):
        choices = Choices({**picked, "variables": kept_in})
        program = written(play, AS_WRITTEN, card, choices)
        made = Made(program, toolchain.link(program.text), choices.picked)
        try:
            found = drill(toolchain, made.image, due, card)
        except Differs:
            continue
        total = toolchain.play(made.image, [bytes(step.typed) for step in due.walk]).total
        cycles = total if found.cycles is None else found.cycles
        tried.append((cycles or made.image.loaded, made, found))
    _, made, found = min(tried, key=lambda each: each[0])
    return _shown(card, SOONEST, made, "-", "-", _most_cycles(play, AS_WRITTEN, card, made.image, found), "-")


# -- speed ----------------------------------------------------------------------------------------


def _speed(play: FixedPlay, card: CostCard, due: Everything) -> Row:
    """Inputs and games a second of processor time, the median of some runs."""
    toolchain: Toolchain = toolchain_of(card)
    image = toolchain.link(
        written(play, AS_WRITTEN, card, Choices({"rules": "drawn", "variables": "static"})).text
    )
    inputs = [bytes(step.typed) for step in due.walk]
    start = due.walk[0].state
    states = [step.state for step in due.walk]
    games = sum(here == start != before for before, here in pairwise(states))
    took = []
    for _ in range(RUNS):
        before = _processor_seconds()
        toolchain.play(image, inputs)
        took.append(_processor_seconds() - before)
    seconds = median(took)
    return (card.name, _rounded(len(inputs) / seconds), _rounded(games / seconds))


def _processor_seconds() -> float:
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def _rounded(figure: float) -> str:
    """To two digits: more would not be the same twice."""
    return f"{int(float(f'{figure:.1e}')):,}"


# -- the page -------------------------------------------------------------------------------------


def _marks(name: str) -> tuple[str, str]:
    return f"<!-- begin: docs/targets.py, {name} -->", f"<!-- end: docs/targets.py, {name} -->"


def _shown_rows(name: str, key: int) -> dict[Row, Row]:
    """The rows of a table on the page, by their first fields."""
    begin, end = _marks(name)
    lines = PAGE.read_text("utf-8").split(begin)[1].split(end)[0].split("\n")
    rows = [tuple(line.strip("| ").split(" | ")) for line in lines if line.startswith("|")]
    return {row[:key]: row for row in rows[2:]}


def _put(name: str, titles: Row, rows: dict[Row, Row]) -> None:
    """Replace what stands between the marks of a table; the same machine's rows stay together."""
    begin, end = _marks(name)
    ordered = sorted(rows.values(), key=lambda row: row[0])
    table = "\n".join(f"| {' | '.join(row)} |" for row in (titles, ("---",) * len(titles), *ordered))
    before, rest = PAGE.read_text("utf-8").split(begin)
    PAGE.write_text(f"{before}{begin}\n\n{table}\n\n{end}{rest.split(end)[1]}", "utf-8")


if __name__ == "__main__":
    main()
