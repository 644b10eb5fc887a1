"""Cut-outs, read as they are printed: whoever acts the machine with them plays the strategy, and nothing is missing."""

from itertools import product

import numpy as np
import pytest

from games.game import inverse_symmetries
from tests.workbench.papers.boards import has_line, lie, ways_of_lying
from tests.workbench.papers.html_read import men_drawn
from tests.workbench.papers.strategies import SHEETS, asked_for, page_of
from workbench.papers import cutouts
from workbench.papers.answers import pack_of
from workbench.pictures.in_words import board_in_words


def cards_in(page):
    return [cell for grid in page.all(having="cut") for cell in grid.inner]


def drawn_board(card, machine):
    """A card as a row of nine signs before the answer, and the cell of the answer."""
    [svg] = card.all("svg")
    drawn = men_drawn(svg, side=14, rim=3)
    mine, theirs = (drawn.solid, drawn.hollow) if machine == "solid" else (drawn.hollow, drawn.solid)
    [(column, row)] = drawn.ringed
    assert (column, row) in mine
    board = ["_"] * 9
    for sign, cells in (("M", mine - drawn.ringed), ("V", theirs)):
        for x, y in cells:
            board[3 * y + x] = sign
    return "".join(board), 3 * row + column


def test_nobody_beats_who_plays_by_the_drawn_cards():
    """The slow obvious walk: every visitor, and every way to lay a card on the board."""
    paper, page = page_of(cutouts, asked_for("lamp"))
    cards = [drawn_board(card, "solid") for card in cards_in(page)]
    answers = {}
    for board, cell in cards:
        for way in ways_of_lying():
            answers.setdefault(lie(board, way), set()).add(way[cell])
    used, seen, waiting = set(), set(), ["_" * 9]
    while waiting:
        board = waiting.pop()
        if board in seen:
            continue
        seen.add(board)
        for move in (cell for cell in range(9) if board[cell] == "_"):
            met = board[:move] + "V" + board[move + 1 :]
            assert not has_line(met, "V"), "the visitor has won"
            if "_" not in met:
                continue
            used.add(met)
            for answer in answers[met]:
                after = met[:answer] + "M" + met[answer + 1 :]
                if not has_line(after, "M"):
                    waiting.append(after)
    assert all(used & {lie(board, way) for way in ways_of_lying()} for board, _ in cards), (
        "every card is needed"
    )
    assert paper.record["answers"] == len(cards) == 75


def test_cards_stand_in_the_order_that_they_tell():
    _, page = page_of(cutouts, asked_for("lamp"))
    boards = [drawn_board(card, "solid")[0] for card in cards_in(page)]
    assert boards == sorted(boards, key=lambda board: (9 - board.count("_"), board))
    assert all(board == min(lie(board, way) for way in ways_of_lying()) for board in boards)
    captions = [next(card.all("b")).text() for card in cards_in(page)]
    assert captions == [str(number) for number in range(1, len(boards) + 1)]
    [rule] = {next(sheet.all("p")).text() for sheet in page.all("section")}
    assert "in order of how many men stand on them" in rule
    assert "solid men the machine's" in rule


@pytest.mark.parametrize(
    ("name", "fixed_board"), [*((name, False) for name in SHEETS), ("hexapawn", True), ("pins", True)]
)
def test_what_cards_say_in_words_is_an_answer_for_every_board_that_is_met(name, fixed_board):
    what = asked_for(name, fixed_board=fixed_board)
    paper, page = page_of(cutouts, what)
    game = what.game
    told = {}
    for card in cards_in(page):
        board, _, move = next(card.all("desc")).text().removesuffix(".").partition(" The machine plays ")
        told[board] = move
    assert len(told) == paper.record["answers"]
    readings = [play for play in what.plays if play.reading == ("plain" if fixed_board else "turned")]
    back = inverse_symmetries(game.fair)
    found = set()
    [play] = readings
    for code, move in zip(play.codes.tolist(), play.moves.tolist(), strict=True):
        for symmetry in range(1 if fixed_board else game.symmetries):
            image = int(game.fair.turned(symmetry, np.array([code], dtype=np.uint64))[0])
            words = board_in_words(game, image)
            if words in told:
                found.add(words)
                number = np.array([game.move_names.index(told[words])], dtype=np.uint16)
                here = int(game.fair.turned_move(back[symmetry], number)[0])
                after, due = (child_of(game, code, each) for each in (here, move))
                assert alike(game, after, due)
                break
        else:
            pytest.fail("no card for a board that is met")
    assert found == set(told), "every card is needed"


def child_of(game, code, move):
    moves = game.fair.moves(np.array([code], dtype=np.uint64))
    return int(moves.child[moves.move == move][0])


def alike(game, one, other):
    codes = np.array([one], dtype=np.uint64)
    return other in {int(game.fair.turned(each, codes)[0]) for each in range(game.symmetries)}


def test_a_card_that_is_not_turned_names_its_move():
    _, page = page_of(cutouts, asked_for("lamp", fixed_board=True))
    for card in cards_in(page):
        [caption] = card.all("b")
        [told] = card.all("desc")
        assert told.text().endswith(f"The machine plays {caption.text().partition(': ')[2]}.")


def test_a_headed_table_says_what_a_card_shows():
    _, page = page_of(cutouts, asked_for("lamp"))
    signs = {"machine": "M", "visitor": "V", "free": "_"}
    for card in cards_in(page):
        [table] = card.all("table")
        assert [each.text() for each in table.all("th")][:4] == ["column 1", "column 2", "column 3", "row 1"]
        cells = [each.text().split(": ") for each in table.all("td") if each.text()]
        assert [name for name, _ in cells] == list("123456789")
        assert "".join(signs[holder] for _, holder in cells) == drawn_board(card, "solid")[0]


def test_where_the_order_is_one_of_signs_the_written_board_stands_on_the_card():
    what = asked_for("pins")
    _, page = page_of(cutouts, what)
    written = [next(card.all("small")).text() for card in cards_in(page)]
    assert written == sorted(written)
    assert set(written) <= {"".join(each) for each in product(".|", repeat=5)}
    assert "at the first sign that differs, '.', then '|'" in next(page.all("p")).text()
    numbers = [next(card.all("small")).text() for card in cards_in(page_of(cutouts, asked_for("nim"))[1])]
    assert numbers == sorted(numbers, key=lambda text: [int(part) for part in text.split("-")])


def test_a_pack_of_a_play_that_is_settled_plain_has_every_board():
    what = asked_for("lamp", fixed_board=True)
    assert [
        answer.code for answer in sorted(pack_of(what.plain, is_turned=False).answers)
    ] == what.plain.codes.tolist()
