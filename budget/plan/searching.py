"""Strategies that search: alone, behind rules, or behind a table for the machine's first turns.

To look further takes longer and no fewer words, so each looks ahead as few plies as keep the claim.  A table in front
takes words, and spares the search that takes longest: for each number of turns there is one.
"""

from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np

from budget.lowering.answering.first_turns import boards_by_turn
from budget.plan.asked import TABLE, Asked, Candidate, named
from budget.plan.effort import Effort
from games.codes import Codes
from games.game import scored
from solver.fixed import PLAIN, FixedPlay, Unanswered, fix
from solver.least.written import table_text, use_table
from solver.proof import PROVED, prove
from solver.strategy import OPEN, Strategy
from solver.table import Row, TableRule

DEEPEST = 9
"""Plies that are looked ahead at most."""
MOST_STORED = 2000
"""Answers in a table in front of a search at most."""


def searches(asked: Asked, first: Sequence[str], _: Effort) -> Iterator[Candidate]:
    """The search behind some rules; and where there are none, behind tables for the first turns, too."""
    if scored(asked.game) is not None:
        return
    for plies in range(1, DEEPEST + 1):
        rules = [*first, _ahead(plies)]
        strategy = asked.strategy("\n".join(rules))
        if _is_proved(asked, strategy):
            yield Candidate(named(first, rules[-1]), strategy, asked.sheet("\n".join(rules)))
            if not first:
                yield from _behind_tables(asked, strategy, plies)
            return


def _ahead(plies: int) -> str:
    return f"look ahead {plies} {'plies' if plies > 1 else 'ply'}"


def _is_proved(asked: Asked, strategy: Strategy) -> bool:
    return prove(strategy, asked.claim, asked.house).verdict == PROVED


def _behind_tables(asked: Asked, search: Strategy, plies: int) -> Iterator[Candidate]:
    """For each number of first turns: what the search itself would play there as a table, and a shorter search."""
    try:
        play = fix(prove(search, asked.claim, asked.house), PLAIN)
    except Unanswered:
        return
    turns = boards_by_turn(play)
    for count in range(1, len(turns)):
        codes = np.unique(np.concatenate(turns[:count]))
        if len(codes) > MOST_STORED:
            return
        table = _Table(asked, play, codes)
        for plies_behind in range(1, plies + 1):
            strategy = table.with_behind(_ahead(plies_behind))
            if _is_proved(asked, strategy):
                plies = plies_behind
                yield table.candidate(count, strategy, _ahead(plies))
                break


class _Table:
    """The moves of a play on some boards, to stand in front of something else."""

    def __init__(self, asked: Asked, play: FixedPlay, codes: Codes) -> None:
        self._asked = asked
        moves = play.moves[np.searchsorted(play.codes, codes)].tolist()
        texts = asked.game.texts(codes, asked.seat)
        self._rows = [Row(text, move) for text, move in zip(texts, moves, strict=True)]

    def with_behind(self, rule: str) -> Strategy:
        """The strategy that looks up first."""
        asked = self._asked
        table = TableRule(use_table(TABLE).strip(), 1, asked.game, self._rows, turned=False)
        behind = asked.strategy(rule).rules
        return Strategy("sheet", "", asked.game, asked.seat, [table, *behind], OPEN)

    def candidate(self, turns: int, strategy: Strategy, rule: str) -> Candidate:
        """The same with its files."""
        asked, answers = self._asked, len(self._rows)
        remark = f"{answers} answers"
        text = table_text(asked.heading, self._rows, asked.game.move_names, remark, turned=False)
        when = "first turn" if turns == 1 else f"first {turns} turns"
        name = f"{remark} for the {when}, then {rule}"
        return Candidate(name, strategy, asked.sheet(use_table(Path(TABLE)) + rule), text)
