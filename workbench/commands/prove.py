"""`wordtight prove`: a proof, or the line that refutes."""

import os
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import click

from games.problems import BadInput
from games.tomlfile import read_text
from solver.load import Written, load_strategy
from solver.proof import PROVED, Proof, prove
from solver.record import proof_record
from workbench.files import refuse_existing, write_new
from workbench.options import (
    carried,
    claim_option,
    evidence_option,
    game_option,
    house_option,
    seats_option,
    strategy_argument,
)
from workbench.output import emit_json, json_option, say, say_evidence, say_next, typed
from workbench.progress import ProgressLine
from workbench.statuses import STATUS_WRONG
from workbench.tell_proof import tell

Stamps = dict[str, tuple[int, int]]
LOOK_EVERY = 0.15
"""Seconds between two looks at a watched file."""


@click.command("prove")
@strategy_argument
@game_option
@seats_option
@claim_option
@house_option
@evidence_option("what the verdict rests on")
@click.option("--watch", is_flag=True, help="Prove again whenever the file is saved (Ctrl-C ends it).")
@json_option
def command(
    strategy: str,
    game: str | None,
    seat: str | None,
    claim: str | None,
    house_rules: str | None,
    evidence_file: str | None,
    watch: bool,
    as_json: bool,
) -> None:
    """Prove that STRATEGY never loses, or draw the shortest line that beats it.

    STRATEGY is a rule sheet, or a table in CSV. Every line of play is gone
    through, wrong input included. Ends with status 0 if the claim is proved and
    1 if not.
    """

    def read() -> Written:
        return load_strategy(strategy, game=game, seat=seat, claim=claim, house_rules=house_rules)

    if evidence_file is not None:
        refuse_existing(evidence_file)
    if watch:
        if as_json or evidence_file is not None:
            option = "--json" if as_json else "--evidence"
            raise click.UsageError(f"--watch is for people; expected it without {option}")
        if not os.path.exists(strategy):  # noqa: PTH110 - pathlib's own raises where a name is too long
            read_text(strategy)  # says that there is no such file, for which nobody would wait
        _watch(strategy, lambda: _tell_all(strategy, _proofs(read())))
        return
    written = read()
    found = _proofs(written)
    if evidence_file is not None:
        _write_evidence(evidence_file, found, written)
    if as_json:
        records = [proof_record(proof) for proof in found]
        emit_json(records[0] if len(records) == 1 else {"seats": records})
    else:
        _tell_all(strategy, found)
        if evidence_file is not None:
            say()
            say_evidence(evidence_file)
        options = carried(game=game, seat=seat, claim=claim, house_rules=house_rules)
        _say_next(strategy, found, options, written.game_name)
    sys.exit(0 if all(proof.verdict == PROVED for proof in found) else STATUS_WRONG)


def _proofs(written: Written) -> list[Proof]:
    """One for each seat."""
    with ProgressLine() as progress:
        return [
            prove(written.strategy(number), written.claim, written.house, progress)
            for number in written.seats
        ]


def _write_evidence(file: str, found: list[Proof], written: Written) -> None:
    from workbench.evidence.writing import evidence_of  # nobody else needs it

    if len(found) > 1:
        raise click.UsageError("evidence is about one seat; expected --seat first or --seat second as well")
    write_new(file, evidence_of(found[0], written))


def _tell_all(strategy: str, found: list[Proof]) -> None:
    for number, proof in enumerate(found):
        if number:
            say()
            say("-" * 80)
        tell(proof, strategy)


def _say_next(strategy: str, found: list[Proof], options: str, game_name: str) -> None:
    """What to do next; game_name: the game as the sheet names it, which may be a file."""
    if all(proof.verdict == PROVED for proof in found):
        say_next(f"wordtight size {typed(strategy)} --machine twelve-bit{options}", "does it fit a machine?")
    elif all(proof.verdict == PROVED or proof.seat_is_lost for proof in found):
        say_next(f"wordtight solve {typed(game_name)}", "which seat can be held at all")
    else:
        say_next(
            f"wordtight prove --watch {typed(strategy)}{options}", "mend it, and see at once whether it holds"
        )


def _watch(strategy: str, show: Callable[[], None]) -> None:
    """Show again after every change of the file; problems are told and waited out."""
    for _ in _changes(Path(strategy)):
        _clear()
        try:
            show()
        except BadInput as error:
            click.echo("\n".join(problem.with_caret() for problem in error.problems), err=True)
        say()
        say(f"Watching {strategy}: save it to prove it again; Ctrl-C ends.")


def _clear() -> None:
    """Empty the screen, where there is one that understands how."""
    if os.environ.get("TERM") != "dumb":
        click.clear()  # does nothing where the output is no terminal


def _changes(path: Path) -> Iterator[None]:
    """Once at the beginning, and then whenever the file has changed, or a table, game or house rules beside it."""
    import time

    before: Stamps = {}
    while True:
        now = _stamps(path)
        if path.name in now and now != before:
            before = now
            yield
        time.sleep(LOOK_EVERY)


def _stamps(path: Path) -> Stamps:
    """The time and size of a file and of those that it may name: what else stands beside it as .csv or .toml."""
    stamps: Stamps = {}
    for each in (path, *path.parent.glob("*.csv"), *path.parent.glob("*.toml")):
        try:
            found = each.stat()
        except OSError:
            continue  # some editors take a file away for a moment while they save
        stamps[each.name] = (found.st_mtime_ns, found.st_size)
    return stamps
