"""`wordtight check-evidence`: a proof checked by a program that shares nothing with the one that found it."""

import sys
import textwrap
from pathlib import Path

import click

from games.problems import bad
from workbench.evidence.checker import Unreadable, Wrong, check
from workbench.files import write_new
from workbench.main import LINE
from workbench.output import emit_json, json_option, say, say_next, typed
from workbench.statuses import STATUS_WRONG

LARGEST = 500_000_000
"""Bytes of a file of evidence."""


@click.command("check-evidence")
@click.argument("evidence", required=False, type=click.Path(dir_okay=False))
@click.option(
    "--strategy", metavar="FILE", help="The strategy's file, or the program: is the evidence about this one?"
)
@click.option(
    "-o", "--write-checker", "out", metavar="FILE", help="Write the checker itself, and check nothing."
)
@click.option("--force", is_flag=True, help="Write over a file that is there.")
@json_option
def command(evidence: str | None, strategy: str | None, out: str | None, force: bool, as_json: bool) -> None:
    """Check what a verdict rests on, as --evidence has written it.

    Evidence of prove, tighten, drill and plan. The checker knows the rules of the
    games by itself and imports nothing of the rest: --write-checker makes one file
    of it, to be copied and read, which runs alone wherever there is Python. Ends
    with status 0 if the evidence holds, 1 if not, 3 if part was not checked.
    """
    if out is not None:
        if evidence is not None or strategy is not None:
            raise click.UsageError("--write-checker checks nothing; expected no EVIDENCE and no --strategy")
        _write_checker(out, overwrite=force, as_json=as_json)
        return
    if evidence is None:
        raise click.UsageError("missing argument 'EVIDENCE'; expected a file that --evidence has written")
    raw = _bytes_of(evidence)
    try:
        status, told = check(raw, None if strategy is None else _bytes_of(strategy))
    except Unreadable as error:
        raise bad(str(error), evidence) from None
    except Wrong as wrong:
        status, told = STATUS_WRONG, [f"THE EVIDENCE DOES NOT HOLD: {wrong}."]
    if as_json:
        emit_json({"evidence": evidence, "holds": {0: True, 1: False}.get(status), "told": told})
    else:
        for paragraph in told:
            say(textwrap.fill(paragraph, LINE))
    sys.exit(status)


def _write_checker(file: str, *, overwrite: bool, as_json: bool) -> None:
    from workbench.evidence.joined import joined  # nobody else needs it

    write_new(file, joined(), overwrite=overwrite)
    if as_json:
        emit_json({"written": file})
    else:
        say(f"Written: {file}")
        say_next(f"python {typed(file)} EVIDENCE", "on any computer with Python")


def _bytes_of(file: str) -> bytes:
    try:
        with Path(file).open("rb") as opened:
            raw = opened.read(LARGEST + 1)
    except (OSError, ValueError) as error:
        raise bad(f"cannot be read: {getattr(error, 'strerror', None) or error}", file) from None
    if len(raw) > LARGEST:
        raise bad(f"is larger than {LARGEST:,} bytes; expected evidence", file)
    return raw
