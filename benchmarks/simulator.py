"""How many instructions do the simulators execute in a second of processor time, with games side by side?

A realistic program, noughts and crosses written by hand, is played by visitors who press random keys, one in eight of
them wrong, each on a machine of his own: so machines soon stand at different places.  Measured for fleets of several
sizes, and for one machine alone, which gives the same counts one instruction at a time: in our own orders
(tests/budget/machine/second_seat.orders; aim: 20 million a second), and expanded into the real orders of an order
sheet (tests/budget/orders/second_seat_plain.orders).
"""

from __future__ import annotations

import argparse
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import numpy as np

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from budget.card import load_machine  # noqa: E402 - the checkout's own rooms, installed or not
from budget.machine.fleet import Fleet  # noqa: E402
from budget.machine.program import Program  # noqa: E402
from budget.programs import machine_for, program_of_file  # noqa: E402
from budget.target.fleet import TargetFleet  # noqa: E402

FLEETS = (100, 1_000, 10_000)
KEYS = 20
"""Keys that each visitor presses: about three games."""
AIM = 20e6


class Kind(NamedTuple):
    """One simulator: its program, how a fleet is loaded, the first code of a figure, and the aim, if there is one."""

    program: Program
    loaded: Callable[[Program, int], Fleet | TargetFleet]
    figure: int
    aim: float | None


def kinds() -> list[Kind]:
    """Our own orders, and those of an order sheet."""
    tests = ROOT / "tests" / "budget"
    own = program_of_file(tests / "machine" / "second_seat.orders", load_machine("twelve-bit"))
    sheet = program_of_file(tests / "orders" / "second_seat_plain.orders", load_machine("twelve-bit-orders"))
    return [Kind(own, Fleet.loaded, ord("1"), AIM), Kind(sheet, TargetFleet.loaded, ord("1") | 0o200, None)]


def keys(count: int, seed: int, figure: int) -> list[list[int]]:
    """What visitors press, KEYS of each: figures, and one key in eight is any of the 64 around them."""
    random = np.random.default_rng(seed)
    figures = random.integers(figure, figure + 9, (count, KEYS))
    first = figure & ~63
    anything = random.integers(first, first + 64, (count, KEYS))
    pressed: list[list[int]] = np.where(random.random((count, KEYS)) < 1 / 8, anything, figures).tolist()
    return pressed


def fleet_speed(kind: Kind, count: int, seed: int) -> tuple[int, float]:
    """Instructions of all machines together, and seconds of processor time."""
    pressed = keys(count, seed, kind.figure)
    fleet = kind.loaded(kind.program, count)
    begin = time.process_time()
    fleet.run(pressed)
    return int(fleet.states.instructions.sum()), time.process_time() - begin


def single_speed(kind: Kind, seed: int) -> tuple[int, float]:
    """The same for one machine alone."""
    machine = machine_for(kind.program)
    machine.feed(keys(1, seed, kind.figure)[0])
    begin = time.process_time()
    machine.run()
    return machine.instructions, time.process_time() - begin


def tell(kind: Kind, rounds: int) -> None:
    """Measure one simulator, and print what was found."""
    program = kind.program
    print(
        f"{Path(program.file).name} on {program.card.name}: {program.words()} words; {KEYS} keys on each machine;"
        f" median of {rounds} rounds"
    )
    print(
        f"{'machines':>9}  {'instructions':>13}  {'CPU seconds':>11}  {'million a second':>16}  {'times':>6}  aim"
    )
    counts = (1, *FLEETS)
    measured: dict[int, list[tuple[int, float]]] = {count: [] for count in counts}
    for seed in range(rounds):
        for count in counts:
            measured[count].append(single_speed(kind, seed) if count == 1 else fleet_speed(kind, count, seed))
    speeds = {count: [done / seconds for done, seconds in measured[count]] for count in counts}
    for count in counts:
        speed = statistics.median(speeds[count])
        times = statistics.median(
            fleet / alone for fleet, alone in zip(speeds[count], speeds[1], strict=True)
        )
        done, seconds = measured[count][-1]
        reached = "" if kind.aim is None else "reached" if speed >= kind.aim else "not reached"
        print(
            f"{count:>9,}  {done:>13,}  {seconds:>11.2f}  {speed / 1e6:>16.1f}  {times:>6.0f}  {reached}".rstrip()
        )
    print()


def main() -> None:
    """Measure both simulators."""
    parser = argparse.ArgumentParser(description="Measure the simulators on a program written by hand.")
    parser.add_argument("--rounds", type=int, default=3, help="measure so often, and give the median")
    rounds = parser.parse_args().rounds
    for kind in kinds():
        tell(kind, rounds)


if __name__ == "__main__":
    main()
