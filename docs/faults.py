"""Drill every fault of noughts and crosses from the second seat, with and without a check-sum, into docs/faults.md.

    python docs/faults.py [CHECK]...

CHECK is `none`, `at-start` or `between-games`, or `orders` for a sample of the faults in the orders of a real machine;
without any, the page is written anew from docs/faults.json, where the last outcomes stand, fault by fault.  Each takes
minutes.
"""

import json
import sys
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from budget.building import Product, Wish
from budget.card import load_machine
from budget.conversation import Conversation
from budget.drilling.drill import Outcome, drill
from budget.drilling.faults import BIT, IN_PLAY, Fault, faults_of
from budget.drilling.judging import CLASSES, Judge
from budget.drilling.lines import Texts, lines_of
from budget.drilling.sound import play_sound
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
ORDERS, IN_ORDERS = "orders", "twelve-bit-orders"
SHARE = 31
"""In real orders one fault in so many is drilled: all would take too long.  No divisor is one of the bits of a word."""
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
HOUSE = (HERE / "terse.toml").read_text("utf-8")
"""House rules of few words, as docs/faults.md shows them."""


def main() -> None:
    """Drill what is asked for, and write the page."""
    stored: dict[str, Any] = json.loads(STORED.read_text("utf-8")) if STORED.exists() else {}
    for check in sys.argv[1:]:
        stored[check] = sampled() if check == ORDERS else drilled(check)
        STORED.write_text(json.dumps(stored, indent=1) + "\n", "utf-8")
    before, rest = PAGE.read_text("utf-8").split(BEGIN)
    parts = [_told(check, stored[check]) for check in OPTIONS if check in stored]
    if ORDERS in stored:
        parts.append(_told_sample(stored[ORDERS]))
    told = "\n\n".join(parts)
    PAGE.write_text(f"{before}{BEGIN}\n\n{told}\n\n{END}{rest.split(END)[1]}", "utf-8")


def drilled(check: str) -> dict[str, Any]:
    """Everything that comes of the faults of the program with this check."""
    with ProgressLine() as progress:
        product = _product(MACHINE, check, progress)
        found = drill_image(built_subject(product, (), progress), progress, kept=False, with_faults=True)
    return {"program": product.lowered.text, "reading": product.form.reading, **_outcomes(found)}


def sampled() -> dict[str, Any]:
    """The same of some faults of the program in real orders: how many there are in all, and what these come to."""
    with ProgressLine() as progress:
        subject = built_subject(_product(IN_ORDERS, NO_CHECK, progress), (), progress)
    talk = Conversation(subject.play, subject.program.card, thorough=False)
    texts = Texts(subject.play, subject.program.card, talk)
    sound = play_sound(subject.program, lines_of(texts, talk))
    faults = list(faults_of(sound))
    some = faults[::SHARE]
    outcomes = drill(sound, some, texts, Judge(talk, None))
    return {
        "words": subject.program.words(),
        "all": len(faults),
        "faults": _letters(some, outcomes),
        "leaning": sum(outcome.leans for outcome in outcomes),
        "cut": sum(not outcome.is_whole for outcome in outcomes),
    }


def _product(machine: str, check: str, progress: ProgressLine) -> Product:
    """The program of the rules on a machine."""
    with TemporaryDirectory() as folder:
        sheet, house = Path(folder) / "second.rules", Path(folder) / "terse.toml"
        sheet.write_text(SHEET, "utf-8")
        house.write_text(HOUSE, "utf-8")
        asked = Asked(str(sheet), None, None, None, str(house))
        wish = Wish(None, check, keep_verdicts=False)
        built = build_strategy(asked, load_machine(machine), wish, progress, anyway=False, with_test=False)
    return built.product


def _letters(faults: Sequence[Fault], outcomes: Sequence[Outcome]) -> dict[str, str]:
    """What each fault comes to, a letter each, kind by kind in the order in which they are given."""
    letters: dict[str, str] = {}
    for fault, outcome in zip(faults, outcomes, strict=True):
        letters[fault.kind] = letters.get(fault.kind, "") + LETTERS[outcome.found]
    return letters


def _outcomes(found: Drilled) -> dict[str, Any]:
    """What each fault comes to, which of them lean, by their places in their kind; and sums."""
    assert found.faulted is not None
    faults, outcomes, morning = found.faulted
    leaning: dict[str, list[int]] = {}
    places: Counter[str] = Counter()
    for fault, outcome in zip(faults, outcomes, strict=True):
        if outcome.leans:
            leaning.setdefault(fault.kind, []).append(places[fault.kind])
        places[fault.kind] += 1
    return {
        "words": found.program.words(),
        "faults": _letters(faults, outcomes),
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
    lines, shown, hidden, bound = found["morning"]
    leaning = sum(map(len, found["leaning"].values()))
    parts = [
        f"`wordtight drill second.rules --machine {MACHINE} --house-rules terse.toml --faults{OPTIONS[check]}`",
        f"(a program of {found['words']} words):",
        "",
        "```text",
        *_table(found["faults"]),
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


def _told_sample(found: dict[str, Any]) -> str:
    """The part about real orders."""
    drilled = sum(map(len, found["faults"].values()))
    begins = (
        f"In real orders, `--machine {IN_ORDERS}` (a program of {found['words']} words), one fault in {SHARE}: "
        f"a sample of {drilled:,} of {found['all']:,}."
    )
    ends = (
        f"{found['leaning']:,} of them made the machine read leftovers in its workspace; {found['cut']:,} were not "
        "followed to their end."
    )
    return "\n".join([begins, "", "```text", *_table(found["faults"]), "```", "", ends])


def _table(faults: dict[str, str]) -> list[str]:
    """How many faults of each kind come to what."""
    rows = [
        (kind, f"{len(letters):,}", *(_count(letters.count(LETTERS[each])) for each in CLASSES))
        for kind, letters in faults.items()
    ]
    return table(TITLES, rows, right=range(1, len(TITLES)))


def _count(number: int) -> str:
    return f"{number:,}" if number else "-"


if __name__ == "__main__":
    main()
