"""Evidence of a least strategy: the proof that it holds, and that no strategy stores fewer answers."""

import tomllib

from games.house import house_text
from games.load import game_text
from solver.least.bound import SCALE
from solver.load import Written
from solver.proof import Proof
from workbench.evidence.bounding import Progress, proved_bound, turnings_of
from workbench.evidence.checker.fewest import Fewest
from workbench.evidence.checker.house_rules import Housed
from workbench.evidence.checker.terms import NotChecked
from workbench.evidence.checker.turnings import Alike
from workbench.evidence.writing import knows, records_of, sealed


def evidence_of_unproved(proof: Proof, written: Written, reason: str) -> str:
    """The same for a least strategy whose bound is not proved in it; reason: one of the checker's `UNPROVED`."""
    return sealed(records_of(proof, written, {"of": "least", "least": {"unproved": reason}}))


def evidence_of_least(
    proof: Proof,
    written: Written,
    answers: int,
    *,
    alike: bool,
    seconds: float,
    progress: Progress | None = None,
) -> str:
    """The evidence for a table with so many answers, and for how few any strategy can store.

    alike: boards that are alike count as one.  seconds: for the proof of the bound; progress: as in `proved_bound`.
    """
    if not knows(written.game_name):
        return evidence_of_unproved(proof, written, "rules")
    toml, house = map(tomllib.loads, (game_text(written.game_name), house_text(written.house_rules)))
    game = Housed(toml, house, proof.walk.game.seat)
    turnings = turnings_of(written.game, game.fair.board.names)
    if turnings is None:
        return evidence_of_unproved(proof, written, "turnings")
    turned = Alike(game, turnings)
    try:
        fewest = Fewest(game, game.seat, proof.claim, turned if alike else Alike(game, turnings[:1]), turned)
    except NotChecked:
        return evidence_of_unproved(proof, written, "large")
    bound, cases = proved_bound(fewest, answers, seconds, progress)
    told = {"answers": answers, "bound": bound, "alike": alike, "turnings": turnings, "scale": SCALE}
    return sealed([*records_of(proof, written, {"of": "least", "least": told}), *cases])
