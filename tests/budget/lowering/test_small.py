"""The smallest programs of noughts and crosses from the second seat: how many words, and right in every state.

By hand a program for a real 12-bit one-address order code takes 177 words and at worst 340 instructions a reply; in
our own orders one takes 104 (tests/budget/machine/second_seat.orders).
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from budget.card import load_machine
from budget.closing import close
from budget.conversation import Conversation
from budget.lowering.answering.asked import asked_in
from budget.lowering.answering.sheet import by_rules
from budget.lowering.answering.weights_anew import Boards, found_anew
from budget.lowering.answering.weights_seen import Seen
from budget.lowering.choices import Choices
from budget.lowering.ground import Setting
from budget.lowering.lower import endings_of, lower
from budget.lowering.text import Text, WrongWay
from tests.budget.lowering.test_rules import play_of

WINS_FIRST = """take the heaviest cell
  -2 for a straight line with no marks
  -1 for a straight line with 1 of mine
  -1 for a straight line with 1 of the visitor's
  16 for a straight line with 2 of mine
  -2 for a straight line with 1 of mine and 1 of the visitor's
  2 for a straight line with 2 of the visitor's
  1 for a diagonal line with no marks
  -1 for a diagonal line with 1 of mine
  2 for a diagonal line with 1 of the visitor's
  16 for a diagonal line with 2 of mine
  2 for a diagonal line with 2 of the visitor's"""
BY_HAND_ELSEWHERE = 177


@pytest.mark.parametrize(
    ("machine", "words", "instructions"),
    [
        ("twelve-bit", 113, 2310),
        pytest.param("twelve-bit-orders", 153, 3700, marks=pytest.mark.long),
    ],
)
def test_the_words_of_the_weights_that_win_first(machine, words, instructions):
    play, card = play_of(WINS_FIRST, 1), load_machine(machine)
    lowered = lower(play, card, by_rules)
    assert lowered.words.total == words < BY_HAND_ELSEWHERE
    assert close(lowered.program, Conversation(play, card)).worst.instructions == instructions


# Other weights for the same moves -----------------------------------------------------------------------------


def heaviest(boards, anew, mine, visitors):
    """The first of the heaviest cells, and its weight: every line through every cell added up one by one."""
    weights = {}
    for cell in range(boards.cells):
        if not (mine | visitors) >> cell & 1:
            weights[cell] = 0
            for number, line in enumerate(boards.lines):
                if line >> cell & 1:
                    count = anew.laid.machine * (line & mine).bit_count()
                    count += anew.laid.visitor * (line & visitors).bit_count()
                    weights[cell] += anew.laid.table[anew.laid.begins[number in anew.second] + count]
    best = max(weights.values())
    return min(cell for cell, weight in weights.items() if weight == best), best


@pytest.fixture
def seen():
    play, card = play_of(WINS_FIRST, 1), load_machine("twelve-bit")
    (asked,) = asked_in(play, play.proof.walk.strategy)
    return Seen(Setting(Text(card), Choices(), play, endings_of(play)), asked, asked.meaning.weights)


def test_other_weights_take_the_same_cells_and_tell_wins(seen):
    boards = seen.boards(are_wins_told=True)
    anew = found_anew(boards)
    assert len(anew.laid.table) == 10
    won, others = [], []
    for mine, visitors, move, wins in zip(
        boards.mine, boards.visitors, boards.moves, boards.wins, strict=True
    ):
        cell, weight = heaviest(boards, anew, mine, visitors)
        assert cell == move
        (won if wins else others).append(weight)
    assert min(won) > max(others)
    assert min(won + others) >= 0
    seen.weigh_anew(anew)
    assert [sorted(each) for each in seen.by_result()] == [sorted(won), sorted(others)]


@pytest.mark.parametrize("place", [4, 8])
def test_weights_that_take_other_cells_are_refused(seen, place):
    anew = found_anew(seen.boards(are_wins_told=True))
    table = tuple(-20 if number == place else weight for number, weight in enumerate(anew.laid.table))
    with pytest.raises(WrongWay, match="other cells"):
        seen.weigh_anew(anew._replace(laid=anew.laid._replace(table=table)))


@given(st.lists(st.integers(0, 3), min_size=1, max_size=3))
def test_small_boards(moves):
    """On four cells and four lines: what is found takes the moves; nothing is, where one board has two moves."""
    lines = (0b0011, 0b1100, 0b0101, 0b1010)
    marked = [(mine, visitors) for mine, visitors in ((0, 0), (1, 2), (2, 8))]
    asked = [(board, move) for board, move in zip(marked, moves, strict=False) if not sum(board) >> move & 1]
    boards = (
        Boards(4, lines, *zip(*[(*board, move) for board, move in asked], strict=True), ()) if asked else None
    )
    if boards is None:
        return
    anew = found_anew(boards)
    for mine, visitors, move in zip(boards.mine, boards.visitors, boards.moves, strict=True):
        assert anew is None or heaviest(boards, anew, mine, visitors)[0] == move
    double = Boards(4, lines, (0, 0), (0, 0), (0, 1), ())
    assert found_anew(double) is None
