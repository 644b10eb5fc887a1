"""A playbook: the strategy as a book with which an operator finishes a game by hand when the machine has stopped."""

from collections.abc import Iterator, Sequence

from games.codes import DRAW, win_of
from games.game import on_board, scored
from games.housed import HousedGame
from games.problems import bad
from workbench.output import plural
from workbench.papers.branching import Book, NotTogether, Reply, book_of
from workbench.papers.columns import COLUMN_STYLES, Block, Column, column_html, sheets_of
from workbench.papers.request import Paper, Request
from workbench.papers.sheets import HEAD, head_of, millimetres, no_room, sheet, sheet_styles
from workbench.pictures.board import board_svg
from workbench.svg import element

MOST_SHEETS = 100
"""Nobody prints more, or finds anything in it."""
TURN_LOST, GAME_LOST = "--", "!!"
"""What the visitor does, in the book, where wrong input costs the turn or the game."""
COSTS = (
    f"'{TURN_LOST}' is wrong input that costs the turn.",
    f"'{GAME_LOST}' is wrong input that loses the game.",
)
MOST_ALIKE = 4
"""Moves of the visitor's that stand together: more would make the columns too wide."""
ARROW = "\u2192"
PARTS = ("1 Visitor", "2 Machine")
"""What stands above columns: who is to move on their boards."""


def paper(request: Request) -> Paper:
    """The book of a strategy, on as few sheets as will do.

    Raises BadInput where it would be too long for a book.
    """
    book, game = _book(request), request.game
    parts = [list(_section_blocks(game, book)), list(_entry_blocks(game, book))]
    sheets = sheets_of(parts)
    if sheets is None:
        raise no_room(request.asked.file)
    if len(sheets) > MOST_SHEETS:
        message = f"makes a book of {len(sheets):,} sheets; expected a strategy that comes to fewer boards"
        raise bad(message, request.asked.file)
    told = _told(game, book)
    written = [
        _sheet(request, told, columns, number, len(sheets)) for number, columns in enumerate(sheets, 1)
    ]
    record = {"sections": len(book.sections), "entries": len(book.entries), "sheets": len(sheets)}
    boards = f"{plural(len(book.sections), 'board')} on which the visitor is to move"
    said = (
        f"{boards}, {len(book.entries):,} on which the machine is, on {plural(len(sheets), 'sheet')} of A4."
    )
    return Paper(request.heading, "\n".join(written), _styles(), record, (said,))


def _book(request: Request) -> Book:
    """The book of every reading, so that it does not matter which of them a program has played; else of one.

    Only `never-loses` can be held by readings that take turns: the other claims ask for more than not to lose.
    """
    others = [play for play in request.plays if play is not request.plain]
    if others and request.proof.claim == "never-loses" and scored(request.game.fair) is None:
        try:
            return book_of([request.plain, *others])
        except NotTogether:
            pass
    return book_of([request.plain])


# What stands in it --------------------------------------------------------------------------------------------


def _section_blocks(game: HousedGame, book: Book) -> Iterator[Block]:
    for section in book.sections:
        yield _block(book, section.code, str(section.number), items_of(game, section.replies))


def _entry_blocks(game: HousedGame, book: Book) -> Iterator[Block]:
    for entry in book.entries:
        yield _block(book, entry.code, "", items_of(game, [entry.reply]))


def _block(book: Book, code: int, label: str, items: Sequence[str]) -> Block:
    written = book.order.written(code)
    return Block(label, written.rows, written.tail, tuple(items))


def items_of(game: HousedGame, replies: Sequence[Reply]) -> list[str]:
    """Replies as the book has them, what is answered alike together: ``3 4: 7``, an arrow, and where to go on."""
    alike: dict[Reply, list[str]] = {}
    for reply in replies:
        names = alike.setdefault(reply._replace(visitor=None), [])
        if reply.visitor is not None:
            names.append(_called(game, reply.visitor))
    items = []
    for reply, names in alike.items():
        does = " ".join([*(game.move_names[move] for move in reply.machine), _goes_on(game, reply)])
        groups = [names[at : at + MOST_ALIKE] for at in range(0, len(names), MOST_ALIKE)]
        items += [f"{' '.join(group)}: {does}" for group in groups] or [does]
    return items


def _called(game: HousedGame, move: int) -> str:
    """A move of the visitor's by its name, or by a sign where it is wrong input that costs something."""
    return game.move_names[move] if move < game.fair_moves else (TURN_LOST, GAME_LOST)[move - game.fair_moves]


def _goes_on(game: HousedGame, reply: Reply) -> str:
    """Where the book goes on, or how the game has ended."""
    if reply.section is not None:
        return f"{ARROW}{reply.section}"
    if reply.ending == DRAW:
        return "draw" if scored(game) is None else "end"
    return "M wins" if reply.ending == win_of(game.seat) else "V wins"


# How it is used -----------------------------------------------------------------------------------------------


def _told(game: HousedGame, book: Book) -> list[str]:
    """The sentences above every sheet."""
    replies = [reply for section in book.sections for reply in section.replies]
    done = {reply.visitor for reply in replies}
    told = [
        "The machine has stopped: go on by hand.",
        "Columns 1 have the boards on which the visitor is to move, columns 2 those on which the machine is.",
        book.order.rule,
        f"'x: y {ARROW}14' means: when the visitor plays x, play y for the machine and go to board 14 in columns 1.",
    ]
    if any(reply.section is not None and not reply.machine for reply in replies):
        told.append(f"'x: {ARROW}14': the visitor moves again.")
    told += [said for cost, said in enumerate(COSTS, game.fair_moves) if cost in done]
    if on_board(game.fair) is not None:
        told.append("M is the machine's man, V the visitor's, _ a free cell.")
    return told


def _sheet(request: Request, told: Sequence[str], columns: Sequence[Column], number: int, sheets: int) -> str:
    """One sheet of the book: its head, with a board that names the cells, and its columns."""
    start = request.game.start
    board = board_svg(request.game, start, named=True) if on_board(request.game.fair) is not None else ""
    head = element("div", head_of(request.heading, told, number, sheets)) + board
    written = [column_html(PARTS[part], form, blocks) for part, form, blocks in columns]
    return sheet(head, element("div", written, class_="columns"))


def _styles() -> str:
    picture = f"header svg {{ height: {millimetres(HEAD - 3)}; flex: none }}\n"
    return (
        sheet_styles(is_lying=False)
        + COLUMN_STYLES
        + ".sheet > header { display: flex; gap: 4mm }\n"
        + picture
    )
