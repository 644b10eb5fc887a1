"""`wordtight odds`: how likely it is that games are finished on a machine that fails now and then."""

import math
from collections.abc import Callable
from typing import NamedTuple

import click

from workbench.output import emit_json, json_option, plural, say, say_lines, say_next, table
from workbench.stand.failing import Mean, estimated
from workbench.stand.odds import Advice, Day, Keep, advice, broken_off, chances, odds_record

LEAST_HOURS, MOST = 0.01, 1_000_000


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


class Source(NamedTuple):
    """Where the mean comes from: in words, and the record behind it if there is one (failures, running hours)."""

    mean: Mean
    words: str
    failures: int | None = None
    hours: float | None = None


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
    help="From a stand's log (wordtight serve): its running hours, failures and games.",
)
@click.option(
    "--minutes-a-game",
    type=float,
    callback=_within(LEAST_HOURS, 10_000),
    metavar="M",
    help="How long a game takes; the mean of the log's games unless told.",
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
    source, usual_minutes = _source(mean_hours, failures, running_hours, log)
    minutes = minutes_a_game or usual_minutes
    if minutes is None:
        why = (
            "expected --minutes-a-game"
            if log is None
            else "expected --minutes-a-game: no game of the log was timed"
        )
        raise click.UsageError(why, click.get_current_context())
    day = Day(minutes / 60, games, day_hours)
    keep = None if keeping_seconds is None else Keep(keeping_seconds / 3600, restart_minutes / 60)
    if as_json:
        record = {"failures": source.failures, "running_hours": source.hours}
        emit_json({**record, **odds_record(source.mean, day, keep)})
        return
    _tell(source, day, keep)
    say_next("wordtight serve my.rules", "visitors play on a screen, and a log is kept for odds")


def _source(
    mean_hours: float | None, failures: int | None, running_hours: float | None, log: str | None
) -> tuple[Source, float | None]:
    """The mean and where it comes from, and the minutes of a game if a log tells them."""
    if (failures is None) != (running_hours is None):
        raise click.UsageError("--failures and --running-hours belong together", click.get_current_context())
    if sum(each is not None for each in (mean_hours, failures, log)) != 1:
        why = "expected one of --mean-hours, --failures with --running-hours, and --log"
        raise click.UsageError(why, click.get_current_context())
    if mean_hours is not None:
        return Source(Mean(mean_hours), "as given"), None
    if log is not None:
        return _from_log(log)
    assert failures is not None
    assert running_hours is not None
    return _from_record(failures, running_hours), None


def _from_log(log: str) -> tuple[Source, float | None]:
    from games.problems import bad
    from workbench.stand.history import history_of
    from workbench.stand.logbook import is_open, read_log

    history = history_of(read_log(log), log)
    if history.hours < LEAST_HOURS:
        raise bad(
            "tells of less than a minute of running; expected a log of some hours, or --mean-hours", log
        )
    timed = [game.seconds for game in history.games if game.seconds]
    minutes = sum(timed) / len(timed) / 60 if timed else None
    return _from_record(history.failures(is_open=is_open(log)), history.hours), minutes


def _from_record(failures: int, hours: float) -> Source:
    words = f"from {plural(failures, 'failure')} in {hours:,.4g} hours"
    return Source(estimated(failures, hours), words, failures, hours)


def _tell(source: Source, day: Day, keep: Keep | None) -> None:
    mean = source.mean
    if mean.estimate is None:
        say(
            f"Mean time between failures: no estimate {source.words}. It is {mean.low:,.3g} hours or more, "
            "or the record was an unlucky one (95 %)."
        )
    else:
        say(f"Mean time between failures: {mean.estimate:,.4g} running hours, {source.words}.")
        if mean.low is not None and mean.high is not None:
            say(f"It lies between {mean.low:,.3g} and {mean.high:,.3g} hours, with 95 % confidence.")
    say(f"A game takes {day.game * 60:,.3g} minutes.")
    say()
    say_lines(_chance_lines(mean, day))
    _tell_broken(mean, day)
    if keep is not None:
        say()
        _tell_keeping(advice(mean, day, keep), day)
        if mean.estimate is None:
            say("This is reckoned with the least mean that the record allows.")


def _chance_lines(mean: Mean, day: Day) -> list[str]:
    found = chances(mean, day)
    if mean.low is None:
        return table(("", "chance"), [(each.what, percent(each.estimate)) for each in found], right=(1,))
    rows = [(each.what, percent(each.low), percent(each.estimate), percent(each.high)) for each in found]
    return table(("", "at worst", "estimate", "at best"), rows, right=(1, 2, 3))


def _tell_broken(mean: Mean, day: Day) -> None:
    shares = broken_off(mean, day)
    if len(shares) > 1 and day.games is not None:
        told = ", ".join(f"{count} or fewer: {percent(share)}" for count, share in enumerate(shares) if count)
        say()
        say(f"Games of the day that are broken off: none: {percent(shares[0])}, {told}.")


def _tell_keeping(advised: Advice, day: Day) -> None:
    say(
        f"Keep the state of play every {_minutes(advised.interval)} of play (by the first-order formula: "
        f"{_minutes(advised.young)}). What is then lost, by keeping, restarts and playing again, is "
        f"{percent(advised.lost)} of the time of play."
    )
    if advised.stretches == 1:
        say(
            f"In a game of {_minutes(day.game)} that is not worth its while: with what fails it takes "
            f"{_minutes(advised.whole)} on average. Keep the state between games."
        )
        return
    say(
        f"In a game of {_minutes(day.game)} that is {plural(advised.stretches - 1, 'time')}: it then takes "
        f"{_minutes(advised.game)} on average, and {_minutes(advised.whole)} when it has to begin again each time."
    )


def _minutes(hours: float) -> str:
    """Hours in the unit that people would use."""
    if math.isinf(hours) or hours > MOST:
        return "practically for ever"
    if hours >= 2:
        return f"{hours:,.3g} h" if hours < 1000 else f"{hours:,.0f} h"
    return f"{hours * 60:.3g} min" if hours * 60 >= 2 else f"{hours * 3600:.3g} s"


def percent(chance: float | None) -> str:
    """A chance with one digit behind the point; what is not quite 0 or 100 does not look so."""
    if chance is None:
        return "-"
    if 0 < chance < 0.0005:
        return "under 0.1 %"
    if 0.9995 < chance < 1:
        return "over 99.9 %"
    return f"{100 * chance:,.1f} %"
