"""A strategy on its way to files: read, proved, settled, and built as a program that plays as it does."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any, NamedTuple

from budget.building import NotBuilt, Product, Wish, make
from budget.card import CostCard
from budget.program_size import row_of_built
from budget.selftest import SelfTest, self_test
from games.codes import PLAYERS
from solver.fixed import FixedPlay, fixed_plays
from solver.proof import PROVED, Proof
from workbench.asked import Asked, proof_of
from workbench.progress import ProgressLine
from workbench.statuses import STATUS_UNFINISHED, STATUS_WRONG


class Refused(Exception):
    """Nothing is built; `verdict` is that on the strategy's claim, `reasons` why there is no program."""

    status = STATUS_WRONG

    def __init__(self, message: str, verdict: str, reasons: tuple[str, ...] = ()) -> None:
        super().__init__(message)
        self.verdict = verdict
        self.reasons = reasons


class ClaimFails(Refused):
    """The claim does not hold; a program can be built all the same."""


class NotWritten(Refused):
    """No program for such a game or strategy can be written yet: whether one would fit is not known."""

    status = STATUS_UNFINISHED


class BuiltStrategy(NamedTuple):
    """A strategy as a program; morning: the games that try all of it, None where they are not asked for."""

    proof: Proof
    product: Product
    morning: SelfTest | None

    @property
    def play(self) -> FixedPlay:
        """The strategy as the program plays it."""
        return self.product.form.play

    @property
    def verdict(self) -> str:
        """What is proved about it."""
        assert self.play.proof is not None
        return self.play.proof.verdict

    def as_json(self) -> dict[str, Any]:
        """What was built, by its JSON keys."""
        product, walk = self.product, self.proof.walk
        check = product.check
        row = row_of_built(product.built, product.lowered.program.card)
        return {
            "game": walk.game.name,
            "strategy": walk.strategy.name,
            "seat": PLAYERS[walk.game.seat],
            "claim": self.proof.claim,
            "house_rules": self.proof.house.name,
            "verdict": self.verdict,
            "program": row.as_json(),
            "verdict_words": product.verdict_words,
            "check_sum": None
            if check is None
            else {
                "between_games": check.between_games,
                "instructions": check.instructions,
                "seconds": None if check.thinking is None else float(check.thinking),
            },
            "self_test": None if self.morning is None else self.morning.as_json(),
        }


def build_strategy(
    asked: Asked, card: CostCard, wish: Wish, progress: ProgressLine, *, anyway: bool, with_test: bool
) -> BuiltStrategy:
    """The program of a strategy.

    anyway: also of one whose claim does not hold.  Raises BadInput for files with mistakes; Refused where there is
    nothing to write.
    """
    written = asked.written()
    proof = proof_of(written, progress)
    plays = plays_to_build(proof, anyway=anyway)
    product = build_plays(plays, proof.verdict, card, wish, progress)
    morning = self_test(product, Path(asked.file).stem) if with_test else None
    return BuiltStrategy(proof, product, morning)


def build_plays(
    plays: Sequence[FixedPlay], verdict: str, card: CostCard, wish: Wish, progress: ProgressLine
) -> Product:
    """The program of a strategy that is proved and settled; `verdict` is that on its claim, if it is refused."""
    try:
        return make(plays, card, wish, progress.form)
    except NotBuilt as failure:
        reasons = tuple(f"{form.name} ({form.reading}): {reason}" for form, reason in failure.reasons)
        if failure.is_too_long:
            raise Refused("no program of it fits", verdict, reasons) from None
        raise NotWritten("no program for it can be written", verdict, reasons) from None


def plays_to_build(proof: Proof, *, anyway: bool) -> list[FixedPlay]:
    """The strategy settled in each reading in which the claim holds; if there is none, and `anyway` is said, in all."""
    if proof.walk.illegal or len(proof.walk.unanswered):
        raise Refused("in some position that can be met it has no legal answer", proof.verdict)
    plays = fixed_plays(proof)
    proved = [play for play in plays if play.proof is not None and play.proof.verdict == PROVED]
    if not proved and not anyway:
        message = f"'{proof.claim}' does not hold for it, however its choices are settled"
        raise ClaimFails(message, proof.verdict)
    return proved or plays
