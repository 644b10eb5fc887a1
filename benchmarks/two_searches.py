"""HiGHS and CP-SAT on the same models of fewest answers: which one finds and proves sooner?

    python benchmarks/two_searches.py [--seconds S] [--write]

Needs OR-tools (`pip install -e .[searches]`), which Wordtight itself does not use.  Both are given so
many CPU seconds, not seconds of the clock, so that other work on the machine takes nothing from either; CP-SAT searches
in two threads, whose CPU seconds are added.  Prints what was found and the bound; --write puts the table into
docs/smallest.md.
"""

import argparse
import sys
import threading
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Protocol

from games.codes import PLAYERS
from games.house import load_house_rules
from games.housed import HousedGame
from games.load import load_game
from solver.least.choices import choices_of
from solver.least.highs import minimise
from solver.least.model import Model, model_of
from solver.least.narrow import narrowed
from solver.least.together import together

INSTANCES = (
    ("noughts-and-crosses", 0, "never-loses", True),
    ("noughts-and-crosses", 1, "never-loses", True),
    ("noughts-and-crosses", 0, "never-loses", False),
    ("noughts-and-crosses", 1, "never-loses", False),
    ("mu-torere", 0, "quickest", True),
    ("breaking-through", 0, "never-loses", True),
    ("dodgem", 0, "never-loses", True),
)
"""Game, seat, claim, and whether boards that are alike count as one."""
PAGE = Path(__file__).parent.parent / "docs" / "smallest.md"
BEGIN, END = "<!-- begin: benchmarks/two_searches.py -->", "<!-- end: benchmarks/two_searches.py -->"
TITLES = ("game", "seat", "claim", "boards alike", "search", "CPU seconds", "found", "bound")
THREADS = 2
Result = tuple[float, int | None, float]


class Stoppable(Protocol):
    """A search that can be told to stop."""

    def stop_search(self) -> None:
        """Stop as soon as possible."""
        ...


def by_highs(model: Model, seconds: float) -> Result:
    """CPU seconds, the cost found, and the bound."""
    begin = time.process_time()
    found = minimise(model, progress=lambda best, bound: time.process_time() - begin < seconds)
    cost = None if found.point is None else int(model.cost @ found.point)
    return time.process_time() - begin, cost, found.bound


def by_cp_sat(model: Model, seconds: float) -> Result:
    """The same by CP-SAT."""
    from ortools.sat.python import cp_model  # no part of Wordtight needs it

    begin = time.process_time()
    program = cp_model.CpModel()
    variables = [
        program.new_int_var(int(low), int(high), "")
        for low, high in zip(model.lower, model.upper, strict=True)
    ]
    for row, least in enumerate(model.at_least.tolist()):
        entries = range(model.row[row], model.row[row + 1])
        program.add(sum(int(model.value[i]) * variables[model.column[i]] for i in entries) >= least)
    program.minimize(sum(cost * each for cost, each in zip(model.cost.tolist(), variables, strict=True)))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = THREADS
    done = threading.Event()
    watch = threading.Thread(target=_stop_after, args=(solver, begin + seconds, done))
    watch.start()
    status = solver.solve(program)
    done.set()
    watch.join()
    found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    cost = round(solver.objective_value) if found else None
    return time.process_time() - begin, cost, solver.best_objective_bound


def _stop_after(solver: Stoppable, until: float, done: threading.Event) -> None:
    """Stop a search when the process has used so many CPU seconds, unless it has ended by itself."""
    while not done.wait(0.1):
        if time.process_time() >= until:
            solver.stop_search()


def main() -> None:
    """Run both on every instance, in turn, and print a table."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--seconds", type=float, default=30.0, help="of CPU, for each; 30 unless told")
    parser.add_argument("--write", action="store_true", help="put the table into docs/smallest.md")
    asked = parser.parse_args()
    searches: dict[str, Callable[[Model, float], Result]] = {"HiGHS": by_highs, "CP-SAT": by_cp_sat}
    lines = [_line(TITLES), _line(["---"] * len(TITLES))]
    print(*lines, sep="\n")
    for name, seat, claim, turned in INSTANCES:
        game = load_game(name)
        housed = HousedGame(game, load_house_rules("usual", game), seat)
        model = model_of(narrowed(together(choices_of(housed, claim, turned=turned))))
        for title, search in searches.items():
            cpu, cost, bound = search(model, asked.seconds)
            asked_of = (name, PLAYERS[seat], claim, "one" if turned else "each", title)
            lines.append(_line([*asked_of, f"{cpu:.1f}", str(cost), f"{max(0.0, bound):.0f}"]))
            print(lines[-1])
            sys.stdout.flush()
    if asked.write:
        text = PAGE.read_text("utf-8")
        before, after = text[: text.index(BEGIN)], text[text.index(END) :]
        table = "\n".join(lines)
        PAGE.write_text(f"{before}{BEGIN}\n\n{table}\n\n{after}", "utf-8")


def _line(cells: Sequence[str]) -> str:
    return f"| {' | '.join(cells)} |"


if __name__ == "__main__":
    main()
