"""Look for the shortest lists of pictures of noughts and crosses in every case, and write them into docs/smallest.md.

    python docs/smallest_pictures.py [--seconds S] [--board alike|fixed] [--seat SEAT] [--claim CLAIM]

Two seats, three claims, pictures turned or as they are drawn: 12 cases, one after the other, in one process.  Seconds
are of CPU, so that other work on the machine takes nothing away.  What was found before is kept in
docs/smallest_pictures.json and is looked for again only where a gap was left; what was proved then is no less true.
"""

import argparse
import json
import sys
import time
from itertools import product
from pathlib import Path
from typing import Any

from games.codes import PLAYERS
from games.house import load_house_rules
from games.housed import HousedGame
from games.load import load_game
from solver.header import CLAIMS
from solver.least.pictures import least_pictures

HERE = Path(__file__).parent
PAGE, KEPT = HERE / "smallest.md", HERE / "smallest_pictures.json"
BEGIN, END = "<!-- begin: docs/smallest_pictures.py -->", "<!-- end: docs/smallest_pictures.py -->"
TITLES = ("seat", "claim", "pictures", "how many", "cases", "CPU seconds")
BOARDS = {"alike": "turned", "fixed": "as drawn"}


def main() -> None:
    """Look for what is not known yet, case by case, and write the table."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--seconds", type=float, default=200.0, help="of CPU, for each case; 200 unless told")
    parser.add_argument("--board", choices=BOARDS, help="only pictures that are turned, or that are not")
    parser.add_argument("--seat", choices=PLAYERS, help="only this seat")
    parser.add_argument("--claim", choices=CLAIMS, help="only this claim")
    asked = parser.parse_args()
    known: dict[str, Any] = json.loads(KEPT.read_text("utf-8")) if KEPT.exists() else {}
    for case in product(BOARDS, PLAYERS, CLAIMS):
        key = " ".join(case)
        wanted = zip((asked.board, asked.seat, asked.claim), case, strict=True)
        if all(word in (None, of_case) for word, of_case in wanted) and not _is_settled(known.get(key)):
            known[key] = _narrower(_figures(*case, asked.seconds), known.get(key))
            print(key, known[key], file=sys.stderr, flush=True)
            KEPT.write_text(json.dumps(known, indent=1, sort_keys=True) + "\n", "utf-8")
    _write_table(known)


def _is_settled(figures: dict[str, Any] | None) -> bool:
    return figures is not None and figures["bound"] == figures["found"]


def _figures(board: str, seat: str, claim: str, seconds: float) -> dict[str, Any]:
    """What a search comes to, and what it took."""
    game = load_game("noughts-and-crosses")
    housed = HousedGame(game, load_house_rules("usual", game), PLAYERS.index(seat))
    begin = time.process_time()
    least = least_pictures(housed, claim, turned=board == "alike", seconds=seconds, now=time.process_time)
    return {
        "bound": least.bound,
        "found": len(least.pictures),
        "cases": least.nodes,
        "cpu": round(time.process_time() - begin, 1),
    }


def _narrower(new: dict[str, Any], old: dict[str, Any] | None) -> dict[str, Any]:
    """What is known from two searches; what it took is that of the later one."""
    if old is None:
        return new
    return {**new, "bound": max(new["bound"], old["bound"]), "found": min(new["found"], old["found"])}


def _write_table(known: dict[str, Any]) -> None:
    """Put the table of what is known in its place.

    What keeps a claim keeps those before it in the order of claims as well, for neither seat is lost: so a bound for
    one is a bound for those after it, and a list for one is a list for those before it.
    """
    rows = [TITLES, ("---",) * len(TITLES)]
    for board, seat in product(BOARDS, PLAYERS):
        claims = [claim for claim in CLAIMS if f"{board} {seat} {claim}" in known]
        of_claims = [known[f"{board} {seat} {claim}"] for claim in claims]
        for number, (claim, figures) in enumerate(zip(claims, of_claims, strict=True)):
            bound = max(each["bound"] for each in of_claims[: number + 1])
            found = min(each["found"] for each in of_claims[number:])
            least = f"**{found}**" if bound == found else f"{bound} to {found}"
            rows.append((seat, claim, BOARDS[board], least, f"{figures['cases']:,}", f"{figures['cpu']:.1f}"))
    table = "\n".join(f"| {' | '.join(row)} |" for row in rows)
    before, rest = PAGE.read_text("utf-8").split(BEGIN)
    PAGE.write_text(f"{before}{BEGIN}\n\n{table}\n\n{END}{rest.split(END)[1]}", "utf-8")


if __name__ == "__main__":
    main()
