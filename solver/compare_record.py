"""A comparison as plain data: what ``wordtight compare --json`` prints."""

from typing import Any

import numpy as np

from games.codes import PLAYERS
from games.game import Game, scored
from solver.compare import Comparison
from solver.played import WORTHS, Side

SIDES = ("a", "b")
"""The two strategies, by their keys."""


def comparison_record(found: Comparison) -> dict[str, Any]:
    """A comparison by its JSON keys."""
    walk = found.proofs[0].walk
    return {
        "game": walk.game.name,
        "seat": PLAYERS[walk.game.seat],
        "house_rules": found.proofs[0].house.name,
        **{name: _strategy_record(found, side) for side, name in enumerate(SIDES)},
        "boards_of_both": len(found.both),
        "boards_that_differ": len(found.differing),
        "differences": [_difference_record(found, code) for code in found.differing.tolist()],
    }


def _strategy_record(found: Comparison, side: int) -> dict[str, Any]:
    proof, played = found.proofs[side], found.played[side]
    walk = proof.walk
    return {
        "file": walk.strategy.file,
        "strategy": walk.strategy.name,
        "claim": proof.claim,
        "verdict": proof.verdict,
        "lost_from_start": proof.seat_is_lost,
        "boards": len(played.boards),
        "boards_alone": len(found.alone[side]),
        "gives_away": found.given_away(side)._asdict(),
        "kinds": [
            {
                "before": said_worth(found.game, before),
                "after": said_worth(found.game, after),
                "boards": count,
            }
            for before, after, count in found.kinds(side)
        ],
        "wins_later": found.wins_later(side),
        "answers": walk.answers(),
        "answers_fixed_board": walk.answers_fixed_board(),
        "rules": [
            {"line": rule.line, "rule": rule.text, "used": used}
            for rule, used in zip(walk.strategy.rules, walk.times_used(), strict=True)
        ],
    }


def _difference_record(found: Comparison, board: int) -> dict[str, Any]:
    difference, game = found.difference(board), found.game
    [text] = game.texts(np.array([board], dtype=np.uint64), found.proofs[0].walk.game.seat)
    sides = {
        name: _side_record(game, side) for name, side in zip(SIDES, (difference.a, difference.b), strict=True)
    }
    return {"ply": difference.ply + 1, "position": text, **sides}


def _side_record(game: Game, side: Side) -> dict[str, Any]:
    names = game.move_names
    none = side.worst is None
    return {
        "moves": [names[move] for move in side.moves],
        "illegal": [names[move] for move in side.illegal],
        "unanswered": side.unanswered,
        "worst": None if side.worst is None else names[side.worst],
        "before": None if none else said_worth(game, side.before),
        "after": None if none else said_worth(game, side.after),
        "later": None if none else side.later,
    }


def said_worth(game: Game, worth: int) -> str | int:
    """What a position is worth to the machine: `win`, `draw` or `loss`, or points where moves score."""
    return worth if scored(game) is not None else WORTHS[worth]
