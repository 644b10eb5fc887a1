"""`wordtight drill STRATEGY --machine M`: an image on the simulated machine, and the faults that its store can have."""

import json
import sys
from typing import Any, NoReturn

import click

from budget.building import Wish
from budget.card import load_machine
from budget.closing import Differs
from budget.drilling.table import fault_table
from budget.faulty import DIFFERS
from budget.lowering.checksum import AT_START, BETWEEN_GAMES, NO_CHECK
from solver.proof import PROVED
from workbench.asked import Asked
from workbench.built_strategy import Refused, build_strategy
from workbench.drilled import drill_image, refuse_compilers
from workbench.drilled_image import built_subject, image_subject
from workbench.files import refuse_existing, write_new
from workbench.form_option import check_form, encoding_option
from workbench.main import STATUS_WRONG
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
@encoding_option
@click.option("--check-sum", is_flag=True, help="The program sums its own words when it is started.")
@click.option("--check-between", is_flag=True, help="The same, and again before every game.")
@click.option("--keep-verdicts", is_flag=True, help="Tell endings, too, that are proved never to happen.")
@click.option("--faults", is_flag=True, help="Turn every bit in turn, and more; what comes of each.")
@click.option("-o", "--output", metavar="FILE", help="Write what each fault prints, for `suspect`.")
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
    check_form(encoding)
    if output is not None and not faults:
        raise click.UsageError("-o writes what faults print; expected --faults with it")
    if played is not None and any((encoding, check_sum, check_between, keep_verdicts)):
        raise click.UsageError(
            "--strategy drills a program that is built already; expected no options of build"
        )
    if not force:
        refuse_existing(output)
    card = load_machine(machine)
    refuse_compilers(card)
    asked = Asked(strategy if played is None else played, game, seat, claim, house_rules)
    check = BETWEEN_GAMES if check_between else AT_START if check_sum else NO_CHECK
    try:
        with ProgressLine() as progress:
            if played is None:
                wish = Wish(encoding, check, keep_verdicts)
                built = build_strategy(asked, card, wish, progress, anyway=False, with_test=False)
                subject = built_subject(built.product, harmless, progress)
            else:
                subject = image_subject(strategy, card, asked, harmless, progress)
            drilled = drill_image(subject, progress, kept=keep_verdicts, with_faults=faults)
    except Refused as refusal:
        _refuse(asked, machine, refusal, as_json=as_json)
    except Differs as difference:
        if played is None and not harmless:
            raise  # a fault of ours
        _refute(strategy, asked, machine, difference, as_json=as_json)
    if output is not None and drilled.faulted is not None:
        table = fault_table(drilled.sound, drilled.faulted.faults, drilled.faulted.outcomes)
        write_new(output, json.dumps(table, indent=1) + "\n", overwrite=force)
    if as_json:
        head = _head(asked, machine, PROVED)
        image = None if played is None else strategy
        emit_json({**head, "image": image, **drilled_record(drilled), "table": output})
        return
    tell_drilled(drilled)
    options = carried(strategy=played, game=game, seat=seat, claim=claim, house_rules=house_rules)
    options += "".join(f" --harmless {typed(each)}" for each in harmless)
    again = f"wordtight drill {typed(strategy)} --machine {typed(machine)}{options} --faults -o FILE"
    say_next(*_afterwards(output, again))


def _afterwards(output: str | None, again: str) -> tuple[str, str]:
    """What to do next, and when; again: the same drill, with faults."""
    if output is None:
        return again, "every fault, and a table to ask"
    return f"wordtight suspect {typed(output)} --printed TEXT", "when a machine prints what is not due"


def _head(asked: Asked, machine: str, verdict: str) -> dict[str, Any]:
    return {"strategy": asked.file, "machine": machine, "verdict": verdict}


def _refute(file: str, asked: Asked, machine: str, difference: Differs, *, as_json: bool) -> NoReturn:
    """Say where a program plays otherwise than its strategy, and end with status 1."""
    if as_json:
        emit_json({**_head(asked, machine, DIFFERS), "image": file, "why": str(difference), "reasons": []})
    else:
        whose = f"the program of {file}" if file == asked.file else file
        say(f"DOES NOT HOLD: {whose} does not play as {asked.file} does: {difference}.")
    sys.exit(STATUS_WRONG)


def _refuse(asked: Asked, machine: str, refusal: Refused, *, as_json: bool) -> NoReturn:
    """Say why there is nothing to drill, and end with status 1."""
    if as_json:
        emit_json(
            {**_head(asked, machine, refusal.verdict), "why": str(refusal), "reasons": list(refusal.reasons)}
        )
    else:
        say(f"NOTHING TO DRILL: {asked.file}: {refusal}.")
        for reason in refusal.reasons:
            say(f"{reason}.", indent="    ")
    sys.exit(STATUS_WRONG)
