"""`wordtight odds`: how likely it is that games are finished on a machine that fails now and then."""

from collections.abc import Callable

import click

from games.problems import bad
from workbench.output import emit_json, json_option, plural, say_next
from workbench.stand.failing import Mean, estimated
from workbench.stand.history import History, history_of
from workbench.stand.logbook import is_open, read_log
from workbench.stand.odds import Day, Source, odds_record
from workbench.stand.tell_odds import tell_odds

LEAST_HOURS, MOST = 0.01, 1_000_000
SHORTEST_GAME = 1.0
"""Seconds: a game in a log took at least so long, whatever its clock says."""


def _within(
    least: float, most: float
) -> Callable[[click.Context, click.Parameter, float | None], float | None]:
    """A check that a number lies within limits; `float` alone lets through what is no number, or endless."""

    def check(ctx: click.Context, param: click.Parameter, value: float | None) -> float | None:
        if value is not None and not least <= value <= most:
            raise click.BadParameter(
                f"expected a number from {least:g} to {most:,}, not {value:g}", ctx, param
            )
        return value

    return check


@click.command("odds")
@click.option(
    "--mean-hours",
    type=float,
    callback=_within(LEAST_HOURS, MOST),
    metavar="H",
    help="The mean time between failures, in running hours. There is no usual figure: ask, or keep a record.",
)
@click.option(
    "--failures",
    type=click.IntRange(0, 1000),
    metavar="N",
    help="From a record: how often the machine has failed in --running-hours.",
)
@click.option(
    "--running-hours",
    type=float,
    callback=_within(LEAST_HOURS, MOST),
    metavar="H",
    help="From a record: for how long it ran.",
)
@click.option(
    "--log",
    type=click.Path(dir_okay=False),
    metavar="FILE",
    help="A stand's log (wordtight serve): how long games take, and the mean too where it is not given.",
)
@click.option(
    "--minutes-a-game",
    type=float,
    callback=_within(LEAST_HOURS, 10_000),
    metavar="M",
    help="How long a game takes; the mean of the log's games unless told.",
)
@click.option(
    "--reply-seconds",
    type=float,
    callback=_within(0, 3600),
    metavar="S",
    help="With --log: how long the machine takes for a reply (size tells), for each in a game of the log.",
)
@click.option("--games", type=click.IntRange(1, 10_000), metavar="N", help="How many games the day has.")
@click.option(
    "--day-hours",
    type=float,
    callback=_within(LEAST_HOURS, 10_000),
    metavar="H",
    help="For how long the machine runs that day.",
)
@click.option(
    "--keeping-seconds",
    type=float,
    callback=_within(0.1, 3600),
    metavar="S",
    help="How long it takes to keep the state of play: how often should one?",
)
@click.option(
    "--restart-minutes",
    type=float,
    callback=_within(0, 10_000),
    default=0.0,
    metavar="M",
    help="How long it takes to start again after a failure; 0 unless told.",
)
@json_option
def command(
    mean_hours: float | None,
    failures: int | None,
    running_hours: float | None,
    log: str | None,
    minutes_a_game: float | None,
    reply_seconds: float | None,
    games: int | None,
    day_hours: float | None,
    keeping_seconds: float | None,
    restart_minutes: float,
    as_json: bool,
) -> None:
    """Say how likely it is that a game, or a day of games, is finished.

    On a machine whose failures come at random, with a mean time between them that
    you give (--mean-hours), or that is estimated from a record (--failures and
    --running-hours) or a log (--log). For an old machine one failure in 12 running
    hours is a figure of the trade: common practice, without a source. Ask those
    who run yours.
    """
    history = None if log is None else history_of(read_log(log), log)
    if history is not None and log is not None and mean_hours is failures is running_hours is None:
        source = _from_log(history, log)
    else:
        source = _source(mean_hours, failures, running_hours)
    minutes = _minutes(minutes_a_game, history, reply_seconds)
    keeping = None if keeping_seconds is None else keeping_seconds / 3600
    day = Day(minutes / 60, games, day_hours, restart_minutes / 60, keeping)
    if as_json:
        record = {"failures": source.failures, "running_hours": source.hours}
        emit_json({**record, **odds_record(source.mean, day)})
        return
    tell_odds(source, day)
    say_next("wordtight serve my.rules", "visitors play on a screen, and a log is kept for odds")


def _source(mean_hours: float | None, failures: int | None, running_hours: float | None) -> Source:
    """The mean as it was given, or from a record on paper."""
    if (failures is None) != (running_hours is None):
        raise click.UsageError("--failures and --running-hours belong together", click.get_current_context())
    if mean_hours is not None and failures is None:
        return Source(Mean(mean_hours), "as given")
    if failures is not None and running_hours is not None and mean_hours is None:
        return _from_record(failures, running_hours)
    why = "expected one of --mean-hours, --failures with --running-hours, and --log"
    raise click.UsageError(why, click.get_current_context())


def _from_log(history: History, log: str) -> Source:
    """The mean from the times for which a stand was open, and how often it failed."""
    if history.hours < LEAST_HOURS:
        raise bad(
            "tells of less than a minute of running; expected a log of some hours, or --mean-hours", log
        )
    return _from_record(history.failures(is_open=is_open(log)), history.hours)


def _minutes(given: float | None, history: History | None, reply_seconds: float | None) -> float:
    """How long a game takes: as given, or the mean of a log's games with so many seconds more for each reply."""
    if reply_seconds is not None and (history is None or given is not None):
        raise click.UsageError("--reply-seconds goes with the games of a --log", click.get_current_context())
    if given is not None:
        return given
    timed = [] if history is None else [game for game in history.games if game.seconds is not None]
    if not timed:
        why = "" if history is None else ": no game of the log was timed"
        raise click.UsageError(f"expected --minutes-a-game{why}", click.get_current_context())
    seconds = [(game.seconds or 0) + game.replies * (reply_seconds or 0) for game in timed]
    return max(sum(seconds) / len(timed), SHORTEST_GAME) / 60


def _from_record(failures: int, hours: float) -> Source:
    words = f"from {plural(failures, 'failure')} in {hours:,.4g} hours"
    return Source(estimated(failures, hours), words, failures, hours)
