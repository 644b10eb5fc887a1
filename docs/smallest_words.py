"""Build the least strategies of the games of the catalogue on a machine; keep their words for docs/smallest.md.

    python docs/smallest_words.py [GAME ...] [--seconds S] [--afresh]

What was built before is kept in docs/smallest_words.json, and is built again only with --afresh.  For each game and
seat the strategies of docs/smallest.json are found again (the fewest answers, with boards alike as one and on a fixed
board, pictures and weights) and lowered as their rules are written, or in the encodings with the smallest tables; the
smallest program is held against its play in every state before it counts.  `python docs/smallest.py --page` then
writes the page.
"""

import argparse
import json
import signal
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from functools import partial
from itertools import islice, product
from pathlib import Path
from typing import Any

from budget.card import CostCard, load_machine
from budget.closing import Unfinished
from budget.forms import AS_WRITTEN, Form, built, forms_of, lowered_as
from budget.lowering.lower import TooLong
from budget.lowering.text import NotLowered
from budget.size import size_play
from games.codes import PLAYERS
from games.house import load_house_rules
from games.housed import HousedGame
from games.load import load_game
from solver.fixed import fixed_plays
from solver.least.answers import least_answers
from solver.least.pictures import least_pictures
from solver.least.stopped import NotFound
from solver.least.weights import least_weights
from solver.proof import PROVED, Proof, prove
from workbench.stored import stored_entries

HERE = Path(__file__).parent
FIGURES, KEPT = HERE / "smallest.json", HERE / "smallest_words.json"
MACHINE = "twelve-bit"
MOST_ANSWERS = 1_000
"""Strategies with more are not built."""
FEW = 3
"""Encodings of each reading that are lowered: those with the smallest tables of which there are programs."""
Find = Callable[[], tuple[str, Proof] | None]
"""Finds a strategy again: what it is in few words, and its proof; None if there is none."""


def main() -> None:
    """Build what is not known yet, game by game, those with the fewest positions first."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("games", nargs="*", help="games of the catalogue; all unless told")
    parser.add_argument("--seconds", type=float, default=60.0, help="for each step; 60 unless told")
    parser.add_argument("--afresh", action="store_true", help="build again what is known")
    asked = parser.parse_args()
    figures: dict[str, Any] = json.loads(FIGURES.read_text("utf-8"))
    known: dict[str, Any] = json.loads(KEPT.read_text("utf-8")) if KEPT.exists() else {}
    card = load_machine(MACHINE)
    signal.signal(signal.SIGPROF, _time_is_up)
    entries = stored_entries()
    for name, seat in product(sorted(entries, key=lambda name: entries[name].positions), PLAYERS):
        key = f"{name} {seat}"
        if (asked.games and name not in asked.games) or (key in known and not asked.afresh):
            continue
        if not isinstance(figures.get(key, {}).get("answers"), list):
            continue
        strategies = _strategies(name, PLAYERS.index(seat), figures[key], asked.seconds)
        known[key] = _smallest(strategies, card, asked.seconds)
        print(key, known[key], file=sys.stderr, flush=True)
        KEPT.write_text(json.dumps(known, indent=1, sort_keys=True) + "\n", "utf-8")


def _smallest(strategies: Iterator[Find], card: CostCard, seconds: float) -> dict[str, Any]:
    """The smallest program of some strategies, or why there is none."""
    why: dict[str, None] = {}
    found: list[tuple[int, str, Form]] = []
    for find in strategies:
        try:
            again = find()
            if again is None:
                why[f"more than {MOST_ANSWERS:,} answers"] = None
                continue
            with _at_most(seconds):
                found += [(words, again[0], form) for words, form in _sized(again[1], card, why)]
        except (TimeoutError, NotFound):
            why["time ran out"] = None
    for words, what, form in sorted(found, key=lambda each: each[0])[:1]:
        kept = {"words": words, "of": what, "form": form.name, "reading": form.reading}
        try:
            with _at_most(10 * seconds):
                built(form, card)
        except (TimeoutError, Unfinished):
            return {**kept, "unfinished": True}
        return kept
    return {"why": list(why)}


def _strategies(name: str, seat: int, figures: dict[str, Any], seconds: float) -> Iterator[Find]:
    """Ways to find the strategies whose figures are known."""
    game = load_game(name)
    house, claim = load_house_rules("usual", game), figures["claim"]
    housed = HousedGame(game, house, seat)

    def answers(*, turned: bool) -> tuple[str, Proof] | None:
        least = least_answers(game, seat, claim, house, turned=turned, seconds=seconds)
        if least.answers > MOST_ANSWERS:
            return None
        return f"{least.answers:,} answers{'' if turned else ', fixed board'}", least.proof

    def pictures() -> tuple[str, Proof]:
        least = least_pictures(housed, claim, seconds=seconds)
        return f"{len(least.pictures)} pictures", least.proof

    def weights() -> tuple[str, Proof] | None:
        least = least_weights(housed, claim, seconds=seconds)
        return None if least.strategy is None else ("weights", prove(least.strategy, claim, house))

    for kind, turned in (("answers", True), ("fixed board", False)):
        if isinstance(figures.get(kind), list):
            yield partial(answers, turned=turned)
    if isinstance(figures.get("pictures"), list):
        yield pictures
    if isinstance(figures.get("weights"), list):
        yield weights


def _sized(proof: Proof, card: CostCard, why: dict[str, None]) -> Iterator[tuple[int, Form]]:
    """The words of a proved strategy: with its rules as written, or in the encodings with the smallest tables."""
    plays = [play for play in fixed_plays(proof) if play.proof is not None and play.proof.verdict == PROVED]
    forms = list(forms_of(plays))
    as_written = [form for form in forms if form.name == AS_WRITTEN]
    tables = size_play(plays, proof.house, card).encodings
    for reading in (play.reading for play in plays):
        rows = [row for row in tables if row.reading == reading and row.table_words is not None]
        names = [row.encoding for row in sorted(rows, key=lambda row: row.table_words or 0)]
        suited = as_written or [_named(forms, name, reading) for name in names]
        sized = ((_words(form, card, why), form) for form in suited if form.reading == reading)
        yield from islice(((words, form) for words, form in sized if words is not None), FEW)


def _named(forms: Sequence[Form], name: str, reading: str) -> Form:
    return next(form for form in forms if (form.name, form.reading) == (name, reading))


def _words(form: Form, card: CostCard, why: dict[str, None]) -> int | None:
    """All words of a form, whether it fits or not; None where there is none, and then why."""
    try:
        return lowered_as(form, card).words.total
    except TooLong as too_long:
        return too_long.words.total
    except NotLowered as reason:
        why[str(reason)] = None
        return None


@contextmanager
def _at_most(seconds: float) -> Iterator[None]:
    """Raise TimeoutError when so many CPU seconds are over."""
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)


def _time_is_up(*_: object) -> None:
    raise TimeoutError


if __name__ == "__main__":
    main()
