"""The words on a whole attempt: printed for the learner, for machines, and the teacher's answer apart."""

import textwrap
from typing import Any

from games.codes import PLAYERS
from games.game import scored
from games.problems import listed
from solver.proof import Decision, Proof
from solver.record import plies
from workbench.coaching.feedback import Feedback
from workbench.coaching.hole import decision_options
from workbench.coaching.moment import worth_in_words
from workbench.coaching.paragraphs import line_in_words
from workbench.output import WIDTH, say, say_lines, table
from workbench.tell_proof import CLAIM_WORDS


def tell_feedback(proof: Proof, feedback: Feedback, written: str) -> None:
    """The board before the first losing decision, and the words."""
    game = proof.walk.game
    say(f"{written}: {game.title}, machine moves {PLAYERS[game.seat]}, house rules '{proof.house.name}'")
    say(f"Claim {proof.claim}: {CLAIM_WORDS[proof.claim]}.")
    decision = proof.decision()
    if decision is not None:
        say()
        say_lines(_board_before(proof, decision))
    for paragraph in feedback.paragraphs:
        say()
        say(paragraph)


def tell_hints(proof: Proof, feedback: Feedback, hints: int) -> None:
    """So many of the hints, one a paragraph."""
    if not feedback.hints:
        say(
            "There is nothing to hint at: "
            + ("the claim holds." if proof.failure is None else "this seat is lost.")
        )
    for number, hint in enumerate(feedback.hints[:hints], 1):
        if number > 1:
            say()
        say(f"Hint {number} of {len(feedback.hints)}: {hint}")


def _board_before(proof: Proof, decision: Decision) -> list[str]:
    game = proof.walk.game
    code = int(proof.walk.graph.codes[decision.place])
    rows = game.drawing(code, game.seat, named=True)
    return [f"Before ply {decision.ply + 1}, with the machine to move:", "", *(f"  {row}" for row in rows)]


def _rule_behind(proof: Proof, decision: Decision) -> list[str]:
    """The rule that made the decision, if one did."""
    if decision.rule is None:
        return []
    rule = proof.walk.strategy.rules[decision.rule]
    return textwrap.wrap(f"Line {rule.line}: {rule.text}", WIDTH, break_on_hyphens=False)


def teachers_answer(proof: Proof, written: str) -> str:
    """The answer as a text: the line, the board, what each move is worth there, and which are good.

    written: what the strategy is called.
    """
    game, decision = proof.walk.game, proof.decision()
    lines = [
        f"The answer to {written}",
        f"{game.title}, machine moves {PLAYERS[game.seat]}, claim {proof.claim}",
        "",
    ]
    if proof.failure is None:
        return "\n".join([*lines, "The claim holds: there is nothing to mend.", ""])
    told = f"The line: {line_in_words(plies(proof, proof.failure.line))}"
    lines += [*textwrap.wrap(told, WIDTH, break_on_hyphens=False), ""]
    if decision is None:
        return "\n".join([*lines, "The seat is lost from the start: no strategy can hold it.", ""])
    names = game.move_names
    rows = [
        (
            names[option.move],
            worth_in_words(option, scores=scored(game) is not None),
            "yes" if option.keeps else "no",
        )
        for option in decision_options(proof, decision)
    ]
    played = "nothing" if decision.move is None else names[decision.move]
    return "\n".join(
        [
            *lines,
            *_board_before(proof, decision),
            "",
            *_rule_behind(proof, decision),
            f"It played {played}. Good there: {listed([names[move] for move in decision.better]) or 'nothing'}.",
            "",
            *table(("move", "worth", "good"), rows),
            "",
        ]
    )


def feedback_record(proof: Proof, feedback: Feedback, hints: int | None) -> dict[str, Any]:
    """What is told, by its JSON keys; hints: how many, if only those are asked for."""
    decision = proof.decision()
    shown = {"paragraphs": list(feedback.paragraphs), "words": feedback.words} if hints is None else {}
    return {
        "game": proof.walk.game.name,
        "seat": PLAYERS[proof.walk.game.seat],
        "claim": proof.claim,
        "house_rules": proof.house.name,
        "verdict": proof.verdict,
        "position": None
        if decision is None
        else proof.walk.game.text(int(proof.walk.graph.codes[decision.place])),
        **shown,
        "hints": list(feedback.hints[:hints]),
    }
