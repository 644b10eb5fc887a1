"""The part of a page that shows how a strategy plays: its first replies, its reply tree, and what it meets by plies."""

from collections.abc import Iterator

import numpy as np

from games.codes import UNFINISHED
from solver.fixed import TURNED, FixedPlay
from workbench.pictures.board import board_html
from workbench.pictures.html import headed_table, paragraph, section
from workbench.pictures.in_words import men_in_words
from workbench.pictures.plies import plies_svg
from workbench.pictures.tree import tree_html, unlike_moves
from workbench.svg import element

MOST_SHOWN = 12


def boards_part(plays: list[FixedPlay]) -> str:
    """How a strategy plays that is settled in some readings; shown is the turned one, where there is one."""
    play = next((each for each in plays if each.reading == TURNED), plays[0])
    boards = list(first_replies(play))
    more = len(boards) - MOST_SHOWN
    drawn = element("div", boards[:MOST_SHOWN], class_="boards")
    told = [f"The first replies{', to boards alike once' if play.reading == TURNED else ''}."]
    told += [men_in_words(play.game), f"There are {more:,} more, which are not shown." if more > 0 else ""]
    parts = [paragraph(" ".join(filter(None, told))), drawn, tree_html(play), *_by_plies(play)]
    return section("How it plays", parts)


def first_replies(play: FixedPlay) -> Iterator[str]:
    """The board after each first move of the visitor's and the machine's reply to it."""
    graph, game = play.graph, play.game
    place, opening = graph.start, []
    while graph.mover[place] == game.seat and graph.ending[place] == UNFINISHED:
        edge = graph.edges_of(place)[0]
        opening.append(game.move_names[int(graph.move[edge])])
        place = int(graph.child[edge])
    for edge in unlike_moves(play, place):
        said = [*(f"machine {move}" for move in opening), f"visitor {game.move_names[int(graph.move[edge])]}"]
        at, move = int(graph.child[edge]), int(graph.move[edge])
        if graph.mover[at] == game.seat and graph.ending[at] == UNFINISHED:
            reply = graph.edges_of(at)[0]
            at, move = int(graph.child[reply]), int(graph.move[reply])
            said.append(f"machine {game.move_names[move]}")
        yield board_html(game, int(graph.codes[at]), move=move, caption="; ".join(said))


def _by_plies(play: FixedPlay) -> Iterator[str]:
    """How many positions it meets in each ply, as bars and as a table."""
    graph = play.graph
    met = np.bincount(graph.ply).tolist()
    over = np.bincount(graph.ply[graph.ending != UNFINISHED], minlength=len(met)).tolist()
    yield plies_svg("Positions that it can meet, by the ply on which they first come up", met, over)
    rows = list(zip(range(len(met)), met, over, strict=True))
    titles = ("ply", "positions", "play is over")
    yield element("div", headed_table(titles, rows, figures=(0, 1, 2)), class_="unseen")
