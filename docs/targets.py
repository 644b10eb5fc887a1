"""Compile and drill the second seat of noughts and crosses on every target, and write the table into docs/targets.md.

    python docs/targets.py [--cycles]

Every form on every machine whose tools are installed; `--cycles` also times each reply by rules where the simulator
tells the cycles of whole runs only, which takes minutes.
"""

import argparse
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from budget.card import CostCard, compiled_names, load_machine
from budget.conversation import Conversation
from budget.forms import Form, lowered_as
from budget.toolchains.making import kept, toolchain_of
from budget.toolchains.timing import slowest
from games.problems import BadInput
from solver.fixed import PLAIN, FixedPlay, fix
from solver.load import load_strategy
from solver.proof import prove

PAGE = Path(__file__).parent / "targets.md"
BEGIN, END = "<!-- begin: docs/targets.py -->", "<!-- end: docs/targets.py -->"
TITLES = ("machine", "form", "image", "of it tables", "written", "most cycles", "in orders")
FORMS = ("as-written", "sorted-keys", "reply-tree")
SHEET = """
game: noughts-and-crosses
seat: second
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


def main() -> None:
    """Go through all machines and forms and put the table in its place."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--cycles", action="store_true", help="time each reply on every simulator")
    timed = parser.parse_args().cycles
    play = _play()
    rows = [TITLES, ("---",) * len(TITLES)]
    for name in compiled_names():
        card = load_machine(name)
        try:
            toolchain_of(card)
        except BadInput as missing:
            print(f"left out: {missing.problems[0].message}", file=sys.stderr)
            continue
        for form in FORMS:
            rows.append(_row(play, form, card, timed=timed))
            print(*rows[-1], file=sys.stderr, flush=True)
    table = "\n".join(f"| {' | '.join(row)} |" for row in rows)
    before, rest = PAGE.read_text("utf-8").split(BEGIN)
    PAGE.write_text(f"{before}{BEGIN}\n\n{table}\n\n{END}{rest.split(END)[1]}", "utf-8")


def _play() -> FixedPlay:
    """The rules of a sheet, settled plain."""
    with TemporaryDirectory() as folder:
        sheet, house = Path(folder) / "second.rules", Path(folder) / "terse.toml"
        sheet.write_text(SHEET, "utf-8")
        house.write_text(HOUSE, "utf-8")
        strategy = load_strategy(str(sheet), game=None, seat=None, claim=None, house_rules=str(house))
    return fix(prove(strategy.strategy(strategy.seats[0]), strategy.claim, strategy.house), PLAIN)


def _row(play: FixedPlay, form: str, card: CostCard, *, timed: bool) -> tuple[str, ...]:
    program, drilled, _ = kept(play, form, card)
    worst = drilled.worst
    if worst is None and timed and form == FORMS[0]:
        talk = Conversation(play, card, thorough=False)
        worst = slowest(toolchain_of(card), program.image, talk)
    words = lowered_as(Form(form, "", play), load_machine("flash-8k")).words
    figures = (program.image.loaded, program.words.table, program.image.written)
    cycles = "-" if worst is None else f"{worst.cycles:,}"
    return (card.name, form, *(f"{each:,}" for each in figures), cycles, f"{words.total - words.workspace:,}")


if __name__ == "__main__":
    main()
