"""What house rules that charge for wrong input cost: the same made least once more where wrong input costs nothing."""

from typing import Any

from solver.least.choices import Hopeless
from solver.least.stopped import NotFound
from workbench.output import plural, say
from workbench.tightening.request import Kind, Outcome, Request
from workbench.tightening.sized import with_words

NOT_FOUND = "time ran out before any was found"
GIVEN_AWAY = "the rules that answer first would give the claim away"


def with_charges(kind: Kind, request: Request, outcome: Outcome) -> Outcome:
    """The outcome with the figures of the same question without charges, if the house rules charge for anything."""
    if kind.FIGURE is None:
        return outcome
    free = request.house.without_costs()
    if free is None:
        return outcome._replace(record={**outcome.record, "without_house_rules": None})
    figures = _free_of_charge(kind, kind.FIGURE, request._replace(house=free))
    words, free_words = outcome.record["words"], figures["words"]
    costs = None if words is None or free_words is None else words - free_words
    return outcome._replace(
        record={**outcome.record, "without_house_rules": figures, "house_rule_words": costs}
    )


def _free_of_charge(kind: Kind, figure: str, request: Request) -> dict[str, Any]:
    """The figures under house rules that charge nothing; reason: why there are none."""
    keys = (figure, "bound", "proved_least", "words")
    try:
        record = with_words(request, kind.tighten(request, None)).record
    except NotFound:
        return {**dict.fromkeys(keys), "proved_least": False, "reason": NOT_FOUND}
    except Hopeless:
        return {**dict.fromkeys(keys), "proved_least": False, "reason": GIVEN_AWAY}
    return {**{key: record[key] for key in keys}, "reason": None}


def tell_charges(kind: Kind, outcome: Outcome) -> None:
    """The same in words."""
    record = outcome.record
    free = record.get("without_house_rules")
    if free is None or kind.FIGURE is None:
        return
    say()
    if free["reason"] is not None:
        say(f"What these house rules cost is not known: if wrong input cost nothing, {free['reason']}.")
        return
    say(_figure_in_words(kind, record[kind.FIGURE], free[kind.FIGURE]))
    words = record["house_rule_words"]
    if kind.FIGURE != "words" and words is not None:
        say(f"Its smallest program would take {plural(free['words'], 'word')}: {_costs(words, 'word')}.")


def _figure_in_words(kind: Kind, figure: int | None, free: int | None) -> str:
    if free is None:
        return "If wrong input cost nothing, none would be found either."
    if kind.COUNTED is None:
        return f"If wrong input cost nothing, the {kind.FIGURE} would be {free:,}."
    costs = "" if figure is None else f": {_costs(figure - free, kind.COUNTED)}"
    return f"If wrong input cost nothing, {plural(free, kind.COUNTED)} would do{costs}."


def _costs(difference: int, what: str) -> str:
    """A difference of what was found, in words; claims of values can ask for less where the visitor can lose a turn."""
    if not difference:
        return f"these house rules cost no {what}"
    does = "cost" if difference > 0 else "save"
    return f"these house rules {does} {plural(abs(difference), what)}"
