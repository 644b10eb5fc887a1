"""Weights for each cell by itself: what a short table takes is followed rightly, and the sheet keeps the claim."""

from functools import cache

import numpy as np
import pytest

from budget.lowering.answering.weights_listed import MOST_FURTHER, found_listed
from budget.plan import weighing
from budget.plan.asked import Asked
from budget.plan.candidates import candidates
from budget.plan.effort import Effort
from games.game import with_lines
from games.load import load_game
from solver.fixed import PLAIN, fix
from solver.least.choices import choices_of
from solver.proof import PROVED, prove
from tests.budget.lowering.test_rules import house_of
from tests.budget.lowering.test_small import seen_of
from tests.budget.small_plans import asked


@cache
def short():
    """Noughts and crosses from the second seat, with house rules that say as little as can be."""
    game = load_game("noughts-and-crosses")
    return Asked("noughts-and-crosses", game, 1, "never-loses", "terse.toml", house_of(game))


@cache
def rules():
    ask = short()
    return weighing.rules_by_cells(ask.housed, with_lines(ask.game), ask.claim, lambda: True)


def test_the_sheet_keeps_the_claim_and_leaves_nothing_open():
    ask = short()
    proof = prove(ask.strategy("\n".join(rules())), ask.claim, ask.house)
    assert proof.verdict == PROVED
    plain = fix(proof, PLAIN)
    answers = proof.walk.strategy.answers(plain.codes)
    assert answers.move.tolist() == plain.moves.tolist()  # one move on every board


def test_a_program_finds_a_short_table_for_the_same_moves():
    listed = found_listed(seen_of("\n".join(rules())).boards(are_wins_told=True))
    assert listed is not None
    assert len(listed.further) <= MOST_FURTHER


def never_loses(ask, table, further):
    """Every line of play against a table, one after the other, by the rules of the game alone."""
    game, lines = ask.game, [*with_lines(ask.game).lines, *further]
    full = (1 << 9) - 1

    def holds(marks):
        return any(line & marks == line for line in lines[: len(game.lines)])

    def answer(mine, theirs):
        def weight(cell):
            through = [line for line in lines if line >> cell & 1]
            return sum(table[(theirs & line).bit_count() - (mine & line).bit_count() + 2] for line in through)

        free = [cell for cell in range(9) if not (mine | theirs) >> cell & 1]
        return max(free, key=lambda cell: (weight(cell), -cell))

    def loses(mine, theirs):
        for cell in range(9):
            if (mine | theirs) >> cell & 1:
                continue
            after = theirs | 1 << cell
            if holds(after):
                return True
            if mine | after == full:
                continue
            now = mine | 1 << answer(mine, after)
            if not holds(now) and loses(now, after):
                return True
        return False

    return not loses(0, 0)


@pytest.mark.parametrize("number", [0, 60, 229, 359, 1309])
def test_tables_that_keep_the_claim_are_those_that_never_lose_a_game(number):
    """House rules by which wrong input costs nothing, so that every line of play is one of the fair game."""
    ask = short()
    tables = weighing._Tables(choices_of(ask.housed, ask.claim, turned=False), with_lines(ask.game))
    further = tables._lists.further[number]
    alive = tables._alive(sum(map(tables._entries_of, further), tables._held))
    kept = np.flatnonzero(alive).tolist()
    tried = sorted({*kept, *range(0, len(alive), 97)})
    assert [each for each in tried if never_loses(ask, tables._lists.tables[each].tolist(), further)] == kept
    assert bool(kept) == (number > 60)


def test_where_no_table_will_do_there_is_no_rule(monkeypatch):
    ask = short()
    game = with_lines(ask.game)
    assert weighing.rules_by_cells(ask.housed, game, ask.claim, lambda: False) == []
    monkeypatch.setattr(weighing, "MOST_ROUNDS", 1)
    monkeypatch.setattr(weighing, "MOST_LISTS", 230)
    assert weighing.rules_by_cells(ask.housed, game, ask.claim, lambda: True) == []
    two = asked("two-by-two", 0)
    assert weighing.rules_by_cells(two.housed, with_lines(two.game), two.claim, lambda: True) == []


@pytest.mark.long
def test_a_plan_weighs_cells_one_by_one():
    names = [each.name for each in candidates(short(), Effort())]
    assert names.count("weights (cell by cell)") == 1
