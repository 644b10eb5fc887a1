"""Find the least strategies of the games of the catalogue and write docs/smallest.md.

    python docs/smallest.py [GAME ...] [--seconds S] [--afresh]

What was found before is kept in docs/smallest.json and is looked for again only where a gap was left, or with --afresh.
A gap that was smaller before stays as it was: what was proved then is no less true.
Takes an hour or two for everything with a minute for each figure; nothing is lost by an interruption.
"""

import argparse
import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from games.codes import FIRST, PLAYERS, SECOND
from games.game import scored, with_lines
from games.house import load_house_rules
from games.housed import HousedGame
from games.load import catalogue_names, load_game
from solver.least import pictures
from solver.least.answers import least_answers
from solver.least.choices import Hopeless
from solver.least.stopped import NotFound
from solver.least.weights import least_weights
from workbench.stored import stored_entries

HERE = Path(__file__).parent
KEPT = HERE / "smallest.json"
PAGE = HERE / "smallest.md"
MARK = "<!-- below this line: written by docs/smallest.py -->"
LARGEST = 2_300_000
"""Positions up to which a game is looked at."""
LOST, NONE, TOO_LONG = "lost", "none", "time ran out"


def main() -> None:
    """Look for what is not known yet, game by game, and write the page after each."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("games", nargs="*", help="games of the catalogue; all unless told")
    parser.add_argument("--seconds", type=float, default=60.0, help="for each figure; 60 unless told")
    parser.add_argument("--afresh", action="store_true", help="look again for what is known")
    asked = parser.parse_args()
    known: dict[str, Any] = json.loads(KEPT.read_text("utf-8")) if KEPT.exists() else {}
    entries = stored_entries()
    for name in asked.games or catalogue_names():
        if entries[name].positions > LARGEST:
            continue
        for seat in (FIRST, SECOND):
            key = f"{name} {PLAYERS[seat]}"
            print(key, file=sys.stderr, flush=True)
            before = {} if asked.afresh else known.get(key, {})
            known[key] = _figures(name, seat, asked.seconds, before)
            KEPT.write_text(json.dumps(known, indent=1, sort_keys=True) + "\n", "utf-8")
            _write_page(known)
    _write_page(known)


def _figures(name: str, seat: int, seconds: float, before: dict[str, Any]) -> dict[str, Any]:
    """Every figure for a game and seat; those that are settled already stay."""
    game = load_game(name)
    house = load_house_rules("usual", game)
    claim = "never-loses" if scored(game) is None else "best-value"
    housed = HousedGame(game, house, seat)
    found = {"claim": claim}

    def settle(kind: str, look: Callable[[], Any]) -> None:
        old = before.get(kind)
        if old is not None and _is_settled(old):
            found[kind] = old
            return
        try:
            found[kind] = _narrower(look(), old)
        except Hopeless:
            found[kind] = LOST
        except NotFound:
            found[kind] = old or TOO_LONG

    def answers(*, turned: bool) -> list[int]:
        least = least_answers(game, seat, claim, house, turned=turned, seconds=seconds)
        return [least.bound, least.answers]

    settle("answers", lambda: answers(turned=True))
    settle("fixed board", lambda: answers(turned=False))
    if with_lines(game) is not None and game.size.count(" x ") <= 1:
        settle("pictures", lambda: _pictures(housed, claim, seconds))
        settle("weights", lambda: _weights(housed, claim, seconds))
    return found


def _is_settled(figure: list[int] | str) -> bool:
    return figure[0] == figure[1] if isinstance(figure, list) else figure in (LOST, NONE)


def _narrower(new: list[int] | str, old: list[int] | str | None) -> list[int] | str:
    """What is known from two looks at the same figure: the higher bound, and the lesser of what was found."""
    if isinstance(new, list) and isinstance(old, list):
        return [max(new[0], old[0]), min(new[1], old[1])]
    return new


def _pictures(housed: HousedGame, claim: str, seconds: float) -> list[int] | str:
    try:
        least = pictures.least_pictures(housed, claim, seconds=seconds)
    except ValueError:
        return NONE
    return [least.bound, len(least.pictures)]


def _weights(housed: HousedGame, claim: str, seconds: float) -> list[int] | str:
    """The largest absolute weight, between bounds."""
    least = least_weights(housed, claim, seconds=seconds)
    if least.none_at_all:
        return NONE
    if least.largest is None:
        return f"over {least.refuted_up_to}"
    return [least.refuted_up_to + 1, least.largest]


def _write_page(known: dict[str, Any]) -> None:
    head = PAGE.read_text("utf-8").split(MARK)[0].rstrip()
    entries = stored_entries()
    titles = ("game", "positions", "seat", "claim", "answers", "on a fixed board", "pictures", "weights")
    rows = [titles, ("---",) * len(titles)]
    for key in sorted(known):
        name, seat = key.rsplit(" ", 1)
        figures = known[key]
        asked = (name, f"{entries[name].positions:,}", seat, figures["claim"])
        if figures["answers"] == LOST:
            rows.append((*asked, "the seat is lost", "", "", ""))
            continue
        kinds = ("answers", "fixed board", "pictures", "weights")
        rows.append((*asked, *(_cell(figures.get(kind, "")) for kind in kinds)))
    table = "\n".join(f"| {' | '.join(row)} |" for row in rows)
    PAGE.write_text(f"{head}\n\n{MARK}\n\n{table}\n\n{_left(known)}", "utf-8")


def _left(known: dict[str, Any]) -> str:
    """Which games were not looked at yet."""
    entries = stored_entries()
    seen = {key.rsplit(" ", 1)[0] for key in known}
    left = [
        f"* {name}, {entries[name].positions:,} positions\n" for name in catalogue_names() if name not in seen
    ]
    return f"Not looked at yet:\n\n{''.join(left)}" if left else ""


def _cell(figure: Any) -> str:
    if not isinstance(figure, list):
        return str(figure)
    bound, found = figure
    return f"**{found:,}**" if bound == found else f"{bound:,} to {found:,}"


if __name__ == "__main__":
    main()
