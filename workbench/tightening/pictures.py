"""`--least pictures`: the shortest list of pictures that holds the claim."""

from pathlib import Path

from games.housed import HousedGame
from games.problems import bad
from solver.least.pictures import LeastPictures, least_pictures, rule_lines
from solver.least.written import Heading
from solver.strategy import OPEN, PLAIN, TURNED
from workbench.output import plural, say, say_lines
from workbench.tightening.request import Outcome, Request

FIGURE, COUNTED = "pictures", "picture"
"""The key of what is made least, and what it counts."""
HOW_IT_PLAYS = {
    OPEN: "The claim holds whichever matching cell is taken; that was proved anew.",
    PLAIN: "Of several matching cells the first is taken, on the board as it stands (choice: plain). With that the "
    "claim holds; that was proved anew.",
    TURNED: "Of several matching cells the first is taken, on the board turned or mirrored until it is least "
    "(choice: turned). With that the claim holds; that was proved anew.",
}


def tighten(request: Request, out: Path | None) -> Outcome:
    """Find the shortest list of pictures, and give the sheet that holds it (for `out`, if it is to be written)."""
    try:
        found = least_pictures(
            HousedGame(request.game, request.house, request.seat),
            request.claim,
            turned=request.turned,
            rules=request.rules(),
            seconds=request.seconds,
            told=lambda best, bound: request.line("looking for pictures", best, bound),
        )
    except ValueError as error:
        raise bad(f"{error}; expected a game of marks and lines") from None
    target = out or Path("least.rules")
    if target.suffix.lower() == ".csv":
        raise bad("pictures need a sheet; expected a name that does not end in .csv", str(target))
    return Outcome(_record(found), {target: _sheet(request, found)}, found.proved_least, found.strategy)


def tell(request: Request, outcome: Outcome) -> None:
    """The pictures, and what is proved about their number."""
    request.say_what_is_first()
    record = outcome.record
    count, bound = record["pictures"], record["bound"]
    ways = (
        "found in every way in which the game looks the same" if request.turned else "only as they are drawn"
    )
    say(f"{plural(count, 'picture')} in order, {ways}:")
    say()
    say_lines(record["rules"])
    say()
    if outcome.proved_least:
        say(
            f"PROVED LEAST: no list of fewer than {count:,} such pictures will do. All shorter ones were gone through."
        )
    else:
        say(f"THE LEAST IS BETWEEN {bound:,} AND {count:,} pictures: time ran out; give more with --time.")
    say("(Least in this language of pictures: whole boards with the signs M V _ - and one target.)")
    say(HOW_IT_PLAYS[record["choice"]])


def _record(found: LeastPictures) -> dict[str, object]:
    return {
        "answers": 0,
        "pictures": len(found.pictures),
        "bound": found.bound,
        "proved_least": found.proved_least,
        "choice": found.strategy.choice,
        "measured": {"parts": found.nodes},
        "up_to_symmetry": found.turned,
        "rules": rule_lines(found.pictures, turned=found.turned),
        "weights": None,
        "words": None,
    }


def _sheet(request: Request, found: LeastPictures) -> str:
    """The rules that answer first, then the pictures."""
    heading = Heading(request.game_name, request.seat, request.claim, request.house_name)
    known = "proved least" if found.proved_least else f"at least {found.bound:,} are needed"
    remark = f"# {plural(len(found.pictures), 'picture')}; {known}"
    lines = [remark, *rule_lines(found.pictures, turned=found.turned), ""]
    return heading.above(request.behind_first("\n".join(lines)), request.choice)
