"""`wordtight check-evidence`: a proof checked by a program that shares nothing with the one that found it."""

import sys
import textwrap
from pathlib import Path

import click

from games.problems import bad
from workbench.evidence.checker import Unreadable, Wrong, check
from workbench.main import LINE
from workbench.output import emit_json, json_option, say
from workbench.statuses import STATUS_WRONG

LARGEST = 500_000_000
"""Bytes of a file of evidence."""


@click.command("check-evidence")
@click.argument("evidence", type=click.Path(dir_okay=False))
@click.option(
    "--strategy", metavar="FILE", help="The strategy's file, or the program: is the evidence about this one?"
)
@json_option
def command(evidence: str, strategy: str | None, as_json: bool) -> None:
    """Check what a verdict rests on, as --evidence has written it.

    Evidence of prove, tighten, drill and plan. The checker knows the rules of the
    games by itself and imports nothing of the rest: workbench/evidence/checker.py
    runs alone, wherever there is Python. Ends with status 0 if the evidence holds,
    1 if not, 3 if part was not checked.
    """
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


def _bytes_of(file: str) -> bytes:
    try:
        with Path(file).open("rb") as opened:
            raw = opened.read(LARGEST + 1)
    except (OSError, ValueError) as error:
        raise bad(f"cannot be read: {getattr(error, 'strerror', None) or error}", file) from None
    if len(raw) > LARGEST:
        raise bad(f"is larger than {LARGEST:,} bytes; expected evidence", file)
    return raw
