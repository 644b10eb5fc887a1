"""Drill every fault of noughts and crosses from the second seat, with and without a check-sum, into docs/faults.md.

    python docs/faults.py [CHECK]...

CHECK is `none`, `at-start` or `between-games`; without any, the page is written anew from docs/faults.json, where the
last outcomes stand, fault by fault.  Each check takes minutes.
"""

import json
import sys
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from budget.building import Wish
from budget.card import load_machine
from budget.drilling.faults import BIT, IN_PLAY
from budget.drilling.judging import CLASSES
from budget.drilling.tally import LEGEND, LETTERS, map_of_faults, worst_letters
from budget.lowering.checksum import NO_CHECK
from workbench.asked import Asked
from workbench.built_strategy import build_strategy
from workbench.drilled import Drilled, drill_image
from workbench.drilled_image import built_subject
from workbench.output import plural, table
from workbench.progress import ProgressLine
from workbench.tell_drilled import TITLES

HERE = Path(__file__).parent
PAGE, STORED = HERE / "faults.md", HERE / "faults.json"
BEGIN, END = "<!-- begin: docs/faults.py -->", "<!-- end: docs/faults.py -->"
MACHINE = "twelve-bit"
OPTIONS = {NO_CHECK: "", "at-start": " --check-sum", "between-games": " --check-between"}
SHEET = """\
game: noughts-and-crosses
seat: second

complete a line
block a line
stop a double threat
take the centre
take a corner
take any free cell
"""
HOUSE = """\
kind = "house-rules"
input = "key"
print = "close"

[messages]
ask = ""
machine-moves = ""
machine-wins = "W"
visitor-wins = "L"
draw = "D"

[[rule]]
when = ["after-end"]
say = ""

[[rule]]
when = ["any"]
say = "?"
"""


def main() -> None:
    """Drill what is asked for, and write the page."""
    stored: dict[str, Any] = json.loads(STORED.read_text("utf-8")) if STORED.exists() else {}
    for check in sys.argv[1:]:
        stored[check] = drilled(check)
        STORED.write_text(json.dumps(stored, indent=1) + "\n", "utf-8")
    before, rest = PAGE.read_text("utf-8").split(BEGIN)
    told = "\n\n".join(_told(check, stored[check]) for check in OPTIONS if check in stored)
    PAGE.write_text(f"{before}{BEGIN}\n\n{told}\n\n{END}{rest.split(END)[1]}", "utf-8")


def drilled(check: str) -> dict[str, Any]:
    """Everything that comes of the faults of the program with this check."""
    with TemporaryDirectory() as folder, ProgressLine() as progress:
        sheet, house = Path(folder) / "second.rules", Path(folder) / "terse.toml"
        sheet.write_text(SHEET, "utf-8")
        house.write_text(HOUSE, "utf-8")
        asked = Asked(str(sheet), None, None, None, str(house))
        wish = Wish(None, check, keep_verdicts=False)
        built = build_strategy(asked, load_machine(MACHINE), wish, progress, anyway=False, with_test=False)
        subject = built_subject(built.product, (), progress)
        found = drill_image(subject, progress, kept=False, with_faults=True)
    return {"program": built.product.lowered.text, "reading": built.play.reading, **_outcomes(found)}


def _outcomes(found: Drilled) -> dict[str, Any]:
    """What each fault comes to, a letter each, kind by kind in the order in which they are drilled; and sums."""
    assert found.faulted is not None
    faults, outcomes, morning = found.faulted
    letters: dict[str, str] = {}
    leaning: dict[str, list[int]] = {}
    for fault, outcome in zip(faults, outcomes, strict=True):
        if outcome.leans:
            leaning.setdefault(fault.kind, []).append(len(letters.get(fault.kind, "")))
        letters[fault.kind] = letters.get(fault.kind, "") + LETTERS[outcome.found]
    return {
        "words": found.program.words(),
        "faults": letters,
        "leaning": leaning,
        "cut": sum(not outcome.is_whole for outcome in outcomes),
        "maps": {
            kind: list(map_of_faults(found.program, worst_letters(faults, outcomes, kind)))
            for kind in (BIT, IN_PLAY)
        },
        "morning": [len(morning.lines), morning.shown, morning.hidden, morning.bound],
    }


def _told(check: str, found: dict[str, Any]) -> str:
    """A part of the page."""
    rows = [
        (kind, f"{len(letters):,}", *(_count(letters.count(LETTERS[each])) for each in CLASSES))
        for kind, letters in found["faults"].items()
    ]
    lines, shown, hidden, bound = found["morning"]
    leaning = sum(map(len, found["leaning"].values()))
    parts = [
        f"`wordtight drill second.rules --machine {MACHINE} --house-rules terse.toml --faults{OPTIONS[check]}`",
        f"(a program of {found['words']} words):",
        "",
        "```text",
        *table(TITLES, rows, right=range(1, len(TITLES))),
        "",
    ]
    for kind, told in found["maps"].items():
        parts += [f"The worst that {kind} does, word by word:", *told, ""]
    parts += [LEGEND, "```", ""]
    least = "no fewer will do" if bound == lines else f"no fewer than {bound} will do"
    parts.append(
        f"{shown:,} of the {shown + hidden:,} faults that are there before the start show in "
        f"{plural(lines, 'line')} ({least}). {leaning:,} faults made the machine read leftovers in its workspace; "
        f"{found['cut']:,} were not followed to their end."
    )
    return "\n".join(parts)


def _count(number: int) -> str:
    return f"{number:,}" if number else "-"


if __name__ == "__main__":
    main()
