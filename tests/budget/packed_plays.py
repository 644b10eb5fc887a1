"""Plays of small games, packed by every encoding, and the boards and answers to be packed, found the obvious way."""

import numpy as np
from hypothesis import strategies as st

from budget.encodings import encodings
from budget.packed import NotApplicable
from games.codes import FIRST, SECOND
from games.housed import HousedGame
from games.limited import LimitedGame, limited
from solver.fixed import PLAIN, TURNED
from tests.budget.plays import any_move, housed, legal, one, play_of

HOUSES = ("usual", "lost-turn", "three-warnings")
EVERY = sorted(encodings())
SEATS = (FIRST, SECOND)
READINGS = (PLAIN, TURNED)


SEARCHED = ("diagram", "hashed", "pictures", "weights")
"""Encodings of which the best found of many is taken, and which not every game has."""


CERTAIN = tuple(name for name in EVERY if name not in SEARCHED)
STORING = tuple(name for name in EVERY if name != "weights")
"""Those that store boards, and so hold any play of a small game; score weights are in `test_weights`."""


def packed_by(name, play, word_bits):
    return encodings()[name].lay_out(play).pack(word_bits)


def packed_if_any(name, play, word_bits):
    """The table in words; None where a searched encoding has none for a play."""
    try:
        return packed_by(name, play, word_bits)
    except NotApplicable:
        assert name in SEARCHED
        return None


@st.composite
def plays(draw, games=("noughts-and-crosses", "two-by-two", "misere-noughts-and-crosses")):
    game = housed(draw(st.sampled_from(games)), draw(st.sampled_from(HOUSES)), draw(st.sampled_from(SEATS)))
    limit = draw(st.sampled_from([0, 0, 5]))
    if limit:
        game = HousedGame(limited(game.fair, limit), game.house, game.seat)
    return play_of(game, draw(st.sampled_from(READINGS)), any_move(draw(st.integers(0, 2**32))))


KINDS = (
    "noughts-and-crosses",
    "two-by-two",
    "pong-hau-ki",
    "falling-three-4x3",
    "nim-1-2-3",
    "northcott-forward",
)
"""Games whose boards are numbered by cells, and by the game's own code; some loop, some have no cells."""


def decoded(play, packed, codes):
    """What the words say of some boards, by the words, the rules and nothing else."""
    return encodings()[packed.encoding].decode(packed, play.game, codes).tolist()


def obvious_board(game, code):
    """The digits of a board in base 3, cell 0 the lowest: 0 free, 1 the machine's, 2 the visitor's."""
    first, second = (int(held[0]) for held in game.fair.holdings(one(code)))
    mine, visitors = (first, second) if game.seat == FIRST else (second, first)
    return sum((mine >> c & 1) * 3**c + (visitors >> c & 1) * 2 * 3**c for c in range(game.fair.board.size))


def obvious_number(game, code):
    """The number of a board in this game, and how many there are; the highest digit is the ply where it counts."""
    fair = game.fair
    if isinstance(fair, LimitedGame):
        board = code & ((1 << fair.unlimited.bits) - 1 | 1 << 63)
        ply = (code & (1 << 63) - 1) >> fair.unlimited.bits
        number, span = obvious_number(HousedGame(fair.unlimited, game.house, game.seat), board)
        return number + ply * span, span * (fair.limit + 1)
    if hasattr(fair, "holdings") and fair.bits == 2 * fair.board.size:
        return obvious_board(game, code), 3**fair.board.size
    return code & (1 << 63) - 1, 1 << fair.bits


def obvious_answers(play, by_place):
    """Board number to the move, by number or by place among the legal ones, for all boards or the least images."""
    answers = {}
    for code, move in zip(play.codes, play.moves, strict=True):
        if play.reading == TURNED:
            images = [play.game.fair.turned(s, np.array([code])) for s in range(play.game.symmetries)]
            by = min(range(play.game.symmetries), key=lambda s, images=images: (int(images[s][0]), s))
            code, move = images[by][0], play.game.fair.turned_move(by, np.array([move]))[0]  # noqa: PLW2901
        said = legal(play.game, int(code))[0].index(int(move)) if by_place else int(move)
        assert answers.setdefault(obvious_number(play.game, int(code))[0], said) == said
    return answers
