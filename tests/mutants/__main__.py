"""Try the mutants of the modules that are named, or of all: python -m tests.mutants [MODULE]..., or `make mutants`.

MODULE is the beginning of a path, as in `games/marks`.  SAMPLE=100 tries only the first hundred of each module.  What
is found is kept as it goes, so a run can be stopped and goes on where it was; survivors without a reason are tried
again, since there may be new tests.  A module whose text has changed is begun again.  `--page` only writes the page
anew, after reasons were written.
"""

import os
import sys
import time
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from functools import cache
from itertools import accumulate
from pathlib import Path

from tests.mutants import kept
from tests.mutants.changes import Change, Spot, changes, spot_at, spots_of
from tests.mutants.reaching import Reach, reach_of
from tests.mutants.rooms import CannotTry, modules, part_of
from tests.mutants.trying import Tree, run_tests

FIRST_FEW = 12
"""Tests that are asked before all others: most mutants die at once, and then few test files were loaded in vain."""
SECONDS_OF_TESTS = 15.0
"""A mutant that only slower tests would notice is reported as a survivor: the figures err on the strict side."""
TIMES_THE_USUAL, SECONDS_MORE = 10.0, 30.0
KEEP_EVERY = 30.0


class Trial:
    """One module and its mutants, in the copy of the tree."""

    def __init__(self, module: str, tree: Tree, reach: Reach) -> None:
        self.module = module
        self.tree = tree
        self.reach = reach
        self.file = tree.folder / module
        self.text = self.file.read_text(encoding="utf-8")
        self.spots = spots_of(self.text)
        self.killers: dict[str, int] = {}

    def require_that_nothing_dies_unchanged(self) -> None:
        """Else CannotTry: whatever is wrong here would kill every mutant."""
        tests = self.reach.of_module(self.module)[:FIRST_FEW]
        if tests and not self._passes(tests):
            raise CannotTry(f"{self.module}: its tests do not pass as it is; see build/mutants/last-run.txt")

    def survives(self, change: Change) -> bool:
        """Whether no test notices this change."""
        tests = self._tests(spot_at(self.spots, change.line))
        times = self.file.stat()
        self.file.write_text(change.text, encoding="utf-8")
        try:
            return all(self._passes(some) for some in (tests[:FIRST_FEW], tests[FIRST_FEW:]) if some)
        finally:
            # With its old time it fits what Python has compiled of it; a mutant is newer and is compiled itself.
            self.file.write_text(self.text, encoding="utf-8")
            os.utime(self.file, ns=(times.st_atime_ns, times.st_mtime_ns))

    def _tests(self, spot: Spot) -> list[str]:
        """The tests to ask, as far as the time allows.

        First those that have noticed most so far, then the quickest; those in a file that is named after the module
        are worth five times their time.
        """
        tests = self.reach.of_spot(self.module, spot)
        times = {test: self.reach.seconds[test] / (5 if self._is_named_in(test) else 1) for test in tests}
        tests.sort(key=lambda test: (-self.killers.get(test, 0), times[test], test))
        spent = list(accumulate(self.reach.seconds[test] for test in tests))
        return tests[: bisect_right(spent, SECONDS_OF_TESTS) or 1]

    def _is_named_in(self, test: str) -> bool:
        file = Path(test.partition("::")[0]).stem
        module = Path(self.module)
        return module.stem in file or module.parent.name in file

    def _passes(self, tests: Sequence[str]) -> bool:
        outcome = run_tests(self.tree, tests, self._limit(tests))
        if outcome.failed is not None:
            self.killers[outcome.failed] = self.killers.get(outcome.failed, 0) + 1
        return outcome.status == 0

    def _limit(self, tests: Sequence[str]) -> float:
        return TIMES_THE_USUAL * sum(self.reach.seconds[test] for test in tests) + SECONDS_MORE


def try_module(trial: Trial, sample: int | None) -> kept.Found:
    """Try what has not been tried, and the survivors again; what is found is kept as it goes."""
    module = trial.module
    every = changes(module, trial.text)
    before = kept.stored().get(module)
    reasons = kept.reasons_of(before)
    found = kept.taken_up(before, trial.text, every)
    again = [every[survivor.number] for survivor in found.survived if not survivor.reason]
    fresh = every[found.tried : sample]
    if again or fresh:
        trial.require_that_nothing_dies_unchanged()
    saved = time.monotonic()
    for change in [*again, *fresh]:
        found.survived = [each for each in found.survived if each.number != change.number]
        if trial.survives(change):
            found.survived.append(kept.survivor(change, reasons))
        found.tried = max(found.tried, change.number + 1)
        if time.monotonic() > saved + KEEP_EVERY:
            keep(module, found)
            saved = time.monotonic()
    keep(module, found)
    return found


def keep(module: str, found: kept.Found) -> None:
    kept.store({**kept.stored(), module: found})


def main(arguments: Sequence[str]) -> int:
    """0 if every survivor of these modules has its reason, 1 if not, 2 if they cannot be tried, 130 if interrupted."""
    if list(arguments) == ["--page"]:
        kept.store(kept.stored())
        return 0
    sample = int(os.environ["SAMPLE"]) if os.environ.get("SAMPLE") else None
    try:
        return 1 if sum(open_ones(modules(arguments), sample)) else 0
    except CannotTry as why:
        print(why, file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        return 130


def open_ones(asked: Sequence[str], sample: int | None) -> Iterator[int]:
    """Try these modules; how many survivors without a reason each has."""
    tree = Tree.copied()
    reached = cache(lambda part: reach_of(part, tree))
    for module in asked:
        began = time.monotonic()
        found = try_module(Trial(module, tree, reached(part_of(module))), sample)
        left = sum(not survivor.reason for survivor in found.survived)
        print(
            f"{module}: {found.mutants} mutants, {found.tried} tried, {found.tried - len(found.survived)} killed,"
            f" {len(found.survived)} survived, {left} of them without a reason"
            f" ({time.monotonic() - began:.0f} seconds)",
            flush=True,
        )
        yield left


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
