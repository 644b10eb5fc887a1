"""A whole attempt in 80 to 160 words: the shortest line that beats it, the first losing decision, and the idea behind.

What is good instead is not told; that stands in the teacher's answer.  Some sentences are always there, and others are
added, the most useful first, while there is room.
"""

from typing import NamedTuple

import numpy as np

from games.codes import PLAYERS, MoveList
from games.game import scored
from games.problems import listed
from solver.least.keeping import keeping
from solver.meanings import AnyOf
from solver.proof import ILLEGAL_ANSWER, NO_ANSWER, Decision, Proof
from solver.record import Ply, plies
from solver.strategy import View
from workbench.coaching.danger import danger_after, in_common
from workbench.coaching.moment import Option, options_at
from workbench.coaching.seen import what_it_saw
from workbench.output import plural

FEWEST_WORDS, ENOUGH_WORDS, MOST_WORDS = 80, 110, 160
HINTS = 3
LONGEST_SHOWN = 9
"""Plies: of longer lines only the end is told."""
LONGEST_RULE = 12
"""Words: longer rules are cut."""


class Feedback(NamedTuple):
    """What a learner is told: paragraphs, and the hints for who would rather find it alone (none where it holds)."""

    paragraphs: tuple[str, ...]
    hints: tuple[str, ...]

    @property
    def words(self) -> int:
        """How many words the paragraphs have."""
        return sum(map(count_words, self.paragraphs))


def count_words(text: str) -> int:
    """How many words a text has: what stands between blanks."""
    return len(text.split())


def feedback_on(proof: Proof) -> Feedback:
    """What there is to say about a whole attempt."""
    if proof.failure is None:
        return Feedback(fitted(_on_what_holds(proof)), ())
    decision = proof.decision()
    if decision is None:
        return Feedback(fitted(_on_a_lost_seat(proof)), ())
    told = _Told(proof, decision)
    return Feedback(fitted([told.line(), told.decision(), told.rest()]), told.hints())


class Paragraph(NamedTuple):
    """Sentences that have to be said, and those that are said while there is room."""

    needed: list[str]
    if_room: list[str]


def fitted(paragraphs: list[Paragraph]) -> tuple[str, ...]:
    """The paragraphs with as many sentences as fit: more are added until there are enough words, never too many."""
    chosen = [list(each.needed) for each in paragraphs]
    words = sum(count_words(sentence) for each in chosen for sentence in each)
    for number, paragraph in enumerate(paragraphs):
        for sentence in paragraph.if_room:
            more = count_words(sentence)
            if words < ENOUGH_WORDS and words + more <= MOST_WORDS:
                chosen[number].append(sentence)
                words += more
    return tuple(" ".join(sentences) for sentences in chosen if sentences)


def cut(rule: str) -> str:
    """A rule's text of bearable length."""
    words = rule.split()
    return rule if len(words) <= LONGEST_RULE else f"{' '.join(words[:LONGEST_RULE])} ..."


def line_in_words(line: list[Ply]) -> str:
    """A line of play, move by move; of a long one the end."""
    shown = [f"{'machine' if ply.by_machine else 'visitor'} {ply.said()}" for ply in line[-LONGEST_SHOWN:]]
    return f"{'... ' if len(line) > LONGEST_SHOWN else ''}{', '.join(shown)}"


# What fails --------------------------------------------------------------------------------------------------


PLAYING_IS_NOT_PROVING = (
    "The idea: a hundred games without a loss say little, because a visitor who finds the one bad line wins every "
    "time; only going through all lines says that there is none."
)
CHOOSE_THE_SEAT = (
    "The idea: before you write a strategy find out who wins if both sides play their best, for a machine can only "
    "be sure where its seat is not lost."
)


class _Told:
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
                f"All was well until ply {ply}: there the machine played {name}, the first wrong decision."
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
        if self.rule is None or isinstance(self.rule.meaning, AnyOf):
            return []  # what is free anybody can see
        here = np.array([self.code], dtype=np.uint64)
        return what_it_saw(
            self.rule, View(self.proof.walk.strategy.game, self.game.fair_codes(here), self.game.seat)
        )

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


# What holds, and what nothing can mend -----------------------------------------------------------------------


def _on_what_holds(proof: Proof) -> list[Paragraph]:
    """What is said about a strategy whose claim is proved."""
    walk = proof.walk
    used = walk.times_used()
    busiest = max(range(len(used)), key=lambda rule: used[rule])
    idle = [f"line {rule.line}" for rule, times in zip(walk.strategy.rules, used, strict=True) if not times]
    longest = proof.longest_line
    evidence = [
        f"This strategy is proved: {_claimed(proof)}, whatever the visitor does, wrong input included.",
        f"All {proof.positions:,} positions in which it may have to move were gone through, and every line of play.",
    ]
    return [
        Paragraph(evidence, [f"The longest line has {longest} plies."] if longest is not None else []),
        Paragraph(
            [
                f"'{cut(walk.strategy.rules[busiest].text)}' gave the move most often: in {used[busiest]:,} positions."
            ],
            [f"Never asked at all: {listed(idle, 'and')}, which could go."] if idle else [],
        ),
        Paragraph(
            [
                PLAYING_IS_NOT_PROVING,
            ],
            [
                "Now make it smaller: which rules could go without harm, and can the same be said in fewer words?",
                "Explain to somebody who has not seen it why each rule stands where it stands.",
                "Then exchange two rules that stand side by side, and guess before you prove whether it still holds.",
                "Does it also hold in the other seat, or where wrong input costs a turn?",
            ],
        ),
    ]


def _claimed(proof: Proof) -> str:
    return {
        "never-loses": "it never loses",
        "best-value": "it never gives away what it has",
        "quickest": "it gives nothing away and wins as soon as it can",
    }[proof.claim]


def _on_a_lost_seat(proof: Proof) -> list[Paragraph]:
    """What is said where no strategy could do better."""
    assert proof.failure is not None
    line = plies(proof, proof.failure.line)
    seat = PLAYERS[proof.walk.game.seat]
    lost = (
        f"In fair play this seat can be held, but under the house rules '{proof.house.name}' it is lost"
        if proof.house_gives_game_away
        else f"This seat is lost from the start: who moves {seat} loses against best play"
    )
    return [
        Paragraph(
            [
                f"The visitor wins after {plural(len(line), 'ply', 'plies')} ({line_in_words(line)}).",
                f"{lost}, whatever the rules say, so no rule of yours is to blame.",
            ],
            [],
        ),
        Paragraph(
            [
                CHOOSE_THE_SEAT,
            ],
            [
                "Let the machine take the other seat, or choose another game, and see whether your rules hold there.",
                "A strategy in a lost seat can still be hard to beat: it makes the game long, and waits for a slip.",
                "But that is hoping, and what is hoped for cannot be proved.",
                "Look at the line once more and ask at which move you first felt that it was lost.",
            ],
        ),
    ]
