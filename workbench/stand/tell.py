"""What a stand's log comes to, in plain lines."""

from games.inputs import class_in_words
from solver.proof import PROVED, Proof
from workbench.output import plural, say, say_lines, table
from workbench.stand.course import DRAWN, MACHINE, NO_ANSWER, VISITOR
from workbench.stand.events import DROPPED, LEFT
from workbench.stand.history import Totals
from workbench.stand.replaying import Replay, moves_of
from workbench.tell_proof import CLAIM_WORDS

MOST_TOLD = 5
"""Findings, and games that visitors have won, that are told; `--json` has them all."""
OUTCOMES = {
    MACHINE: "the machine won",
    DRAWN: "a draw",
    VISITOR: "the visitor won",
    NO_ANSWER: "the machine had no answer",
    LEFT: "left before the end",
    DROPPED: "interrupted and not gone on with",
    "unfinished": "still being played",
}


def tell_totals(totals: Totals) -> None:
    """The games by result, their lengths, and the wrong inputs by class."""
    say(f"{plural(totals.games, 'game')}, {plural(totals.inputs, 'input')}.")
    if not totals.games:
        return
    say()
    rows = [(words, totals.results[name]) for name, words in OUTCOMES.items() if name in totals.results]
    say_lines(table(("result", "games"), rows, right=(1,)))
    if totals.lengths:
        say()
        say_lines(table(("plies of a finished game", "games"), totals.lengths.items(), right=(0, 1)))
    if totals.wrong:
        say()
        rows = [(class_in_words(name), count) for name, count in totals.wrong.items()]
        say_lines(table(("wrong input", "times"), rows, right=(1,)))


def tell_replay(proof: Proof, found: Replay) -> None:
    """What came of playing the log over, the verdict first."""
    if proof.verdict == PROVED:
        say(f"PROVED: {CLAIM_WORDS[proof.claim]}.")
    else:
        say(f"NOT PROVED ({proof.verdict}): that {CLAIM_WORDS[proof.claim]}.")
    if found.findings:
        say(f"NOT AS THE STRATEGY PLAYS: {plural(len(found.findings), 'game')} of the log.")
    for line, game, what, told, due in found.findings[:MOST_TOLD]:
        say(f"line {line}, game {game}: {what} '{told}' in the log, '{due}' is due.", indent="  ")
    if not found.findings:
        say("Every game in the log is as the strategy plays, answer by answer, and every result is right.")
    for played in found.beaten[:MOST_TOLD]:
        say(f"A visitor won game {played.number}: {', '.join(moves_of(played))}.")
    say(
        f"Of {plural(found.positions, 'position')} in which the machine may have to move, {found.met:,} came up."
    )
    if found.lines is not None:
        say(f"Of {plural(found.lines, 'line')} of play, visitors have played {found.played:,} to the end.")
    say()
    tell_totals(found.totals)
