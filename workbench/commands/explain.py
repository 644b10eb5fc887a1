"""`wordtight explain`: what a strategy does in a position and why, or what is wrong with it as a whole."""

from pathlib import Path

import click

from solver.load import Written
from solver.proof import Proof
from workbench.asked import Asked, proof_of
from workbench.coaching.feedback import HINTS, feedback_on
from workbench.coaching.moment import Moment, read_and_solve
from workbench.coaching.position import read_position
from workbench.coaching.tell_feedback import feedback_record, teachers_answer, tell_feedback, tell_hints
from workbench.coaching.tell_moment import moment_record, tell_moment
from workbench.files import refuse_existing, write_new
from workbench.options import (
    carried,
    claim_option,
    game_option,
    house_option,
    one_seat_option,
    strategy_argument,
)
from workbench.output import emit_json, json_option, say, say_next, typed
from workbench.progress import ProgressLine


@click.command("explain")
@strategy_argument
@click.argument("position", nargs=-1)
@game_option
@one_seat_option
@claim_option
@house_option
@click.option(
    "--hints",
    type=click.IntRange(1, HINTS),
    is_flag=False,
    flag_value=HINTS,
    metavar="N",
    help="Instead of all at once: the first hint, the first two, or all three.",
)
@click.option(
    "--answers", metavar="FILE", type=click.Path(dir_okay=False), help="Write the teacher's answer to a file."
)
@click.option("--force", is_flag=True, help="Write over a file that is there.")
@json_option
def command(
    strategy: str,
    position: tuple[str, ...],
    hints: int | None,
    answers: str | None,
    force: bool,
    as_json: bool,
    **options: str | None,
) -> None:
    """Explain what STRATEGY does in POSITION, or else what is wrong with it.

    POSITION: the moves that lead there, such as 1 5 9, or the board, such as
    V__/_M_/__V. Then: which rule answers, what it saw, what each move is worth,
    and the line that follows.

    Without POSITION: a few words on the whole attempt, which do not give the
    answer away. Ends with status 0 whatever is found.
    """
    written = Asked(strategy, **options).written()
    if position and (hints is not None or answers is not None):
        raise click.UsageError(
            "hints and answers are about the whole attempt; expected them without POSITION"
        )
    if position:
        _explain_moment(written, position, as_json=as_json)
        return
    if answers is not None and not force:
        refuse_existing(answers)
    with ProgressLine() as progress:
        proof = proof_of(written, progress)
    _explain_whole(proof, strategy, hints, as_json=as_json)
    if answers is not None:
        write_new(Path(answers), teachers_answer(proof, strategy), overwrite=force)
    if not as_json:
        if answers is not None:
            say()
            say(f"The teacher's answer: {answers}")
        _say_next(proof, written, carried(**options))


def _explain_moment(written: Written, position: tuple[str, ...], *, as_json: bool) -> None:
    strategy = written.strategy(written.seats[0])
    with ProgressLine() as progress:
        game, solved = read_and_solve(strategy, written.house, progress)
    asked = read_position(position, game, strategy, solved)
    moment = Moment(asked, strategy, written.claim, game, solved)
    if as_json:
        emit_json(moment_record(moment))
        return
    tell_moment(moment, written.file)
    say_next(f"wordtight explain {typed(written.file)}", "what is wrong with it as a whole")


def _explain_whole(proof: Proof, file: str, hints: int | None, *, as_json: bool) -> None:
    feedback = feedback_on(proof)
    if as_json:
        emit_json(feedback_record(proof, feedback, hints))
    elif hints is not None:
        tell_hints(proof, feedback, hints)
    else:
        tell_feedback(proof, feedback, file)


def _say_next(proof: Proof, written: Written, options: str) -> None:
    file = written.file
    if proof.failure is None:
        say_next(f"wordtight repair {typed(file)}{options}", "which of its rules could go?")
    elif proof.seat_is_lost:
        say_next(f"wordtight solve {typed(written.game_name)}", "which seat can be held at all")
    else:
        say_next(f"wordtight repair {typed(file)}{options}", "how far is it from holding?")
