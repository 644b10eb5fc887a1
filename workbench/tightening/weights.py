"""`--least weights`: the smallest weights with which the heaviest cell holds the claim."""

from pathlib import Path

from games.housed import HousedGame
from games.problems import bad
from solver.least.weights import LeastWeights, least_weights
from solver.least.written import Heading
from workbench.output import say, say_lines
from workbench.tightening.request import Outcome, Request

FIGURE, COUNTED = "largest", None
"""The key of what is made least; it counts nothing."""
SETTLED = (
    "has its choices settled, and weights are for rules that leave them open; expected 'choice: open' and no "
    "--fixed-choice"
)


def tighten(request: Request, out: Path | None) -> Outcome:
    """Find the smallest weights, and give the sheet that holds them (for `out`, if it is to be written)."""
    if request.is_settled and request.first is not None:
        raise bad(SETTLED, request.first.file)
    try:
        found = least_weights(
            HousedGame(request.game, request.house, request.seat),
            request.claim,
            rules=request.rules(),
            seconds=request.seconds,
            told=lambda best, bound: request.line("looking for weights", best, bound),
        )
    except ValueError as error:
        raise bad(f"{error}; expected a game of marks and lines") from None
    target = out or Path("least.rules")
    if target.suffix.lower() == ".csv":
        raise bad("weights need a sheet; expected a name that does not end in .csv", str(target))
    files = {} if found.weights is None else {target: _sheet(request, found)}
    return Outcome(_record(found), files, found.proved_least or found.none_at_all, found.strategy)


def tell(request: Request, outcome: Outcome) -> None:
    """The weights, and what is proved about them."""
    request.say_what_is_first()
    record = outcome.record
    if record["weights"] is None:
        _tell_none(record)
        return
    say("One rule is enough:")
    say()
    say_lines(record["rules"])
    say()
    largest, total = record["largest"], record["total"]
    if record["proved_least"]:
        say(
            f"PROVED LEAST: the largest weight is {largest}, the sum {total}, signs left aside; no smaller largest "
            f"will do, nor a smaller sum with it. All smaller ones were refuted."
        )
    elif record["largest_is_least"]:
        say(f"The largest weight, {largest}, is PROVED LEAST; their sum, {total}, may not be: time ran out.")
    else:
        say(
            f"THE LEAST LARGEST WEIGHT IS BETWEEN {record['bound']} AND {largest}: none up to "
            f"{record['bound'] - 1} will do; time ran out, "
            "give more with --time."
        )
    say("The claim holds whichever of cells of the same weight is taken; that was proved anew.")


def _tell_none(record: dict[str, object]) -> None:
    if record["none_at_all"]:
        say("THERE ARE NONE: however large the weights, the heaviest cell does not hold this claim (proved).")
    else:
        say(
            f"NONE FOUND: there are none up to {record['refuted_up_to']}; time ran out, give more with --time."
        )


def _record(found: LeastWeights) -> dict[str, object]:
    return {
        "answers": 0,
        "pictures": None,
        "weights": None if found.weights is None else _by_words(found),
        "largest": found.largest,
        "total": found.total,
        "bound": found.refuted_up_to + 1,
        "proved_least": found.proved_least,
        "largest_is_least": found.largest_is_least,
        "none_at_all": found.none_at_all,
        "refuted_up_to": found.refuted_up_to,
        "measured": {"parts": found.parts},
        "rules": found.rule.rstrip().split("\n"),
        "words": None,
    }


def _by_words(found: LeastWeights) -> dict[str, int]:
    """Each weight by what it is for, those of 0 left out."""
    assert found.weights is not None
    return {term.words: weight for term, weight in zip(found.terms, found.weights, strict=True) if weight}


def _sheet(request: Request, found: LeastWeights) -> str:
    """The rules that answer first, then the weights."""
    heading = Heading(request.game_name, request.seat, request.claim, request.house_name)
    return heading.above(request.behind_first(found.rule), request.choice)
