"""How long does it take to grade a class of 1,000 different rule sheets for noughts and crosses, in both seats?

    python benchmarks/grading.py [--sheets N] [--seed S] [--write]

The sheets are made from a seed: rules that learners write, in an order drawn at random, no two sheets alike.  The clock
starts when the processes have each judged a first sheet, that is, have started and solved the game.  Prints the figures
in one line; --write puts them into docs/grading.md.
"""

from __future__ import annotations

import argparse
import os
import random
import tempfile
import time
from pathlib import Path

from workbench.grading.attempts import Attempt, attempts_in
from workbench.grading.crew import Crew, cores
from workbench.grading.grade import Graded, grade
from workbench.grading.judging import judge
from workbench.grading.request import Request, asked
from workbench.grading.writing import write_grading

PAGE = Path(__file__).parent.parent / "docs" / "grading.md"
BEGIN, END = "<!-- begin: benchmarks/grading.py -->", "<!-- end: benchmarks/grading.py -->"
AIM = 20
"""Seconds for 1,000 sheets on two cores."""
RULES = (
    "complete a line",
    "block a line",
    "make a double threat",
    "stop a double threat",
    "take the centre",
    "take a corner",
    "take an edge",
    "take the opposite corner",
    "take the first free of 5, 1, 9, 3, 7",
    "take 2 or 8",
    "take 4",
    "take 9",
    "take the first free of 1, 2, 3",
    "look ahead 1 ply",
)


def sheets(count: int, seed: int) -> list[str]:
    """So many different sheets; each ends with a rule that always applies."""
    chance = random.Random(seed)
    found: dict[str, None] = {}
    while len(found) < count:
        rules = chance.sample(RULES, chance.randint(3, 7))
        found[
            "\n".join(["game: noughts-and-crosses", "seat: both", "", *rules, "take any free cell", ""])
        ] = None
    return list(found)


def judged(attempts: list[Attempt], request: Request) -> tuple[Graded, float]:
    """The attempts judged, and the seconds it took once a process for each core had started and solved the game."""
    with Crew(cores(), 600) as crew:
        for first in [crew.submit(judge, request, attempts[0]) for _ in range(4 * cores())]:
            first.result()
        begun = time.monotonic()
        graded = grade(request, attempts, executor=crew)
        return graded, time.monotonic() - begun


def processor_time() -> float:
    """Seconds of processor time of this process and of those that it has started and that have ended."""
    return sum(os.times()[:4])


def main() -> None:
    """Make the sheets, grade them, and print how long it took."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--sheets", type=int, default=1000, help="how many; 1000 unless told")
    parser.add_argument("--seed", type=int, default=1, help="1 unless told")
    parser.add_argument("--write", action="store_true", help="put the figures into docs/grading.md")
    told = parser.parse_args()
    request = asked("noughts-and-crosses", "both")
    with tempfile.TemporaryDirectory() as folder, tempfile.TemporaryDirectory() as results:
        for number, text in enumerate(sheets(told.sheets, told.seed), 1):
            Path(folder, f"{number:04}.rules").write_text(text, encoding="utf-8")
        before = processor_time()
        graded, seconds = judged(attempts_in(folder), request)
        between, begun = processor_time(), time.monotonic()
        write_grading(Path(results), graded)
        writing, after = time.monotonic() - begun, processor_time()
    line = (
        f"{told.sheets:,} different rule sheets for noughts and crosses in both seats, {cores()} cores: judged in "
        f"{seconds:.1f} s by the clock and {between - before:.1f} s of processor time (start included); all files "
        f"written in {writing:.1f} s more, {after - between:.1f} s of processor time. The aim for 1,000 is {AIM} s on "
        "two cores that have nothing else to do."
    )
    print(line)
    if told.write:
        text = PAGE.read_text("utf-8")
        before_it, after_it = text[: text.index(BEGIN)], text[text.index(END) :]
        PAGE.write_text(f"{before_it}{BEGIN}\n\n{line}\n\n{after_it}", "utf-8")


if __name__ == "__main__":
    main()
