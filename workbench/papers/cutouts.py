"""Cut-outs: every stored answer as a card with a board and the machine's move, for learners who act the machine."""

from collections.abc import Sequence

from solver.fixed import PLAIN, TURNED
from workbench.output import plural
from workbench.papers.answers import Pack, pack_of
from workbench.papers.cards import Cards
from workbench.papers.request import Paper, Request
from workbench.papers.sheets import grid_for, grid_of, grid_styles, head_of, no_room, sheet, sheet_styles
from workbench.pictures.in_words import men_in_words

FIND_IT = "Be the machine: find the card that shows the board before you."
TURN_IT = (
    "A card stands for all boards that are alike: turn it, or hold it to the light from behind. It lies so that it "
    "comes first in this order."
)
STRIP = "Cut along the dashed lines, and keep this strip."


def paper(request: Request) -> Paper:
    """The cards of a strategy, as its table alone would store them, on as few sheets as will do.

    Raises BadInput where a board is too large to be read on a sheet.
    """
    pack = _pack(request)
    cards = Cards(request.game, pack)
    found = grid_for(len(pack.answers), cards.contents())
    if found is None:
        raise no_room(request.asked.file)
    grid, content = found
    drawn = [cards.html(number, answer, content) for number, answer in enumerate(pack.answers, 1)]
    sheets = grid.sheets(len(drawn))
    told = _told(request, pack, cards)
    parts = [
        sheet(head_of(request.heading, told, number + 1, sheets), grid_of(those, "cut"))
        for number in range(sheets)
        for those in [drawn[number * grid.places : (number + 1) * grid.places]]
    ]
    styles = sheet_styles(is_lying=grid.is_lying) + grid_styles(grid) + cards.styles(grid, content)
    record = {"answers": len(drawn), "up_to_symmetry": pack.is_turned, "sheets": sheets}
    return Paper(request.heading, "\n".join(parts), styles, record, tuple(_said(pack, sheets)))


def _pack(request: Request) -> Pack:
    """The answers, one for all boards that are alike where the claim is proved for that."""
    play = request.plain if request.wanted.fixed_board else request.play(TURNED, PLAIN)
    is_turned = play.reading == TURNED and play.game.symmetries > 1 and not request.wanted.fixed_board
    return pack_of(play, is_turned=is_turned)


def _told(request: Request, pack: Pack, cards: Cards) -> Sequence[str]:
    """What stands above the cards of every sheet."""
    told = [FIND_IT, cards.rule, men_in_words(request.game), pack.order.rule]
    return [*told, *([TURN_IT] if pack.is_turned else []), STRIP]


def _said(pack: Pack, sheets: int) -> Sequence[str]:
    alike = ", one for all boards that are alike" if pack.is_turned else ", each board by itself"
    return [f"{plural(len(pack.answers), 'answer')}{alike}, on {plural(sheets, 'sheet')} of A4."]
