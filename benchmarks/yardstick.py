"""How fast games are solved, beside a plain C++ program that solves the same in one thread.

usage: yardstick.py [--yardstick FOLDER] [--big] [--rounds N] [--only NAME ...] [--memory MB] [--write]

The two take turns, round after round, each in a process of its own; ratios are taken within a round, and medians
over all rounds.  What is imported is imported before the clock starts.  Counts and values must agree.  Without the
folder, or where there is no g++, only our own figures are given.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import shutil
import subprocess
import sys
import tempfile
from collections import defaultdict
from importlib.metadata import version
from pathlib import Path
from statistics import median
from typing import Any, NamedTuple

from workloads import WORKLOADS, Workload

HERE = Path(__file__).resolve().parent
DOCUMENT = HERE.parent / "docs" / "speed.md"
BIG_ROUNDS = 2
MINIMAX_ROUNDS = 3
WON_IN_HALVES = 64
"""The yardstick's byte for a position that has just been lost is minus this."""


class Run(NamedTuple):
    """What one process printed, the processor seconds that it counted, and the most memory that it held, in MB."""

    said: dict[str, Any]
    seconds: float
    megabytes: float


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument(
        "--yardstick", type=Path, metavar="FOLDER", help="where halves.cpp and slide.cpp lie; default: none"
    )
    parser.add_argument("--big", action="store_true", help="also the games of tens of millions of positions")
    parser.add_argument("--rounds", type=int, default=5, help=f"default 5; {BIG_ROUNDS} for the big games")
    parser.add_argument("--only", nargs="+", choices=WORKLOADS, metavar="NAME", help=", ".join(WORKLOADS))
    parser.add_argument("--memory", type=int, default=2048, metavar="MB", help="what a solver may use")
    parser.add_argument("--write", action="store_true", help=f"write the table to {DOCUMENT.name} as well")
    arguments = parser.parse_args()
    names = arguments.only or [
        name for name, workload in WORKLOADS.items() if arguments.big or not workload.big
    ]
    with tempfile.TemporaryDirectory() as folder:
        programs, missing = built(arguments.yardstick, Path(folder))
        measured, minimax = measure(names, programs, arguments.rounds, arguments.memory)
    lines = table(measured, minimax)
    lines += [f"\n{line}" for line in missing]
    print("\n".join([*lines, *wrong(measured)]))
    if arguments.write:
        write_document(lines)
    return 1 if wrong(measured) else 0


# The yardstick --------------------------------------------------------------------------------------------


def built(source: Path | None, folder: Path) -> tuple[dict[str, Path], list[str]]:
    """The yardstick's programs, by name, and a line on why there are none."""
    if source is None:
        return {}, ["No yardstick was named (--yardstick FOLDER), so these are our own figures only."]
    if not source.is_dir():
        return {}, [f"There is no folder {source} with a yardstick, so these are our own figures only."]
    compiler = shutil.which("g++")
    if compiler is None:
        return {}, ["There is no g++ here to build the yardstick, so these are our own figures only."]
    programs = {}
    for name in sorted({workload.program[0] for workload in WORKLOADS.values()}):
        program = folder / name
        for flags in (["-O3", "-march=native"], ["-O3"]):  # not every g++ knows its processor by that name
            command = [compiler, *flags, "-o", str(program), str(source / f"{name}.cpp")]
            done = subprocess.run(command, capture_output=True, encoding="utf-8", check=False)
            if done.returncode == 0:
                programs[name] = program
                break
        else:
            first = next((line for line in done.stderr.splitlines() if "error" in line), "no reason given")
            return {}, [f"The yardstick cannot be built ({first}), so these are our own figures only."]
    return programs, []


def run_rival(program: Path, arguments: tuple[str, ...]) -> Run:
    """One run of a yardstick program, which prints its figures as name=value."""
    text, megabytes = run([str(program), *arguments, "1"])
    said = dict(part.split("=", 1) for part in text.split() if "=" in part)
    if program.name == "halves":
        root = int(said["root"])
        plies = None if root == 0 else WON_IN_HALVES - abs(root)
        wins = root > 0
    else:
        root = int(said["root_byte"])  # 0 a draw, 1 + plies else, and an odd number of plies is a win
        plies = None if root == 0 else root - 1
        wins = plies is not None and plies % 2 == 1
    value = "draw" if plies is None else "first" if wins else "second"
    counts = {"moving": "positions", "placing": "place_positions"}
    counted = {ours: int(said[theirs]) for ours, theirs in counts.items() if theirs in said}
    if program.name == "halves":
        counted = {"positions": int(said["positions"])}
    return Run({"value": value, "distance": plies, **counted}, float(said["cpu"]), megabytes)


# Running --------------------------------------------------------------------------------------------------


def run(command: list[str]) -> tuple[str, float]:
    """What a process prints, and the most memory that it held, in MB (0 where the system does not tell).

    The system counts at least as much as we hold ourselves when we start it, which is why numpy is not loaded here.
    """
    environment = os.environ | {"PYTHONPATH": str(HERE.parent)}
    with tempfile.TemporaryFile() as output:
        process = subprocess.Popen(command, stdout=output, env=environment)
        if hasattr(os, "wait4"):
            _, status, usage = os.wait4(process.pid, 0)
            process.returncode = os.waitstatus_to_exitcode(status)
            megabytes = usage.ru_maxrss / (1 << 20 if sys.platform == "darwin" else 1 << 10)
        else:
            process.wait()
            megabytes = 0.0
        output.seek(0)
        text = output.read().decode()
    if process.returncode:
        sys.exit(f"{' '.join(command)} ends with status {process.returncode}")
    return text, megabytes


def run_ours(*arguments: str) -> Run:
    text, megabytes = run([sys.executable, str(HERE / "one_solve.py"), *arguments])
    said = json.loads(text)
    return Run(said, said.get("seconds", 0.0), megabytes)


class Measured(NamedTuple):
    """All rounds of one workload; `rival` is empty where the yardstick does not run."""

    workload: Workload
    ours: list[Run]
    rival: list[Run]


def measure(
    names: list[str], programs: dict[str, Path], rounds: int, memory: int
) -> tuple[list[Measured], list[Run]]:
    """Every workload in every round, and the minimaxes in some, all of them in turn."""
    ours, rival = defaultdict(list), defaultdict(list)
    minimax = []
    for number in range(rounds):
        for name in names:
            workload = WORKLOADS[name]
            if workload.big and number >= BIG_ROUNDS:
                continue
            tell(f"round {number + 1} of {rounds}: {workload.title}")
            ours[name].append(run_ours(name, str(memory)))
            if workload.rival and workload.program[0] in programs:
                rival[name].append(run_rival(programs[workload.program[0]], workload.program[1:]))
        if number < MINIMAX_ROUNDS and any(name in names for name in ("functions", "own-game")):
            tell(f"round {number + 1} of {rounds}: plain minimax")
            minimax.append(run_ours("--minimax"))
    tell("")
    return [Measured(WORKLOADS[name], ours[name], rival[name]) for name in names], minimax


def tell(text: str) -> None:
    if sys.stderr.isatty():
        print(f"\r{text:<70}", end="\r" if not text else "", file=sys.stderr, flush=True)


# Reporting ------------------------------------------------------------------------------------------------

TITLES = ("game", "positions", "seconds", "ns each", "MB", "C++ seconds", "C++ MB", "ratio", "rounds", "aim")


def table(measured: list[Measured], minimax: list[Run]) -> list[str]:
    """The figures as a table in Markdown, and lines on what does not fit into it."""
    rows = [row(each) for each in measured]
    cells = [TITLES, *rows]
    widths = [max(len(cells_of[column]) for cells_of in cells) for column in range(len(TITLES))]

    def laid(of: tuple[str, ...]) -> str:
        first, *others = zip(of, widths, strict=True)
        return f"| {first[0]:<{first[1]}} | {' | '.join(f'{text:>{width}}' for text, width in others)} |"

    rule = [f"{'-' * widths[0]}", *("-" * (width - 1) + ":" for width in widths[1:])]
    lines = [laid(TITLES), laid(tuple(rule)), *map(laid, rows)]
    return [*lines, *about_slides(measured), *about_minimax(measured, minimax)]


def row(each: Measured) -> tuple[str, ...]:
    refused = each.ours[0].said.get("refused")
    if refused:
        return (each.workload.title, "refused", *["-"] * 7, each.workload.aim)
    said, seconds = each.ours[0].said, median(run.seconds for run in each.ours)
    theirs, ratio = ("-", "-"), "-"
    if each.rival:
        ratios = [ours.seconds / rival.seconds for ours, rival in zip(each.ours, each.rival, strict=True)]
        ratio = f"{median(ratios):.2f}"
        theirs = (
            f"{median(run.seconds for run in each.rival):.3f}",
            f"{max(run.megabytes for run in each.rival):.0f}",
        )
    return (
        each.workload.title,
        f"{said['positions']:,}",
        f"{seconds:.3f}",
        f"{seconds / said['positions'] * 1e9:.0f}",
        f"{max(run.megabytes for run in each.ours):.0f}",
        *theirs,
        ratio,
        str(len(each.ours)),
        each.workload.aim,
    )


def about_slides(measured: list[Measured]) -> list[str]:
    """The counts that the yardstick gives for games of sliding men, and our own."""
    lines = []
    for each in measured:
        said = each.ours[0].said
        if "moving" in said:
            theirs = each.rival[0].said if each.rival else None
            counted = (
                f"{said['moving']:,} arrangements of moving men and {said['placing']:,} of men being placed"
            )
            same = f" (C++: {theirs['moving']:,} and {theirs['placing']:,})" if theirs else ""
            lines.append(
                f"\n{each.workload.title[0].upper()}{each.workload.title[1:]}: {counted}, seen by who is to move and "
                f"unlawful ones included{same}; {said['positions']:,} positions can arise."
            )
    return lines


def about_minimax(measured: list[Measured], minimax: list[Run]) -> list[str]:
    """How much faster the solver is than a plain minimax, for each position."""
    if not minimax:
        return []
    positions = minimax[0].said["positions"]
    on_texts, on_bits = (
        median(run.said[key] for run in minimax) / positions * 1e9 for key in ("seconds", "seconds_on_bits")
    )
    told = f"{positions:,} positions of four in a row on 4 x 4, {len(minimax)} rounds in the same run"
    taken = f"{on_texts:,.0f} ns a position where boards are strings, and {on_bits:,.0f} ns where they are sets of bits"
    lines = [f"\nA plain minimax with a dictionary ({told}) takes {taken}."]
    for each in measured:
        if each.workload in (WORKLOADS["functions"], WORKLOADS["own-game"]):
            ns = median(run.seconds for run in each.ours) / each.ours[0].said["positions"] * 1e9
            lines.append(
                f"{each.workload.title[0].upper()}{each.workload.title[1:]}: {on_texts / ns:.0f} and "
                f"{on_bits / ns:.0f} times as fast."
            )
    return lines


def wrong(measured: list[Measured]) -> list[str]:
    """A line for every workload on which the two do not agree."""
    lines = []
    for each in measured:
        for ours, rival in zip(each.ours, each.rival, strict=False):
            differ = {key for key, value in rival.said.items() if ours.said.get(key) != value}
            if differ and "refused" not in ours.said:
                lines.append(f"WRONG: {each.workload.title}: ours {ours.said}, yardstick's {rival.said}")
    return lines


def write_document(lines: list[str]) -> None:
    """Put the table between the two marks of the document, and the machine beside it."""
    begin, end = "<!-- figures -->", "<!-- end of figures -->"
    text = DOCUMENT.read_text(encoding="utf-8")
    before, _, rest = text.partition(begin)
    _, _, after = rest.partition(end)
    cores = f"{platform.machine()}, {os.cpu_count()} cores shared with other work"
    versions = f"Python {platform.python_version()}, numpy {version('numpy')}"
    machine = (
        f"Measured on {platform.system()} ({cores}), {versions}; medians of as many rounds as are shown."
    )
    body = "\n".join([begin, "", machine, "", *lines, "", end])
    temporary = DOCUMENT.with_name(DOCUMENT.name + ".new")
    temporary.write_text(f"{before}{body}{after}", encoding="utf-8", newline="\n")
    temporary.replace(DOCUMENT)


if __name__ == "__main__":
    sys.exit(main())
