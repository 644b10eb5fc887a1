"""The least change in plain words: what `wordtight repair` prints."""

from typing import Any

from games.codes import PLAYERS
from solver.least.answers import LeastAnswers
from solver.least.pictures import rule_lines
from solver.proof import PROVED
from solver.table import Row
from workbench.coaching.mending import PICTURES, Mended
from workbench.output import plural, say, say_lines, table
from workbench.tell_proof import CLAIM_WORDS

SMALL_NUMBERS = ("NO", "ONE", "TWO", "THREE", "FOUR", "FIVE", "SIX", "SEVEN", "EIGHT", "NINE", "TEN")
MOST_ROWS = 20
"""How many answers are printed; all are written."""


def tell_mended(mended: Mended, written: str) -> None:
    """How far the claim is from holding, what has to be put in front, and which rules can go then."""
    game = mended.before.walk.game
    say(f"{written}: {game.title}, machine moves {PLAYERS[game.seat]}, house rules '{game.house.name}'")
    say(f"Claim {mended.before.claim}: {CLAIM_WORDS[mended.before.claim]}.")
    say()
    if mended.before.verdict == PROVED:
        say("IT HOLDS ALREADY: nothing has to be put in front.")
    else:
        _tell_front(mended)
    say()
    _tell_spared(mended)


def _tell_front(mended: Mended) -> None:
    number = SMALL_NUMBERS[mended.number] if mended.number < len(SMALL_NUMBERS) else f"{mended.number:,}"
    what = mended.kind.removesuffix("s") if mended.number == 1 else mended.kind
    say(f"{number} {what.upper()} AWAY: with {_these(mended)} in front of its rules the claim holds.")
    say()
    if mended.kind == PICTURES and mended.pictures is not None:
        say_lines(rule_lines(mended.pictures.pictures, turned=True))
    elif mended.answers is not None:
        _tell_answers(mended.answers)
    say()
    if mended.bound == mended.number:
        say(f"PROVED LEAST: with fewer {mended.kind} in front it does not hold.")
    else:
        between = f"{mended.bound:,} AND {mended.number:,} {mended.kind}"
        say(f"THE LEAST IS BETWEEN {between}: time ran out; give more with --time.")
    if mended.kind == PICTURES and mended.answers is not None:
        few = mended.answers
        known = "and no fewer" if few.proved_least else f"and at least {few.bound:,} are needed"
        say(f"As stored answers in front: {few.answers:,} will do, {known}.")
    elif mended.no_pictures:
        say(f"(No pictures: {mended.no_pictures}.)")


def _these(mended: Mended) -> str:
    singular = mended.kind.removesuffix("s")
    return f"this {singular}" if mended.number == 1 else f"these {plural(mended.number, singular)}"


def _tell_answers(answers: LeastAnswers) -> None:
    names = answers.proof.walk.game.move_names
    rows: list[Row] = answers.rows()
    say_lines(table(("position", "move"), [(row.position, names[row.move]) for row in rows[:MOST_ROWS]]))
    if len(rows) > MOST_ROWS:
        say(f"and {len(rows) - MOST_ROWS:,} more; -o FILE writes all")
    if answers.turned and answers.proof.walk.game.symmetries > 1:
        say()
        say("Boards that are alike when turned or mirrored count as one.")


def _tell_spared(mended: Mended) -> None:
    """The rules that can go."""
    when = "" if mended.before.verdict == PROVED else " then"
    gone = rules_that_go(mended)
    if not gone:
        say(f"None of its rules can go{when}.")
    else:
        together = " without harm:" if len(gone) == 1 else ", all together and without harm:"
        say(f"{_can_go(len(gone))}{when}{together}")
        say_lines(f"  line {line}  {text}"[:80] for line, text in gone)
    left = len(mended.spared.stay) - mended.in_front
    if not left:
        say("Nothing of the strategy itself is needed then.")
    elif mended.spared.complete:
        say(f"PROVED: {plural(left, 'rule')} of its own must stay; every smaller set was gone through.")
    else:
        say(f"Perhaps more can go: {plural(left, 'rule')} stay, but time ran out; give more with --time.")


def _can_go(count: int) -> str:
    return "This rule can go" if count == 1 else f"These {count} rules can go"


def rules_that_go(mended: Mended) -> list[tuple[int, str]]:
    """The rules that can go, by line and text."""
    rules = mended.before.walk.strategy.rules
    stay = {rule - mended.in_front for rule in mended.spared.stay}
    return [(rule.line, rule.text) for number, rule in enumerate(rules) if number not in stay]


def mended_record(mended: Mended) -> dict[str, Any]:
    """The same by its JSON keys."""
    game, few = mended.before.walk.game, mended.answers
    pictures = mended.pictures
    return {
        "game": game.name,
        "seat": PLAYERS[game.seat],
        "claim": mended.before.claim,
        "house_rules": game.house.name,
        "holds_already": mended.before.verdict == PROVED,
        "least": mended.kind,
        "count": mended.number,
        "bound": mended.bound,
        "proved_least": mended.bound == mended.number,
        "answers": None if few is None else few.answers,
        "answers_bound": None if few is None else few.bound,
        "up_to_symmetry": None if few is None else few.turned,
        "rows": []
        if few is None
        else [{"position": row.position, "move": game.move_names[row.move]} for row in few.rows()],
        "pictures": None if pictures is None else [list(rows) for rows in pictures.pictures],
        "no_pictures": mended.no_pictures or None,
        "rules_that_go": [{"line": line, "rule": text} for line, text in rules_that_go(mended)],
        "rules_complete": mended.spared.complete,
        "measured": {"lists": 0 if pictures is None else pictures.lists, "sets": mended.spared.sets},
    }
