"""`wordtight drill STRATEGY --machine M`: an image on the simulated machine, and the faults that its store can have."""

import json
import sys
from typing import Any, NoReturn

import click

from budget.building import Wish
from budget.card import CostCard, load_machine
from budget.closing import Differs
from budget.drilling.table import fault_table
from budget.faulty import DIFFERS
from solver.proof import PROVED
from workbench.asked import Asked
from workbench.built_strategy import Refused, build_strategy
from workbench.drilled import Drilled, Subject, drill_image, refuse_compilers
from workbench.drilled_image import PlaysOtherwise, built_subject, image_subject
from workbench.fault_mark import FaultMark, faults_digest
from workbench.files import refuse_existing, write_new
from workbench.form_option import program_options, wish_for
from workbench.options import (
    carried,
    claim_option,
    game_option,
    house_option,
    machine_option,
    one_seat_option,
    strategy_argument,
)
from workbench.output import emit_json, json_option, say, say_next, typed
from workbench.progress import ProgressLine
from workbench.statuses import STATUS_WRONG
from workbench.tell_blame import blame_record, tell_blame
from workbench.tell_drilled import drilled_record, tell_drilled


@click.command("drill")
@strategy_argument
@machine_option
@game_option
@one_seat_option
@click.option(
    "--strategy",
    "played",
    metavar="FILE",
    type=click.Path(dir_okay=False),
    help="Drill an image, or a program in orders, that plays as FILE does.",
)
@click.option(
    "--harmless",
    multiple=True,
    metavar="WORD",
    help="A label or address in which anything may stand: it is checked. May be repeated.",
)
@claim_option
@house_option
@program_options
@click.option("--faults", is_flag=True, help="Turn every bit in turn, and more; what comes of each.")
@click.option("-o", "--output", metavar="FILE", help="Write what each fault prints, for `suspect`.")
@click.option("--resume", "mark", metavar="FILE", help="Go on where FILE says; it is kept until all is done.")
@click.option("--force", is_flag=True, help="Write over a file that is there already.")
@json_option
def command(
    strategy: str,
    machine: str,
    game: str | None,
    seat: str | None,
    played: str | None,
    harmless: tuple[str, ...],
    claim: str | None,
    house_rules: str | None,
    encoding: str | None,
    check_sum: bool,
    check_between: bool,
    keep_verdicts: bool,
    faults: bool,
    output: str | None,
    mark: str | None,
    force: bool,
    as_json: bool,
) -> None:
    """Drill STRATEGY as the program that `build` makes of it for a machine.

    Every input in every state that it can get into, until nothing new comes up:
    a proof. Then a store full of noise, the start key in the middle of a game, and
    the next game after every ending. With --faults, what comes of every bit that
    is wrong, of words exchanged or lost, and the fewest games that show it all.

    With --strategy the first file is a program that you have: an image in any
    format, or a text in orders.
    """
    wish = wish_for(encoding, check_sum=check_sum, check_between=check_between, keep_verdicts=keep_verdicts)
    _refuse_contradictions(None if faults else (output, mark), None if played is None else wish)
    if not force:
        refuse_existing(output)
    card = load_machine(machine)
    refuse_compilers(card)
    asked = Asked(strategy if played is None else played, game, seat, claim, house_rules)
    try:
        with ProgressLine() as progress:
            image = None if played is None else strategy
            subject = _subject(image, asked, card, wish, harmless, progress)
            kept = None if mark is None else FaultMark(mark, faults_digest(subject.parts(), asked.written()))
            drilled = drill_image(subject, progress, kept=keep_verdicts, with_faults=faults, mark=kept)
    except Refused as refusal:
        _refuse(asked, machine, refusal, as_json=as_json)
    except Differs as difference:
        if played is None and not harmless:
            raise  # a fault of ours
        _refute(strategy, asked, machine, difference, as_json=as_json)
    if output is not None:
        _write_table(output, drilled, overwrite=force)
    if kept is not None:
        kept.take_away()
    if as_json:
        head = _head(asked, machine, PROVED)
        emit_json({**head, "image": image, **drilled_record(drilled), "table": output})
        return
    tell_drilled(drilled)
    options = carried(strategy=played, game=game, seat=seat, claim=claim, house_rules=house_rules)
    options += "".join(f" --harmless {typed(each)}" for each in harmless)
    say_next(*_afterwards(output, f"wordtight drill {typed(strategy)} --machine {typed(machine)}{options}"))


def _subject(
    image: str | None,
    asked: Asked,
    card: CostCard,
    wish: Wish,
    harmless: tuple[str, ...],
    progress: ProgressLine,
) -> Subject:
    """The program that is drilled: the one in the file of an image, or that of a strategy."""
    if image is not None:
        return image_subject(image, card, asked, harmless, progress)
    built = build_strategy(asked, card, wish, progress, anyway=False, with_test=False)
    return built_subject(built.product, harmless, progress)


def _refuse_contradictions(of_faults: tuple[str | None, str | None] | None, of_build: Wish | None) -> None:
    """Raise UsageError for options about faults where none are drilled, and about building where nothing is built."""
    output, mark = of_faults or (None, None)
    if output is not None:
        raise click.UsageError("-o writes what faults print; expected --faults with it")
    if mark is not None:
        raise click.UsageError("--resume keeps what has come of faults so far; expected --faults with it")
    if of_build not in (None, Wish()):
        message = "--strategy drills a program that is built already; expected no options of build"
        raise click.UsageError(message)


def _write_table(output: str, drilled: Drilled, *, overwrite: bool) -> None:
    """Write what each fault prints."""
    assert drilled.faulted is not None, "without faults, -o is refused"
    table = fault_table(drilled.sound, drilled.faulted.faults, drilled.faulted.outcomes)
    write_new(output, json.dumps(table, indent=1) + "\n", overwrite=overwrite)


def _afterwards(output: str | None, again: str) -> tuple[str, str]:
    """What to do next, and when; again: the same drill."""
    if output is None:
        return f"{again} --faults -o FILE", "every fault, and a table to ask"
    return f"wordtight suspect {typed(output)} --printed TEXT", "when a machine prints what is not due"


def _head(asked: Asked, machine: str, verdict: str) -> dict[str, Any]:
    return {"strategy": asked.file, "machine": machine, "verdict": verdict}


def _refute(file: str, asked: Asked, machine: str, difference: Differs, *, as_json: bool) -> NoReturn:
    """Say where a program plays otherwise than its strategy, and what makes it do so; and end with status 1."""
    blame = difference.blame if isinstance(difference, PlaysOtherwise) else None
    if as_json:
        told = {"blame": None if blame is None else blame_record(blame)}
        head = _head(asked, machine, DIFFERS)
        emit_json({**head, "image": file, "why": str(difference), **told, "reasons": []})
    else:
        whose = f"the program of {file}" if file == asked.file else file
        say(f"DOES NOT HOLD: {whose} does not play as {asked.file} does: {difference}.")
        if blame is not None:
            tell_blame(blame)
    sys.exit(STATUS_WRONG)


def _refuse(asked: Asked, machine: str, refusal: Refused, *, as_json: bool) -> NoReturn:
    """Say why there is nothing to drill, and end with the status that says whether that is an answer."""
    if as_json:
        emit_json(
            {**_head(asked, machine, refusal.verdict), "why": str(refusal), "reasons": list(refusal.reasons)}
        )
    else:
        say(f"NOTHING TO DRILL: {asked.file}: {refusal}.")
        for reason in refusal.reasons:
            say(f"{reason}.", indent="    ")
    sys.exit(refusal.status)
