"""`wordtight serve`: the stand on an open day, and its log."""

import sys

import click

from games.codes import PLAYERS
from games.problems import bad
from solver.proof import PROVED, Proof, prove
from solver.strategy import OPEN, PLAIN
from workbench.asked import Asked
from workbench.options import carried, game_option, house_option, one_seat_option, strategy_argument
from workbench.output import emit_json, json_option, say, say_next, typed
from workbench.progress import ProgressLine
from workbench.stand.course import Course, bond
from workbench.stand.history import history_of, totals_of
from workbench.stand.logbook import Logbook, read_log, require_bond
from workbench.stand.replaying import is_sound, replay, replay_record
from workbench.stand.screen import screen_here
from workbench.stand.stand import Pace, Stand
from workbench.stand.tell import tell_replay, tell_totals
from workbench.stand.typist import typist_here
from workbench.statuses import STATUS_INTERRUPTED, STATUS_WRONG
from workbench.tell_proof import CLAIM_WORDS

USUAL_LOG = "stand.jsonl"
USUAL_WORD = "close"


@click.command("serve")
@strategy_argument
@game_option
@one_seat_option
@house_option
@click.option(
    "--log",
    type=click.Path(dir_okay=False),
    default=USUAL_LOG,
    metavar="FILE",
    help=f"The log that is kept, or gone on with; {USUAL_LOG} unless told.",
)
@click.option(
    "--go-on/--afresh",
    "go_on",
    default=None,
    help="Go on with a game that was interrupted, or give it up; you are asked unless told.",
)
@click.option(
    "--result-seconds",
    type=click.IntRange(1, 600),
    default=10,
    metavar="S",
    help="How long a result stays on the screen; 10 unless told.",
)
@click.option(
    "--patience-seconds",
    type=click.IntRange(5, 3600),
    default=120,
    metavar="S",
    help="How long a visitor may think before being asked; 120 unless told.",
)
@click.option(
    "--word",
    default=USUAL_WORD,
    metavar="WORD",
    help=f"What the attendant types to close the stand; {USUAL_WORD} unless told.",
)
@click.option(
    "--replay", "only_replay", is_flag=True, help="Play the log over against the proof, and nothing else."
)
@json_option
def command(
    strategy: str,
    log: str,
    go_on: bool | None,
    result_seconds: int,
    patience_seconds: int,
    word: str,
    only_replay: bool,
    as_json: bool,
    **options: str | None,
) -> None:
    """Let visitors play against STRATEGY, all day, on the whole screen.

    Every move is in the log before the visitor sees the answer, so a power cut
    loses nothing but the move that is being typed. Type the word that closes the
    stand, or Ctrl-C, to see the totals. With --replay (and --json, if you like)
    every line that visitors have played is held against the proof; ends with
    status 1 if it is otherwise, or if nothing is proved.
    """
    if as_json and not only_replay:
        raise click.UsageError("--json goes with --replay", click.get_current_context())
    proof = _proved(Asked(strategy, **options))
    if only_replay:
        _replay(log, proof, as_json=as_json)
        return
    course = Course(proof)
    if course.game.shape.move_named(word.encode()) is not None or not word.strip():
        raise bad(
            f"the word '{word}' that closes the stand is a move, or empty; expected --word with another"
        )
    pace = Pace(float(result_seconds), float(patience_seconds))
    is_interrupted = _serve(course, log, go_on, pace, word)
    say_next(
        f"wordtight serve {typed(strategy)}{carried(**options)} --log {typed(log)} --replay",
        "what visitors did, against the proof",
    )
    if is_interrupted:
        sys.exit(STATUS_INTERRUPTED)


def _proved(asked: Asked) -> Proof:
    """The strategy as it plays at a stand, proved: of several moves that a rule allows it always takes the first."""
    written = asked.written()
    strategy = written.strategy(written.seats[0])
    settled = strategy.fixed(PLAIN) if strategy.choice == OPEN else strategy
    with ProgressLine() as progress:
        return prove(settled, written.claim, written.house, progress)


def _serve(course: Course, log: str, go_on: bool | None, pace: Pace, word: str) -> bool:
    """Open the stand until it is closed, and tell the totals; whether it was Ctrl-C that closed it."""
    typist = typist_here(by_key=course.game.house.form.kind == "key")
    title = _title(course, typist.how)
    is_interrupted = False
    with Logbook(log, bond(course.proof)) as logbook:
        before = history_of(logbook.log, log)
        if course.proof.verdict != PROVED:
            click.echo(f"it is not proved that {CLAIM_WORDS[course.proof.claim]} (wordtight prove)", err=True)
        try:
            with screen_here() as screen, typist:
                Stand(course, logbook, screen, typist, pace=pace, word=word, title=title).run(go_on)
        except KeyboardInterrupt:
            is_interrupted = True
    history = history_of(read_log(log), log)
    say()
    say("The stand is closed. Since it was opened:")
    finished_before = len(before.games) - (before.unfinished is not None)
    tell_totals(totals_of(history.games[finished_before:]))
    if before.games:
        say()
        say(f"In all of {log}:")
        tell_totals(totals_of(history.games))
    return is_interrupted


def _title(course: Course, how: str) -> tuple[str, ...]:
    """What a visitor reads before a game, a line each."""
    game, proof = course.game, course.proof
    who = f"{game.title.upper()}: you are V, the machine is M and moves {PLAYERS[game.seat]}."
    proved = (f"Proved: {CLAIM_WORDS[proof.claim]}.",) if proof.verdict == PROVED else ()
    return (who, *proved, how.format(course.example()))


def _replay(log: str, proof: Proof, *, as_json: bool) -> None:
    """Play a log over, tell what came of it, and end with the status for that."""
    kept = read_log(log)
    require_bond(kept, bond(proof), log)
    found = replay(proof, history_of(kept, log))
    if as_json:
        emit_json(replay_record(log, proof, found))
    else:
        tell_replay(proof, found)
        say_next(
            f"wordtight odds --log {typed(log)}", "how often did the stand fail, and what of the next day?"
        )
    if not is_sound(proof, found):
        sys.exit(STATUS_WRONG)
