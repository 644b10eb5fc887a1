"""The file: its seal, the kinds of evidence, and how each is checked."""

import hashlib
import json
from collections.abc import Callable

from .drills import ANSWER, DRILL, check_drill
from .fewest import CASE, LEAST, check_fewest
from .plans import PLAN, WAY, check_plan
from .proofs import PROOF, PROOF_LINES, check_proof
from .shapes import FILE, TEXT, fits, must_fit
from .terms import CLAIMS, SEATS, Numbered, Record, Unreadable, Wrong

HEADER = {"evidence": int, "of": str, "claim": CLAIMS, "seat": SEATS, "game": FILE, "house_rules": TEXT}
KINDS: dict[str, tuple[Callable[[Record, Numbered], tuple[int, list[str]]], Record, dict[str, Record]]] = {
    "proof": (check_proof, PROOF, PROOF_LINES),
    "least": (check_fewest, {**PROOF, "least": LEAST}, {**PROOF_LINES, "case": CASE}),
    "drill": (check_drill, DRILL, {"answer": ANSWER}),
    "plan": (check_plan, PLAN, {**PROOF_LINES, "way": WAY}),
}
"""What evidence can be of: how it is checked, what its header has besides `HEADER`, its lines by their first key."""


def must_be_clear(header: Record, middle: list[Record]) -> None:
    """Raise Wrong unless all lines hold what they should, and the texts in the header are those of its digests."""
    if not fits(header.get("of"), tuple(KINDS)):
        raise Wrong(f"line 1: 'of' is {header.get('of')!r}; expected one of {', '.join(KINDS)}")
    _, more, lines = KINDS[header["of"]]
    must_fit(1, header, {**HEADER, **more})
    for key, part in header.items():
        if isinstance(part, dict) and "text" in part and digest(part["text"].encode()) != part["sha256"]:
            raise Wrong(f"line 1: the text of the {key} is not the one that its digest names")
    for number, record in enumerate(middle, 2):
        kind = next(iter(record), "")
        if kind not in lines:
            raise Wrong(f"line {number}: expected a line of one of the kinds {', '.join(lines)}")
        must_fit(number, record, lines[kind])


def read(raw: bytes) -> tuple[Record, Numbered]:
    """The header and the numbered lines of a file of evidence, whose digests agree; raises Unreadable or Wrong."""
    try:
        records = [json.loads(line) for line in raw.split(b"\n") if line.strip()]
    except (ValueError, RecursionError):
        raise Unreadable("this is no evidence: expected one JSON object on every line") from None
    if len(records) < 2 or not all(isinstance(record, dict) for record in records):
        raise Unreadable("this is no evidence: expected JSON objects, a header first and an end last")
    header, *middle, end = records
    if header.get("evidence") != 1:
        raise Unreadable('line 1: this is no evidence: expected a header with "evidence": 1')
    body = raw[: raw.rstrip(b"\n").rfind(b"\n") + 1]
    if set(end) != {"end", "sha256"} or end["end"] != len(records):
        raise Wrong(f"line {len(records)}: expected the end, after {len(records)} lines")
    if digest(body) != end["sha256"]:
        raise Wrong("the file was changed after it was written: its digest is another one")
    must_be_clear(header, middle)
    return header, list(enumerate(middle, 2))


def digest(raw: bytes) -> str:
    """What tells bytes from all others."""
    return hashlib.sha256(raw).hexdigest()
