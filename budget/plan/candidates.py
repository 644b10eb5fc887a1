"""Strategies that may be worth having on a small machine: each way to find some is one function here.

Pictures and weights need very few bits; two simple rules first leave little to store; a table alone is quick.
"""

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from budget.plan.asked import TABLE, Asked, Candidate, named
from budget.plan.effort import Effort
from budget.plan.searching import searches
from budget.plan.weighing import rules_by_cells
from games.game import scored, with_lines
from solver.least.answers import LeastAnswers, least_answers
from solver.least.choices import Hopeless, NotAlike
from solver.least.clock import Clock
from solver.least.pictures import least_pictures
from solver.least.stopped import NotFound
from solver.least.weights import least_weights, rule_lines
from solver.least.weights_terms import CLASSES, Term
from solver.least.written import table_text, use_table
from solver.meanings import LineWeight
from solver.proof import PROVED, prove
from solver.strategy import Strategy

FIRST_RULES: tuple[tuple[str, ...], ...] = ((), ("complete a line",), ("complete a line", "block a line"))
"""Rules that may answer first in a game of lines."""
CELLS_STAY = 0.5
"""What stays of weights for each cell: written roughly they take tables that a short one makes unnecessary."""
Way = Callable[[Asked, Sequence[str], Effort], Iterator[Candidate]]
"""Finds candidates that begin with some rules."""


def candidates(asked: Asked, effort: Effort) -> Iterator[Candidate]:
    """Every candidate that is found with so much effort, each with the claim kept.

    Raises solver.least.choices.Hopeless where nothing keeps the claim.
    """
    first_rules = FIRST_RULES if with_lines(asked.game) is not None else FIRST_RULES[:1]
    share = effort.shared(len(first_rules) * len(WAYS))
    for first in first_rules:
        for way in WAYS:
            try:
                yield from way(asked, first, share)
            except Hopeless:
                if not first:
                    raise  # no strategy at all keeps the claim
            except (NotFound, NotAlike, ValueError):
                continue  # this way finds nothing here


def _rules(asked: Asked, first: Sequence[str]) -> Strategy | None:
    return asked.strategy("\n".join(first)) if first else None


def _pictures(asked: Asked, first: Sequence[str], effort: Effort) -> Iterator[Candidate]:
    for turned in (True, False):
        found = least_pictures(
            asked.housed,
            asked.claim,
            turned=turned,
            rules=_rules(asked, first),
            seconds=effort.seconds / 2,
            told=effort.told(),
        )
        count = len(found.pictures)
        name = named(first, f"{count} pictures" if turned else f"{count} fixed pictures")
        sheet = asked.sheet("\n".join([*first, found.rules]))
        yield Candidate(name, found.strategy, sheet, is_better_turned=True)


def _weights(asked: Asked, first: Sequence[str], effort: Effort) -> Iterator[Candidate]:
    for lines in CLASSES:
        found = least_weights(
            asked.housed,
            asked.claim,
            lines=lines,
            rules=_rules(asked, first),
            seconds=effort.seconds / len(CLASSES),
            told=effort.told(),
        )
        if found.strategy is None or found.weights is None:
            continue
        name = named(first, f"weights ({lines})")
        yield Candidate(name, found.strategy, asked.sheet("\n".join([*first, found.rule])))
        rules = "\n".join([*first, *rule_lines(found.terms, _winning_first(found.terms, found.weights))])
        strategy = asked.strategy(rules)
        if prove(strategy, asked.claim, asked.house).verdict == PROVED:
            yield Candidate(f"{name}, wins first", strategy, asked.sheet(rules))


def _cell_weights(asked: Asked, first: Sequence[str], effort: Effort) -> Iterator[Candidate]:
    fair, clock, told = with_lines(asked.game), Clock(effort.seconds), effort.told()
    if fair is None or first:  # behind rules a program weighs as the sheet says
        return
    rules = "\n".join(rules_by_cells(asked.housed, fair, asked.claim, lambda: clock.left() > 0 and told()))
    if rules:
        yield Candidate("weights (cell by cell)", asked.strategy(rules), asked.sheet(rules), stays=CELLS_STAY)


def _winning_first(terms: Sequence[Term], weights: Sequence[int]) -> list[int]:
    """The same weights, but cells that win at once outweigh all others: a program can tell a win by that."""
    lines = [term.unit for term in terms if isinstance(term.unit, LineWeight)]
    every = {line for unit in lines for line in unit.lines}
    through = max((sum(line >> cell & 1 for line in every) for cell in range(64)), default=0)
    winning = 2 * through * max(map(abs, weights), default=1)
    return [
        winning if isinstance(term.unit, LineWeight) and _is_winning(term.unit) else weight
        for term, weight in zip(terms, weights, strict=True)
    ]


def _is_winning(unit: LineWeight) -> bool:
    return unit.visitors == 0 and unit.mine == min(line.bit_count() for line in unit.lines) - 1


def _answers(asked: Asked, first: Sequence[str], effort: Effort) -> Iterator[Candidate]:
    if scored(asked.game) is not None and asked.claim == "never-loses":
        return
    for turned in (True, False):
        rules = _rules(asked, first)
        found = least_answers(
            asked.game,
            asked.seat,
            asked.claim,
            asked.house,
            turned=turned,
            rules=rules,
            seconds=effort.seconds / 2,
            tell=effort.told(),
        )
        strategy = found.proof.walk.strategy
        name = named(first, f"{found.answers} answers{'' if turned else ' on a fixed board'}")
        table = _table(asked, found, turned=turned) if found.answers else None
        sheet = asked.sheet("\n".join([*first, use_table(Path(TABLE)) if table else ""]))
        yield Candidate(name, strategy, sheet, table, is_stored=not first, is_better_turned=True)


def _table(asked: Asked, found: LeastAnswers, *, turned: bool) -> str:
    names = asked.game.move_names
    return table_text(asked.heading, found.rows(), names, f"{found.answers} answers", turned=turned)


WAYS: tuple[Way, ...] = (_weights, _cell_weights, _pictures, _answers, searches)
