"""Write the page about the functions that are stable from their docstrings.

``python docs/reference/functions.py [FILE]``; without a file, the page beside this script.
"""

import ast
import importlib
import inspect
import sys
import textwrap
from collections.abc import Iterator
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
WIDTH = 80
STABLE = {
    "Games and house rules": (
        "games.load.load_game",
        "games.house.load_house_rules",
        "games.game.Game",
        "games.housed.HousedGame",
        "games.problems.BadInput",
        "games.problems.Problem",
    ),
    "The truth about a game": (
        "solver.solve.solve",
        "solver.solve.Solution",
        "solver.engines.solve_any",
        "solver.run.TooMuchMemory",
        "solver.journal.Journal",
        "solver.network.network",
    ),
    "Strategies and proofs": (
        "solver.load.load_strategy",
        "solver.load.Written",
        "solver.proof.prove",
        "solver.proof.Proof",
        "solver.record.proof_record",
        "solver.record.plies",
        "solver.fixed.fix",
        "solver.fixed.FixedPlay",
        "solver.compare.compare",
        "workbench.evidence.checker.check",
    ),
    "The least strategy, and the least change": (
        "solver.least.answers.least_answers",
        "solver.least.pictures.least_pictures",
        "solver.least.weights.least_weights",
        "solver.repair.answers.fewest_answers",
        "solver.repair.spare.spared",
    ),
    "Machines and programs": (
        "budget.card.load_machine",
        "budget.card.CostCard",
        "budget.machine.assembler.assemble",
        "budget.machine.simulator.Machine",
        "budget.machine.fleet.Fleet",
        "budget.machine.channel.keyed",
        "budget.machine.channel.printed",
        "budget.building.make",
        "budget.closing.close",
        "budget.plan.tradeoffs.plan",
        "budget.images.load.load_image",
        "budget.images.proofread.proofread",
    ),
    "The class and the day": (
        "workbench.drill.report.drill",
        "workbench.grading.grade.grade",
        "workbench.coaching.visitor.odds_against",
        "workbench.pictures.board.board_svg",
        "workbench.pictures.strip.strip_svg",
        "workbench.pictures.page.page",
    ),
}
BEGINNING = """\
# Functions that are stable

These can be called from Python, and keep their names, arguments and results while the first number of the version
stays; a change of any of them is named in the [changelog](../../CHANGELOG.md). Everything else may change at any time.
All of them are typed (`py.typed`). [From Python](../python.md) shows how they go together; this page is written from
their docstrings by `docs/reference/functions.py`.

Bad input raises `games.problems.BadInput`. Positions are numbers (unsigned, of 64 bits), and moves are numbers of
`game.move_names`.
"""


def main(out: Path) -> None:
    out.write_text("\n".join(lines()), encoding="utf-8", newline="\n")


def lines() -> Iterator[str]:
    yield BEGINNING
    for title, names in STABLE.items():
        yield f"## {title}\n"
        for name in names:
            yield from about(name)


def about(name: str) -> Iterator[str]:
    """A function, or a class with what is public in it."""
    module, _, short = name.rpartition(".")
    found = getattr(importlib.import_module(module), short)
    yield f"### {short}\n"
    yield f"`from {module} import {short}`\n"
    if inspect.isclass(found):
        yield told(found)
        members = [
            f"* `{each}{signature(member)}`: {summary(member)}"
            for each, member in vars(found).items()
            if not each.startswith("_") and summary(member)
        ]
        if members:
            yield "\n".join(members) + "\n"
    else:
        yield f"```text\n{short}{signature(found, in_lines=True)}\n```\n"
        yield told(found)


def told(found: object) -> str:
    """The docstring without its examples, which are run where they stand."""
    parts = (inspect.getdoc(found) or "").split("\n\n")
    return "\n\n".join(part for part in parts if not part.startswith(">>>")) + "\n"


def signature(member: Any, *, in_lines: bool = False) -> str:
    """Arguments and result as they are written in the source; nothing for what is no function."""
    member = getattr(member, "__func__", member)
    if not inspect.isfunction(member):
        return ""
    written = ast.parse(textwrap.dedent(inspect.getsource(member))).body[0]
    assert isinstance(written, ast.FunctionDef)
    for kind in (written.args.posonlyargs, written.args.args):
        kind[:] = [each for each in kind if each.arg not in {"self", "cls"}]
    result = f" -> {ast.unparse(written.returns)}" if written.returns else ""
    arguments = ast.unparse(written.args)
    if not in_lines or len(arguments) < WIDTH:
        return f"({arguments}){result}"
    rows = textwrap.wrap(arguments, WIDTH, break_long_words=False, break_on_hyphens=False)
    return "(\n" + textwrap.indent("\n".join(rows), "    ") + f"\n){result}"


def summary(member: Any) -> str:
    """The first line of a docstring of its own."""
    if not (inspect.isfunction(member) or isinstance(member, property | classmethod | staticmethod)):
        return ""
    return (inspect.getdoc(member) or "").partition("\n\n")[0].replace("\n", " ")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else HERE / "functions.md")
