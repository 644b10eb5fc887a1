"""Time the least answers of noughts and crosses in every case, and write them into docs/smallest.md.

    python docs/smallest_cases.py [--seconds S]

Two seats, three claims, boards alike counted as one or a fixed board, wrong input that costs nothing or the turn:
24 cases, one after the other, in one process.  Takes a minute or two on a machine that has nothing else to do.
"""

import argparse
import resource
import sys
import time
from itertools import product
from pathlib import Path

from games.codes import FIRST, PLAYERS, SECOND
from games.house import load_house_rules
from games.load import load_game
from solver.header import CLAIMS
from solver.least.answers import least_answers

PAGE = Path(__file__).parent / "smallest.md"
BEGIN, END = "<!-- begin: docs/smallest_cases.py -->", "<!-- end: docs/smallest_cases.py -->"
TITLES = ("seat", "claim", "board", "house rules", "answers", "parts", "CPU seconds", "seconds")


def main() -> None:
    """Go through all cases and put the table in its place."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--seconds", type=float, default=120.0, help="for each case; 120 unless told")
    seconds = parser.parse_args().seconds
    rows = [TITLES, ("---",) * len(TITLES)]
    for turned, house, seat, claim in product((True, False), ("usual", "lost-turn"), (FIRST, SECOND), CLAIMS):
        rows.append(_case(seat, claim, house, turned=turned, seconds=seconds))
        print(*rows[-1], file=sys.stderr, flush=True)
    table = "\n".join(f"| {' | '.join(row)} |" for row in rows)
    before, rest = PAGE.read_text("utf-8").split(BEGIN)
    PAGE.write_text(f"{before}{BEGIN}\n\n{table}\n\n{END}{rest.split(END)[1]}", "utf-8")


def _case(seat: int, claim: str, house: str, *, turned: bool, seconds: float) -> tuple[str, ...]:
    """One row of the table."""
    game = load_game("noughts-and-crosses")
    begin, cpu = time.monotonic(), _cpu_seconds()
    found = least_answers(game, seat, claim, load_house_rules(house, game), turned=turned, seconds=seconds)
    answers = f"**{found.answers}**" if found.proved_least else f"{found.bound} to {found.answers}"
    return (
        PLAYERS[seat],
        claim,
        "alike as one" if turned else "fixed",
        house,
        answers,
        str(found.parts),
        f"{_cpu_seconds() - cpu:.1f}",
        f"{time.monotonic() - begin:.1f}",
    )


def _cpu_seconds() -> float:
    """What this process has used, all its threads together."""
    used = resource.getrusage(resource.RUSAGE_SELF)
    return used.ru_utime + used.ru_stime


if __name__ == "__main__":
    main()
