"""What there is to say about a strategy with a hole: the line, the first losing decision, the idea, and three hints."""

import numpy as np

from games.codes import MoveList
from games.game import scored
from solver.least.keeping import keeping
from solver.meanings import AnyOf
from solver.proof import ILLEGAL_ANSWER, NO_ANSWER, Decision, Proof
from solver.record import plies
from workbench.coaching.danger import danger_after, in_common
from workbench.coaching.moment import Option, options_at
from workbench.coaching.paragraphs import Paragraph, cut, line_in_words
from workbench.coaching.seen import what_it_saw
from workbench.output import plural


class Hole:
    """The sentences about a strategy that fails by a decision of its own."""

    def __init__(self, proof: Proof, decision: Decision) -> None:
        assert proof.failure is not None
        self.proof, self.at = proof, decision
        self.game, self.line_ = proof.walk.game, plies(proof, proof.failure.line)
        self.code = int(proof.walk.graph.codes[decision.place])
        self.danger = danger_after(proof, decision)
        self.options = decision_options(proof, decision)
        self.rule = None if decision.rule is None else proof.walk.strategy.rules[decision.rule]

    def line(self) -> Paragraph:
        """The shortest line that beats it."""
        if self.proof.verdict in (NO_ANSWER, ILLEGAL_ANSWER):
            how = "the machine is left without a legal move"
        else:
            assert self.proof.failure is not None
            how = self.proof.truth.outcome(self.proof.failure.line)
        if not self.line_:
            return Paragraph([f"At the very start {how}."], [])
        after = plural(len(self.line_), "ply", "plies")
        needed = [f"This strategy has a hole: {how} after {after} ({line_in_words(self.line_)})."]
        return Paragraph(needed, [])

    def decision(self) -> Paragraph:
        """The first losing decision, and what comes of it."""
        ply, name = self.at.ply + 1, self.name(self.at.move)
        if self.at.move is None:
            needed = [f"At ply {ply} none of the rules has a move for the board that has come up."]
        elif self.proof.verdict == ILLEGAL_ANSWER:
            needed = [f"At ply {ply} it wants to play {name}, which the game does not allow there."]
        else:
            needed = [
                f"All was well until ply {ply}: there the machine played {name}, the first losing decision."
            ]
        if self.rule is not None:
            needed.append(f"The rule behind it is '{cut(self.rule.text)}' (line {self.rule.line}).")
        needed.append(self.danger.said)
        return Paragraph([each for each in needed if each], self.saw()[:1])

    def rest(self) -> Paragraph:
        """The idea in one sentence, and how to go on."""
        good = len(self.at.better)
        of = f"Of the {plural(len(self.options), 'move')} that were possible there, {good}"
        return Paragraph(
            [f"The idea: {self.idea()}."],
            [
                f"{of} would have kept the claim: which, and why?",
                *self.how_much_is_good(),
                "Set the board up as it stood, sit on the visitor's side, and try every move that the machine has.",
                "Then mend one rule, or put one in front of it, and prove again, for a change can open another hole.",
                "Play it once more from the start, with both hands, and say aloud which rule answers and why.",
                "A strategy is only as good as its worst answer, however many games it has not lost.",
            ],
        )

    def name(self, move: int | None) -> str:
        """What people call a move."""
        return "" if move is None else self.game.move_names[move]

    def saw(self) -> list[str]:
        """What the rule saw on the board of the decision."""
        if self.rule is None or self.at.rule is None or isinstance(self.rule.meaning, AnyOf):
            return []  # what is free anybody can see
        board = self.game.fair_codes(np.array([self.code], dtype=np.uint64))
        return what_it_saw(self.proof.walk.strategy, self.at.rule, board)

    def idea(self) -> str:
        """The idea in one sentence."""
        if self.at.move is None:
            return "rules that wait for a pattern fall silent where there is none, so the last must always have a move"
        if self.proof.verdict == ILLEGAL_ANSWER:
            return "a rule can only play what is free, so it has to look at what stands there first"
        assert self.proof.failure is not None
        if self.proof.failure.is_endless:
            return "a win comes only if every move brings it nearer, so who moves to and fro never gets there"
        return self.danger.idea

    def how_much_is_good(self) -> list[str]:
        """On how many boards it plays well, where that is a matter of the board."""
        good = boards_played_well(self.proof)
        if good is None:
            return []
        share = (
            f"On {good:,} of the {self.proof.positions:,} boards on which it may have to move it plays well"
        )
        return [f"{share}, so much of it is right already."]

    def hints(self) -> tuple[str, ...]:
        """Three steps: where to look, what was overlooked, and of what kind a good move is."""
        before = self.line_[: self.at.ply]
        where = f"Play {line_in_words(before)}, and stop there." if before else "Look at the very first move."
        second = (
            "No rule has a move there."
            if self.rule is None
            else (f"The rule that answers there is '{cut(self.rule.text)}' (line {self.rule.line}).")
        )
        good = len(self.at.better)
        count = f"{good} of the {plural(len(self.options), 'move')} there {'is' if good == 1 else 'are'} good"
        common = in_common(self.proof, self.at)
        return (
            f"{where} It is the machine's turn. What does the visitor want to do next?",
            f"{second} {self.danger.said}".strip(),
            f"{count}{': ' + common if common else ''}. Try each, and let the visitor answer as well as can be.",
        )


def decision_options(proof: Proof, decision: Decision) -> list[Option]:
    """Every legal move where the first losing decision was made."""
    code = int(proof.walk.graph.codes[decision.place])
    allowed = [] if decision.move is None else [decision.move]
    return options_at(code, proof.claim, proof.walk.game, proof.truth.solved, allowed)


def boards_played_well(proof: Proof) -> int | None:
    """In how many positions met no allowed move gives the claim away; None where that hangs on the scores so far."""
    walk, graph = proof.walk, proof.walk.graph
    if scored(walk.game) is not None:
        return None
    own = np.flatnonzero(walk.machine[graph.parent])
    moves = MoveList(graph.parent[own], graph.move[own], graph.codes[graph.child[own]])
    kept = keeping(proof.truth.solved, proof.claim, walk.game.seat, graph.codes, moves)
    bad = {*moves.parent[~kept].tolist(), *walk.unanswered.tolist(), *(place for place, _ in walk.illegal)}
    return proof.positions - len(bad)
