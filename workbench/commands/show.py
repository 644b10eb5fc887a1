"""`wordtight show`: a game's board, lines and rules."""

import click

from games.load import load_game
from workbench.draw import cell_labels, line_names
from workbench.output import emit_json, json_option, say, say_lines, say_next


@click.command("show")
@click.argument("game")
@json_option
def command(game: str, as_json: bool) -> None:
    """Draw the board of GAME with its cells, its lines and its rules in words.

    GAME is a name of the catalogue, or a .toml file.
    """
    played = load_game(game)
    lines = line_names(played, getattr(played, "lines", ()))
    if as_json:
        emit_json(
            {
                "game": played.name,
                "title": played.title,
                "from": played.origin,
                "columns": played.board.columns,
                "rows": played.board.rows,
                "cells": list(played.board.names),
                "lines": [line.split("-") for line in lines],
                "rules": list(played.rules),
                "symmetries": played.symmetries,
            }
        )
        return
    say(f"{played.title} ({played.name})")
    say()
    say_lines(cell_labels(played))
    say()
    for rule in played.rules:
        say(rule)
    say()
    say(f"Lines: {', '.join(lines)}")
    say(f"The board looks the same in {played.symmetries} ways, turned or mirrored (itself included).")
    say(f"A position is written {played.board.text(1, 2)}: M the machine's, V the visitor's, _ free.")
    if played.origin:
        say(f"From: {played.origin}")
    say_next(f"wordtight solve {game}", "who wins under best play")
