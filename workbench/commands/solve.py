"""`wordtight solve`: a game's value, and how many positions there are."""

from collections.abc import Iterator
from contextlib import contextmanager

import click

from games.codes import player_named
from games.house import house_digest, load_house_rules
from games.load import game_digest, is_program, load_game
from solver.kept import cache_folder
from solver.limit_cost import limit_cost
from solver.run import megabytes
from solver.solve import SMALL, solve
from workbench.measure import Measure
from workbench.options import house_option, one_seat_option
from workbench.output import emit_json, json_option, say_next, typed
from workbench.progress import ProgressLine
from workbench.solving import Keeping, Solver
from workbench.tell_solution import as_record, tell_solution


@click.command("solve")
@click.argument("game")
@house_option
@one_seat_option
@click.option(
    "--counts/--no-counts", default=None, help="Counts by ply and up to symmetry (on for small games)."
)
@click.option(
    "--memory",
    metavar="MB",
    type=click.IntRange(1),
    default=2048,
    show_default=True,
    help="How much memory may be used.",
)
@click.option("--no-cache", is_flag=True, help="Solve afresh, and keep nothing.")
@click.option("--resume", is_flag=True, help="Take up a long run that was interrupted.")
@json_option
def command(
    game: str,
    house_rules: str | None,
    seat: str | None,
    counts: bool | None,
    memory: int,
    no_cache: bool,
    resume: bool,
    as_json: bool,
) -> None:
    """Solve GAME: who wins under best play, and how many positions can arise.

    Under house rules the machine has a seat; it moves second unless told.
    """
    if seat is not None and house_rules is None:
        raise click.UsageError(
            "--seat matters only under house rules; expected --house-rules as well, or neither"
        )
    if resume and no_cache:
        raise click.UsageError(
            "--resume goes on from what is kept, and --no-cache keeps nothing; expected one of them"
        )
    played = load_game(game)
    house = load_house_rules(house_rules, played) if house_rules else None
    with Measure() as measure, ProgressLine() as line:
        keeping = None if no_cache else _keeping(game, house_rules, resume=resume)
        pieces = 1 + (house is not None) + (played.other_start is not None) + bool(counts)
        solver = Solver(memory << 20, line, keeping, pieces)
        with _telling_how_to_go_on(solver):
            solution = solve(played, house, player_named(seat or "second"), solver)
        counted = counts if counts is not None else solution.positions <= SMALL
        tally, missing = solver.counts(solution) if counted else (None, None)
        found = as_record(solution, tally)
        cost = limit_cost(solution.solved) if counted or solution.positions <= SMALL else None
    if as_json:
        planned = None if solver.planned is None else megabytes(solver.planned)
        limit = None if cost is None else cost._asdict()
        emit_json({**found, "limit": limit, "measured": {**measure.as_json(), "planned_mb": planned}})
    else:
        tell_solution(solution, found, cost)
        _say_what_comes_next(game)
    if missing is not None:  # what was learned has been said
        raise missing


def _say_what_comes_next(game: str) -> None:
    if game == "noughts-and-crosses":
        say_next("wordtight new rules", "write a strategy for a small machine")
    else:
        say_next(f"wordtight show {typed(game)}", "its board and its rules")


def _keeping(game: str, house_rules: str | None, *, resume: bool) -> Keeping:
    """Where results and unfinished work are kept, under which name."""
    digest = game_digest(game)
    if house_rules is not None:
        digest = f"{digest[:32]}-{house_digest(house_rules)[:32]}"
    # What a program does may hang on more than its own text: its results are not taken for granted.
    return Keeping(cache_folder(), digest, resume=resume, results=not is_program(game))


@contextmanager
def _telling_how_to_go_on(solver: Solver) -> Iterator[None]:
    """After an interruption, say that the work is not lost."""
    try:
        yield
    except KeyboardInterrupt:
        if solver.journal.is_written:
            click.echo(
                "what is done so far is kept: the same command with --resume goes on from there", err=True
            )
        raise
