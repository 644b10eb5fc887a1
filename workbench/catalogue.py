"""The script that works out what is stored of the games that come with Wordtight, and writes it down.

``make catalogue`` does all of them and takes minutes.  Where only some have changed, name them:
``python -m workbench.catalogue GAME ...``.  The results go into a file beside this one (`workbench.stored`) and onto a
page of the documents; nothing in them depends on a machine or a clock.
"""

from collections.abc import Mapping
from importlib.resources import files
from pathlib import Path

import click

from budget.packed import Shape
from budget.size import proved_shapes
from games.codes import PLAYERS
from games.game import Game
from games.house import load_house_rules
from games.load import catalogue_names, load_game
from solver.best import prove_best
from solver.counts import one_of_each, rounds
from solver.fixed import fix
from solver.graph import explore
from solver.solve import Solution, solve
from solver.strategy import PLAIN, TURNED
from workbench.files import write_new
from workbench.stored import (
    FAMILY_TITLES,
    RESULTS,
    Answers,
    Entry,
    as_text,
    distance_in_words,
    in_words,
    stored_entries,
    yes_or_no,
)

PAGE = Path(__file__).parent.parent / "docs" / "catalogue.md"
_HEAD = """\
# The catalogue

<!-- Written by `make catalogue`; the tests compare it with what is stored. -->

{count} games come with Wordtight. `wordtight games` lists them, `wordtight show GAME` draws one, and
`wordtight games --machine M` tells which of them a machine could play.

* *positions*: those that can arise, final ones included.
* *value*: who wins under best play; where moves score, who is ahead and by how much.
* *distance*: plies to the end, when the winner hurries and the loser delays.
* *loops*: whether play can come back to a position, and so go on for ever.
"""
_TITLES = """\
| game | size | positions | value | distance | loops | where from |
| --- | --- | --: | --- | --: | --- | --- |
"""


def work_out(name: str) -> Entry:
    """Everything that is stored of a game, from the game itself.  Takes up to a minute or two."""
    game = load_game(name)
    solution = solve(game)
    entry = Entry(
        _family_of(name),
        game.size,
        solution.positions,
        sum(len(one_of_each(game, codes)) for codes in solution.solved.plies()),
        solution.value,
        solution.distance,
        solution.value_if_second_begins,
        _loops(game),
        {},
        {},
    )
    for seat, player in enumerate(PLAYERS):
        lost = entry.is_lost(seat)
        entry.answers[player], entry.tables[player] = (None, None) if lost else _best_play(solution, seat)
    return entry


def _family_of(name: str) -> str:
    import tomllib

    text = files("games").joinpath("catalogue", f"{name}.toml").read_text("utf-8")
    return str(tomllib.loads(text)["family"])


def _loops(game: Game) -> bool:
    """Whether the positions that can arise and their moves have a circle."""
    return game.can_repeat and rounds(explore(game)) is None


def _best_play(solution: Solution, seat: int) -> tuple[Answers, tuple[Shape, ...]]:
    """What best play needs to have stored: turned play is another than plain play, and each is proved by itself."""
    house = load_house_rules("usual", solution.game)
    proofs = {reading: prove_best(solution.solved, seat, reading, house) for reading in (PLAIN, TURNED)}
    answers = Answers(proofs[TURNED].walk.answers(), proofs[PLAIN].walk.answers_fixed_board())
    plays = [fix(proof, reading) for reading, proof in proofs.items()]
    return answers, tuple(shape for play in plays for shape in proved_shapes(play))


def page(entries: Mapping[str, Entry]) -> str:
    """The catalogue as a page of the documents, a table for each family."""
    return _HEAD.format(count=len(entries)) + "".join(_section(family, entries) for family in FAMILY_TITLES)


def _section(family: str, entries: Mapping[str, Entry]) -> str:
    rows = [_row(name, entry) for name, entry in sorted(entries.items()) if entry.family == family]
    return f"\n## {family}: {FAMILY_TITLES[family]}\n\n{_TITLES}{''.join(rows)}"


def _row(name: str, entry: Entry) -> str:
    game = load_game(name)
    value = in_words(entry.value)
    if entry.value_if_second_begins is not None:
        value += f"; if the second player begins: {in_words(entry.value_if_second_begins)}"
    cells = (
        f"{game.title}: `{name}`",
        entry.size,
        f"{entry.positions:,}",
        value,
        distance_in_words(entry),
        yes_or_no(entry),
        game.origin,
    )
    return f"| {' | '.join(cell.replace('|', '&#124;') for cell in cells)} |\n"


@click.command()
@click.argument("games", nargs=-1, metavar="[GAME]...")
def main(games: tuple[str, ...]) -> None:
    """Work out what is stored of each GAME (all of them unless told), and write the results and their page."""
    names = catalogue_names()
    if unknown := sorted(set(games) - set(names)):
        raise click.UsageError(f"the catalogue has no game '{unknown[0]}'")
    entries = stored_entries() if RESULTS.exists() else {}
    for name in games or names:
        click.echo(f"{name} ...")
        entries[name] = work_out(name)
        write_new(RESULTS, as_text(entries), overwrite=True)  # after each: an interruption loses no result
    write_new(PAGE, page(entries), overwrite=True)


if __name__ == "__main__":
    main()
