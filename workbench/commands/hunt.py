"""`wordtight hunt`: faulty strategies for a class to beat."""

from pathlib import Path

import click

from games.codes import PLAYERS
from solver.proof import Proof
from solver.record import plies
from workbench.coaching.hunting import (
    BANK,
    Quarry,
    answer_to,
    percent,
    quarries,
    quarry_named,
    quarry_record,
)
from workbench.coaching.paragraphs import line_in_words
from workbench.coaching.tell_feedback import teachers_answer
from workbench.coaching.visitor import GAMES
from workbench.output import emit_json, json_option, say, say_lines, say_next, table, typed


@click.command("hunt")
@click.argument("name", required=False)
@click.option(
    "--folder",
    type=click.Path(file_okay=False),
    metavar="DIR",
    help="Strategies of your own, instead of those that come with Wordtight.",
)
@click.option("--answers", is_flag=True, help="The line that beats it, for the teacher, instead of a game.")
@json_option
def command(name: str | None, folder: str | None, answers: bool, as_json: bool) -> None:
    """Hunt for the hole in a faulty strategy.

    Without NAME: the strategies there are, and how likely a sensible visitor
    is to beat each of them: one who takes a win, stops a win, and else plays
    anything. With NAME: play against that one.
    """
    where = BANK if folder is None else Path(folder)
    found = quarries(where) if name is None else [quarry_named(name, where)]
    proofs = [answer_to(each) if answers else None for each in found]
    if as_json:
        records = [quarry_record(each, proof) for each, proof in zip(found, proofs, strict=True)]
        emit_json({"strategies": records})
    elif name is None:
        _list(found, proofs, folder)
    elif proofs[0] is not None:
        _tell_answer(found[0], proofs[0], folder)
    else:
        _play(found[0], folder)


def _list(found: list[Quarry], proofs: list[Proof | None], folder: str | None) -> None:
    say(
        "Each of these can be beaten. How likely is it that a sensible visitor does?"
        if folder is None
        else f"How likely is it that a sensible visitor beats the strategies of {folder}?"
    )
    say()
    rows = [
        (each.name, each.written.game.name, PLAYERS[each.written.seats[0]], *_chances(each)) for each in found
    ]
    titles = ("name", "game", "seat", "in a game", f"in {GAMES} games")
    say_lines(table(titles, rows, right=(3, 4)))
    say()
    say(
        "A sensible visitor takes a win that is there, else stops the machine's, else plays anything, every move being "
        "as likely as another. The chances are exact; nothing was tried out."
    )
    hard = [each for each in found if each.odds is not None and 0 < each.odds.in_ten < 1]
    if hard:
        last = hard[-1]
        assert last.odds is not None
        say()
        say(
            f"So playing is not proving: {percent(1 - last.odds.in_ten)} of such visitors play {GAMES} games against "
            f"{last.name} and find nothing."
        )
    for each, proof in zip(found, proofs, strict=True):
        if proof is not None and proof.failure is not None:
            say()
            say(f"{each.name}: {line_in_words(plies(proof, proof.failure.line))}")
    say_next(f"wordtight hunt {typed(found[0].name)}{_again(folder)}", "play against it")


def _again(folder: str | None) -> str:
    return "" if folder is None else f" --folder {typed(folder)}"


def _chances(quarry: Quarry) -> tuple[str, str]:
    if quarry.odds is None:
        return "-", "-"
    return percent(quarry.odds.chance), percent(quarry.odds.in_ten)


def _tell_answer(quarry: Quarry, proof: Proof, folder: str | None) -> None:
    """The teacher's answer to one of them."""
    if quarry.story:
        say(f"{quarry.name}: {quarry.story}")
        say()
    if quarry.odds is not None and quarry.odds.lines is not None:
        beat = "line beats" if quarry.odds.losing == 1 else "lines beat"
        say(f"{quarry.odds.losing:,} of {quarry.odds.lines:,} {beat} it.")
        say()
    say_lines(teachers_answer(proof, quarry.name).rstrip().split("\n"))
    say_next(f"wordtight hunt {typed(quarry.name)}{_again(folder)}", "play against it")


def _play(quarry: Quarry, folder: str | None) -> None:
    """Play against one of them, as `wordtight play` does."""
    from workbench.commands.play import play_against

    if quarry.story:
        say(f"{quarry.name}: {quarry.story}")
        say()
    play_against(quarry.written)
    say_next(f"wordtight hunt {typed(quarry.name)}{_again(folder)} --answers", "the truth about it")
