"""What `wordtight solve` found: as its JSON keys, and in plain words."""

from typing import Any

from games.codes import PLAYERS
from solver.limit_cost import LimitCost
from solver.solve import Solution
from solver.tally import Tally
from workbench.output import plural, say, say_lines, table
from workbench.tell_limits import cost_in_words, goes_round


def as_record(solution: Solution, counts: Tally | None) -> dict[str, Any]:
    """What `solve` found, by its JSON keys."""
    found: dict[str, Any] = {
        "game": solution.game.name,
        "value": solution.value,
        "fair_value": solution.fair_value,
        "distance": solution.distance,
        "positions": solution.positions,
    }
    if solution.other is not None:
        found["value_if_second_begins"] = solution.value_if_second_begins
    if solution.house is not None:
        found |= {
            "seat": PLAYERS[solution.seat],
            "house_rules": solution.house.name,
            "gives_game_away": solution.gives_game_away,
            "best_line": solution.best_line(),
        }
    if counts is not None:
        found |= {
            "positions_up_to_symmetry": sum(counts.by_ply_up_to_symmetry),
            "by_ply": counts.by_ply,
            "by_ply_up_to_symmetry": counts.by_ply_up_to_symmetry,
            "endings": counts.endings,
            "lines_of_play": None if counts.lines is None else sum(counts.lines.values()),
            "lines_by_result": counts.lines,
        }
    return found


def tell_solution(solution: Solution, found: dict[str, Any], cost: LimitCost | None) -> None:
    """Who wins, under the house rules and without them; then the counts, if `found` has them.

    found: as `as_record` gives it; cost: what a limit of plies or repetitions costs, if there is one and it is known.
    """
    if solution.gives_game_away:
        _tell_that_it_is_given_away(solution, found)
    plies = "" if solution.distance is None else f" in {plural(solution.distance, 'ply', 'plies')}"
    say(f"{solution.game.title}: under best play {_result(solution.value)}{plies}.")
    if solution.house is not None:
        say(
            f"House rules '{found['house_rules']}', machine moves {found['seat']}. "
            f"In fair play: {_result(solution.fair_value)}."
        )
    if solution.value_if_second_begins is not None:
        say(f"If the second player begins: {_result(solution.value_if_second_begins)}.")
    say(f"{solution.positions:,} positions can arise.")
    if cost is not None:
        say(cost_in_words(cost))
    if "by_ply" in found:
        _tell_counts(solution, found)


def _tell_that_it_is_given_away(solution: Solution, found: dict[str, Any]) -> None:
    say(
        f"THE HOUSE RULES GIVE THE GAME AWAY: in fair play the result is {_result(solution.fair_value)}, but under "
        f"'{found['house_rules']}' the visitor wins against any machine that moves {found['seat']}."
    )
    if found["best_line"]:
        say(f"The line: {', '.join(found['best_line'])}")
    say()


def _tell_counts(solution: Solution, found: dict[str, Any]) -> None:
    say(f"Up to symmetry (turned and mirrored boards counted once): {found['positions_up_to_symmetry']:,}.")
    lines = found["lines_of_play"]
    say(goes_round(solution.game) if lines is None else f"{lines:,} lines of play.")
    say()
    by_ply = zip(found["by_ply"], found["by_ply_up_to_symmetry"], strict=True)
    plies = [(ply, f"{every:,}", f"{one:,}") for ply, (every, one) in enumerate(by_ply)]
    say_lines(table(("ply", "positions", "up to symmetry"), plies, right=(0, 1, 2)))
    say()
    by_result = found["lines_by_result"] or {}
    endings = [
        (_result(name), f"{count:,}", f"{by_result[name]:,}" if by_result else "-")
        for name, count in found["endings"].items()
    ]
    say_lines(table(("ending", "final positions", "lines"), endings, right=(1, 2)))


def _result(value: str | int) -> str:
    if isinstance(value, int):
        leads = "first" if value > 0 else "second"
        return "nobody is ahead" if value == 0 else f"the {leads} player is {abs(value)} ahead"
    return "a draw" if value == "draw" else f"the {value} player wins"
