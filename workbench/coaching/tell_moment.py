"""One moment of a game in plain words and drawn boards: what `wordtight explain STRATEGY POSITION` prints."""

from typing import Any

from games.codes import PLAYERS
from games.problems import listed
from solver.record import plies
from workbench.coaching.moment import Moment, worth_in_words
from workbench.draw import Frame, strip
from workbench.output import say, say_lines, table
from workbench.tell_proof import frames

KEPT = {"never-loses": "does not lose", "best-value": "keeps the value", "quickest": "wins as soon as it can"}
"""What a move does that keeps a claim."""


def tell_moment(moment: Moment, written: str) -> None:
    """Which rule answers, what it saw, what each move is worth, and the line that follows."""
    game = moment.game
    say(f"{written}: {game.title}, machine moves {PLAYERS[game.seat]}, house rules '{game.house.name}'")
    say()
    say_lines(f"  {row}" for row in game.drawing(moment.asked.code, game.seat, named=True))
    say()
    if any(rule.counts for rule in game.house.rules):
        say("(No wrong input has been forgiven so far.)")
        say()
    _tell_departure(moment)
    _tell_rule(moment)
    say()
    _tell_options(moment)
    _tell_line(moment)


def _tell_departure(moment: Moment) -> None:
    """That the machine would not have come here by itself."""
    ply, moves = moment.asked.left_at, moment.asked.moves
    if ply is not None and moves is not None:
        played = moment.game.move_names[moves[ply]]
        say(f"(The machine would not have come here: at ply {ply + 1} it does not play {played}.)")
        say()


def _tell_rule(moment: Moment) -> None:
    passed = moment.passed()
    if moment.rule is None:
        say("NO RULE ANSWERS here, so the machine has no move.")
    else:
        rule = moment.strategy.rules[moment.rule]
        names = [moment.game.move_names[move] for move in _allowed(moment)]
        say(f"The machine plays {listed(names)}, by line {rule.line}: {rule.text}")
        say()
        for sentence in moment.saw():
            say(sentence)
        if moment.illegal:
            wrong = listed([moment.game.move_names[move] for move in moment.illegal], "and")
            say(f"But the game does not allow {wrong} here.")
    if passed:
        say()
        say("The rules before it had no move:" if moment.rule is not None else "Its rules had no move:")
        for each in passed:
            say(f"line {each.line}, {each.rule}: {each.why}.", indent="  ")


def _allowed(moment: Moment) -> list[int]:
    """The moves that the strategy allows, those that the game does not allow too."""
    return sorted([*moment.illegal, *(option.move for option in moment.options if option.allowed)])


def _tell_options(moment: Moment) -> None:
    rows = [
        (
            moment.game.move_names[option.move] + (" *" if option.allowed else ""),
            worth_in_words(option, scores=moment.scores),
            "yes" if option.keeps else "NO",
        )
        for option in moment.options
    ]
    say("What each move is worth if both sides play their best after it:")
    say()
    say_lines(table(("move", "worth", KEPT[moment.claim]), rows))
    say()
    say("* what the strategy plays")
    if moment.is_bad:
        say("A move that the strategy may play gives the claim away: this is where it goes wrong.")


def _tell_line(moment: Moment) -> None:
    proof, line = moment.proof, moment.line()
    fails = proof.failure is not None
    say()
    if not line.edges:
        say("No line follows from here.")
        return
    say(
        "The shortest line from here that breaks the claim:"
        if fails
        else "The claim holds from here on, whatever the visitor does. The line on which the visitor does best:"
    )
    say()
    shown: list[Frame] = frames(proof, plies(proof, line), proof.decision())
    say_lines(strip(shown))
    if fails and proof.decision() is not None:
        say("* the first losing decision from here on")


def moment_record(moment: Moment) -> dict[str, Any]:
    """The same by its JSON keys."""
    names, rule = moment.game.move_names, None if moment.rule is None else moment.strategy.rules[moment.rule]
    return {
        "game": moment.game.name,
        "seat": PLAYERS[moment.game.seat],
        "claim": moment.claim,
        "house_rules": moment.game.house.name,
        "position": moment.game.text(moment.asked.code),
        "left_at": None if moment.asked.left_at is None else moment.asked.left_at + 1,
        "rule": rule and rule.text,
        "rule_line": rule and rule.line,
        "moves": [names[move] for move in _allowed(moment)],
        "saw": moment.saw(),
        "passed": [each._asdict() for each in moment.passed()],
        "options": [
            {
                "move": names[option.move],
                "worth": worth_in_words(option, scores=moment.scores),
                "result": option.result,
                "plies": None if option.plies < 0 else option.plies,
                "keeps": option.keeps,
                "allowed": option.allowed,
            }
            for option in moment.options
        ],
        "is_bad": moment.is_bad,
        "holds_from_here": moment.proof.failure is None,
        "line": [ply.said() for ply in plies(moment.proof, moment.line())],
    }
