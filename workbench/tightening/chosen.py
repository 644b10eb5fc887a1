"""`--choose-rules`: which rules of a sheet, in which order, save the most answers, and for how many words."""

from pathlib import Path
from typing import Any, NamedTuple

from budget.program_size import ProgramRow
from games.problems import bad
from games.tomlfile import read_text
from solver.least.first_rules import EveryChoice, Tried, every_choice, number_of_rules, unbeaten
from solver.least.written import Heading, table_text, use_table
from solver.load import Written
from workbench.output import plural, say, say_lines, table
from workbench.tightening.request import Outcome, Request
from workbench.tightening.rule_words import program_of, words_of_rules

FIGURE, COUNTED = None, None
"""Several strategies are found, each with figures of its own."""


class TradeOff(NamedTuple):
    """An ordered choice that no other beats.

    rule_words: of its rules alone, None where no machine was named; program: with its answers, None where there is
    none.
    """

    tried: Tried
    rule_words: int | None
    program: ProgramRow | None


def tighten(request: Request, out: Path | None) -> Outcome:
    """Try every ordered choice of the sheet's rules; the strategy is the one with the fewest answers."""
    offered = request.rules()
    assert offered is not None
    target = out or Path("least.rules")
    if target.suffix.lower() == ".csv":
        raise bad("rules need a sheet; expected a name that does not end in .csv", str(target))
    every = every_choice(
        offered,
        request.claim,
        request.house,
        turned=request.turned,
        seconds=request.seconds,
        tell=request.line,
    )
    found = _trade_offs(request, every)
    files = _files(request, found[-1].tried, target) if found else {}
    return Outcome(_record(request, every, found), files, every.complete)


def _trade_offs(request: Request, every: EveryChoice) -> list[TradeOff]:
    """Those that no other beats in answers and in words, or without a machine in the number of rules."""
    card = request.card
    if card is None:
        return [TradeOff(tried, None, None) for _, tried in unbeaten(every.tried, number_of_rules)]
    words = {each.rules: words_of_rules(each, card) for each in every.tried}
    return [
        TradeOff(tried, cost, program_of(tried, card))
        for cost, tried in unbeaten(every.tried, lambda each: words[each.rules])
    ]


def tell(request: Request, outcome: Outcome) -> None:
    """The trade-offs, the cheapest first."""
    record = outcome.record
    if request.card is None:
        say("The fewest answers behind the best choice of so many rules, in this order:")
        titles: tuple[str, ...] = ("rules", "answers", "which")
    else:
        say(f"The fewest answers behind rules that take so many words on {request.card.name}:")
        titles = ("rule words", "answers", "all words", "which")
    say()
    rows = [_row(request, each) for each in record["tradeoffs"]]
    say_lines(table(titles, rows, right=range(len(titles) - 1)))
    say()
    if request.card is not None:
        say(
            "Rule words are those of a program with these rules and no answers: its talk, its board and the rules. All "
            "words are those of the smallest program we built with the answers too."
        )
        say()
    tried = plural(record["tried"], "ordered choice")
    if not outcome.proved_least:
        say(f"Only {tried} could be gone through: time ran out; give more with --time.")
        return
    say(f"PROVED LEAST, the answers of each: all {tried} worth trying were gone through.")
    others = record["choices"] - record["tried"]
    if others:
        say(
            f"Of the {record['choices']:,} there are, the others begin with what gives the claim away, or hold a rule "
            "that never comes to give a move."
        )


def _row(request: Request, record: dict[str, Any]) -> tuple[str, ...]:
    which = ", then ".join(record["rules"]) or "(none)"
    answers = f"{record['answers']:,}"
    if request.card is None:
        return (str(len(record["rules"])), answers, which)
    words = record["words"]
    return (f"{record['rule_words']:,}", answers, "-" if words is None else f"{words:,}", which)


def _record(request: Request, every: EveryChoice, found: list[TradeOff]) -> dict[str, object]:
    return {
        "tradeoffs": [_as_json(request, each) for each in found],
        "tried": len(every.tried),
        "choices": every.choices,
        "complete": every.complete,
        "up_to_symmetry": request.turned,
        "machine": request.card and request.card.name,
    }


def _as_json(request: Request, each: TradeOff) -> dict[str, object]:
    assert request.first is not None
    least = each.tried.least
    return {
        "rules": [request.first.rules[rule].text for rule in each.tried.rules],
        "answers": least.answers,
        "bound": least.bound,
        "proved_least": least.proved_least,
        "rule_words": each.rule_words,
        "words": each.program and each.program.total_words,
        "program": each.program and each.program.as_json(),
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
