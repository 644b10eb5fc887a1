"""`--choose-rules`: which rules of a sheet, in which order, save the most answers."""

from pathlib import Path

from games.problems import bad
from games.tomlfile import read_text
from solver.least.first_rules import TradeOffs, Tried, trade_offs
from solver.least.written import Heading, table_text, use_table
from solver.load import Written
from workbench.output import plural, say, say_lines, table
from workbench.tightening.request import Outcome, Request


def tighten(request: Request, out: Path | None) -> Outcome:
    """Try every ordered choice of the sheet's rules; the strategy is the one with the fewest answers."""
    offered = request.rules()
    assert offered is not None
    found = trade_offs(
        offered,
        request.claim,
        request.house,
        turned=request.turned,
        seconds=request.seconds,
        tell=request.line,
    )
    target = out or Path("least.rules")
    if target.suffix.lower() == ".csv":
        raise bad("rules need a sheet; expected a name that does not end in .csv", str(target))
    files = _files(request, found.best[-1], target) if found.best else {}
    return Outcome(_record(request, found), files, found.complete)


def tell(_: Request, outcome: Outcome) -> None:
    """The trade-offs, fewest rules first."""
    record = outcome.record
    rows = [
        (len(each["rules"]), each["answers"], ", then ".join(each["rules"]) or "(none)")
        for each in record["tradeoffs"]
    ]
    say("The fewest answers behind the best choice of so many rules, in this order:")
    say()
    say_lines(table(("rules", "answers", "which"), rows, right=(0, 1)))
    say()
    tried = plural(record["tried"], "ordered choice")
    if outcome.proved_least:
        say(f"PROVED LEAST, each of them: all {tried} that keep the claim were gone through.")
    else:
        say(f"Only {tried} could be gone through: time ran out; give more with --time.")


def _record(request: Request, found: TradeOffs) -> dict[str, object]:
    assert request.first is not None
    return {
        "tradeoffs": [
            {
                "rules": [request.first.rules[rule].text for rule in each.rules],
                "answers": each.least.answers,
                "bound": each.least.bound,
                "proved_least": each.least.proved_least,
            }
            for each in found.best
        ],
        "tried": found.tried,
        "complete": found.complete,
        "up_to_symmetry": request.turned,
    }


def _files(request: Request, best: Tried, out: Path) -> dict[Path, str]:
    """The sheet of the chosen rules with its table beside it."""
    assert request.first is not None
    heading = Heading(request.game_name, request.seat, request.claim, request.house_name)
    behind = out.with_suffix(".csv")
    rules = "".join(_lines_of(request.first, rule) for rule in best.rules)
    choice = request.choice or request.first.choice
    if not best.least.answers:
        return {out: heading.above(rules, choice)}
    remark = f"{plural(best.least.answers, 'answer')} behind the chosen rules"
    names = request.game.move_names
    return {
        out: heading.above(f"{rules}\n{use_table(behind)}", choice),
        behind: table_text(heading, best.least.rows(), names, remark, turned=request.turned),
    }


def _lines_of(written: Written, rule: int) -> str:
    """A rule as it stands in its sheet, pictures with their boards."""
    lines = read_text(written.file).rstrip().split("\n")
    begin = written.rules[rule].line - 1
    after = [each.line - 1 for each in written.rules if each.line - 1 > begin]
    return "\n".join(lines[begin : min(after, default=len(lines))]).rstrip() + "\n"
