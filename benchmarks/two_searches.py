"""HiGHS and CP-SAT on the same models of fewest answers: which one finds and proves sooner?

    python benchmarks/two_searches.py [--seconds S]

Needs `pip install ortools`, which Wordtight itself does not use.  Prints CPU seconds (CP-SAT searches in two threads),
what was found, and the bound.
"""

import argparse
import sys
import time
from collections.abc import Callable

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
Result = tuple[float, int | None, float]


def by_highs(model: Model, seconds: float) -> Result:
    """CPU seconds, the cost found, and the bound."""
    begin = time.process_time()
    found = minimise(model, seconds)
    cost = None if found.point is None else int(found.point[: model.boards].sum())
    return time.process_time() - begin, cost, found.bound


def by_cp_sat(model: Model, seconds: float) -> Result:
    """The same by CP-SAT."""
    from ortools.sat.python import cp_model

    begin = time.process_time()
    program = cp_model.CpModel()
    variables = [
        program.new_int_var(int(low), int(high), "")
        for low, high in zip(model.lower, model.upper, strict=True)
    ]
    for row, least in enumerate(model.at_least.tolist()):
        entries = range(model.row[row], model.row[row + 1])
        program.add(sum(int(model.value[i]) * variables[model.column[i]] for i in entries) >= least)
    program.minimize(sum(variables[: model.boards]))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 2
    status = solver.solve(program)
    found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    cost = round(solver.objective_value) if found else None
    return time.process_time() - begin, cost, solver.best_objective_bound


def main() -> None:
    """Run both on every instance, in turn, and print a table."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--seconds", type=float, default=60.0, help="for each; 60 unless told")
    seconds = parser.parse_args().seconds
    searches: dict[str, Callable[[Model, float], Result]] = {"HiGHS": by_highs, "CP-SAT": by_cp_sat}
    print("| game | seat | claim | boards alike | search | CPU seconds | found | bound |")
    print("| --- | --- | --- | --- | --- | --- | --- | --- |")
    for name, seat, claim, turned in INSTANCES:
        game = load_game(name)
        housed = HousedGame(game, load_house_rules("usual", game), seat)
        model = model_of(narrowed(together(choices_of(housed, claim, turned=turned))))
        for title, search in searches.items():
            cpu, cost, bound = search(model, seconds)
            cells = (name, ("first", "second")[seat], claim, "one" if turned else "each", title)
            print(f"| {' | '.join(cells)} | {cpu:.1f} | {cost} | {bound:.0f} |")
            sys.stdout.flush()


if __name__ == "__main__":
    main()
