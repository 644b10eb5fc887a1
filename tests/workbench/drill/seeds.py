"""The seeded faults: in which program each stands, how it is drilled, and which battery has to find what."""

from typing import NamedTuple

from tests.workbench.drill.bank import PROGRAMS
from workbench.drill.faults import (
    ACCEPTED,
    AFTER_END_PLAY,
    BOARD_CHANGED,
    CLAIM_FAILS,
    CONDUCT,
    EARLY_VERDICT,
    ENDLESS_OUTPUT,
    ILLEGAL_MOVE,
    LEGAL_REFUSED,
    NO_ANSWER,
    NO_MOVE,
    NO_VERDICT,
    NOT_CHARGED,
    OUT_OF_TURN,
    PLAY,
    STOPPED,
    TWO_ANSWERS,
    VERDICTS,
    WRONG_INPUT,
    WRONG_MESSAGE,
    WRONG_VERDICT,
)

USUAL, LOST_TURN, ONE_WARNING = "usual", "lost-turn", str(PROGRAMS / "one-warning.toml")
HOUSES = {"oxo.py": USUAL, "oxo.c": ONE_WARNING, "oxo.pl": LOST_TURN, "answers.py": USUAL}
"""The house rules under which each of the programs is right."""
SECOND = {"answers.py"}
"""Programs that move second."""


class Seed(NamedTuple):
    """A fault by its name in a program.  wrong: how many wrong inputs it takes."""

    program: str
    fault: str
    battery: str
    cause: str
    wrong: int = 0
    claim: str = "never-loses"


SEEDS = [
    # Play.  The third loses two lines of 94, and the last of oxo loses none.
    Seed("oxo.py", "never-stops", PLAY, CLAIM_FAILS),
    Seed("oxo.py", "forgets-one-column", PLAY, CLAIM_FAILS),
    Seed("oxo.c", "lets-one-line-go", PLAY, CLAIM_FAILS),
    Seed("oxo.pl", "careless-after-a-lost-turn", PLAY, CLAIM_FAILS, wrong=1),
    Seed("oxo.py", "plays-on-a-mark", PLAY, ILLEGAL_MOVE),
    Seed("oxo.py", "does-not-reply-to-nine", PLAY, NO_MOVE),
    Seed("oxo.py", "plays-twice", PLAY, OUT_OF_TURN),
    Seed("oxo.c", "misses-its-win", PLAY, CLAIM_FAILS, claim="quickest"),
    Seed("answers.py", "loose-board", PLAY, CLAIM_FAILS),  # loses 2 lines of 673
    Seed(
        "answers.py", "trusts-the-visitor", PLAY, CLAIM_FAILS
    ),  # and never to a visitor who plays with sense
    # Wrong input.
    Seed("oxo.py", "scolds-letters", WRONG_INPUT, WRONG_MESSAGE, wrong=1),
    Seed("oxo.py", "reads-long-numbers", WRONG_INPUT, WRONG_MESSAGE, wrong=1),
    Seed("oxo.py", "not-a-word-after-the-end", WRONG_INPUT, WRONG_MESSAGE, wrong=1),
    Seed("oxo.pl", "another-message", WRONG_INPUT, WRONG_MESSAGE, wrong=1),
    Seed("oxo.py", "zero-is-nine", WRONG_INPUT, ACCEPTED, wrong=1),
    Seed("oxo.py", "own-cell-again", WRONG_INPUT, ACCEPTED, wrong=1),
    Seed("oxo.py", "refuses-nine", WRONG_INPUT, LEGAL_REFUSED),
    Seed("oxo.py", "shaken-by-a-letter", WRONG_INPUT, BOARD_CHANGED, wrong=1),
    Seed("oxo.c", "a-taken-cell-moves-the-mark", WRONG_INPUT, BOARD_CHANGED, wrong=1),
    Seed("oxo.c", "a-warning-wipes-a-corner", WRONG_INPUT, BOARD_CHANGED, wrong=1),
    Seed("oxo.pl", "takes-what-is-taken", WRONG_INPUT, WRONG_MESSAGE, wrong=1),
    Seed("oxo.pl", "says-it-and-does-not", WRONG_INPUT, NOT_CHARGED, wrong=1),
    Seed("oxo.pl", "charges-for-nothing", WRONG_INPUT, ACCEPTED, wrong=1),
    Seed("oxo.c", "forgives-nothing", WRONG_INPUT, WRONG_MESSAGE, wrong=1),
    Seed("oxo.c", "forgives-twice", WRONG_INPUT, WRONG_MESSAGE, wrong=2),
    Seed("oxo.c", "loses-in-silence", WRONG_INPUT, WRONG_MESSAGE, wrong=2),
    Seed("oxo.c", "questions-cost-nothing", WRONG_INPUT, WRONG_MESSAGE, wrong=2),
    # Verdicts.
    Seed("oxo.py", "one-diagonal-missing", VERDICTS, NO_VERDICT),
    Seed("oxo.py", "late-wins-are-draws", VERDICTS, WRONG_VERDICT),
    Seed("oxo.py", "draw-told-as-a-win", VERDICTS, WRONG_VERDICT),
    Seed("oxo.py", "draw-before-the-end", VERDICTS, EARLY_VERDICT),
    Seed("oxo.c", "last-column-not-seen", VERDICTS, NO_VERDICT),
    Seed("oxo.c", "wins-are-yours", VERDICTS, WRONG_VERDICT),
    Seed("oxo.c", "gives-up-at-seven", VERDICTS, EARLY_VERDICT),
    Seed("oxo.c", "lost-game-called-a-draw", VERDICTS, WRONG_VERDICT, wrong=2),
    Seed("oxo.pl", "middle-row-not-seen", VERDICTS, NO_VERDICT),
    Seed("oxo.pl", "no-draws", VERDICTS, NO_VERDICT),
    # Conduct.
    Seed("oxo.py", "no-check-of-letters", CONDUCT, STOPPED, wrong=1),
    Seed("oxo.py", "leaves-when-nothing-is-typed", CONDUCT, STOPPED, wrong=1),
    Seed("oxo.c", "falls-over-a-letter", CONDUCT, STOPPED, wrong=1),
    Seed("oxo.c", "aborts-on-nothing", CONDUCT, STOPPED, wrong=1),
    Seed("oxo.c", "writes-past-the-end", WRONG_INPUT, BOARD_CHANGED, wrong=1),
    Seed("oxo.pl", "dies-on-a-question", CONDUCT, STOPPED, wrong=1),
    Seed("oxo.pl", "dies-after-the-end", CONDUCT, STOPPED),
    Seed("oxo.py", "hangs-on-a-letter", CONDUCT, NO_ANSWER, wrong=1),
    Seed("oxo.c", "waits-for-a-key-that-nobody-knows", CONDUCT, NO_ANSWER, wrong=1),
    Seed("oxo.py", "endless-on-zero", CONDUCT, ENDLESS_OUTPUT, wrong=1),
    Seed("oxo.c", "talks-without-end", CONDUCT, ENDLESS_OUTPUT, wrong=1),
    Seed("oxo.c", "one-more-move-after-the-end", CONDUCT, AFTER_END_PLAY, wrong=1),
    Seed("oxo.c", "leaves-the-last-board", CONDUCT, AFTER_END_PLAY),
    Seed("oxo.py", "chance", CONDUCT, TWO_ANSWERS),
    Seed("oxo.c", "eleventh-game-is-another", CONDUCT, TWO_ANSWERS),
    Seed("oxo.c", "warns-across-games", CONDUCT, TWO_ANSWERS, wrong=1),
    Seed("oxo.py", "tires-after-nine-games", PLAY, CLAIM_FAILS),
]
