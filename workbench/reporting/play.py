"""The part of a page in which the reader plays against the strategy."""

import json
from pathlib import Path
from typing import NamedTuple

from games.codes import PLAYERS
from solver.fixed import TURNED, FixedPlay
from workbench.output import plural
from workbench.pictures.board import ENLARGED, RIM
from workbench.pictures.html import paragraph
from workbench.pictures.in_words import board_table, men_in_words
from workbench.pictures.positions import BoardPictures, pictures_of
from workbench.reporting.playable import NotPlayable, Stored, playable, smallest_table
from workbench.svg import element, words

SCRIPT = Path(__file__).parent / "play.js"
STYLE = """
#play .play { display: flex; flex-wrap: wrap; gap: 1em 2em; align-items: flex-start }
#board { font-size: 1.2em; line-height: 1.3; margin: 0 } #board [data-types] { cursor: pointer }
pre#board { border: 0; padding: 0; white-space: pre }
#said span { display: block; font-weight: bold; font-family: 'DejaVu Sans Mono', Menlo, Consolas, monospace }
#play .beside { flex: 1 1 20em }
#turn { display: flex; flex-wrap: wrap; gap: .5em; align-items: center }
#typed { width: 8em; padding: .2em .4em; border: 1.5px solid #1d2730 }
#play button { padding: .2em .8em; border: 1.5px solid #1d2730; background: #fff; border-radius: .3em }
"""
LARGER = 1.8
"""How much larger than other boards that of a game in progress is."""


class PlayPart(NamedTuple):
    """What a page needs to be played on; without a script where it cannot, and `html` says why."""

    html: str
    script: str


def play_part(plays: list[FixedPlay], word_bits: int) -> PlayPart:
    """A game against the strategy settled in some readings, its answers in words of so many bits."""
    try:
        stored = smallest_table(plays, word_bits)
        data = playable(stored)
    except NotPlayable as reason:
        return PlayPart(paragraph(f"This strategy cannot be played on a page: {reason}."), "")
    written = json.dumps(data, separators=(",", ":")).replace("<", "\\u003c")
    script = f"const DATA = {written};\n{SCRIPT.read_text('utf-8')}"
    return PlayPart(_told_before(stored) + _board_and_form(stored), script)


def _told_before(stored: Stored) -> str:
    play, packed = stored.play, stored.packed
    game = play.game
    turned = (
        " The board is turned first, so that those alike are stored once." if play.reading == TURNED else ""
    )
    kept = (
        f"The machine moves {PLAYERS[game.seat]}. Its moves are looked up in {plural(len(packed.words), 'word')} of "
        f"{packed.word_bits} bits, which stand in this page as they would in the store: the numbers of boards in "
        f"order, each with a move.{turned} Wrong input is answered by the house rules '{game.house.name}'."
    )
    paper = paragraph("On paper it cannot be played; open the page in a browser.", class_="paper")
    only_here = "Without scripts this page cannot be played on; all else of it can be read."
    return paragraph(kept) + paper + element("noscript", paragraph(only_here))


def _board_and_form(stored: Stored) -> str:
    game = stored.play.game
    by_key = game.house.form.kind == "key"
    how = f"Type {'the key of ' if by_key else ''}a move such as {game.move_names[int(_first_move(stored))]}"
    told = f"You are the visitor. {how}{'' if by_key else ', and Return'}. {men_in_words(game)}".strip()
    form = element(
        "form",
        [
            words("label", "Your move", for_="typed"),
            element("input", id="typed", autocomplete="off", autocapitalize="off", spellcheck="false"),
            words("button", "Enter", id="enter"),
            words("button", "New game", id="again", type="button"),
        ],
        id="turn",
    )
    said = element("p", "", id="said", role="status", aria_live="polite")
    line = element("p", ["Moves so far: ", element("span", "", id="line")])
    store = element("p", "", id="store")
    beside = element("div", [said, form, paragraph(told), line, store], class_="beside")
    game_in_progress = element("div", [_board(stored), beside], class_="play")
    return element("div", game_in_progress, id="play", class_="screen", hidden="hidden")


def _first_move(stored: Stored) -> int:
    """The least move of the visitor's in the first position in which it is asked for."""
    graph, game = stored.play.graph, stored.play.game
    place = graph.start
    while graph.mover[place] == game.seat:
        place = int(graph.child[graph.edges_of(place)[0]])
    return int(graph.move[graph.edges_of(place)[0]])


def _board(stored: Stored) -> str:
    game = stored.play.game
    pictures = pictures_of(game, [game.start], game.seat)
    if not isinstance(pictures, BoardPictures):
        return element("div", element("pre", "", id="board"))
    wide, high = pictures.wide + 2 * RIM, pictures.high + 2 * RIM
    layers = element("g", pictures.layers(), transform=f"translate({RIM} {RIM})")
    size = {"width": wide * ENLARGED * LARGER, "height": high * ENLARGED * LARGER}
    box = f"0 0 {wide:.1f} {high:.1f}"
    picture = element("svg", layers, id="board", **size, viewBox=box, aria_hidden="true")
    table = element("div", board_table(game, game.start), id="as-table", class_="unseen")
    return element("div", [picture, table])
