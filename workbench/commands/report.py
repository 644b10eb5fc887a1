"""`wordtight report`: one page about a strategy, on which it can also be played."""

import sys

import click

from budget.card import CostCard, load_machine
from budget.plan.asked import Asked as AskedPlan
from budget.plan.candidates import candidates
from budget.plan.effort import Effort
from budget.plan.tradeoffs import Plan, plan
from games.tomlfile import read_text
from solver.least.choices import Hopeless
from solver.proof import PROVED, Proof
from workbench.asked import Asked, proof_of
from workbench.files import refuse_existing, write_new
from workbench.least_line import LeastLine, least_line
from workbench.options import (
    carried,
    claim_option,
    game_option,
    house_option,
    one_seat_option,
    strategy_argument,
)
from workbench.output import emit_json, json_option, say, say_next, typed
from workbench.progress import ProgressLine
from workbench.reporting.report import Report, gathered, page_of
from workbench.reporting.sizes import smallest_program
from workbench.sizing import sized
from workbench.statuses import STATUS_INTERRUPTED, STATUS_WRONG


@click.command("report")
@strategy_argument
@click.option(
    "-o",
    "--output",
    metavar="PAGE",
    required=True,
    type=click.Path(dir_okay=False),
    help="The page to write.",
)
@game_option
@one_seat_option
@claim_option
@house_option
@click.option("--machine", metavar="M", help="Also whole programs on this machine, to the word.")
@click.option("--trade-offs", is_flag=True, help="Also every way to play it there; takes minutes.")
@click.option("--force", is_flag=True, help="Write over a file that is there.")
@json_option
def command(
    strategy: str,
    output: str,
    game: str | None,
    seat: str | None,
    claim: str | None,
    house_rules: str | None,
    machine: str | None,
    trade_offs: bool,
    force: bool,
    as_json: bool,
) -> None:
    """Write one page about STRATEGY, which stands alone and can be played on.

    Verdict and evidence, boards, its size on every machine, the house rules and
    what can never be said. The reader plays against the words that the store
    would hold. Ends with status 1 if the claim does not hold; the page then
    shows the line that beats it.
    """
    if trade_offs and machine is None:
        raise click.UsageError("--trade-offs is for one machine; expected --machine as well")
    if not force:
        refuse_existing(output)
    card = None if machine is None else load_machine(machine)
    asked = Asked(strategy, game, seat, claim, house_rules)
    written = asked.written()
    with ProgressLine() as progress:
        proof = proof_of(written, progress)
        report = gathered(proof, read_text(strategy))
        if card is not None and report.plays:
            sizing = sized(proof, card, None, progress.form)
            report = report._replace(card=card, sizing=sizing, program=smallest_program(sizing, card))
    interrupted = False
    if card is not None and trade_offs:
        with least_line() as line:
            report = report._replace(card=card, plan=_planned(proof, written.house_rules, card, line))
        interrupted = line.interrupted
    write_new(output, page_of(report), overwrite=force)
    if as_json:
        emit_json({**report.as_json(), "file": output})
    else:
        _tell(report, output)
        options = carried(game=game, seat=seat, claim=claim, house_rules=house_rules)
        say_next(f"wordtight prove {typed(strategy)}{options}", "the same in the terminal")
    sys.exit(STATUS_INTERRUPTED if interrupted else 0 if proof.verdict == PROVED else STATUS_WRONG)


def _planned(proof: Proof, house_name: str, card: CostCard, line: LeastLine) -> Plan | None:
    """The ways to play its game on a machine; None where the seat is lost, as the page says above."""
    game = proof.walk.game
    asked = AskedPlan(game.name, game.fair, game.seat, proof.claim, house_name, proof.house)

    try:
        return plan(asked, candidates(asked, Effort()), card, told=line.words)
    except Hopeless:
        return None


def _tell(report: Report, output: str) -> None:
    say(f"{report.title}: '{report.proof.claim}' is {report.proof.verdict}.")
    say(f"Written: {output}. Open it in any web browser; it needs no network.")
