"""Which tests reach which line of a part of the house, and how long each takes.

It is measured under coverage and kept in build/mutants/, a test file at a time: one that has changed is measured again
alone.  Where the part itself has changed, or what its tests share, everything is measured again.
"""

import hashlib
import json
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.mutants.changes import Spot
from tests.mutants.rooms import HOLDERS, CannotTry
from tests.mutants.trying import Tree, run_tests

AT_IMPORT = ""
"""The name that coverage gives to whatever runs outside tests."""
NO_TESTS = 5
"""How pytest ends where a file has only tests marked long."""


@dataclass(frozen=True)
class Reach:
    """The seconds that each test takes, and for each module and line the tests that reach it."""

    seconds: dict[str, float]
    lines: dict[str, dict[int, set[str]]]

    def of_module(self, module: str) -> list[str]:
        """All tests that reach any line of a module, quickest first."""
        return self._quickest_first(set().union(*self.lines.get(module, {}).values()))

    def of_spot(self, module: str, spot: Spot) -> list[str]:
        """The tests that reach a statement, quickest first.

        What runs when a module is loaded acts on whoever uses it and is seen in the first test alone, so all others
        come behind.
        """
        lines = self.lines.get(module, {})
        found: set[str] = set().union(*(lines.get(line, ()) for line in range(spot.first, spot.last + 1)))
        first = self._quickest_first(found)
        if not spot.loads and AT_IMPORT not in found:
            return first
        return [*first, *self._quickest_first(self.seconds.keys() - found)]

    def _quickest_first(self, tests: set[str]) -> list[str]:
        return sorted(tests - {AT_IMPORT}, key=lambda test: (self.seconds[test], test))


def reach_of(part: str, tree: Tree) -> Reach:
    """As it was kept; what has changed since is measured now."""
    file = tree.folder.parent / f"{part.replace('/', '-')}.json"
    before = json.loads(file.read_text(encoding="utf-8")) if file.exists() else {}
    whole = _digest(tree, _shared(tree, part))
    kept = before["units"] if before.get("whole") == whole else {AT_IMPORT: {"seconds": {}, "lines": {}}}
    units = {unit: _digest(tree, [tree.folder / unit]) for unit in _units(tree, part)}
    for unit in [unit for unit, digest in units.items() if kept.get(unit, {}).get("digest") != digest]:
        print(f"{part}: looking which lines are reached from {unit} ...", flush=True)
        measured, at_import = _measured(part, unit, tree)
        kept[unit] = {"digest": units[unit], **measured}
        for module, lines in at_import.items():
            kept[AT_IMPORT]["lines"].setdefault(module, {}).update(lines)
        file.write_text(json.dumps({"whole": whole, "units": kept}), encoding="utf-8")
    return _reach_from(kept[unit] for unit in (AT_IMPORT, *units))


def _units(tree: Tree, part: str) -> list[str]:
    """The files of tests, and the part itself for its examples."""
    named = [path for where in HOLDERS[part] for path in tree.folder.glob(where)]
    files = {file for path in named for file in ([path] if path.is_file() else path.rglob("test_*.py"))}
    return [part, *sorted(file.relative_to(tree.folder).as_posix() for file in files)]


def _shared(tree: Tree, part: str) -> list[Path]:
    """The part, and what its tests share."""
    folders = {
        (tree.folder / where).parent if ".py" in where else tree.folder / where for where in HOLDERS[part][1:]
    }
    helpers = [path for folder in (tree.folder / "tests", *folders) for path in folder.glob("*.py")]
    own = (tree.folder / part).rglob("*.py")
    return [*own, *(path for path in helpers if not path.name.startswith("test_"))]


def _digest(tree: Tree, paths: Iterable[Path]) -> str:
    found = hashlib.sha256()
    for path in sorted(paths):
        if path.is_file():  # a part is among the units for its name; its text is in `whole`
            found.update(
                path.relative_to(tree.folder).as_posix().encode() + b"\0" + path.read_bytes() + b"\0"
            )
    return found.hexdigest()[:16]


def _measured(part: str, unit: str, tree: Tree) -> tuple[dict[str, Any], dict[str, Any]]:
    """The seconds of each test of a unit and the lines that it reaches; and the lines that run outside of tests."""
    from coverage import CoverageData

    data_file = tree.folder.parent / "coverage"
    data_file.unlink(missing_ok=True)
    settings = f"--cov-config={tree.coverage_settings(data_file)}"
    arguments = [f"--cov={part}", "--cov-context=test", "--cov-report=", settings, unit]
    outcome = run_tests(tree, arguments, seconds=7200.0, measures=True)
    if outcome.status not in (0, NO_TESTS):
        raise CannotTry(f"the tests of {unit} do not pass as they are: {outcome.failed or outcome.status}")
    tests = list(outcome.seconds)
    if tests and run_tests(tree, ["--collect-only", *tests], seconds=600.0, measures=True).status != 0:
        raise CannotTry(f"the tests of {unit} are not found by their names")
    data = CoverageData(str(data_file))
    data.read()
    reached: dict[str, dict[str, list[str]]] = {}
    at_import: dict[str, dict[str, list[str]]] = {}
    for file in data.measured_files():
        module = Path(file).relative_to(tree.folder).as_posix()
        for line, contexts in data.contexts_by_lineno(file).items():
            names = {context.rpartition("|")[0] for context in contexts}
            if AT_IMPORT in names:
                at_import.setdefault(module, {})[str(line)] = [AT_IMPORT]
            if names - {AT_IMPORT}:
                reached.setdefault(module, {})[str(line)] = sorted(names - {AT_IMPORT})
    seconds = {test: round(seconds, 3) for test, seconds in outcome.seconds.items()}
    return {"seconds": seconds, "lines": reached}, at_import


def _reach_from(units: Iterable[dict[str, Any]]) -> Reach:
    """The units together."""
    seconds: dict[str, float] = {}
    reached: dict[str, dict[int, set[str]]] = {}
    for unit in units:
        seconds.update(unit["seconds"])
        for module, lines in unit["lines"].items():
            for line, tests in lines.items():
                reached.setdefault(module, {}).setdefault(int(line), set()).update(tests)
    return Reach(seconds, reached)
