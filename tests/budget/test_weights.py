"""Score weights: read back by a slow obvious scorer, refused where there are none, and followed by programs."""

from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from budget.card import load_machine
from budget.encodings import encodings, verify
from budget.forms import Form, built
from budget.packed import NotApplicable
from budget.scoring import Refuted, Wanted, small_weights
from games.house import load_house_rules
from games.load import load_game
from solver.best import prove_best
from solver.fixed import PLAIN, TURNED, fix, fixed_plays
from solver.proof import prove
from solver.sheet.reader import SheetReader
from solver.solve import solve
from solver.strategy import OPEN, Strategy

WEIGHTS = encodings()["weights"]
SHEET = """take the heaviest cell
    3 for the centre
    2 for a corner
    1 for an edge
    8 for a line with 2 of mine
    6 for a line with 2 of the visitor's
    1 for a line with 1 of mine"""
DIAGONAL = """take the heaviest cell
    2 for a straight line with 1 of the visitor's
    5 for a diagonal line with 1 of the visitor's
    4 for a diagonal line with 1 of mine"""


@cache
def weighed(name, seat, rules, reading):
    """The play of a sheet, and its house rules."""
    game = load_game(name)
    strategy = Strategy("sheet", "", game, seat, SheetReader("", rules.split("\n"), game).read(0), OPEN)
    proof = prove(strategy, "never-loses", load_house_rules("usual", game))
    return next(play for play in fixed_plays(proof) if play.reading == reading)


@cache
def best(seat, reading):
    game = load_game("noughts-and-crosses")
    return fix(
        prove_best(solve(game).solved, seat, reading, load_house_rules("usual", game)),
        reading,
    )


def obvious_move(game, code, seat, cells, contents, apart):
    """Score the free cells of one board one after the other."""
    first, second = (int(held[0]) for held in game.holdings(np.array([code], dtype=np.uint64)))
    mine, visitors = (first, second) if seat == 0 else (second, first)
    scores = {}
    for cell in range(game.board.size):
        if (mine | visitors) >> cell & 1:
            continue
        scores[cell] = cells[cell]
        for line in game.lines:
            if line >> cell & 1:
                long = line.bit_count()
                place = (mine & line).bit_count() + (long + 1) * (visitors & line).bit_count()
                held = [c for c in range(9) if line >> c & 1]
                is_diagonal = apart and len({c % 3 for c in held}) > 1 and len({c // 3 for c in held}) > 1
                scores[cell] += contents[place + is_diagonal * (len(contents) // 2)]
    return max(scores, key=lambda cell: (scores[cell], -cell))


@pytest.mark.parametrize("rules", [SHEET, DIAGONAL])
def test_weights_say_the_stored_move_on_every_board(rules):
    play = weighed("noughts-and-crosses", 1, rules, PLAIN)
    table = WEIGHTS.lay_out(play)
    [layout] = table.layouts
    cells, contents = (column.values.tolist() for column in layout.columns)
    apart = layout.constants["kinds"] == 2
    assert apart == (rules == DIAGONAL)
    game = play.game.fair
    for code, move in zip(play.codes.tolist(), play.moves.tolist(), strict=True):
        assert obvious_move(game, code, 1, cells, contents, apart) == move
    for word_bits in (8, 12, 39):
        verify(play, table.pack(word_bits))


def test_best_play_of_the_first_seat_takes_36_bits():
    table = WEIGHTS.lay_out(best(0, TURNED))
    assert table.layouts[0].shape.bits == 36
    verify(best(0, TURNED), table.pack(12))


def test_plays_without_weights_are_refused_with_the_reason():
    with pytest.raises(NotApplicable, match=r"^no weights give these moves$"):
        WEIGHTS.lay_out(best(1, PLAIN))
    game = load_game("pong-hau-ki")
    house = load_house_rules("usual", game)
    with pytest.raises(NotApplicable, match="a game of marks and lines"):
        WEIGHTS.lay_out(fix(prove_best(solve(game).solved, 0, PLAIN, house), PLAIN))


def test_small_weights_are_the_smallest_of_all():
    luck = np.random.default_rng(1)
    found = 0
    for _ in range(20):
        matrix = luck.integers(-2, 3, size=(5, 3))
        matrix[:, 1] = -matrix[:, 0]  # a move against a cell: all cells may weigh more alike
        wanted = Wanted(matrix, luck.integers(0, 2, size=5), 2)
        every = [
            np.array([a, b, c])
            for a in range(7)
            for b in range(7)
            for c in range(7)
            if wanted.holds(np.array([a, b, c]))
        ]
        try:
            weights = small_weights(wanted, np.zeros((0, 3), dtype=np.int64))
        except Refuted:
            assert not every
            continue
        if (weights < 0).any():
            continue  # nothing may be changed here to bring them to 0 or above
        found += 1
        assert wanted.holds(weights)
        assert any((weights == each).all() for each in every)

        def cost(each):
            return 2 * each[:2].max() + each[2], each.sum()

        assert cost(weights) == min(map(cost, every))
    assert found > 2


@pytest.mark.parametrize(
    ("name", "seat", "rules", "reading"),
    [
        ("noughts-and-crosses", 1, SHEET, PLAIN),
        ("two-by-two", 1, "take the heaviest cell\n    1 for a1", PLAIN),
    ],
)
def test_a_program_scores_as_the_play_does_in_every_state(name, seat, rules, reading):
    play = weighed(name, seat, rules, reading)
    found = built(Form("weights", "", play), load_machine("twelve-bit"))
    assert found.fits, found.reason
    assert found.closed is not None


@pytest.mark.long
@pytest.mark.parametrize("machine", ["delay-line", "transistor-39", "home-1k", "twelve-bit"])
@pytest.mark.parametrize("rules", [SHEET, DIAGONAL])
def test_programs_on_every_kind_of_machine(rules, machine):
    for reading in (PLAIN, TURNED):
        found = built(
            Form("weights", "", weighed("noughts-and-crosses", 1, rules, reading)), load_machine(machine)
        )
        assert found.words is not None, found.reason
        assert found.closed is not None or not found.fits


@given(st.lists(st.integers(0, 4095), max_size=8))
def test_any_words_at_all_are_read_or_refused(words):
    """Whatever stands in the store, a free cell is taken, or it is said that the words cannot be read."""
    play = weighed("noughts-and-crosses", 1, SHEET, PLAIN)
    packed = WEIGHTS.lay_out(play).pack(12)
    wrong = packed._replace(words=tuple(words))
    try:
        verify(play, wrong)
    except RuntimeError:
        assert wrong.words != packed.words


def test_another_play_is_found():
    play = weighed("noughts-and-crosses", 1, SHEET, PLAIN)
    packed = WEIGHTS.lay_out(weighed("noughts-and-crosses", 1, DIAGONAL, PLAIN)).pack(12)
    with pytest.raises(RuntimeError, match="differs on"):
        verify(play, packed)
