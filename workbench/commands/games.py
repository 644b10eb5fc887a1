"""`wordtight games`: the catalogue, and which of its games a machine could play."""

from collections.abc import Mapping
from typing import Any

import click

from games.codes import PLAYERS, player_named
from games.load import load_game
from workbench.options import one_seat_option
from workbench.output import emit_json, json_option, say, say_lines, say_next, table
from workbench.stored import (
    FAMILY_TITLES,
    Entry,
    distance_in_words,
    in_words,
    stored_entries,
    yes_or_no,
)


@click.command("games")
@click.argument("family", required=False, type=click.Choice(tuple(FAMILY_TITLES)), metavar="[FAMILY]")
@click.option(
    "--machine", metavar="M", help="Which of them this machine could play: a name, or a .toml file."
)
@one_seat_option
@json_option
def command(family: str | None, machine: str | None, seat: str | None, as_json: bool) -> None:
    """List the games that come with Wordtight, or those of a FAMILY.

    A FAMILY is one of marks, steps, advance, take and fill. With --machine: the
    words that best play takes there as a table, for each seat that is not lost.
    """
    entries = stored_entries(family)
    if machine is not None:
        _fit(entries, machine, seat, as_json=as_json)
        return
    if seat is not None:
        raise click.UsageError("a --seat is a machine's; expected --machine M beside it")
    if as_json:
        emit_json({"games": [_record(name, entry) for name, entry in entries.items()]})
        return
    _tell(entries)
    say("distance: plies to the end under best play. loops: whether play can go on for ever.")
    say("A game of your own is a .toml file: wordtight new game writes one to begin with.")
    say_next("wordtight show noughts-and-crosses", "draw a game's board, its lines and rules")


def _record(name: str, entry: Entry) -> dict[str, Any]:
    """A game of the list, by its JSON keys."""
    game = load_game(name)
    return {
        "game": name,
        "title": game.title,
        "size": game.size,
        "from": game.origin,
        "family": entry.family,
        "positions": entry.positions,
        "positions_up_to_symmetry": entry.positions_up_to_symmetry,
        "value": entry.value,
        "distance": entry.distance,
        "value_if_second_begins": entry.value_if_second_begins,
        "loops": entry.loops,
    }


def _tell(entries: Mapping[str, Entry]) -> None:
    titles = ("game", "size", "positions", "value", "distance", "loops")
    for family, what in FAMILY_TITLES.items():
        games = {name: entry for name, entry in entries.items() if entry.family == family}
        if not games:
            continue
        say(f"{family}: {what}")
        say()
        say_lines(table(titles, [_cells(name, entry) for name, entry in games.items()], right=(2, 4)))
        if others := [_other_start(name, entry) for name, entry in games.items() if _depends_on_start(entry)]:
            say()
            say(f"If the second player begins: {'; '.join(others)}.")
        say()


def _cells(name: str, entry: Entry) -> tuple[str, ...]:
    value, distance = in_words(entry.value), distance_in_words(entry)
    return (name, entry.size, f"{entry.positions:,}", value, distance, yes_or_no(entry))


def _depends_on_start(entry: Entry) -> bool:
    return entry.value_if_second_begins is not None


def _other_start(name: str, entry: Entry) -> str:
    assert entry.value_if_second_begins is not None
    return f"{name}: {in_words(entry.value_if_second_begins)}"


def _fit(entries: Mapping[str, Entry], machine: str, seat: str | None, *, as_json: bool) -> None:
    """Tell which games a machine could play, in one seat or in both."""
    from budget.card import load_machine  # the list alone needs no machines
    from workbench.fits import fits
    from workbench.tell_fits import as_record, tell_fits

    card = load_machine(machine)
    seats = [player_named(each) for each in ([seat] if seat else PLAYERS)]
    found = list(fits(entries, card, seats))
    if as_json:
        emit_json(as_record(card, found))
    else:
        tell_fits(card, found, machine)
