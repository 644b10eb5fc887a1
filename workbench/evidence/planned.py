"""Evidence of a plan: every trade-off's strategy proved, one after the other, each bound to its sheet and its image."""

import hashlib
from collections.abc import Iterator, Sequence

from budget.card import CostCard
from budget.images.formats import intel_hex
from budget.images.image import image_of
from budget.plan.asked import Asked
from budget.plan.ways import Way
from workbench.evidence.writing import Record, body_of, header_of, sealed


def evidence_of_plan(asked: Asked, card: CostCard, card_text: str, ways: Sequence[tuple[Way, str]]) -> str:
    """The evidence for ways that fit a machine, each with its sheet, as JSON Lines; card_text: what its file says.

    Raises BadInput where no evidence of such a game can be written.
    """
    told = {
        "of": "plan",
        "card": {"name": card.name, "sha256": _digest(card_text.encode())},
        "ways": len(ways),
    }
    header = header_of(asked.housed, asked.claim, asked.game_name, asked.house_name, told)
    return sealed([header, *(record for way in ways for record in _records(asked, card, *way))])


def _records(asked: Asked, card: CostCard, way: Way, sheet: str) -> Iterator[Record]:
    """What a way is, and the proof of what its program plays."""
    assert way.lowered is not None, "a way that fits has a program"
    assert way.form.play.proof is not None, "forms without a proof are not built"
    yield {
        "way": way.candidate.name,
        "form": way.row.form,
        "reading": way.row.reading,
        "words": way.words,
        "sheet": _digest(sheet.encode()),
        "image": _digest(intel_hex.write(image_of(way.lowered.program), card)),
    }
    yield from body_of(way.form.play.proof, asked.game_name)


def _digest(raw: bytes) -> str:
    return hashlib.sha256(raw).hexdigest()
