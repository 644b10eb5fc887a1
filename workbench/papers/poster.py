"""A poster: a strategy's list of pictures on one sheet, with what is proved about it, and how."""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import NamedTuple

from games.game import LineGame, with_lines
from games.problems import bad
from solver.least.pictures import least_pictures
from solver.least.stopped import NotFound
from solver.meanings import FindsPicture
from solver.proof import PROVED
from solver.strategy import OPEN, Rule, Strategy
from workbench.output import plural
from workbench.papers.request import Paper, Request
from workbench.papers.sheets import (
    HEAD,
    Content,
    Grid,
    grid_for,
    grid_of,
    grid_styles,
    millimetres,
    sheet,
    sheet_styles,
)
from workbench.papers.tiles import Tiles
from workbench.svg import element, words

FOOT = Fraction(34)
"""The strip below the pictures."""
LEAST_CELL, MOST_CELL = 6, 24
"""Between how many millimetres a cell may measure."""
NUMBER = 9
"""The millimetres that a picture's number, or a rule in words, is high."""
LANGUAGE = (
    "Fewest means in this language: pictures of the whole board, each cell the machine's, the visitor's, free, or "
    "anything at all, and one to go to."
)


class Bound(NamedTuple):
    """What is known about shorter lists: none is shorter than `least`; one of `found` pictures is known."""

    least: int
    found: int


def paper(request: Request) -> Paper:
    """The list of a strategy, in the order in which it is gone through.

    Raises BadInput for a strategy without pictures, and for one with more than a sheet holds.
    """
    strategy, fair = request.proof.walk.strategy, with_lines(request.game.fair)
    pictures = [rule.meaning for rule in strategy.rules if isinstance(rule.meaning, FindsPicture)]
    if fair is None or not pictures:
        message = (
            "has no pictures; expected a sheet with some (wordtight tighten GAME --least pictures writes one)"
        )
        raise bad(message, request.asked.file)
    tiles = Tiles(fair, request.game.seat)
    grid = _grid(request, len(strategy.rules), tiles)
    drawn = [_tile(tiles, number, rule) for number, rule in enumerate(strategy.rules, 1)]
    bound = _bound(request, fair, len(pictures))
    told = [*_proved(request), *_least(len(pictures), bound)]
    head = words("h1", request.heading) + words(
        "p", " ".join([*_how(strategy.rules, pictures), tiles.legend])
    )
    foot = element("footer", [words("p", sentence) for sentence in told])
    styles = sheet_styles(is_lying=grid.is_lying) + grid_styles(grid) + _styles(grid, tiles)
    record = {
        "rules": len(strategy.rules),
        "pictures": len(pictures),
        "bound": None if bound is None else bound.least,
        "shortest_found": None if bound is None else bound.found,
        "sheets": 1,
    }
    return Paper(request.heading, sheet(head, grid_of(drawn, "tiles") + foot), styles, record, tuple(told))


def _grid(request: Request, count: int, tiles: Tiles) -> Grid:
    """The grid in which all rules are on one sheet, as large as they can be."""
    unit = Fraction(tiles.SIDE)
    content = Content(
        Fraction(tiles.wide),
        Fraction(tiles.high),
        Fraction(0),
        Fraction(NUMBER),
        LEAST_CELL / unit,
        MOST_CELL / unit,
    )
    found = grid_for(count, [content], strips=HEAD + FOOT)
    if found is None or found[0].sheets(count) > 1:
        holds = 0 if found is None else found[0].places
        message = (
            f"has {plural(count, 'rule')}, and a poster holds {holds} such boards; expected a shorter list"
        )
        raise bad(message, request.asked.file)
    return found[0]


def _tile(tiles: Tiles, number: int, rule: Rule) -> str:
    """A rule with its number: a picture, or the words of the sheet."""
    meaning = rule.meaning
    if not isinstance(meaning, FindsPicture):
        return element("div", words("b", f"{number}: {rule.text}"))
    note = " (only as drawn)" if meaning.is_fixed else ""
    title = f"Picture {number}{note}"
    unseen = element("div", tiles.table(meaning.picture, title), class_="unseen")
    return element("div", [words("b", f"{number}{note}"), tiles.svg(meaning.picture, title), unseen])


def _how(rules: Sequence[Rule], pictures: Sequence[FindsPicture]) -> Iterator[str]:
    """How the list is used."""
    what = "picture" if len(rules) == len(pictures) else "of them"
    yield f"Go through the list from 1 on. The first {what} that fits the board says where the machine goes."
    if not all(picture.is_fixed for picture in pictures):
        yield "A picture also fits when it is turned or mirrored."


# What is proved -----------------------------------------------------------------------------------------------


def _proved(request: Request) -> Iterator[str]:
    """That the claim holds, and how that is known."""
    proof = request.proof if request.proof.verdict == PROVED else request.plain.proof
    assert proof is not None
    choice = proof.walk.strategy.choice
    which = "whichever fitting cell it takes" if choice == OPEN else f"with its choices settled '{choice}'"
    yield f"PROVED: whatever the visitor does, {request.claim_in_words}, {which}."
    yield (
        f"Every line of play was gone through: {plural(proof.positions, 'position')} in which the machine moves, "
        f"wrong input included, under the house rules '{proof.house.name}'."
    )


def _bound(request: Request, fair: LineGame, count: int) -> Bound | None:
    """What is known about shorter lists behind the same first rules; None where that is not asked, or has no answer.

    It has one for lists that hold the claim whichever fitting cell is taken, with nothing behind their pictures.
    """
    strategy = request.proof.walk.strategy
    first, last = strategy.rules[:-count], strategy.rules[-count:]
    fixed = {isinstance(rule.meaning, FindsPicture) and rule.meaning.is_fixed for rule in last}
    is_list = len(fixed) == 1 and all(isinstance(rule.meaning, FindsPicture) for rule in last)
    if not request.wanted.time or not is_list or request.proof.verdict != PROVED or strategy.choice != OPEN:
        return None
    before = Strategy("", "", fair, request.game.seat, first, strategy.choice) if first else None
    try:
        least = least_pictures(
            request.game,
            request.proof.claim,
            turned=fixed == {False},
            rules=before,
            seconds=request.wanted.time,
        )
    except NotFound as stopped:
        return Bound(stopped.bound, count)
    return Bound(least.bound, min(count, len(least.pictures)))


def _least(count: int, bound: Bound | None) -> Iterator[str]:
    """Whether a shorter list would do."""
    pictures = plural(count, "picture")
    if bound is None:
        yield f"{pictures}. Whether fewer would do was not looked into."
        return
    if bound.least == count:
        yield f"PROVED LEAST: no list of fewer than {pictures} will do. All shorter ones were gone through."
    elif bound.least == bound.found:
        yield f"{pictures}. The shortest list has {bound.found}; that none is shorter is proved."
    else:
        yield f"FOUND: {pictures}. The shortest list has between {bound.least} and {bound.found}."
    yield LANGUAGE


def _styles(grid: Grid, tiles: Tiles) -> str:
    wide, high = (millimetres(length * grid.scale) for length in (Fraction(tiles.wide), Fraction(tiles.high)))
    return (
        f".tiles svg {{ width: {wide}; height: {high} }}\n"
        f".tiles b {{ font-size: 14pt; line-height: {NUMBER}mm; text-align: center }}\n"
        ".sheet > header p { font-size: 10pt } h1 { font-size: 14pt }\n"
        f"footer {{ height: {millimetres(FOOT)}; border-top: .3mm solid #1d2730; padding-top: 2mm }}\n"
        ".sheet > footer p { font-size: 10pt; margin-bottom: 1mm }\n"
    )
