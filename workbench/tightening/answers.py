"""`--least answers`: the fewest boards that need a stored move."""

from pathlib import Path

from games.problems import bad
from solver.least.answers import LeastAnswers, least_answers
from solver.least.written import Heading, table_text, use_table
from workbench.output import plural, say
from workbench.tightening.request import Outcome, Request

FIGURE, COUNTED = "answers", "answer"
"""The key of what is made least, and what it counts."""


def tighten(request: Request, out: Path | None) -> Outcome:
    """Find the fewest answers, say so, and give the strategy's files (for `out`, if it is to be written)."""
    found = least_answers(
        request.game,
        request.seat,
        request.claim,
        request.house,
        turned=request.turned,
        rules=request.rules(),
        seconds=request.seconds,
        tell=request.line,
    )
    return Outcome(
        _record(found),
        _files(request, found, out or Path("least.csv" if request.first is None else "least.rules")),
        found.proved_least,
        found.proof.walk.strategy,
    )


def tell(request: Request, outcome: Outcome) -> None:
    """The figures in words."""
    request.say_what_is_first()
    record = outcome.record
    count, bound = record["answers"], record["bound"]
    alike = (
        "boards that are alike when turned or mirrored count as one" if request.turned else "on a fixed board"
    )
    say(f"{plural(count, 'answer')} must be stored ({alike}).")
    if outcome.proved_least:
        say(f"PROVED LEAST: no strategy does with fewer than {count:,}.")
    elif record["least_according_to_search"]:
        say(
            f"LEAST ACCORDING TO HIGHS: that search found none with fewer, but in floating point; proved is that at "
            f"least {bound:,} are needed."
        )
    else:
        say(f"THE LEAST IS BETWEEN {bound:,} AND {count:,} answers: time ran out; give more with --time.")
    say()
    say("How it is known: the bound was worked out in whole numbers, and what is stored was proved anew.")


def _record(found: LeastAnswers) -> dict[str, object]:
    return {
        "answers": found.answers,
        "bound": found.bound,
        "proved_least": found.proved_least,
        "least_according_to_search": found.search_bound == found.answers,
        "measured": {"parts": found.parts},
        "up_to_symmetry": found.turned,
        "positions": found.proof.positions,
        "longest_line": found.proof.longest_line,
        "pictures": None,
        "weights": None,
        "words": None,
    }


def _files(request: Request, found: LeastAnswers, out: Path) -> dict[Path, str]:
    """The table, or the sheet with its table beside it."""
    heading = Heading(request.game_name, request.seat, request.claim, request.house_name)
    table = out if request.first is None else out.with_suffix(".csv")
    if request.first is not None and table == out:
        raise bad(
            "the rules that answer first need a sheet; expected a name that does not end in .csv", str(out)
        )
    remark = f"{plural(found.answers, 'answer')}; " + (
        "proved least" if found.proved_least else f"at least {found.bound:,} are needed"
    )
    names = request.game.move_names
    files = {table: table_text(heading, found.rows(), names, remark, turned=request.turned)}
    if request.first is None:
        return files
    if not found.answers:
        return {out: heading.above(request.behind_first(""), request.choice)}
    return {out: heading.above(request.behind_first(use_table(table)), request.choice), **files}
