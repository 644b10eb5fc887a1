"""How long the command takes from start to end, beside a Python that only imports numpy and click.

The commands take turns, round after round, so that a busy spell of the machine hits all alike; the
medians are compared. Nothing is asserted: a timed test fails on the day the machine is busy.
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
import time
from pathlib import Path
from statistics import median
from typing import NamedTuple

ROOT = Path(__file__).resolve().parent.parent
YARDSTICK = "import numpy, click"


class Taken(NamedTuple):
    """Seconds of one run: by the clock, and of processor time (0 where the system does not tell)."""

    clock: float
    processor: float


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument(
        "sheet", nargs="?", type=Path, help="rule sheet to prove; default: the first in examples/"
    )
    parser.add_argument("--rounds", type=int, default=21, help="how often each command runs (default 21)")
    arguments = parser.parse_args()
    sheet = arguments.sheet or min((ROOT / "examples").rglob("*.rules"), default=None)
    if sheet is None:
        parser.error("there is no rule sheet in examples/; name one")
    commands = {
        YARDSTICK: [sys.executable, "-c", YARDSTICK],
        f"wordtight prove {sheet.name}": [*wordtight(), "prove", str(sheet)],
        "wordtight --help": [*wordtight(), "--help"],
        "nothing": [sys.executable, "-c", "pass"],
    }
    report(measured(commands, arguments.rounds), arguments.rounds)
    return 0


def wordtight() -> list[str]:
    """Give the command as people start it: the script beside this Python, if it was installed."""
    script = shutil.which("wordtight", path=str(Path(sys.executable).parent))
    return [script] if script else [sys.executable, "-m", "workbench"]


def measured(commands: dict[str, list[str]], rounds: int) -> dict[str, list[Taken]]:
    taken: dict[str, list[Taken]] = {name: [] for name in commands}
    for command in commands.values():
        once(command)  # the first run fills the disk's cache and does not count
    for _ in range(rounds):
        for name, command in commands.items():
            taken[name].append(once(command))
    return taken


def once(command: list[str]) -> Taken:
    before, start = processor_seconds(), time.perf_counter()
    done = subprocess.run(command, cwd=ROOT, capture_output=True, encoding="utf-8", check=False)
    taken = Taken(time.perf_counter() - start, processor_seconds() - before)
    if done.returncode not in (0, 1):
        sys.exit(f"{' '.join(command)} ends with status {done.returncode}:\n{done.stderr}")
    return taken


def processor_seconds() -> float:
    """Give the processor time of all commands run so far."""
    if os.name == "nt":
        return 0.0  # Windows does not tell
    import resource

    usage = resource.getrusage(resource.RUSAGE_CHILDREN)
    return usage.ru_utime + usage.ru_stime


def report(taken: dict[str, list[Taken]], rounds: int) -> None:
    medians = {name: Taken(*map(median, zip(*runs, strict=True))) for name, runs in taken.items()}
    yardstick = medians[YARDSTICK]
    print(f"medians of {rounds} rounds, Python {sys.version.split()[0]}")
    print(f"{'command':42} {'clock ms':>9} {'ratio':>6} {'processor ms':>13} {'ratio':>6}")
    for name, (clock, processor) in medians.items():
        ratio = f"{processor / yardstick.processor:6.2f}" if yardstick.processor else f"{'-':>6}"
        print(f"{name:42} {clock * 1e3:9.1f} {clock / yardstick.clock:6.2f} {processor * 1e3:13.1f} {ratio}")


if __name__ == "__main__":
    sys.exit(main())
