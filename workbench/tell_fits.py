"""What `wordtight games --machine` says: a table and a picture for each seat, or a JSON object."""

from collections.abc import Sequence
from typing import Any

from budget.card import CostCard
from budget.size import PROGRAM_IS_NOT_IN_IT
from solver.best import CLAIM
from workbench.bars import bars
from workbench.fits import FITS, HOUSE_RULES, LOST, NO_TABLE, TOO_MANY_WORDS, Fit, says_the_usual
from workbench.output import plural, say, say_lines, say_next, table, typed

IN_THE_TABLE = {FITS: "fits", TOO_MANY_WORDS: "does not fit", NO_TABLE: "no table"}
"""Verdicts under the heading 'as a table'; lost seats stand in a sentence of their own."""


def as_record(card: CostCard, fits: Sequence[Fit]) -> dict[str, Any]:
    """What was found, by its JSON keys."""
    return {
        "machine": card.name,
        "title": card.title,
        "word_bits": card.word_bits,
        "store_words": card.store_words,
        "claim": CLAIM,
        "house_rules": HOUSE_RULES,
        "messages_counted": says_the_usual(card),
        "games": [fit._asdict() for fit in fits],
        "remark": PROGRAM_IS_NOT_IN_IT,
    }


def tell_fits(card: CostCard, fits: Sequence[Fit], machine: str) -> None:
    """The same for people; `machine` is the machine as it was named on the command line."""
    say(f"On {card.name} ({card.title}): {card.store_words:,} words of {card.word_bits} bits.")
    say()
    for seat in dict.fromkeys(fit.seat for fit in fits):
        _tell_seat(card, seat, [fit for fit in fits if fit.seat == seat])
    say(
        "answers: boards whose best move is stored, turned or as they stand, whichever are fewer. "
        "words: of that table, the messages of the usual house rules and the workspace, in the encoding that takes "
        "fewest. The strategy is best play: it keeps every position's value and wins as quickly as can be. "
        "It is not the least strategy, so what does not fit as a table may fit with rules."
    )
    say(PROGRAM_IS_NOT_IN_IT)
    if not says_the_usual(card):
        say(f"Nor are messages: {card.name} has not the characters to say those of the usual house rules.")
    for reason, games in _reasons(fits).items():
        say(f"No table for {', '.join(games)}: {reason}.")
    say_next(
        f"wordtight size my.rules --machine {typed(machine)}", "size a strategy of your own on this machine"
    )


def _tell_seat(card: CostCard, seat: str, fits: Sequence[Fit]) -> None:
    playable = [fit for fit in fits if fit.verdict != LOST]
    lost = [fit.game for fit in fits if fit.verdict == LOST]
    if playable:
        fitting = sum(fit.verdict == FITS for fit in playable)
        say(
            f"Machine moves {seat}: {plural(len(playable), 'game')} that need not be lost, of which {fitting} fit."
        )
        say()
        say_lines(
            table(
                ("game", "positions", "answers", "words", "as a table"),
                [_cells(fit) for fit in playable],
                right=(1, 2, 3),
            )
        )
        say()
        _draw(card, playable)
    if lost:
        say(f"Machine moves {seat}, and its seat is lost against best play: {', '.join(lost)}.")
        say()


def _cells(fit: Fit) -> tuple[str, ...]:
    answers = [count for count in (fit.answers, fit.answers_fixed_board) if count is not None]
    figures = (min(answers, default=None), fit.least_words)
    shown = ("-" if figure is None else f"{figure:,}" for figure in figures)
    return (fit.game, f"{fit.positions:,}", *shown, IN_THE_TABLE[fit.verdict])


def _draw(card: CostCard, fits: Sequence[Fit]) -> None:
    """The words as bars, the fewest first."""
    drawn = sorted((fit.least_words, fit.game) for fit in fits if fit.least_words is not None)
    if not drawn:
        return
    say(f"Words against the {card.store_words:,} of the store (|); every doubling is equally long:")
    say()
    say_lines(bars([game for _, game in drawn], [words for words, _ in drawn], card.store_words))
    say()


def _reasons(fits: Sequence[Fit]) -> dict[str, dict[str, None]]:
    """Why some games have no table, and which these are, each once and in order."""
    games: dict[str, dict[str, None]] = {}
    for fit in fits:
        if fit.verdict == NO_TABLE:
            games.setdefault(str(fit.reason), {})[fit.game] = None
    return games
