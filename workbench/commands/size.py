"""`wordtight size`: the words that a strategy takes on a machine."""

import sys
from typing import Any

import click

from budget.card import CostCard, load_machine, machine_names
from budget.size import Row, Size, size_play
from games.codes import PLAYERS
from games.problems import listed
from solver.fixed import FixedPlay, fixed_plays, readings_of
from solver.load import load_strategy
from solver.proof import PROVED, Proof, prove
from workbench.main import STATUS_WRONG
from workbench.options import (
    carried,
    claim_option,
    game_option,
    house_option,
    seats_option,
    strategy_argument,
)
from workbench.output import emit_json, json_option, plural, say, say_lines, say_next, table, typed
from workbench.progress import ProgressLine
from workbench.tell_limits import words_in_words

NO_TABLE = "In some position that can be met it has no legal answer, so there is nothing whole to store."


@click.command("size")
@strategy_argument
@click.option("--machine", metavar="M", help="The machine: a name such as twelve-bit, or a .toml file.")
@game_option
@seats_option
@claim_option
@house_option
@json_option
def command(
    strategy: str,
    machine: str | None,
    game: str | None,
    seat: str | None,
    claim: str | None,
    house_rules: str | None,
    as_json: bool,
) -> None:
    """Size STRATEGY on a machine, and say whether it fits the store.

    The strategy as it is written, and the same play as a table alone, packed
    bit for bit in every encoding and read back from the words. Ends with status
    0 if the claim is proved and an encoding fits, and else with 1.
    """
    if machine is None:
        raise click.UsageError(f"expected --machine and one of {listed(machine_names())}, or a .toml file")
    written = load_strategy(strategy, game=game, seat=seat, claim=claim, house_rules=house_rules)
    house = written.house
    card = load_machine(machine)
    with ProgressLine() as progress:
        proofs = [prove(written.strategy(number), written.claim, house, progress) for number in written.seats]
    if any(proof.walk.illegal or len(proof.walk.unanswered) for proof in proofs):
        if as_json:
            _emit([_unsized(proof, card) for proof in proofs])
        click.echo(f"{strategy}: {NO_TABLE} See: wordtight prove {typed(strategy)}", err=True)
        sys.exit(STATUS_WRONG)
    plays = [fixed_plays(proof) for proof in proofs]
    sizes = [
        size_play(each, house, card, proof.never_said) for each, proof in zip(plays, proofs, strict=True)
    ]
    if as_json:
        _emit([_record(*each) for each in zip(proofs, plays, sizes, strict=True)])
    else:
        for each in zip(proofs, plays, sizes, strict=True):
            _tell(strategy, *each)
        options = carried(game=game, seat=seat, claim=claim, house_rules=house_rules)
        say_next(f"wordtight prove {typed(strategy)}{options}", "what is proved about it")
    good = all(size.fits and is_proved(each) for size, each in zip(sizes, plays, strict=True))
    sys.exit(0 if good else STATUS_WRONG)


def is_proved(plays: list[FixedPlay]) -> bool:
    """Whether the claim holds with the choices settled in some reading."""
    return any(_verdict(play) == PROVED for play in plays)


def _emit(records: list[dict[str, Any]]) -> None:
    """One object for one seat; for both, one that lists them."""
    emit_json(records[0] if len(records) == 1 else {"seats": records})


def _what(proof: Proof) -> dict[str, Any]:
    """What is sized, by its JSON keys."""
    walk = proof.walk
    return {
        "game": walk.game.name,
        "strategy": walk.strategy.name,
        "seat": PLAYERS[walk.game.seat],
        "claim": proof.claim,
        "house_rules": proof.house.name,
    }


def _unsized(proof: Proof, card: CostCard) -> dict[str, Any]:
    """The same keys where nothing can be sized: the machine, no encodings, and the verdict that says why."""
    return {
        **_what(proof),
        "verdict": proof.verdict,
        "machine": card.name,
        "title": card.title,
        "word_bits": card.word_bits,
        "store_words": card.store_words,
        "fits": False,
        "encodings": [],
    }


def _record(proof: Proof, plays: list[FixedPlay], size: Size) -> dict[str, Any]:
    """What `size` found, by its JSON keys."""
    walk = proof.walk
    as_written = {
        "rules": [rule.text for rule in walk.strategy.rules],
        "answers": walk.answers(),
        "answers_fixed_board": walk.answers_fixed_board(),
    }
    verdicts = {play.reading: _verdict(play) for play in plays}
    return {
        **_what(proof),
        "verdicts": verdicts,
        "as_written": as_written,
        **size.as_json(),
    }


def _verdict(play: FixedPlay) -> str:
    assert play.proof is not None
    return play.proof.verdict


def _tell(written: str, proof: Proof, plays: list[FixedPlay], size: Size) -> None:
    walk = proof.walk
    say(
        f"{written}: {walk.game.title}, machine moves {PLAYERS[walk.game.seat]}, house rules '{proof.house.name}'"
    )
    say(f"On {size.machine} ({size.title}): {size.store_words:,} words of {size.word_bits} bits.")
    say()
    say(_headline(proof, plays, size))
    if len(plays) < len(readings_of(walk.strategy)):
        say("Turned it cannot be stored: on some turned board it has no answer.")
    for play in plays if is_proved(plays) else ():
        if _verdict(play) != PROVED:
            say(f"BUT: with its choices settled {play.reading}, '{proof.claim}' is {_verdict(play)}.")
    say()
    say(
        f"As it is written: {plural(len(walk.strategy.rules), 'rule')}; "
        f"{plural(walk.answers(), 'answer')} to store up to symmetry, {walk.answers_fixed_board():,} on a fixed board."
    )
    for rule in walk.strategy.rules:
        say(rule.text, indent="    ")
    say()
    say("The same play as a table alone, in words:")
    say()
    titles = ("encoding", "board", "answers", "bits", "table", "messages", "workspace", "total", "left")
    say_lines(table(titles, [_figures(row) for row in size.encodings], right=range(2, 9)))
    say()
    _tell_notes(size)


def _headline(proof: Proof, plays: list[FixedPlay], size: Size) -> str:
    """Whether it fits; of a strategy that is proved in one reading only, the rows of that one."""
    proved = [play.reading for play in plays if _verdict(play) == PROVED]
    fitting = [row for row in size.encodings if row.fits and (not proved or row.reading in proved)]
    if not fitting:
        return "DOES NOT FIT, in any of these encodings."
    least = min(fitting, key=lambda row: row.total_words or 0)
    it_fits = (
        f"{plural(len(fitting), 'encoding')} of {len(size.encodings)}; the smallest is {least.encoding} "
        f"({least.reading}) with {least.total_words:,} words, which leaves {least.margin:,} for the program."
    )
    if not proved:
        return f"IT WOULD FIT, BUT '{proof.claim}' DOES NOT HOLD for this strategy. In store: {it_fits}"
    return f"FITS: {it_fits}"


def _figures(row: Row) -> tuple[str, ...]:
    figures = (row.answers, row.table_bits, row.table_words, row.message_words, row.workspace_words)
    shown = ["-" if figure is None else f"{figure:,}" for figure in (*figures, row.total_words)]
    left = "-" if row.margin is None else f"{row.margin:,}" if row.fits else f"short {-row.margin:,}"
    return (row.encoding, row.reading, *shown, left)


def _tell_notes(size: Size) -> None:
    for row in size.encodings:
        if row.reason:
            say(f"{row.encoding} ({row.reading}) is not possible: {row.reason}.")
    for limit in size.limits:
        say(words_in_words(limit))
    if size.words_saved:
        say(
            f"Leaving out what can never be said ({listed(size.never_said, 'and')}) saves "
            f"{plural(size.words_saved, 'word')} of the messages."
        )
    say(size.remark)
