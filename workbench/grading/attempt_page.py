"""The page of one attempt, to be handed back: the verdict, the line that beats it, its mistakes, and its points.

It does not tell what would have been better: that is for the learner to find, and stands on the teacher's page.
"""

from collections.abc import Sequence
from functools import lru_cache

from games.codes import PLAYERS
from games.housed import HousedGame
from games.inputs import class_in_words
from games.problems import listed
from workbench.grading.request import Request, made_ready
from workbench.grading.row import Positions, Row, Told
from workbench.grading.words import (
    first_fault,
    fit_in_words,
    given_in_words,
    outcome,
    verdict_in_words,
    why_not_everywhere,
)
from workbench.output import plural
from workbench.pictures.board import board_html
from workbench.pictures.in_words import men_in_words
from workbench.pictures.page import page
from workbench.pictures.strip import frames
from workbench.svg import element, words
from workbench.tell_proof import CLAIM_WORDS

BOARDS_KEPT = 2048
LOST_HERE = " - the first losing decision"
PAIR_STYLE = """
.pairs { display: flex; flex-wrap: wrap; gap: 1em 1.6em; align-items: flex-start } .pairs > div { width: 17em }
.pairs p { margin: 0; font-size: .85em } .matrix th, .matrix td { padding-right: .6em } .sum { border-top: 2px solid }
.matrix thead th { max-width: 7.5em; font-weight: normal; vertical-align: bottom } .said { min-width: 9em }
pre { white-space: pre-wrap; overflow-wrap: anywhere }
"""


@lru_cache(maxsize=4)
def games_by_seat(request: Request) -> dict[str, HousedGame]:
    """The game with its house rules and the machine in each seat that is asked for."""
    ready = made_ready(request)
    return {seat: HousedGame(ready.game, ready.house, PLAYERS.index(seat)) for seat in request.seats}


def heading_of(request: Request) -> str:
    """What is asked of every attempt."""
    ready = made_ready(request)
    seats = "first and second, each in turn" if len(request.seats) > 1 else request.seats[0]
    machine = "" if ready.card is None else f" Machine: {ready.card.title}."
    return (
        f"Machine moves {seats}. Claim {request.claim}: {CLAIM_WORDS[request.claim]}. "
        f"House rules '{ready.house.name}'.{machine}"
    )


def attempt_page(request: Request, rows: Sequence[Row]) -> str:
    """The page of one attempt: rows are its own, one for each seat."""
    games = games_by_seat(request)
    title = f"{rows[0].name}: {made_ready(request).game.title}"
    body = [words("h1", title), words("p", heading_of(request))]
    for row in rows:
        if len(rows) > 1:
            body.append(words("h2", f"Machine moves {row.seat}"))
        body += _in_seat(request, row, games[row.seat])
    return page(title, "\n".join(filter(None, body)), styles=PAIR_STYLE)


def _in_seat(request: Request, row: Row, game: HousedGame) -> list[str]:
    head = [element("p", words("strong", f"{_capital(verdict_in_words(row))}."))]
    if row.seat_is_lost:
        head.append(words("p", "This seat is lost from the start, whatever is played."))
    if not row.is_judged:
        return [*head, words("p", first_fault(row))]
    return [
        *head,
        *_points(request, row),
        *_line(row, game),
        *_mistakes(row, game),
        *_rules(row),
        *_rest(row),
    ]


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


def _points(request: Request, row: Row) -> list[str]:
    counted = "decisions" if made_ready(request).rubric.only_decisions else "positions"
    places = ((f"by the {counted} that it meets", row.met), (f"by all {counted} of the game", row.everywhere))
    rows = [_credit(name, found, request) for name, found in places if found is not None]
    titles = ("points", counted, "answered well", "credit")
    why = why_not_everywhere([row])
    head = [words("td", ""), *(words("th", title, scope="col", class_="figure") for title in titles)]
    table = element("table", [element("tr", head), *rows])
    return [table, words("p", why) if why else ""] if rows else []


def _credit(name: str, found: Positions, request: Request) -> str:
    points = f"{found.points} of {made_ready(request).rubric.points}"
    cells = (points, f"{found.positions:,}", f"{found.well:,}", f"{found.percent} %")
    return element(
        "tr", [words("th", name, scope="row"), *(words("td", cell, class_="figure") for cell in cells)]
    )


def _line(row: Row, game: HousedGame) -> list[str]:
    """The shortest line that shows the fault, as boards, and of a program what it printed."""
    if row.line is None:
        return []
    told = [words("h3", "The shortest line that shows it"), words("p", outcome(row))]
    if row.line.moves:
        decided = row.decision.ply if row.decision is not None else None
        boards = [
            element("li", _board(game, frame.code, frame.move, caption, named=frame.is_named))
            for ply, frame in enumerate(frames(game, game.start, row.line.moves))
            for caption in [f"{frame.caption}{LOST_HERE * (ply == decided)}"]
        ]
        told += [element("ol", boards, class_="strip", start=0), words("p", men_in_words(game))]
    said = first_fault(row, answers=False)
    told.append(words("p", f"The first losing decision is p{said[1:]}" if row.decision else said))
    if row.line.printed:
        told.append(words("pre", "\n".join(row.line.printed)))
    return told


def _mistakes(row: Row, game: HousedGame) -> list[str]:
    if not row.mistakes:
        return []
    figures = [
        mistake_figure(game, each, mistake_in_words(each, "it", answers=False)) for each in row.mistakes
    ]
    return [words("h3", "Mistakes, each with a first board"), element("div", figures, class_="pairs")]


def mistake_figure(game: HousedGame, mistake: Told, said: str) -> str:
    """A board with the machine to move, and below it what is said of the mistake that was made there."""
    board = _board(game, mistake.code, None, "", named=True)
    return element("div", [board, words("p", said)])


@lru_cache(maxsize=BOARDS_KEPT)
def _board(game: HousedGame, code: int, move: int | None, caption: str, *, named: bool = False) -> str:
    """A board as a figure; the attempts of a class meet the same ones again and again."""
    return board_html(game, code, move=move, caption=caption, named=named)


def mistake_in_words(mistake: Told, who: str, *, answers: bool) -> str:
    """What the mistake is, in how many positions, and what was played on its board.

    who: who plays there; answers: whether it is told what would have been better.
    """
    where = plural(mistake.positions, "board" if mistake.kind == "symmetric-case-forgotten" else "position")
    did = "nothing" if mistake.move is None else mistake.move
    by = f" ('{mistake.rule[1]}')" if mistake.rule[0] else ""
    better = f"; {listed(mistake.better)} would be best" if answers and mistake.better else ""
    return f"{_capital(mistake.words)}: {where}. Here {who} plays {did}{by}{better}."


def _rules(row: Row) -> list[str]:
    if not row.unused:
        return []
    items = [words("li", f"line {line}: {text}") for line, text in row.unused]
    return [words("h3", "Rules that never give a move"), element("ul", items)]


def _rest(row: Row) -> list[str]:
    """What is given away without losing, the machine, and wrong input."""
    told = []
    if row.given:
        told += [
            words("h3", "Given away"),
            words("p", f"{_capital(given_in_words(row.given))}."),
        ]
    if row.fit is not None:
        told += [words("h3", "On the machine"), words("p", f"{_capital(fit_in_words(row.fit))}.")]
    if row.wrong_input is not None:
        told.append(words("h3", "Wrong input"))
        items = [words("li", _mishandled(each.keyed, each.kind, each.detail)) for each in row.wrong_input]
        told.append(
            element("ul", items) if items else words("p", "All that was tried is answered as it should be.")
        )
    return told


def _mishandled(keyed: Sequence[str], kind: str, detail: str) -> str:
    typed = ", ".join(key or "Return" for key in keyed)
    return f"{class_in_words(kind)}: {detail}. Keyed in: {typed}."
