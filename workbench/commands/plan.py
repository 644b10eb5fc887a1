"""`wordtight plan`: the ways in which a machine can play a game perfectly, in words and in time."""

import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import click

from budget.card import CostCard, card_text, load_machine
from budget.plan.ahead import Helpers
from budget.plan.asked import TABLE, Asked
from budget.plan.candidates import candidates
from budget.plan.effort import Effort
from budget.plan.giving import Given, what_would_do
from budget.plan.tradeoffs import Plan, plan
from budget.plan.ways import Way
from games.codes import PLAYERS, player_named
from games.house import load_house_rules
from games.load import load_game
from solver.least.choices import Hopeless
from workbench.files import refuse_existing, write_new
from workbench.grading.crew import Crew, cores
from workbench.least_line import least_line
from workbench.options import claim_option, evidence_option, house_option, machine_option, one_seat_option
from workbench.output import (
    emit_json,
    json_option,
    plural,
    say,
    say_evidence,
    say_lines,
    say_next,
    table,
    typed,
)
from workbench.plan_picture import plan_picture
from workbench.statuses import STATUS_INTERRUPTED, STATUS_UNFINISHED, STATUS_WRONG
from workbench.tell_size import in_words, seconds

LONGEST_TASK = 1e6
"""Seconds that one program may take: Ctrl-C ends what takes too long for whoever waits."""
MOST_TOLD = 3
TITLES = ("", "way", "form", "board", "words", "orders", "wait")


@click.command("plan")
@click.argument("game")
@machine_option
@one_seat_option
@claim_option
@house_option
@click.option(
    "--answer-within",
    "within",
    type=click.FloatRange(0, min_open=True),
    help="Seconds that an answer may take.",
)
@click.option(
    "--time",
    "spent",
    type=click.FloatRange(1),
    help="Seconds to look for strategies at most; unless told, as much work on every computer.",
)
@click.option(
    "-o", "out", type=click.Path(dir_okay=False), metavar="SHEET", help="Where to write the best strategy."
)
@click.option(
    "--picture", type=click.Path(dir_okay=False), metavar="FILE", help="Draw words against time, as SVG."
)
@evidence_option("what this rests on")
@click.option("--force", is_flag=True, help="Write over a file that is there.")
@json_option
def command(
    game: str,
    machine: str,
    seat: str | None,
    claim: str | None,
    house_rules: str | None,
    within: float | None,
    spent: float | None,
    out: str | None,
    picture: str | None,
    evidence_file: str | None,
    force: bool,
    as_json: bool,
) -> None:
    """Find the ways in which a machine can play GAME perfectly: words against time.

    Pictures, weights, tables in every encoding, search, each of these behind
    rules, and search behind tables for the first turns: each is built as a
    program, proved and run in every state. Shown are those that no other beats
    both in words and in waiting, where waits that begin with the same two digits
    count as alike. Ends with status 0 if one fits and answers in
    time, with 3 if programs for such games are not written yet, and else with 1.
    """
    if seat is None:
        raise click.UsageError("expected --seat first or --seat second")
    if not force:
        refuse_existing(out, picture, evidence_file)
    card = load_machine(machine)
    asked = _asked(game, seat, claim, house_rules)
    with least_line() as line, _helpers() as helpers:
        try:
            found = plan(asked, candidates(asked, _effort(spent)), card, within, line.words, helpers)
            near = found.nearest
            given = [] if near is None or line.interrupted else what_would_do(asked, near, card, within)
        except Hopeless:
            _hopeless(asked, as_json=as_json)
            sys.exit(STATUS_WRONG)
    if out is not None and found.best is not None:
        _write(found.best, Path(out), overwrite=force)
    if picture is not None and found.tradeoffs:
        write_new(picture, _drawn(asked, card, found, within), overwrite=force)
    if evidence_file is not None and found.tradeoffs:
        write_new(evidence_file, _evidence(asked, card, machine, found, out), overwrite=force)
    if as_json:
        emit_json(_record(asked, card, found, within, given))
    else:
        _tell(asked, card, found, within)
        _tell_given(card, found, given, within)
        _tell_files(found, out, picture, evidence_file)
        _say_next(game, machine, found, out, seat)
    sys.exit(STATUS_INTERRUPTED if line.interrupted else _status(found))


def _status(found: Plan) -> int:
    """Whether some way does; where no program could be written, nobody knows."""
    if found.best is not None:
        return 0
    return STATUS_WRONG if found.ways else STATUS_UNFINISHED


def _asked(game: str, seat: str, claim: str | None, house_rules: str | None) -> Asked:
    played, house_name = load_game(game), house_rules or "usual"
    house = load_house_rules(house_name, played)
    return Asked(game, played, player_named(seat), claim or "never-loses", house_name, house)


@contextmanager
def _helpers() -> Iterator[Helpers | None]:
    """A process for every core, where there are several; none of them outlives the plan."""
    if cores() == 1:
        yield None
        return
    crew = Crew(cores(), LONGEST_TASK)
    try:
        yield Helpers(crew, cores())
    finally:
        crew.shutdown(cancel_futures=True)


def _effort(seconds: float | None) -> Effort:
    return Effort() if seconds is None else Effort(seconds=seconds)


def _unit(card: CostCard) -> str:
    return "instructions" if card.program.pace is None else "s"


def _record(
    asked: Asked, card: CostCard, found: Plan, within: float | None, given: Sequence[Given]
) -> dict[str, Any]:
    return {
        "game": asked.game_name,
        "seat": PLAYERS[asked.seat],
        "claim": asked.claim,
        "house_rules": asked.house_name,
        "machine": card.name,
        "store_words": card.store_words,
        "answer_within": within,
        "fits": bool(found.tradeoffs),
        "tradeoffs": [way.as_json() for way in found.tradeoffs],
        "best": None if found.best is None else found.best.as_json(),
        "nearest": None if found.nearest is None else found.nearest.as_json(),
        "would_do": [each.as_json() for each in given],
        "reason": None if found.ways else found.reason or None,
        "programs_built": found.tried,
        "programs_left_behind": found.left_behind,
    }


def _hopeless(asked: Asked, *, as_json: bool) -> None:
    if as_json:
        emit_json({"game": asked.game_name, "seat": PLAYERS[asked.seat], "tradeoffs": [], "best": None})
        return
    say(f"{asked.game.title}, machine moves {PLAYERS[asked.seat]}, house rules '{asked.house_name}'")
    say("THIS SEAT IS LOST under best play, so no program can hold the claim.")
    say_next(f"wordtight solve {typed(asked.game_name)}", "which seat can be held at all")


def _tell(asked: Asked, card: CostCard, found: Plan, within: float | None) -> None:
    say(f"{asked.game.title}, machine moves {PLAYERS[asked.seat]}, house rules '{asked.house_name}'")
    say(f"On {card.name} ({card.title}): {card.store_words:,} words of {card.word_bits} bits.")
    say(f"{plural(found.tried, 'program')} built, each proved and run in every state that it can get into.")
    if found.left_behind:
        say(f"{found.left_behind:,} more begun and left, for one of these is shorter and as quick.")
    say()
    if found.best is not None:
        best = found.best
        say(f"TAKE {_called(best)}: {best.words:,} words, {_waits(best, card)}.")
    else:
        say(_missed(card, found, within))
    if not found.ways:
        return
    say()
    if not found.tradeoffs:
        return
    say("Beaten by no other both in words and in waiting:")
    say()
    rows = [
        (
            str(number),
            way.candidate.name,
            way.row.form,
            way.row.reading,
            f"{way.words:,}",
            f"{way.row.as_json()['worst_instructions']:,}",
            seconds(way.wait) if _unit(card) == "s" else "-",
        )
        for number, way in enumerate(found.tradeoffs, 1)
    ]
    say_lines(table(TITLES, rows, right=(0, 4, 5, 6)))
    say()
    first = (found.best or found.tradeoffs[0]).row.replies
    if first is not None and first.is_timed:
        say(f"The visitor waits longest {in_words(first.slowest)}.")
    elif first is not None:
        say(f"It works longest {in_words(first.most)}.")


def _missed(card: CostCard, found: Plan, within: float | None) -> str:
    """That nothing does, and what comes nearest."""
    near = found.nearest
    if near is None:
        return f"NONE: no program could be written: {found.reason or 'no strategy was found'}."
    if not found.tradeoffs:
        short = near.words - card.store_words
        return f"NONE FITS: the smallest is {_called(near)} with {near.words:,} words, {short:,} too many."
    return f"NONE ANSWERS WITHIN {within:g} s: the quickest is {_called(near)}, {_waits(near, card)}."


def _tell_given(card: CostCard, found: Plan, given: Sequence[Given], within: float | None) -> None:
    """What would have to give where nothing does."""
    near = found.nearest
    if near is None:
        return
    say("What would have to give:")
    if not found.tradeoffs:
        say(f"  the store: {near.words:,} words of it;")
    elif within is not None:
        say(f"  the time: {_waits(near, card)};")
    for each in given[:MOST_TOLD]:
        does = "and that does" if each.does else "which is not enough alone"
        wait = f", {_waits(each.way, card)}" if each.way.row.fits else ""
        say(f"  {each.change}: {each.way.words:,} words{wait}, {does};")
    if not given:
        say("  nothing else: no change of the house rules makes it shorter or quicker.")


def _called(way: Way) -> str:
    return f"{way.candidate.name} ({way.row.form}, {way.row.reading})"


def _waits(way: Way, card: CostCard) -> str:
    wait = seconds(way.wait) if _unit(card) == "s" else f"{way.wait:,.0f} instructions"
    return f"{wait} at the longest"


def _write(best: Way, out: Path, *, overwrite: bool) -> None:
    """Write the sheet, and the table that it uses under the same name."""
    if best.candidate.table is not None:
        write_new(out.with_suffix(".csv"), best.candidate.table, overwrite=overwrite)
    write_new(out, _sheet(best, str(out)), overwrite=overwrite)


def _sheet(way: Way, out: str | None) -> str:
    """A way's sheet as it stands in a file, with the table beside that under the same name."""
    if out is None:
        return way.candidate.sheet
    return way.candidate.sheet.replace(f'"{TABLE}"', f'"{Path(out).with_suffix(".csv").name}"')


def _drawn(asked: Asked, card: CostCard, found: Plan, within: float | None) -> str:
    title = f"{asked.game.title}, machine moves {PLAYERS[asked.seat]}, on {card.name}"
    return plan_picture(found.tradeoffs, title, card.store_words, within, _unit(card))


def _say_next(game: str, machine: str, found: Plan, out: str | None, seat: str) -> None:
    if found.best is None:
        say_next(f"wordtight games --machine {typed(machine)}", "which games it could play")
    elif out is None:
        asked = f"wordtight plan {typed(game)} --machine {typed(machine)} --seat {seat}"
        say_next(f"{asked} -o best.rules", "write it down")
    else:
        say_next(f"wordtight build {typed(out)} --machine {typed(machine)} -o DIR", "files to load")


def _evidence(asked: Asked, card: CostCard, machine: str, found: Plan, out: str | None) -> str:
    """The evidence for all trade-offs, the best of them by the sheet that is written."""
    from workbench.evidence.planned import evidence_of_plan  # nobody else needs it

    ways = [(way, _sheet(way, None if way is not found.best else out)) for way in found.tradeoffs]
    return evidence_of_plan(asked, card, card_text(machine), ways)


def _tell_files(found: Plan, out: str | None, picture: str | None, evidence: str | None) -> None:
    if out is not None and found.best is not None:
        say(f"Written: {out}.")
    if picture is not None and found.tradeoffs:
        say(f"Drawn: {picture}.")
    if evidence is not None and found.tradeoffs:
        say_evidence(evidence)
