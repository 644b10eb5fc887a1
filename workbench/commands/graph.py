"""`wordtight graph`: the game graph of a small game, as a picture or for other programs."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from games.codes import player_named
from games.game import Game
from games.house import load_house_rules
from games.housed import HousedGame
from games.load import load_game
from games.problems import bad
from solver.network import MOST_DRAWN, TooManyToDraw, network
from workbench.files import write_new
from workbench.options import house_option, one_seat_option
from workbench.output import emit_json, json_option, plural, say, say_next, typed
from workbench.statuses import STATUS_UNFINISHED

if TYPE_CHECKING:
    import networkx as nx

FORMATS = {".svg": "svg", ".graphml": "graphml", ".json": "node-link"}
"""What is written, by the ending of the file's name."""


@click.command("graph")
@click.argument("game")
@click.option(
    "-o",
    "--output",
    metavar="FILE",
    help="The file to write: .svg, .graphml or .json; GAME.svg unless told.",
)
@click.option("--up-to-symmetry", is_flag=True, help="Positions alike when turned or mirrored only once.")
@click.option("--plies", type=click.IntRange(1), metavar="N", help="Only the first N plies.")
@house_option
@one_seat_option
@click.option("--force", is_flag=True, help="Write over a file that is there already.")
@json_option
@click.pass_context
def command(
    context: click.Context,
    game: str,
    output: str | None,
    up_to_symmetry: bool,
    plies: int | None,
    house_rules: str | None,
    seat: str | None,
    force: bool,
    as_json: bool,
) -> None:
    """Draw the game graph of GAME: every position, every move and what best play makes of it.

    The picture has a column for each ply. A file that ends in .graphml or
    .json holds the same for other programs.
    """
    played = load_game(game)
    file = output or f"{played.name}.svg"
    kind = _format(file)
    in_seat = player_named(seat or "second")
    if house_rules is not None:
        played = HousedGame(played, load_house_rules(house_rules, played), in_seat)
    try:
        graph = network(played, plies=plies, up_to_symmetry=up_to_symmetry, seat=in_seat)
    except TooManyToDraw as too_many:
        click.echo(_remedy(too_many, played, up_to_symmetry=up_to_symmetry), err=True)
        context.exit(STATUS_UNFINISHED)
    write_new(file, _written(graph, kind, played, in_seat), overwrite=force)
    if as_json:
        emit_json(_record(graph, file, kind))
        return
    counted = f"{plural(len(graph), 'position')} and {plural(graph.number_of_edges(), 'move')}"
    say(f"Written: {file}, with {counted}.")
    if kind == "svg":
        say("Open it in any web browser; point at a card or a line to be told more.")
    say_next(f"wordtight solve {typed(game)}", "who wins under best play")


def _format(file: str) -> str:
    ending = Path(file).suffix.lower()
    if ending not in FORMATS:
        raise bad("expected a name that ends in .svg, .graphml or .json", file)
    return FORMATS[ending]


def _remedy(too_many: TooManyToDraw, game: Game, *, up_to_symmetry: bool) -> str:
    """One line on why the graph is not drawn, and what would be."""
    ways = []
    if game.symmetries > 1 and not up_to_symmetry:
        ways.append("--up-to-symmetry")
    if too_many.plies:
        ways.append(f"--plies {too_many.plies}")
    remedy = f"; try {' or '.join(ways)}" if ways else ""
    return f"{game.title} has more than the {MOST_DRAWN:,} positions that a graph may have here{remedy}"


def _written(graph: "nx.MultiDiGraph", kind: str, game: Game, seat: int) -> str:
    """The whole file: ours for a picture, networkx's own writers for the rest."""
    if kind == "svg":
        from workbench.graph_picture import draw_network

        return draw_network(graph, game, seat)
    import networkx as nx

    if kind == "graphml":
        return "\n".join(nx.generate_graphml(graph)) + "\n"
    import json

    return json.dumps(nx.node_link_data(graph, edges="edges"), indent=1) + "\n"


def _record(graph: "nx.MultiDiGraph", file: str, kind: str) -> dict[str, object]:
    """What was written, by its JSON keys."""
    about, start = graph.graph, graph.nodes[graph.graph["start"]]
    return {
        "game": about["game"],
        "file": file,
        "format": kind,
        "positions": len(graph),
        "moves": graph.number_of_edges(),
        "plies": max(ply for _, ply in graph.nodes(data="ply")),
        "up_to_symmetry": about["up_to_symmetry"],
        "cut_off": about["cut_off"],
        "value": start["value"],
        "distance": start.get("distance"),
    }
