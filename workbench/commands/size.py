"""`wordtight size`: the words that a strategy takes on a machine."""

import sys
from collections.abc import Sequence
from typing import Any

import click

from budget.card import COMPILER, CostCard, compiled_names, load_machine, machine_names
from budget.program_size import smallest_row
from games.codes import PLAYERS
from games.problems import listed
from solver.fixed import readings_of
from solver.load import load_strategy
from solver.proof import PROVED, Proof, prove
from workbench.form_option import check_form, encoding_option
from workbench.options import (
    carried,
    claim_option,
    game_option,
    house_option,
    seats_option,
    strategy_argument,
)
from workbench.output import emit_json, json_option, plural, say, say_next, typed
from workbench.progress import ProgressLine
from workbench.sizing import EVERY_FORM, Sizing, is_proved, sized, verdict_of
from workbench.statuses import STATUS_UNFINISHED, STATUS_WRONG
from workbench.tell_limits import words_in_words
from workbench.tell_size import (
    CYCLES,
    ORDERS,
    tell_programs,
    tell_reasons,
    tell_savings,
    tell_tables,
    tell_worst,
)

NO_TABLE = "In some position that can be met it has no legal answer, so there is nothing whole to store."


@click.command("size")
@strategy_argument
@click.option("--machine", metavar="M", help="The machine: a name such as twelve-bit, or a .toml file.")
@game_option
@seats_option
@claim_option
@house_option
@encoding_option
@click.option("--every-form", is_flag=True, help="Build every encoding, also those with large tables.")
@json_option
def command(
    strategy: str,
    machine: str | None,
    game: str | None,
    seat: str | None,
    claim: str | None,
    house_rules: str | None,
    encoding: str | None,
    every_form: bool,
    as_json: bool,
) -> None:
    """Size STRATEGY on a machine, and say whether it fits the store.

    As complete programs, counted to the word and run in every state that they
    can get into: by the rules as they are written, and by the two smallest tables
    of all its moves, plain and turned (--every-form: by all of them). Ends with
    status 0 if the claim is proved and a program fits, with 3 if a table would
    but we cannot write a program, and else with 1.
    """
    if machine is None:
        names = listed((*machine_names(), *compiled_names()))
        raise click.UsageError(f"expected --machine and one of {names}, or a .toml file")
    check_form(encoding)
    written = load_strategy(strategy, game=game, seat=seat, claim=claim, house_rules=house_rules)
    card = load_machine(machine)
    with ProgressLine() as progress:
        proofs = [
            prove(written.strategy(number), written.claim, written.house, progress)
            for number in written.seats
        ]
        if any(proof.walk.illegal or len(proof.walk.unanswered) for proof in proofs):
            progress.wipe()
            if as_json:
                _emit([_unsized(proof, card) for proof in proofs])
            click.echo(f"{strategy}: {NO_TABLE} See: wordtight prove {typed(strategy)}", err=True)
            sys.exit(STATUS_WRONG)
        form = EVERY_FORM if every_form else encoding
        found = [sized(proof, card, form, progress.form) for proof in proofs]
    if as_json:
        _emit([each.as_json() for each in found])
    else:
        for each in found:
            _tell(strategy, card, each, form)
        options = carried(game=game, seat=seat, claim=claim, house_rules=house_rules)
        say_next(f"wordtight prove {typed(strategy)}{options}", "what is proved about it")
    sys.exit(_status(found))


def _status(found: Sequence[Sizing]) -> int:
    """Whether all is proved and fits; where no program could be written, nobody knows."""
    if not all(each.fits and is_proved(each.plays) for each in found):
        return STATUS_WRONG
    return 0 if all(each.has_programs for each in found) else STATUS_UNFINISHED


def _emit(records: list[dict[str, Any]]) -> None:
    """One object for one seat; for both, one that lists them."""
    emit_json(records[0] if len(records) == 1 else {"seats": records})


def _unsized(proof: Proof, card: CostCard) -> dict[str, Any]:
    """The same keys where nothing can be sized: the machine, no encodings, and the verdict that says why."""
    walk = proof.walk
    return {
        "game": walk.game.name,
        "strategy": walk.strategy.name,
        "seat": PLAYERS[walk.game.seat],
        "claim": proof.claim,
        "house_rules": proof.house.name,
        "verdict": proof.verdict,
        "machine": card.name,
        "title": card.title,
        "word_bits": card.word_bits,
        "store_words": card.store_words,
        "fits": False,
        "encodings": [],
        "programs": [],
    }


def _tell(written: str, card: CostCard, sizing: Sizing, only: str | None) -> None:
    proof = sizing.proof
    walk = proof.walk
    say(
        f"{written}: {walk.game.title}, machine moves {PLAYERS[walk.game.seat]}, house rules '{proof.house.name}'"
    )
    say(f"On {card.name} ({card.title}): {card.store_words:,} words of {card.word_bits} bits.")
    say()
    say(_headline(sizing))
    if len(sizing.plays) < len(readings_of(walk.strategy)):
        say("Turned it cannot be built: on some turned board it has no answer.")
    for play in sizing.plays if is_proved(sizing.plays) else ():
        if verdict_of(play) != PROVED:
            say(f"BUT: with its choices settled {play.reading}, '{proof.claim}' is {verdict_of(play)}.")
    say()
    counted = CYCLES if card.programs == COMPILER else ORDERS
    tell_programs(sizing.programs, counted)
    if only == EVERY_FORM:
        tell_tables(sizing.tables)
    if only is None and sizing.has_programs and sizing.left_out:
        say(f"Not built: {plural(sizing.left_out, 'larger table')} (--every-form builds all).")
    tell_reasons(sizing.programs)
    tell_worst(sizing.programs, counted)
    for limit in sizing.tables.limits:
        say(words_in_words(limit))
    if sizing.verdict_words > 0:
        say(
            f"Left out is what the proof shows cannot happen: that saves {plural(sizing.verdict_words, 'word')}."
        )
    if sizing.house_words is not None:
        say(
            f"What these house rules charge for wrong input takes {plural(sizing.house_words, 'word')} of it."
        )
    tell_savings(sizing.savings, fits=sizing.fits)


def _headline(sizing: Sizing) -> str:
    """Whether it fits; of a strategy that is proved in one reading only, the programs of that one."""
    if not sizing.has_programs:
        would = "WOULD FIT" if sizing.fits else "WOULD NOT FIT"
        return f"{would} as a table, but no program is written for it yet."
    fitting = sizing.fitting
    least = smallest_row(fitting or sizing.programs)
    assert least is not None
    of_what = f"{least.form} ({least.reading})"
    if not fitting:
        short = -(least.margin or 0)
        return f"DOES NOT FIT: the smallest program, {of_what}, takes {least.total_words:,} words, {short:,} too many."
    it_fits = (
        f"{plural(len(fitting), 'form')} of {len(sizing.programs)}; the smallest program, {of_what}, takes "
        f"{least.total_words:,} words and leaves {least.margin:,}."
    )
    if not sizing.proved_readings:
        return (
            f"IT WOULD FIT, BUT '{sizing.proof.claim}' DOES NOT HOLD for this strategy. In store: {it_fits}"
        )
    return f"FITS: {it_fits}"
