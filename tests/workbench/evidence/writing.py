"""Evidence in tests: written from a strategy, and sealed anew after it was changed."""

import hashlib
import json

from solver.load import load_strategy
from solver.proof import prove
from workbench.evidence.writing import evidence_of


def written_evidence(name, **ways):
    """The evidence, as bytes, and the proof."""
    written = load_strategy(name, **ways)
    proof = prove(written.strategy(written.seats[0]), written.claim, written.house)
    return evidence_of(proof, written).encode(), proof


def sealed(records):
    """A file of these records with the right end."""
    body = "".join(json.dumps(record) + "\n" for record in records).encode()
    end = {"end": len(records) + 1, "sha256": hashlib.sha256(body).hexdigest()}
    return body + json.dumps(end).encode() + b"\n"
