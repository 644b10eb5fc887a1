"""`wordtight tighten`: the smallest strategy for which a claim holds, and why none is smaller."""

import sys
from importlib import import_module
from pathlib import Path
from typing import cast

import click

from budget.card import load_machine
from budget.size import check_reading
from games.codes import PLAYERS
from games.game import scored
from games.house import load_house_rules
from games.load import load_game
from games.problems import bad
from solver.header import CLAIMS
from solver.least.choices import Hopeless, NotAlike
from solver.least.stopped import NotFound
from solver.load import Written
from solver.proof import Proof
from workbench.asked import Asked
from workbench.files import refuse_existing, write_new
from workbench.form_option import check_form
from workbench.least_line import LeastLine, least_line
from workbench.options import claim_option, evidence_option, house_option, one_seat_option
from workbench.output import emit_json, json_option, plural, say, say_evidence, say_next, typed
from workbench.statuses import STATUS_INTERRUPTED, STATUS_UNFINISHED, STATUS_WRONG
from workbench.tightening.charges import tell_charges, with_charges
from workbench.tightening.request import Kind, Outcome, Request
from workbench.tightening.sized import tell_words, with_words
from workbench.written import write_strategy

SECONDS = 120.0
"""How long to look unless told."""
KINDS = ("answers", "pictures", "weights", "words")
SCORES = (
    "in a game of scores never-loses depends on what was gained before, which no stored answer sees; "
    "expected --claim best-value"
)
OUT_OF_TIME = "Time ran out before any strategy was found; give more with --time."
NOTHING_TO_FIX = (
    "without a sheet only pictures leave a choice; "
    "expected --rules-first SHEET or --least pictures with --fixed-choice"
)
NOT_ALIKE = (
    "looks at the board as it stands, where boards that are alike count as one; expected --fixed-board too"
)


@click.command("tighten")
@click.argument("game")
@one_seat_option
@claim_option
@house_option
@click.option(
    "--rules-first", metavar="SHEET", help="A rule sheet that answers first; only the rest is stored."
)
@click.option(
    "--choose-rules", metavar="SHEET", help="Which of a sheet's rules save the most answers, in which order?"
)
@click.option(
    "--least", type=click.Choice(KINDS), default=KINDS[0], help="What is to be least: answers unless told."
)
@click.option(
    "--machine",
    metavar="M",
    help="Tell words on this machine, or weigh rules by them; --least words needs one.",
)
@click.option("--encoding", metavar="E", help="The form whose words are told: as-written, or an encoding.")
@click.option("--fixed-board", is_flag=True, help="The machine never turns the board in its mind.")
@click.option("--fixed-choice", is_flag=True, help="Settle what rules and pictures leave open, as size does.")
@click.option(
    "--time", "seconds", type=click.FloatRange(0.1), default=SECONDS, help="Seconds; 120 unless told."
)
@click.option(
    "-o", "out", type=click.Path(dir_okay=False), metavar="STRATEGY", help="Where to write the strategy."
)
@evidence_option("what this rests on")
@click.option("--force", is_flag=True, help="Write over a file that is there.")
@json_option
def command(
    game: str,
    seat: str | None,
    claim: str | None,
    house_rules: str | None,
    rules_first: str | None,
    choose_rules: str | None,
    least: str,
    machine: str | None,
    encoding: str | None,
    fixed_board: bool,
    fixed_choice: bool,
    seconds: float,
    out: str | None,
    evidence_file: str | None,
    force: bool,
    as_json: bool,
) -> None:
    """Find the smallest strategy for GAME, and say whether none is smaller.

    Of all strategies for which the claim holds, one that stores the fewest
    answers; it is proved anew, and the bound too. Ends with status 0 if it is
    proved least, 3 if a gap is left, and 1 if no strategy can hold the claim.
    """
    _refuse_contradictions(choose_rules, rules_first, least, evidence_file, out)
    if not force:
        refuse_existing(evidence_file)
    kind = _kind(least if choose_rules is None else "chosen")
    sheet = rules_first or choose_rules
    if fixed_choice and sheet is None and least != "pictures":
        raise click.UsageError(NOTHING_TO_FIX)
    ways = {"turned": not fixed_board, "fixed": fixed_choice}
    with least_line() as line:
        request = _request(game, seat, claim, house_rules, sheet, line, seconds, **ways)
        request = _on_machine(request, machine, encoding)
        try:
            outcome = with_words(request, kind.tighten(request, None if out is None else Path(out)))
            outcome = with_charges(kind, request, outcome)
        except Hopeless:
            _hopeless(request, as_json=as_json)
            sys.exit(STATUS_WRONG)
        except NotAlike:
            raise bad(NOT_ALIKE, sheet or "") from None
        except NotFound as error:
            click.echo(f"{OUT_OF_TIME}{_at_least(kind, error.bound)}", err=True)
            sys.exit(STATUS_INTERRUPTED if line.interrupted else STATUS_UNFINISHED)
    if out is not None and outcome.files:
        written, proof = write_strategy(outcome.files, request.seat, request.claim, game, overwrite=force)
        if evidence_file is not None:
            _write_evidence(evidence_file, kind, request, outcome, written, proof, overwrite=force)
    if as_json:
        emit_json({**_asked(request, least), **outcome.record})
    else:
        request.head()
        kind.tell(request, outcome)
        tell_words(request, outcome)
        tell_charges(kind, outcome)
        _say_where(request, kind, outcome, out, evidence_file)
    sys.exit(STATUS_INTERRUPTED if line.interrupted else 0 if outcome.proved_least else STATUS_UNFINISHED)


def _refuse_contradictions(
    choose_rules: str | None, rules_first: str | None, least: str, evidence: str | None, out: str | None
) -> None:
    """Raise UsageError for options that do not go together."""
    if choose_rules is not None and (rules_first is not None or least != KINDS[0]):
        raise click.UsageError(
            "--choose-rules stands alone; expected no --rules-first and no --least with it"
        )
    if evidence is not None and (out is None or choose_rules is not None):
        raise click.UsageError(
            "evidence is about one strategy in a file; expected -o STRATEGY, and no --choose-rules"
        )


def _at_least(kind: Kind, bound: int) -> str:
    """What is known of the least where nothing was found: a further sentence, or nothing."""
    return f" It takes at least {plural(bound, kind.COUNTED)}." if kind.COUNTED and bound else ""


def _kind(name: str) -> Kind:
    """The module for what is to be made least; the others are not loaded."""
    return cast(Kind, import_module(f"workbench.tightening.{name}"))


def _request(
    game: str,
    seat: str | None,
    claim: str | None,
    house_rules: str | None,
    sheet: str | None,
    line: LeastLine,
    seconds: float,
    *,
    turned: bool,
    fixed: bool,
) -> Request:
    """Everything that was asked, read and checked; a sheet that answers first may say what no option does."""
    played = load_game(game)
    first = None
    if sheet is not None:
        first = Asked(sheet, game, seat, claim, house_rules).written()
        if first.is_table:
            raise bad("is a table; expected a rule sheet to answer first", sheet)
    elif seat is None:
        raise click.UsageError("expected --seat first or --seat second")
    number = PLAYERS.index(seat) if first is None and seat is not None else first.seats[0] if first else 0
    asked = first.claim if first else claim or "never-loses"
    if asked == "never-loses" and scored(played) is not None:
        raise click.UsageError(SCORES)
    house_name = first.house_rules if first else house_rules or "usual"
    return Request(
        game_name=game,
        game=played,
        seat=number,
        claim=asked,
        house_name=house_name,
        house=first.house if first else load_house_rules(house_name, played),
        first=first,
        turned=turned,
        fixed_choice=fixed,
        seconds=seconds,
        line=line,
    )


def _on_machine(request: Request, machine: str | None, encoding: str | None) -> Request:
    """The same with the machine whose words are wanted, if any."""
    if machine is None:
        if encoding is not None:
            raise click.UsageError("--encoding tells words on a machine; expected --machine M too")
        return request
    check_form(encoding)
    card = load_machine(machine)
    check_reading(request.house, card)
    return request._replace(card=card, encoding=encoding)


def _asked(request: Request, least: str) -> dict[str, object]:
    return {
        "game": request.game_name,
        "seat": PLAYERS[request.seat],
        "claim": request.claim,
        "house_rules": request.house_name,
        "least": least,
        "rules_first": None if request.first is None else request.first.file,
    }


def _hopeless(request: Request, *, as_json: bool) -> None:
    """Say that nothing that could be stored would make the claim hold."""
    if as_json:
        emit_json({**_asked(request, ""), "answers": None})
        return
    request.head()
    if request.first is None:
        say("THIS SEAT IS LOST under best play, so no strategy can hold the claim.")
        say_next(f"wordtight solve {typed(request.game_name)}", "which seat can be held at all")
    else:
        say(
            "THE RULES THAT ANSWER FIRST GIVE IT AWAY: whatever is stored behind them, the claim does not hold."
        )
        say_next(f"wordtight prove {typed(request.first.file)}", "the line that beats them")


def _write_evidence(
    file: str,
    kind: Kind,
    request: Request,
    outcome: Outcome,
    written: Written,
    proof: Proof,
    *,
    overwrite: bool,
) -> None:
    from workbench.tightening.witness import evidence_for  # nobody else needs it

    with least_line() as line:
        write_new(file, evidence_for(kind, request, outcome, written, proof, line), overwrite=overwrite)


def _say_where(request: Request, kind: Kind, outcome: Outcome, out: str | None, evidence: str | None) -> None:
    """Where it was written, or how it would be."""
    if not outcome.files:
        return
    if out is None:
        options = [*_asked_again(request, kind), "-o", str(next(iter(outcome.files)))]
        say_next(f"wordtight tighten {' '.join(options)}", "write it down")
        return
    say()
    say(f"Written: {out}")
    if evidence is not None:
        say_evidence(evidence)
    say_next(f"wordtight size {typed(out)} --machine twelve-bit", "the words that it takes")


def _asked_again(request: Request, kind: Kind) -> list[str]:
    """The game and the options that ask the same once more."""
    options = [typed(request.game_name)]
    if request.first is None:
        options += ["--seat", PLAYERS[request.seat]]
    else:
        options += ["--choose-rules" if kind.FIGURE is None else "--rules-first", typed(request.first.file)]
        options += ["--seat", PLAYERS[request.seat]] if len(request.first.seats) > 1 else []
    options += ["--claim", request.claim] if request.claim != CLAIMS[0] else []
    options += ["--house-rules", typed(request.house_name)] if request.house_name != "usual" else []
    name = kind.__name__.rpartition(".")[2]
    options += ["--least", name] if name in KINDS[1:] else []
    options += ["--fixed-board"] if not request.turned else []
    options += ["--fixed-choice"] if request.fixed_choice else []
    return options + (["--machine", request.card.name] if name == "words" and request.card else [])
