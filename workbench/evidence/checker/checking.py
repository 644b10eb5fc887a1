"""Checking: what is done with a file of evidence, and what is printed in the end."""

import sys
from collections.abc import Iterable, Sequence
from pathlib import Path

from .file import KINDS, digest, read
from .house_rules import knows_rules
from .terms import NotChecked, Record, Unreadable, Wrong


def check(raw: bytes, strategy: bytes | None = None) -> tuple[int, list[str]]:
    """Check the bytes of a file of evidence, against the bytes of the strategy's file if given.

    Returns a status (0 or 3) and what can be said, in lines; raises Wrong or Unreadable.
    """
    header, records = read(raw)
    named = [file["sha256"] for file in (header.get("strategy"), *header.get("files", [])) if file]
    named += [record["sheet"] for _, record in records if "way" in record]
    if strategy is not None and digest(strategy) not in named:
        raise Wrong("this is evidence about another strategy, or about another version of its file")
    about = header.get("program") or header.get("strategy", {"name": ""})["name"]
    told = f"{header['game']['name']}, machine moves {header['seat']}, claim {header['claim']}."
    try:
        trusted = list(taken_on_trust(header, is_held=strategy is not None))
        status, found = KINDS[header["of"]][0](header, records)
    except NotChecked as why:
        status, found = 3, [f"NOT CHECKED TO THE END: {why}."]
    except (LookupError, ValueError, TypeError, AttributeError, OverflowError, RecursionError) as error:
        raise Wrong(f"the game, its house rules or a name in it cannot be read: {error!r}") from None
    return status, [
        f"{about}: {told}" if about else told,
        *found,
        *(f"Taken on trust: {each}" for each in trusted),
    ]


def taken_on_trust(header: Record, *, is_held: bool) -> Iterable[str]:
    """What nobody can see in the evidence; is_held: the strategy's file was held against the digest."""
    if header["of"] == "drill":
        yield "that the program prints this, and will again; only these transcripts were checked."
    elif is_held:
        yield "that this strategy plays so; it is the one that the evidence is about."
    else:
        yield "that the strategy plays so. (--strategy FILE holds its file against the digest.)"
    if "repetition-limit" in header["game"].get("text", ""):
        yield "that the limit of repetitions changes no value (docs/games/steps.md)."
    if not knows_rules(header):
        yield "the moves of this game, which the evidence lists."


def main(arguments: Sequence[str]) -> int:
    """Check a file, print what was found, and return the status."""
    if len(arguments) not in (1, 3) or (len(arguments) == 3 and arguments[1] != "--strategy"):
        print("expected: EVIDENCE [--strategy FILE]", file=sys.stderr)
        return 2
    try:
        contents = [Path(name).read_bytes() for name in arguments[::2]]
        status, told = check(*contents)
    except (OSError, Unreadable) as error:
        print(error, file=sys.stderr)
        return 2
    except Wrong as wrong:
        print(f"THE EVIDENCE DOES NOT HOLD: {wrong}.")
        return 1
    print("\n".join(told))
    return status
