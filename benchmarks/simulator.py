"""How many instructions does the simulator execute in a second of processor time, with games side by side?

A realistic program, noughts and crosses written by hand (tests/budget/machine/second_seat.orders), is played by
visitors who press random keys, one in eight of them wrong, each on a machine of his own: so machines soon stand at
different places.  Measured for fleets of several sizes, and for one machine alone, which gives the same counts one
instruction at a time.  Aim: 20 million a second.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import time
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from budget.card import load_machine  # noqa: E402 - the checkout's own rooms, installed or not
from budget.machine.assembler import assemble_file  # noqa: E402
from budget.machine.fleet import Fleet  # noqa: E402
from budget.machine.program import Program  # noqa: E402
from budget.machine.simulator import Machine  # noqa: E402

PROGRAM = ROOT / "tests" / "budget" / "machine" / "second_seat.orders"
FLEETS = (100, 1_000, 10_000, 100_000)
KEYS = 20
"""Keys that each visitor presses: about three games."""
AIM = 20e6


def keys(count: int, seed: int) -> np.ndarray:
    """What visitors press, shape (count, KEYS): digits, and one key in eight is any of 64."""
    random = np.random.default_rng(seed)
    digits = random.integers(ord("1"), ord("9") + 1, (count, KEYS))
    return np.where(random.random((count, KEYS)) < 1 / 8, random.integers(0, 64, (count, KEYS)), digits)


def fleet_speed(program: Program, count: int, seed: int) -> tuple[int, float]:
    """Instructions of all machines together, and seconds of processor time."""
    pressed = keys(count, seed)
    fleet = Fleet.loaded(program, count)
    begin = time.process_time()
    fleet.run(pressed)
    return int(fleet.states.instructions.sum()), time.process_time() - begin


def single_speed(program: Program, seed: int) -> tuple[int, float]:
    """The same for one machine alone."""
    machine = Machine.loaded(program)
    machine.feed(keys(1, seed)[0].tolist())
    begin = time.process_time()
    machine.run()
    return machine.instructions, time.process_time() - begin


def main() -> None:
    parser = argparse.ArgumentParser(description="Measure the simulator on a program written by hand.")
    parser.add_argument("--rounds", type=int, default=3, help="measure so often, and give the median")
    rounds = parser.parse_args().rounds
    program = assemble_file(PROGRAM, load_machine("twelve-bit"))
    print(f"{PROGRAM.name}: {program.words()} words; {KEYS} keys on each machine; median of {rounds} rounds")
    print(f"{'machines':>9}  {'instructions':>13}  {'CPU seconds':>11}  {'million a second':>16}  aim")
    for count in (1, *FLEETS):
        measured = [
            single_speed(program, seed) if count == 1 else fleet_speed(program, count, seed)
            for seed in range(rounds)
        ]
        speed = statistics.median(done / seconds for done, seconds in measured)
        done, seconds = measured[-1]
        reached = "reached" if speed >= AIM else "not reached"
        print(f"{count:>9,}  {done:>13,}  {seconds:>11.2f}  {speed / 1e6:>16.1f}  {reached}")


if __name__ == "__main__":
    main()
