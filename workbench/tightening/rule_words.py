"""The words that rules take on a machine: alone, without an answer behind them, and with the answers that they need."""

from budget.card import CostCard
from budget.forms import AS_WRITTEN, has_rules
from budget.lowering.answering.sheet import by_rules_alone
from budget.lowering.lower import TooLong, lower
from budget.lowering.text import NotLowered
from budget.program_size import ProgramRow
from solver.fixed import FixedPlay, fixed_plays
from solver.least.first_rules import Tried
from solver.proof import PROVED
from workbench.tightening.sized import smallest_program


def words_of_rules(tried: Tried, card: CostCard) -> int | None:
    """The words of a program that converses, keeps the board and plays by the rules alone; None where there is none.

    Which rules have to be written, and which endings to be told, depends on the answers behind them, so they are those
    of the strategy that was found.  On the board as it stands where the claim holds so, else on turned boards.
    """
    for play in _plays(tried):
        try:
            return lower(play, card, by_rules_alone).words.total
        except TooLong as too_long:
            return too_long.words.total
        except NotLowered:
            continue
    return None


def program_of(tried: Tried, card: CostCard) -> ProgramRow | None:
    """The smallest program of rules and answers, None where there is none.

    Rules are as they are written, with their answers behind them; answers alone are in any encoding.
    """
    plays = _plays(tried)
    return (
        smallest_program(plays, card, AS_WRITTEN if any(map(has_rules, plays)) else None) if plays else None
    )


def _plays(tried: Tried) -> list[FixedPlay]:
    """The strategy with its choices settled, in every reading in which the claim holds, plain first."""
    plays = fixed_plays(tried.least.proof)
    return [play for play in plays if play.proof is not None and play.proof.verdict == PROVED]
