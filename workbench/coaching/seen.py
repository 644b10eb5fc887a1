"""What a rule saw on a board, and why one that stands before it did not apply, in plain sentences."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np

from games.codes import Codes
from games.game import Game, LineGame, least_images, scored, with_lines
from games.problems import listed
from solver import meanings as means
from solver.sheet import lines as look
from solver.sheet.rules import Marked, matches
from solver.sheet.weights import cells_in, heft_of_cells
from solver.strategy import TURNED, Rule, Strategy, View


class Board(NamedTuple):
    """One board of a game of marks and lines as the machine sees it.

    cells: the cells that the rule allows, in the game's order.
    """

    game: LineGame
    marked: Marked
    cells: Sequence[int]

    def name(self, cell: int) -> str:
        """What people call a cell."""
        return self.game.board.names[cell]

    def named(self, cells: Sequence[int], last: str = "and") -> str:
        """Several cells by their names."""
        return listed([self.name(cell) for cell in cells], last)

    def lines_through(self, cell: int, own: Codes, missing: int) -> list[str]:
        """The lines through a cell that lack so many marks of a side, all of them on free cells, by their cells."""
        found = []
        for line in self.game.lines:
            rest = line & ~int(own[0])
            is_open = not rest & ~int(self.marked.free[0])
            if line >> cell & 1 and is_open and rest.bit_count() == missing:
                found.append("-".join(self.name(each) for each in cells_in(line)))
        return found


def what_it_saw(strategy: Strategy, number: int, codes: Codes) -> list[str]:
    """What made a rule of a strategy answer on one board, (1,), a sentence each."""
    rule = strategy.rules[number]
    if isinstance(rule.meaning, means.LooksUp):
        return [_row(rule.meaning)]
    if isinstance(rule.meaning, means.LooksAhead):
        return [_ahead(rule.meaning, strategy.game)]
    game = with_lines(strategy.game)
    assert game is not None
    turned = least_images(game, codes)[0] if strategy.choice == TURNED else codes
    view = View(game, turned, strategy.seat)
    moves = rule.allowed(view).move
    onto = (
        (cell, game.moves_onto(turned, np.array([1 << cell], dtype=np.uint64))[1])
        for cell in range(game.board.size)
    )
    cells = [cell for cell, named in onto if len(named) and named[0] in moves]
    board = Board(game, Marked.of(game, turned, strategy.seat), cells)
    return [
        *_turned_first(board, is_turned=turned[0] != codes[0]),
        *_SAW[type(rule.meaning)](board, rule.meaning),
    ]


def _turned_first(board: Board, *, is_turned: bool) -> list[str]:
    """That the machine turned the board in its mind, so that cells have other names."""
    text = board.game.board.text(int(board.marked.mine[0]), int(board.marked.visitors[0]))
    return (
        [f"It first turns or mirrors the board, to {text}; cells are called as there."] if is_turned else []
    )


def why_not(rule: Rule) -> str:
    """Why a rule had no move, in a few words."""
    if isinstance(rule.meaning, means.FillsALine):
        whose = "the machine's" if rule.meaning.whose == means.MINE else "the visitor's"
        return f"no line of {whose} can be filled with one mark"
    return _WHY_NOT[type(rule.meaning)]


_WHY_NOT: Mapping[type, str] = {
    means.MakesDoubleThreat: "no two lines that need one more mark to threaten meet on a free cell",
    means.StopsDoubleThreat: "the visitor cannot make a double threat, or no way to stop it allows a cell",
    means.AnyOf: "none of its cells can be taken",
    means.FirstOf: "none of its cells can be taken",
    means.OppositeCorner: "the visitor holds no corner whose opposite can be taken",
    means.FindsPicture: "the picture is not on the board",
    means.LooksUp: "the table has no row for this board",
    means.Heaviest: "no cell can be taken",
    means.LooksAhead: "there is no move",
}


def _row(meaning: means.LooksUp) -> str:
    images = ", or for one that is this one turned or mirrored" if meaning.is_turned else ""
    return f"The table has a row for this board{images}."


def _ahead(meaning: means.LooksAhead, game: Game) -> str:
    plies = "one ply" if meaning.plies == 1 else f"{meaning.plies} plies"
    wants = "a win, the nearer the better, before what is not settled by then, and that before a loss"
    if scored(game) is not None:
        wants = "it wants the most points within these"
    return (
        f"It looked {plies} ahead: {wants}. Of moves that look alike it takes the first, and what comes later it "
        "cannot see."
    )


def _fills(board: Board, meaning: means.FillsALine) -> list[str]:
    mine = meaning.whose == means.MINE
    own = board.marked.mine if mine else board.marked.visitors
    does, whose = ("completes", "the machine's") if mine else ("would complete", "the visitor's")
    return [
        f"Cell {board.name(cell)} {does} {whose} line {listed(board.lines_through(cell, own, 1), 'and')}."
        for cell in board.cells
    ]


def _doubles(board: Board, _: means.MakesDoubleThreat) -> list[str]:
    return [
        f"On cell {board.name(cell)} lines of the machine's meet that one more mark makes a threat: "
        f"{listed(board.lines_through(cell, board.marked.mine, 2), 'and')}."
        for cell in board.cells
    ]


_WAY_WORDS = {
    means.OCCUPYING: "such a cell can be taken itself: {}",
    means.ONLY_ONE: "there is only one such cell, and it can be taken: {}",
    means.CLEARING: "after {} there is no such cell any more",
    means.ANY_THREAT: "{} makes a threat of the machine's own",
    means.SAFE_THREAT: "{} makes a threat, and stopping it gives the visitor no two threats",
    means.CLEARING_THREAT: "{} makes a threat, and after it there is no such cell any more",
    means.OCCUPYING_THREAT: "{} is such a cell, and makes a threat too",
}


def _stops(board: Board, meaning: means.StopsDoubleThreat) -> list[str]:
    game, seen = board.game, board.marked
    theirs = cells_in(int(look.double_threat_cells(game.lines, seen.visitors, seen.free)[0]))
    found = [f"The visitor could make a double threat on {board.named(theirs)}."]
    ways = _cells_by_way(board)
    group = next(group for group in meaning.ways if any(set(ways[way]) & set(board.cells) for way in group))
    for way in group:
        cells = [cell for cell in ways[way] if cell in board.cells]
        if cells:
            said = _WAY_WORDS[way].format(board.named(cells, "or"))
            found.append(f"{said[:1].upper()}{said[1:]}.")
    return found


def _cells_by_way(board: Board) -> dict[str, list[int]]:
    """For each way to stop a double threat the cells that it names."""
    game, seen, size = board.game, board.marked, board.game.board.size
    theirs = look.double_threat_cells(game.lines, seen.visitors, seen.free)
    clearing = look.clearing_cells(game.lines, seen.visitors, seen.free, size)
    threats = look.threatening_cells(game.lines, seen.mine, seen.free)
    sets = {
        means.OCCUPYING: theirs,
        means.ONLY_ONE: look.only_one(theirs),
        means.CLEARING: clearing,
        means.ANY_THREAT: threats,
        means.SAFE_THREAT: look.safe_threat_cells(game.lines, seen.mine, seen.visitors, seen.free, size),
        means.CLEARING_THREAT: threats & clearing,
        means.OCCUPYING_THREAT: threats & theirs,
    }
    return {way: cells_in(int(cells[0])) for way, cells in sets.items()}


def _any_of(board: Board, meaning: means.AnyOf) -> list[str]:
    if len(meaning.cells) == board.game.board.size:
        return [f"Cells that can be taken: {board.named(board.cells)}."]
    return [f"Its cells: {board.named(meaning.cells)}. Free of them: {board.named(board.cells)}."]


def _first_of(board: Board, meaning: means.FirstOf) -> list[str]:
    [cell] = board.cells
    before = meaning.cells[: meaning.cells.index(cell)]
    if not before:
        return [f"{board.name(cell)} comes first in its list, and can be taken."]
    are = "is" if len(before) == 1 else "are"
    return [
        f"{board.named(before)} {are} not to be had; {board.name(cell)} is the first in its list that is."
    ]


def _opposite(board: Board, meaning: means.OppositeCorner) -> list[str]:
    across = dict(meaning.pairs)
    return [
        f"The visitor holds the corner {board.name(across[cell])}, and {board.name(cell)} is opposite."
        for cell in board.cells
    ]


def _picture(board: Board, meaning: means.FindsPicture) -> list[str]:
    drawn, *turned = meaning.images(board.game.cell_images)
    as_drawn = bool(matches(drawn, board.marked)[0])
    others = sum(bool(matches(image, board.marked)[0]) for image in turned)
    how = (
        "as it is drawn"
        if as_drawn and not others
        else "turned or mirrored"
        if not as_drawn
        else ("as it is drawn, and turned or mirrored too")
    )
    return [f"The picture is on the board, {how}; its '!' lies on {board.named(board.cells)}."]


def _heaviest(board: Board, meaning: means.Heaviest) -> list[str]:
    [heft] = heft_of_cells(board.game.board.size, meaning.weights, board.marked)
    free = cells_in(int(board.marked.free[0]))
    listed_ = ", ".join(f"{board.name(cell)}: {int(heft[cell])}" for cell in free)
    return [f"What the free cells weigh: {listed_}."]


_SAW: Mapping[type, Callable[[Board, Any], list[str]]] = {
    means.FillsALine: _fills,
    means.MakesDoubleThreat: _doubles,
    means.StopsDoubleThreat: _stops,
    means.AnyOf: _any_of,
    means.FirstOf: _first_of,
    means.OppositeCorner: _opposite,
    means.FindsPicture: _picture,
    means.Heaviest: _heaviest,
}
