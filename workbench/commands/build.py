"""`wordtight build`: a strategy, or a program in orders, as files that a machine loads and people check."""

import sys
from pathlib import Path
from typing import Any, NoReturn

import click

from budget.building import Wish
from budget.card import COMPILER, CostCard, load_machine
from budget.images.build import Built, build_files
from budget.images.load import ORDERS
from budget.machine.listing import word_counts
from budget.machine.program import Program
from budget.programs import program_of_file
from workbench.asked import Asked
from workbench.built_strategy import BuiltStrategy, ClaimFails, NotWritten, Refused, build_strategy
from workbench.compiled_build import CompiledStrategy, build_compiled, tell_compiled
from workbench.files import write_folder
from workbench.form_option import program_options, wish_for
from workbench.options import (
    carried,
    claim_option,
    game_option,
    house_option,
    machine_option,
    one_seat_option,
)
from workbench.output import emit_json, json_option, say, say_lines, say_next, typed
from workbench.progress import ProgressLine
from workbench.tell_build import built_lines, files_of_strategy, names_of_ours, tell_strategy, with_listing
from workbench.tell_program import counted


@click.command("build")
@click.argument("file", type=click.Path(dir_okay=False))
@machine_option
@click.option(
    "-o", "--output", metavar="DIR", required=True, help="The folder to write, which appears whole."
)
@game_option
@one_seat_option
@claim_option
@house_option
@program_options
@click.option("--self-test", is_flag=True, help="Add games for the morning that try all that is stored.")
@click.option("--anyway", is_flag=True, help="Also a strategy whose claim does not hold.")
@click.option("--force", is_flag=True, help="Write over a folder that holds such files already.")
@json_option
def command(
    file: str,
    machine: str,
    output: str,
    game: str | None,
    seat: str | None,
    claim: str | None,
    house_rules: str | None,
    encoding: str | None,
    check_sum: bool,
    check_between: bool,
    self_test: bool,
    keep_verdicts: bool,
    anyway: bool,
    force: bool,
    as_json: bool,
) -> None:
    """Write FILE, a strategy or a program (.orders), as files to load.

    The listing, Intel HEX, S-records, paper tape in the machine's code, rows to
    type, and a map of the store. A strategy becomes a program first, which is
    run in every state that it can get into: nothing is written that does not play
    as the strategy does. Ends with status 1, and writes nothing, if the claim
    does not hold or no program fits, and with 3 if we cannot write one.
    """
    wish = wish_for(encoding, check_sum=check_sum, check_between=check_between, keep_verdicts=keep_verdicts)
    card = load_machine(machine)
    asked = Asked(file, game, seat, claim, house_rules)
    _refuse_contradictions(asked, card, wish, self_test=self_test, anyway=anyway)
    compiled: CompiledStrategy | None = None
    strategy: BuiltStrategy | None = None
    try:
        with ProgressLine() as progress:
            if card.programs == COMPILER:
                compiled = build_compiled(asked, card, encoding, progress, anyway=anyway)
            elif not _in_orders(file):
                strategy = build_strategy(asked, card, wish, progress, anyway=anyway, with_test=self_test)
    except Refused as refusal:
        _refuse(asked, machine, refusal, as_json=as_json)
    if compiled is not None:
        write_folder(output, compiled.files, overwrite=force, ours=())
        tell_compiled(compiled, output, as_json=as_json)
        return
    program = program_of_file(file, card) if strategy is None else strategy.product.lowered.program
    name = Path(file).stem
    built = with_listing(build_files(program, name), program, name)
    if strategy is not None:
        built = files_of_strategy(built, strategy, name)
    write_folder(output, built.files, overwrite=force, ours=names_of_ours(name))
    if as_json:
        emit_json(
            {**_record(file, output, program, built), **({} if strategy is None else strategy.as_json())}
        )
        return
    _tell(output, program, built, strategy)
    written = Path(output) / name
    _say_next(file if strategy is None else f"{written.as_posix()}{ORDERS}", written, machine)


def _in_orders(file: str) -> bool:
    """Whether a file is a program in orders, by its name; what is none is a strategy."""
    return file.lower().endswith(ORDERS)


def _refuse_contradictions(
    asked: Asked, card: CostCard, wish: Wish, *, self_test: bool, anyway: bool
) -> None:
    """Raise UsageError for options that say nothing about what is built."""
    if card.programs == COMPILER:
        if _in_orders(asked.file) or wish != Wish(wish.only) or self_test:
            raise click.UsageError(
                "a compiled program has no check-sum, no games for the morning and no orders; expected none of these"
            )
    elif _in_orders(asked.file) and (asked != Asked(asked.file) or wish != Wish() or self_test or anyway):
        raise click.UsageError("a program in orders is built as it stands; expected no option of strategies")


def _refuse(asked: Asked, machine: str, refusal: Refused, *, as_json: bool) -> NoReturn:
    """Say why nothing is written, and end with the status that says whether that is an answer."""
    if as_json:
        emit_json(
            {
                "file": asked.file,
                "machine": machine,
                "folder": None,
                "verdict": refusal.verdict,
                "why": str(refusal),
                "reasons": list(refusal.reasons),
                "files": [],
            }
        )
    else:
        hint = " (--anyway builds it)" if isinstance(refusal, ClaimFails) else ""
        say(f"NOTHING IS WRITTEN: {asked.file}: {refusal}{hint}.")
        for reason in refusal.reasons:
            say(f"{reason}.", indent="    ")
        options = carried(**{name: value for name, value in asked._asdict().items() if name != "file"})
        if isinstance(refusal, NotWritten):
            say_next(
                f"wordtight size {typed(asked.file)} --machine {typed(machine)}{options}", "in other forms?"
            )
        else:
            say_next(f"wordtight prove {typed(asked.file)}{options}", "what is proved about it")
    sys.exit(refusal.status)


def _record(file: str, output: str, program: Program, built: Built) -> dict[str, Any]:
    """What was written, by its JSON keys."""
    return {
        "file": file,
        "machine": program.card.name,
        "folder": output,
        "start": program.start,
        "words": word_counts(program),
        "files": [
            {"name": name, "what": built.titles[name], "bytes": len(content)}
            for name, content in built.files.items()
        ],
        "left_out": [{"what": what, "why": why} for what, why in built.left_out.items()],
    }


def _tell(output: str, program: Program, built: Built, strategy: BuiltStrategy | None) -> None:
    """What was written, in plain lines."""
    if strategy is not None:
        tell_strategy(strategy)
    say(f"Written to the folder {output}:")
    say()
    say_lines(built_lines(built))
    say()
    for what, why in built.left_out.items():
        say(f"There is no {what}: {why}.")
    say(counted(program))


def _say_next(image: str, written: Path, machine: str) -> None:
    """To hold what was typed against the image; written: what was written, without the ends of the names."""
    rows = f"{written.as_posix()}.rows.txt"
    say_next(
        f"wordtight proofread {typed(image)} {typed(rows)} --machine {typed(machine)}",
        "in place of the rows, name what was typed or read back",
    )
