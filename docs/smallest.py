"""Find the least strategies of the games of the catalogue and write docs/smallest.md.

    python docs/smallest.py [GAME ...] [--seconds S] [--afresh] [--largest N] [--only KIND]
    python docs/smallest.py --page

What was found before is kept in docs/smallest.json and is looked for again only where a gap was left, or with --afresh.
A gap that was smaller before stays as it was: what was proved then is no less true.
Takes an hour or two for everything with a minute for each figure; nothing is lost by an interruption.  With --page only
the page is written, also with the words of docs/smallest_words.json (see docs/smallest_words.py).
"""

import argparse
import json
import sys
from collections.abc import Callable, Iterator
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
from workbench.stored import Entry, stored_entries

HERE = Path(__file__).parent
KEPT, WORDS = HERE / "smallest.json", HERE / "smallest_words.json"
PAGE = HERE / "smallest.md"
MARK = "<!-- below this line: written by docs/smallest.py -->"
LARGEST = 500_000
"""Positions up to which a game is looked at unless told."""
LOST, NONE, TOO_LONG, NOT_TRIED = "lost", "none", "time ran out", "not tried"
TITLES = (
    "game",
    "positions",
    "seat",
    "claim",
    "answers",
    "on a fixed board",
    "pictures",
    "weights",
    "words",
)
KINDS = ("answers", "fixed board", "pictures", "weights")


def main() -> None:
    """Look for what is not known yet, game by game, and write the page after each."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("games", nargs="*", help="games of the catalogue; all unless told")
    parser.add_argument("--seconds", type=float, default=60.0, help="for each figure; 60 unless told")
    parser.add_argument("--afresh", action="store_true", help="look again for what is known")
    parser.add_argument(
        "--largest", type=int, default=LARGEST, help=f"positions of the largest game; {LARGEST:,}"
    )
    parser.add_argument("--only", choices=KINDS, help="look for figures of this kind alone")
    parser.add_argument("--page", action="store_true", help="only write the page")
    asked = parser.parse_args()
    known: dict[str, Any] = json.loads(KEPT.read_text("utf-8")) if KEPT.exists() else {}
    entries = stored_entries()
    for name in () if asked.page else asked.games or catalogue_names():
        if entries[name].positions > asked.largest:
            continue
        for seat in (FIRST, SECOND):
            key = f"{name} {PLAYERS[seat]}"
            print(key, file=sys.stderr, flush=True)
            before = {} if asked.afresh else known.get(key, {})
            for figures in _figures(name, seat, asked.seconds, before, asked.only):
                known[key] = figures
                KEPT.write_text(json.dumps(known, indent=1, sort_keys=True) + "\n", "utf-8")
    _write_page(known)


def _figures(
    name: str, seat: int, seconds: float, before: dict[str, Any], only: str | None
) -> Iterator[dict[str, Any]]:
    """Every figure for a game and seat, or `only` one, one more each time; those that are settled already stay."""
    game = load_game(name)
    house = load_house_rules("usual", game)
    claim = "never-loses" if scored(game) is None else "best-value"
    housed = HousedGame(game, house, seat)

    def answers(*, turned: bool) -> list[int]:
        least = least_answers(game, seat, claim, house, turned=turned, seconds=seconds)
        return [least.bound, least.answers]

    looks: dict[str, Callable[[], Any]] = {
        "answers": lambda: answers(turned=True),
        "fixed board": lambda: answers(turned=False),
    }
    if with_lines(game) is not None and game.size.count(" x ") <= 1:
        looks["pictures"] = lambda: _pictures(housed, claim, seconds)
        looks["weights"] = lambda: _weights(housed, claim, seconds)
    found = {**before, "claim": claim}
    for kind, look in looks.items():
        old = before.get(kind)
        if only in (None, kind) and (old is None or not _is_settled(old)):
            found[kind] = _looked(look, old)
            yield found


def _looked(look: Callable[[], Any], old: list[int] | str | None) -> list[int] | str:
    """What is known of a figure after another look."""
    try:
        return _narrower(look(), old)
    except Hopeless:
        return LOST
    except NotFound:
        return old or TOO_LONG


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
    """Write a row for every game of the catalogue and seat."""
    head = PAGE.read_text("utf-8").split(MARK)[0].rstrip()
    words: dict[str, Any] = json.loads(WORDS.read_text("utf-8")) if WORDS.exists() else {}
    rows = [TITLES, ("---",) * len(TITLES)]
    for name, entry in stored_entries().items():
        for seat in (FIRST, SECOND):
            key = f"{name} {PLAYERS[seat]}"
            asked = (name, f"{entry.positions:,}", PLAYERS[seat])
            rows.append((*asked, *_row(entry, seat, known.get(key, {}), words.get(key))))
    table = "\n".join(f"| {' | '.join(row)} |" for row in rows)
    PAGE.write_text(f"{head}\n\n{MARK}\n\n{table}\n", "utf-8")


def _row(entry: Entry, seat: int, figures: dict[str, Any], words: dict[str, Any] | None) -> tuple[str, ...]:
    """The claim and all figures of a game and seat, as cells."""
    claim = "never-loses" if isinstance(entry.value, str) else "best-value"
    if claim == "never-loses" and entry.is_lost(seat):
        return (claim, "the seat is lost", "", "", "", "")
    cells = [_cell(figure) for figure in _answers(figures, entry.answers[PLAYERS[seat]])]
    cells += [_cell(figures.get(kind)) for kind in KINDS[2:]]
    return (claim, *cells, _words_cell(words))


def _answers(figures: dict[str, Any], best: tuple[int, int] | None) -> list[list[int] | str | None]:
    """The answers with boards alike as one and on a fixed board, from everything that is known of either.

    best: the answers of best play as it comes, so that a strategy with as many is known.  What does on a fixed board
    does with boards alike as one, too, for of those alike one pick is enough; and some answer is always needed.
    """
    known = []
    for kind, most in zip(KINDS[:2], best or (None, None), strict=True):
        figure = figures.get(kind)
        if not isinstance(figure, list):
            if most is None:
                return [figures.get(kind, NOT_TRIED) for kind in KINDS[:2]]
            figure = [1, most]
        known.append([figure[0], figure[1] if most is None else min(figure[1], most)])
    (bound, found), (fixed_bound, fixed_found) = known
    return [[bound, min(found, fixed_found)], [max(bound, fixed_bound), fixed_found]]


def _cell(figure: list[int] | str | None) -> str:
    """A figure, or why there is none; empty where it was not asked for."""
    if not isinstance(figure, list):
        return figure or ""
    bound, found = figure
    return f"**{found:,}**" if bound == found else f"{bound:,} to {found:,}"


def _words_cell(words: dict[str, Any] | None) -> str:
    """The words of the smallest program and what it is made of, or why there is none."""
    if words is None:
        return "not built"
    if "words" not in words:
        return "; ".join(words["why"])
    unfinished = " (not run in every state)" if words.get("unfinished") else ""
    return f"{words['words']:,}: {words['of']}{unfinished}"


if __name__ == "__main__":
    main()
