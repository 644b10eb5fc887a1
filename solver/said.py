"""Which messages of the house rules can be said at all while a strategy plays: a fact, not a guess."""

import numpy as np

from games.codes import DRAW, FIRST, UNFINISHED, Flags, win_of
from games.game import scored
from games.inputs import AFTER_END
from games.repetition import repetition_limit
from solver.coming import coming_again
from solver.walk import Walk


def never_said(walk: Walk) -> tuple[str, ...]:
    """The names of the messages that no line of play can bring about, in the order of the house rules."""
    said = _outcomes_said(walk) | _rules_said(walk)
    return tuple(name for name in walk.game.house.all_messages() if name not in said)


def _outcomes_said(walk: Walk) -> set[str]:
    graph, game = walk.graph, walk.game
    visitor_moves = (graph.mover == game.visitor) & (graph.ending == UNFINISHED)
    happens = {
        "ask": visitor_moves.any(),
        "machine-moves": walk.machine.any(),
        **_results(walk),
    }
    return {name for name, can_happen in happens.items() if can_happen}


def _results(walk: Walk) -> dict[str, bool]:
    """Which results some line can have."""
    graph, game = walk.graph, walk.game
    machine_wins = bool((graph.ending == win_of(game.seat)).any())
    if scored(game) is None:
        visitor_wins, draw = (bool((graph.ending == end).any()) for end in (win_of(game.visitor), DRAW))
    else:
        from solver.scores import final_totals

        ahead = [total if game.seat == FIRST else -total for total in final_totals(graph)]
        machine_wins = machine_wins or max(ahead, default=0) > 0
        visitor_wins, draw = min(ahead, default=0) < 0, 0 in ahead
    return {"machine-wins": machine_wins, "visitor-wins": visitor_wins, "draw": draw or _comes_again(walk)}


def _comes_again(walk: Walk) -> bool:
    """Whether some line goes round until that is a draw."""
    return bool(_over_by_repetition(walk).any())


def _over_by_repetition(walk: Walk) -> Flags:
    """(n,): the positions met that can come so often that this is a draw."""
    if repetition_limit(walk.game) is None:
        return np.zeros(len(walk.graph), dtype=bool)
    return coming_again(walk.graph)


def _rules_said(walk: Walk) -> set[str]:
    """The house rules' messages: for each class of input, what is said wherever it can be keyed in."""
    graph, game = walk.graph, walk.game
    asked = graph.codes[(graph.mover == game.visitor) & (graph.ending == UNFINISHED)]
    over = graph.codes[(graph.ending != UNFINISHED) | _over_by_repetition(walk)]
    where = {**{name: asked[can_be] for name, can_be in game.possible(asked).items()}, AFTER_END: over}
    said = set()
    for name, codes in where.items():
        number = game.house.rule_for(name)
        rule = game.house.rules[number]
        forgiven = game.times_forgiven(codes, number) < np.uint64(rule.forgive)
        if forgiven.any():
            said.add(f"{rule.name} forgiven")
        if not forgiven.all():
            said.add(rule.name)
    return said
