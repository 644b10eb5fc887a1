"""A proof as plain data: what ``--json`` prints and a separate checker can read."""

from typing import Any

import numpy as np

from games.codes import PLAYERS
from games.inputs import class_in_words
from games.repetition import repetition_limit
from solver.proof import Decision, Proof
from solver.walk import choices
from solver.witness import Line


class Ply:
    """One ply of a line: who moved, what was keyed in, and the position after it.

    wrong: the class of a wrong input, in words for people, or nothing for a legal move; effect: what it cost.
    """

    __slots__ = ("after", "by_machine", "effect", "input", "move", "wrong", "wrong_class")

    def __init__(self, proof: Proof, edge: int) -> None:
        graph, game = proof.walk.graph, proof.walk.game
        before = int(graph.codes[graph.parent[edge]])
        move = int(graph.move[edge])
        self.after = int(graph.codes[graph.child[edge]])
        self.by_machine = bool(graph.mover[graph.parent[edge]] == game.seat)
        self.wrong = self.wrong_class = self.effect = ""
        self.move: int | None = move
        self.input = game.move_names[move]
        if move >= game.fair_moves:
            self.wrong_class, self.input = game.example(before, move)
            self.wrong = class_in_words(self.wrong_class)
            self.effect = game.move_names[move].strip("()")
            self.move = None

    def said(self) -> str:
        """The ply in a word or two: the move, or the wrong input and what it cost."""
        return f"'{self.input}' ({self.wrong}): {self.effect}" if self.wrong else self.input


def plies(proof: Proof, line: Line) -> list[Ply]:
    """A line's plies in order."""
    return [Ply(proof, edge) for edge in line.edges]


def proof_record(proof: Proof) -> dict[str, Any]:
    """Everything that a proof says, by its JSON keys."""
    walk = proof.walk
    line = plies(proof, proof.failure.line) if proof.failure else None
    record: dict[str, Any] = {
        "verdict": proof.verdict,
        "game": walk.game.name,
        "strategy": walk.strategy.name,
        "claim": proof.claim,
        "seat": PLAYERS[walk.game.seat],
        "house_rules": proof.house.name,
        "positions": proof.positions,
        "positions_up_to_symmetry": walk.positions_up_to_symmetry(),
        "answers": walk.answers(),
        "answers_fixed_board": walk.answers_fixed_board(),
        "unanswered": len(walk.unanswered),
        "illegal": len(walk.illegal),
        "longest_line": proof.longest_line,
        "losing_line": None if line is None else [ply.said() for ply in line],
        "loop_from": proof.failure.line.loop if proof.failure else None,
        "repetition_limit": repetition_limit(walk.game),
        "first_losing_decision": _decision_record(proof, proof.decision()),
        "lost_from_start": proof.seat_is_lost,
        "house_rules_give_game_away": proof.house_gives_game_away,
        "rules": [
            {"line": rule.line, "rule": rule.text, "used": used}
            for rule, used in zip(walk.strategy.rules, walk.times_used(), strict=True)
        ],
        "never_said": list(proof.never_said),
    }
    record["witness"] = _line_witness(proof, line) if line is not None else _answers_witness(proof)
    return record


def _decision_record(proof: Proof, decision: Decision | None) -> dict[str, Any] | None:
    if decision is None:
        return None
    game, names = proof.walk.game, proof.walk.game.move_names
    rule = None if decision.rule is None else proof.walk.strategy.rules[decision.rule]
    return {
        "ply": decision.ply + 1,
        "position": game.text(int(proof.walk.graph.codes[decision.place])),
        "move": None if decision.move is None else names[decision.move],
        "rule": None if rule is None else rule.text,
        "rule_line": None if rule is None else rule.line,
        "better": [names[move] for move in decision.better],
    }


def _line_witness(proof: Proof, line: list[Ply]) -> dict[str, Any]:
    """A refutation: every ply with what was keyed in and the position after it."""
    game = proof.walk.game
    return {
        "kind": "line",
        "start": game.text(game.start),
        "plies": [
            {
                "by": "machine" if ply.by_machine else "visitor",
                "input": ply.input,
                "class": ply.wrong_class or "legal",
                "effect": ply.effect or "move",
                "position": game.text(ply.after),
            }
            for ply in line
        ],
    }


def _answers_witness(proof: Proof) -> dict[str, Any]:
    """A proof: what the machine may play in every machine-to-move position that can be met."""
    walk = proof.walk
    met = np.nonzero(walk.machine)[0]
    names = walk.game.move_names
    texts = walk.game.texts(walk.graph.codes[met], walk.game.seat)
    answers = {
        text: [names[move] for move in choices(walk, int(place))]
        for text, place in zip(texts, met, strict=True)
    }
    return {"kind": "answers", "answers": answers}
