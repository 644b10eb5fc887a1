"""Which messages of the house rules can be said at all while a strategy plays: a fact, not a guess."""

import numpy as np

from games.codes import DRAW, UNFINISHED, win_of
from games.inputs import AFTER_END
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
        "machine-wins": (graph.ending == win_of(game.seat)).any(),
        "visitor-wins": (graph.ending == win_of(game.visitor)).any(),
        "draw": (graph.ending == DRAW).any(),
    }
    return {name for name, can_happen in happens.items() if can_happen}


def _rules_said(walk: Walk) -> set[str]:
    """The house rules' messages: for each class of input, what is said wherever it can be keyed in."""
    graph, game = walk.graph, walk.game
    asked = graph.codes[(graph.mover == game.visitor) & (graph.ending == UNFINISHED)]
    over = graph.codes[graph.ending != UNFINISHED]
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
