"""A whole attempt in 80 to 160 words: the shortest line that beats it, the first losing decision, and the idea behind.

What is good instead is not told; that stands in the teacher's answer.  Some sentences are always there, and others are
added, the most useful first, while there is room.
"""

from typing import NamedTuple

from games.codes import PLAYERS
from games.problems import listed
from solver.proof import Proof
from solver.record import plies
from workbench.coaching.hole import Hole
from workbench.coaching.paragraphs import Paragraph, count_words, cut, fitted, line_in_words
from workbench.output import plural

HINTS = 3
PLAYING_IS_NOT_PROVING = (
    "The idea: a hundred games without a loss say little, because a visitor who finds the one bad line wins every "
    "time; only going through all lines says that there is none."
)
CHOOSE_THE_SEAT = (
    "The idea: before you write a strategy find out who wins if both sides play their best, for a machine can only "
    "be sure where its seat is not lost."
)


class Feedback(NamedTuple):
    """What a learner is told: paragraphs, and the hints for who would rather find it alone (none where it holds)."""

    paragraphs: tuple[str, ...]
    hints: tuple[str, ...]

    @property
    def words(self) -> int:
        """How many words the paragraphs have."""
        return sum(map(count_words, self.paragraphs))


def feedback_on(proof: Proof) -> Feedback:
    """What there is to say about a whole attempt."""
    if proof.failure is None:
        return Feedback(fitted(_on_what_holds(proof)), ())
    decision = proof.decision()
    if decision is None:
        return Feedback(fitted(_on_a_lost_seat(proof)), ())
    hole = Hole(proof, decision)
    return Feedback(fitted([hole.line(), hole.decision(), hole.rest()]), hole.hints())


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
