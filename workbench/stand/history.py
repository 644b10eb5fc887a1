"""A stand's log as a history: the times it was open, and the games that were played."""

from collections import Counter
from collections.abc import Sequence
from typing import NamedTuple

from games.inputs import AFTER_END, LEGAL
from games.problems import bad
from workbench.stand.events import ALIVE, BEGUN, CLOSED, DROPPED, ENTERED, LEFT, NOTHING, OPENED, Event
from workbench.stand.logbook import Log

UNFINISHED = ""


class Opening:
    """A time for which the stand was open: its running seconds as far as they are known, and whether it was closed."""

    __slots__ = ("closed", "up")

    def __init__(self) -> None:
        self.up = 0.0
        self.closed = False


class Played:
    """A game: its number, its start and its inputs with their lines in the log.

    outcome: its result, or LEFT or DROPPED; UNFINISHED while none of these has come.
    seconds: how long it took, None if the stand was interrupted in it or it is not finished.
    """

    __slots__ = ("begun", "inputs", "lines", "number", "outcome", "seconds")

    def __init__(self, begun: Event, line: int) -> None:
        self.number = begun.game
        self.begun = begun
        self.inputs: list[Event] = []
        self.lines = [line]
        self.outcome = begun.result
        self.seconds: float | None = None

    @property
    def wrong(self) -> list[Event]:
        """The inputs that were no legal moves."""
        return [each for each in self.inputs if each.input_class != LEGAL]

    @property
    def replies(self) -> int:
        """How often the machine has moved."""
        return len(self.begun.answers) + sum(len(each.answers) for each in self.inputs)

    @property
    def plies(self) -> int:
        """How many plies were made."""
        moves = sum(each.effect != NOTHING for each in self.inputs)
        return moves + self.replies


class History(NamedTuple):
    """All that a log tells: the openings in order, and the games in order."""

    openings: list[Opening]
    games: list[Played]

    @property
    def unfinished(self) -> Played | None:
        """The game that was being played when the log ended."""
        last = self.games[-1] if self.games else None
        return last if last is not None and last.outcome == UNFINISHED else None

    @property
    def hours(self) -> float:
        """Running hours."""
        return sum(each.up for each in self.openings) / 3600

    def failures(self, *, is_open: bool) -> int:
        """How often the stand ended without being closed.  `is_open`: whether the last opening is still going on."""
        ended = self.openings[:-1] if is_open else self.openings
        return sum(not each.closed for each in ended)


class Totals(NamedTuple):
    """Counts: games by outcome, finished games by their plies, and wrong inputs by class, commonest first."""

    games: int
    inputs: int
    results: dict[str, int]
    lengths: dict[int, int]
    wrong: dict[str, int]


def history_of(log: Log, file: str) -> History:
    """The openings and games of a log.  Raises BadInput where its events do not follow each other as they must."""
    history = History([], [])
    for event, line in zip(log.events, log.lines, strict=True):
        if event.kind == OPENED:
            history.openings.append(Opening())
        if not history.openings or history.openings[-1].closed:
            raise bad(f"expected '{OPENED}' before '{event.kind}'", file, line)
        opening = history.openings[-1]
        opening.up = max(opening.up, event.up)
        opening.closed = event.kind == CLOSED
        if event.kind not in (OPENED, CLOSED, ALIVE):
            _take(history, event, line, file)
    _time_games(log, history)
    return history


def _take(history: History, event: Event, line: int, file: str) -> None:
    """An event of a game."""
    last = history.games[-1] if history.games else None
    if event.kind == BEGUN:
        if event.game != len(history.games) + 1 or history.unfinished:
            raise bad(f"expected the end of a game, or game {len(history.games) + 1}", file, line)
        history.games.append(Played(event, line))
        return
    is_after_end = event.kind == ENTERED and event.input_class == AFTER_END
    if last is None or event.game != last.number or (last.outcome != UNFINISHED and not is_after_end):
        raise bad(f"'{event.kind}' is of game {event.game}, which is not being played", file, line)
    if event.kind == ENTERED:
        last.inputs.append(event)
        last.lines.append(line)
        last.outcome = last.outcome or event.result
    elif event.kind in (LEFT, DROPPED):
        last.outcome = event.kind


def _time_games(log: Log, history: History) -> None:
    """How long each game took that ended in the opening in which it was begun."""
    since: dict[int, float] = {}
    for event in log.events:
        if event.kind == OPENED:
            since.clear()
        elif event.kind == BEGUN:
            since[event.game] = event.up
        elif (
            event.kind == ENTERED and event.result and event.input_class != AFTER_END and event.game in since
        ):
            history.games[event.game - 1].seconds = event.up - since.pop(event.game)


def totals_of(games: Sequence[Played]) -> Totals:
    """The counts of some games."""
    finished = [each for each in games if each.outcome not in (UNFINISHED, LEFT, DROPPED)]
    wrong = Counter(event.input_class for each in games for event in each.wrong)
    return Totals(
        len(games),
        sum(len(each.inputs) for each in games),
        dict(sorted(Counter(each.outcome or "unfinished" for each in games).items())),
        dict(sorted(Counter(each.plies for each in finished).items())),
        dict(sorted(wrong.items(), key=lambda pair: (-pair[1], pair[0]))),
    )
