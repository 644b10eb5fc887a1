"""A proof in plain words and drawn boards: what `wordtight prove` prints."""

from games.codes import PLAYERS
from games.house import HouseRules
from games.problems import listed
from games.repetition import ordinal, repetition_limit
from solver.proof import ILLEGAL_ANSWER, NO_ANSWER, PROVED, Decision, Proof
from solver.record import Ply, plies
from solver.walk import choices
from workbench.draw import Frame, strip
from workbench.output import plural, say, say_lines, table
from workbench.tell_limits import goes_round

MARK = "*"
CLAIM_WORDS = {
    "never-loses": "the machine never loses",
    "best-value": "the machine never gives away what it has",
    "quickest": "the machine gives nothing away and wins as soon as it can",
}


def tell(proof: Proof, written: str) -> None:
    """The whole report: verdict first, then the evidence, then what was met on the way."""
    game = proof.walk.game
    say(f"{written}: {game.title}, machine moves {PLAYERS[game.seat]}, house rules '{proof.house.name}'")
    say(f"Claim {proof.claim}: {CLAIM_WORDS[proof.claim]}.")
    say()
    _tell_headline(proof)
    if proof.verdict == PROVED:
        say("PROVED. Every line of play was gone through, wrong input included.")
    else:
        _tell_failure(proof)
    say()
    _tell_evidence(proof)


def _tell_headline(proof: Proof) -> None:
    """What must be said before any rule is blamed."""
    if not proof.seat_is_lost:
        return
    seat = PLAYERS[proof.walk.game.seat]
    if proof.house_gives_game_away:
        say(
            f"THE HOUSE RULES GIVE THE GAME AWAY: in fair play the machine need not lose, but under "
            f"'{proof.house.name}' the visitor can win against any strategy that moves {seat}."
        )
    else:
        say(
            f"THIS SEAT IS LOST FROM THE START: whoever moves {seat} loses against best play, whatever the rules say."
        )
    say()


def _tell_failure(proof: Proof) -> None:
    failure, decision = proof.failure, proof.decision()
    assert failure is not None
    line = plies(proof, failure.line)
    if proof.verdict == NO_ANSWER:
        say("NO ANSWER. In the last position below no rule applies, so the machine has no move.")
    elif proof.verdict == ILLEGAL_ANSWER:
        say("ILLEGAL ANSWER. In the last position below the strategy plays where it may not.")
    else:
        say(f"REFUTED. {_how_it_fails(proof, line)}")
    say()
    say_lines(strip(frames(proof, line, decision)))
    _tell_comings(proof, line)
    if decision is not None:
        _tell_decision(proof, decision)


def _tell_comings(proof: Proof, line: list[Ply]) -> None:
    """Where a line goes round, and what comes of it."""
    assert proof.failure is not None
    loop, limit = proof.failure.line.loop, repetition_limit(proof.walk.game)
    if loop is not None:
        until = (
            "for ever" if limit is None else f"until a position comes for the {ordinal(limit)} time: a draw"
        )
        say(f"From ply {loop + 1} on, this goes round {until}.")
    elif limit is not None:
        met = [proof.walk.game.start, *(ply.after for ply in line)]
        if max(map(met.count, met)) >= limit:  # a seat that is lost, and n = 2: see games/repetition.py
            say(
                f"On this line a position comes for the {ordinal(limit)} time. There the game is a draw: the rule "
                "gives back what the strategy gave away."
            )


def _how_it_fails(proof: Proof, line: list[Ply]) -> str:
    assert proof.failure is not None
    wrong = " with wrong input" if any(ply.wrong for ply in line) else ""
    outcome = proof.truth.outcome(proof.failure.line)
    return f"{outcome[:1].upper()}{outcome[1:]} in {plural(len(line), 'ply', 'plies')}{wrong}:"


def frames(proof: Proof, line: list[Ply], decision: Decision | None) -> list[Frame]:
    """The boards of a line: one after every ply, and the empty start if nothing else is there to see."""
    game = proof.walk.game
    start = [] if line else [Frame("the start", _rows(proof, game.start, None))]
    shown = []
    for number, ply in enumerate(line):
        who = "machine" if ply.by_machine else "visitor"
        mark = f" {MARK}" if decision is not None and number == decision.ply else ""
        shown.append(Frame(f"{number + 1}: {who} {ply.said()}{mark}", _rows(proof, ply.after, ply.move)))
    return [*start, *shown]


def _rows(proof: Proof, code: int, last: int | None) -> list[str]:
    game = proof.walk.game
    return game.drawing(code, game.seat, last)


def _tell_decision(proof: Proof, decision: Decision) -> None:
    names = proof.walk.game.move_names
    rule = None if decision.rule is None else proof.walk.strategy.rules[decision.rule]
    if proof.verdict == NO_ANSWER:
        looks_up = all(each.stores_answers for each in proof.walk.strategy.rules)
        add = "a row" if looks_up else "a rule"
        say(
            f"Ply {decision.ply + 1} would be the machine's. Add {add} for this position: "
            f"{listed([names[move] for move in decision.better])} would do."
        )
        return
    by = "" if rule is None else f" The rule that made it: line {rule.line}, '{rule.text}'."
    if proof.verdict == ILLEGAL_ANSWER and decision.move is not None:
        say(f"Ply {decision.ply + 1}: the strategy plays {names[decision.move]}, which is not free.{by}")
    elif decision.move is not None:
        say(
            f"* Ply {decision.ply + 1} is the first losing decision: the machine plays {names[decision.move]}.{by}"
            f"{_open_choice(proof, decision)}"
        )
    kept = {"never-loses": "not lose", "best-value": "keep the value"}.get(proof.claim, "win as soon")
    better = [names[move] for move in decision.better]
    say(f"{listed(better)} would {kept}." if better else "No move would have helped here.")


def _open_choice(proof: Proof, decision: Decision) -> str:
    """Where the rule left a choice: that the claim must hold for all of it."""
    allowed = [proof.walk.game.move_names[move] for move in choices(proof.walk, decision.place)]
    return f" The rule allows {listed(allowed)}, and each of them must be good." if len(allowed) > 1 else ""


def _tell_evidence(proof: Proof) -> None:
    walk = proof.walk
    say(
        f"Positions in which the machine moves: {proof.positions:,} "
        f"({walk.positions_up_to_symmetry():,} up to symmetry)."
    )
    if not walk.answers():
        say("Answers that must be stored: none, the rules find every move.")
    else:
        say(
            f"Answers that must be stored: {walk.answers():,} up to symmetry, "
            f"{walk.answers_fixed_board():,} on a fixed board."
        )
    longest = proof.longest_line
    say(goes_round(walk.game) if longest is None else f"Longest line: {plural(longest, 'ply', 'plies')}.")
    say()
    used = walk.times_used()
    rows = [
        (rule.line, _shortened(rule.text), f"{times:,}" if times else "never")
        for rule, times in zip(walk.strategy.rules, used, strict=True)
    ]
    say_lines(table(("line", "rule", "gave the move"), rows, right=(0, 2)))
    if len(walk.unanswered):
        say(f"      no rule applies in {plural(len(walk.unanswered), 'position')} that can be met")
    say()
    _tell_never_said(proof.house, proof.never_said)


def _shortened(text: str) -> str:
    return text if len(text) <= 54 else f"{text[:51]}..."


def _tell_never_said(house: HouseRules, names: tuple[str, ...]) -> None:
    messages = house.all_messages()
    if names:
        said = listed([f'"{messages[name]}" ({name})' for name in names], "and")
        say(f"Never said, whatever the visitor does: {said}.")
    else:
        say("Every message of the house rules can be said.")
