"""Boards and moves in words, and as headed tables: what a picture shows, for readers that do not see it."""

import numpy as np

from games.board import Board
from games.codes import PLAYERS, SECOND, UNFINISHED, win_of
from games.game import BoardGame, Game, on_board
from games.housed import HousedGame
from games.wording import moves_in
from workbench.pictures.positions import without_counts
from workbench.svg import element, words


def seat_in(game: Game) -> int:
    """The machine's seat; the second where no house rules say."""
    return game.seat if isinstance(game, HousedGame) else SECOND


def people(game: Game) -> tuple[str, str]:
    """What the first and the second player are called: machine and visitor where there are house rules.

    >>> from games.load import load_game
    >>> people(load_game("two-by-two"))
    ('first player', 'second player')
    """
    if not isinstance(game, HousedGame):
        return f"{PLAYERS[0]} player", f"{PLAYERS[1]} player"
    return ("visitor", "machine") if game.seat == SECOND else ("machine", "visitor")


def men_in_words(game: Game) -> str:
    """Who has which men, where men are drawn: to be said once beside boards."""
    if on_board(without_counts(game)[0]) is None:
        return ""
    first, second = people(game)
    return f"Hollow men are the {first}'s, solid men the {second}'s."


def standing(game: Game, code: int) -> str:
    """How play stands: whose move it is, or how it has ended.

    >>> from games.load import load_game
    >>> game = load_game("two-by-two")
    >>> standing(game, game.start)
    'First player to move.'
    """
    codes = np.array([code], dtype=np.uint64)
    ending = int(game.ending(codes)[0])
    if ending == UNFINISHED:
        return f"{people(game)[int(game.mover(codes)[0])]} to move.".capitalize()
    winners = [player for player in range(len(PLAYERS)) if ending == win_of(player)]
    if not winners:
        return "Play is over."  # a draw, or where moves score only the sum tells
    return f"The {people(game)[winners[0]]} has won."


def last_in_words(game: Game, move: int | None) -> str:
    """The move just made, or the wrong input and what it cost; nothing for none."""
    return "" if move is None else f"Last: {game.move_names[move]}."


def board_in_words(game: Game, code: int, move: int | None = None) -> str:
    """A position, the move that led to it and how play stands, in a few sentences.

    >>> from games.load import load_game
    >>> game = load_game("noughts-and-crosses")
    >>> board_in_words(game, game.read("_VM/___/___", seat=1, mover=0), move=2)
    'First player: 2. Second player: 3. Free: 7 cells. Last: 3. First player to move.'
    """
    parts = [_held_in_words(game, code), last_in_words(game, move), standing(game, code)]
    return " ".join(part for part in parts if part)


def _held_in_words(game: Game, code: int) -> str:
    board_game, first, second = _holdings(game, code)
    if board_game is None:
        return f"Position {game.texts(np.array([code], dtype=np.uint64), seat_in(game))[0]}."
    names, said = board_game.board.names, []
    for who, held in zip(people(game), (first, second), strict=True):
        cells = [name for cell, name in enumerate(names) if held >> cell & 1]
        said.append(f"{who.capitalize()}: {', '.join(cells) or 'none'}.")
    free = len(names) - (first | second).bit_count()
    return " ".join([*said, f"Free: {free} cell{'' if free == 1 else 's'}."])


def _holdings(game: Game, code: int) -> tuple[BoardGame | None, int, int]:
    """The game on cells and the sets of cells held; None where the game has no cells that are held."""
    bare, strip = without_counts(game)
    board_game = on_board(bare)
    if board_game is None:
        return None, 0, 0
    first, second = board_game.holdings(strip(np.array([code], dtype=np.uint64)))
    return board_game, int(first[0]), int(second[0])


# Tables ---------------------------------------------------------------------------------------------------


def board_table(game: Game, code: int, caption: str = "") -> str:
    """A position as an HTML table with headings: cell by cell, or what it is called and what can be played.

    Each cell says in `data-cell` which it is, for scripts.
    """
    board_game, first, second = _holdings(game, code)
    head = words("caption", f"{caption or 'The board'}. {standing(game, code)}")
    rows = (
        _rows_as_typed(game, code) if board_game is None else _rows_of(game, board_game.board, first, second)
    )
    return element("table", [head, *rows])


def _rows_of(game: Game, board: Board, first: int, second: int) -> list[str]:
    """A heading for every column and every row, and in each cell its name and who holds it."""
    columns = [words("th", f"column {column + 1}", scope="col") for column in range(board.columns)]
    rows = [element("tr", [words("td", ""), *columns])]
    holders = [*people(game), "free"]
    for row in range(board.rows):
        cells = [words("th", f"row {row + 1}", scope="row")]
        for column in range(board.columns):
            if not board.has(column, row):
                cells.append(words("td", "no cell"))
                continue
            cell = board.cell(column, row)
            holder = 0 if first >> cell & 1 else 1 if second >> cell & 1 else 2
            cells.append(words("td", f"{board.names[cell]}: {holders[holder]}", data_cell=cell))
        rows.append(element("tr", cells))
    return rows


def _rows_as_typed(game: Game, code: int) -> list[str]:
    position = game.texts(np.array([code], dtype=np.uint64), seat_in(game))[0]
    pairs = [("position", position), ("can be played", ", ".join(moves_in(game, code)) or "nothing")]
    return [element("tr", words("th", name, scope="row") + words("td", text)) for name, text in pairs]
