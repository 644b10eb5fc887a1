"""`wordtight games`: the catalogue."""

import click

from games.load import catalogue_names, load_game
from workbench.output import emit_json, json_option, say, say_lines, say_next, table


@click.command("games")
@json_option
def command(as_json: bool) -> None:
    """List the games that come with Wordtight."""
    games = [load_game(name) for name in catalogue_names()]
    if as_json:
        rows = [
            {
                "game": game.name,
                "title": game.title,
                "size": game.size,
                "from": game.origin,
            }
            for game in games
        ]
        emit_json({"games": rows})
        return
    shown = [(game.name, game.size, game.title) for game in games]
    say_lines(table(("game", "size", "what it is"), shown))
    say()
    say("A game of your own is a .toml file: wordtight new game writes one to begin with.")
    say_next("wordtight show noughts-and-crosses", "draw a game's board, its lines and rules")
