"""`--least words`: the fewest words on a machine, of all the forms that we can build."""

from pathlib import Path

from budget.card import CostCard
from budget.plan.asked import Asked
from budget.plan.candidates import candidates
from budget.plan.effort import Effort
from budget.plan.tradeoffs import Plan, plan
from budget.plan.ways import Way
from games.problems import bad
from solver.least.stopped import NotFound
from workbench.output import plural, say, say_lines, table
from workbench.tightening.request import Outcome, Request

FIGURE, COUNTED = "words", "word"
"""The key of what is made least, and what it counts."""
TITLES = ("way", "form", "board", "words", "more")


def tighten(request: Request, out: Path | None) -> Outcome:
    """Build every way to play on a machine, and give the one with the fewest words."""
    card = request.card
    if card is None:
        raise bad("--least words needs a machine; expected --machine M")
    if request.first is not None:
        raise bad("--least words tries rules of its own; expected no --rules-first", request.first.file)
    asked = Asked(
        request.game_name, request.game, request.seat, request.claim, request.house_name, request.house
    )
    found = plan(
        asked,
        candidates(asked, Effort(seconds=request.seconds)),
        card,
        told=lambda what, least: request.line(what, least, 0),
    )
    ways = sorted(found.ways, key=lambda way: (way.words, way.wait))
    if not ways:
        raise NotFound(0)
    files = _files(ways[0], out or Path("least.rules"))
    return Outcome(_record(card, found, ways), files, proved_least=False)


def tell(request: Request, outcome: Outcome) -> None:
    """The smallest, and by how much the others are larger."""
    request.say_what_is_first()
    record = outcome.record
    say(
        f"{plural(record['words'], 'word')} on {record['machine']}: {record['name']} ({record['form']}, "
        f"{record['reading']})"
        + ("." if record["fits"] else f", and the store has {record['store_words']:,}.")
    )
    say("THE SMALLEST WE BUILT, of every way below; that there is none smaller is not proved.")
    say()
    least = record["words"]
    rows = [
        (each["name"], each["form"], each["reading"], f"{each['words']:,}", f"+{each['words'] - least:,}")
        for each in record["others"]
    ]
    say_lines(table(TITLES, rows, right=(3, 4)))
    say()
    say("Each was proved anew, and run in every state that it can get into.")


def _record(card: CostCard, found: Plan, ways: list[Way]) -> dict[str, object]:
    best = ways[0]
    return {
        "answers": None,
        "bound": None,
        "proved_least": False,
        "pictures": None,
        "weights": None,
        "words": best.words,
        "machine": card.name,
        "store_words": card.store_words,
        "fits": best.row.fits,
        "name": best.candidate.name,
        "form": best.row.form,
        "reading": best.row.reading,
        "program": best.row.as_json(),
        "programs_built": found.tried,
        "others": [_in_short(way) for way in _best_of_each(ways)],
    }


def _in_short(way: Way) -> dict[str, object]:
    row = way.row
    return {
        "name": way.candidate.name,
        "form": row.form,
        "reading": row.reading,
        "words": way.words,
        "fits": row.fits,
    }


def _best_of_each(ways: list[Way]) -> list[Way]:
    """Of each strategy the form with the fewest words."""
    best: dict[str, Way] = {}
    for way in ways:
        best.setdefault(way.candidate.name, way)
    return list(best.values())


def _files(best: Way, out: Path) -> dict[Path, str]:
    """The sheet, and the table beside it if it uses one."""
    candidate = best.candidate
    if candidate.table is None:
        return {out: candidate.sheet}
    beside = out.with_suffix(".csv")
    return {out: candidate.sheet.replace('"plan.csv"', f'"{beside.name}"'), beside: candidate.table}
