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
from budget.lowering.answering.weights_anew import Anew, found_anew
from budget.lowering.answering.weights_listed import Boards, found_listed
from budget.lowering.answering.weights_seen import Seen
from budget.lowering.choices import Choices
from budget.lowering.ground import Setting
from budget.lowering.lower import endings_of, leads_to_no_zero, lower
from budget.lowering.text import Astray, Text, WrongWay
from tests.budget.lowering.test_rules import play_of
from tests.budget.second_seat import every_key

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
FEWEST = """take the heaviest cell
  2 for 1, 3
  6 for 5
  -2 for 6
  4 for 7
  5 for 8
  8 for a straight line with 1 of mine
  33 for a straight line with 2 of mine
  3 for a straight line with 1 of the visitor's
  19 for a straight line with 2 of the visitor's
  4 for a diagonal line with 1 of mine
  15 for a diagonal line with 2 of mine
  5 for a diagonal line with 1 of the visitor's
  9 for a diagonal line with 2 of the visitor's"""
"""Its moves are those of a table of five words, with two further lines: 5 and 8 together, and 7 alone."""
BY_HAND_ELSEWHERE = 177
BY_HAND = 104
"""Words of the program that we have written by hand in our own orders."""


@pytest.mark.parametrize(
    ("sheet", "machine", "words", "instructions"),
    [
        pytest.param(WINS_FIRST, "twelve-bit", 107, None, id="wins-first", marks=pytest.mark.long),
        pytest.param(FEWEST, "twelve-bit-orders", 146, 4163, id="fewest-real-orders", marks=pytest.mark.long),
    ],
)
def test_the_words_of_weights(sheet, machine, words, instructions):
    play, card = play_of(sheet, 1), load_machine(machine)
    lowered = lower(play, card, by_rules)
    assert lowered.words.total == words < BY_HAND_ELSEWHERE
    worst = close(lowered.program, Conversation(play, card)).worst.instructions
    assert instructions in (None, worst)


@pytest.fixture(scope="module")
def fewest():
    play, card = play_of(FEWEST, 1), load_machine("twelve-bit")
    return play, card, lower(play, card, by_rules)


def test_fewer_words_than_by_hand(fewest):
    play, card, lowered = fewest
    assert lowered.words == (71, 15, 0, 0, 16)
    assert lowered.words.total == 102 < BY_HAND
    assert close(lowered.program, Conversation(play, card, thorough=False)).worst.instructions == 2600


@pytest.mark.long
def test_every_key_in_every_state(fewest):
    """The judge is that of the program by hand, and knows the rules of the game alone."""
    assert every_key(fewest[2].program) > 100


def test_keys_are_checked_where_a_word_behind_the_board_may_be_0(fewest):
    lowered = fewest[2]
    astray = Astray("board", ord("1"), 9, 64)
    assert leads_to_no_zero(lowered.program, astray)
    assert not leads_to_no_zero(lowered.program, astray._replace(words=8))  # the last cell
    board = lowered.program.labels["board"]
    for address in (board - 1, board - 49, board + 9, board + 14):
        image = {**lowered.program.image, address: 0}
        assert not leads_to_no_zero(lowered.program._replace(image=image), astray)


# Other weights for the same moves -----------------------------------------------------------------------------


def heaviest(boards, anew, mine, visitors):
    """The first of the heaviest cells, and its weight: every line through every cell added up one by one."""
    weights = {}
    for cell in range(boards.cells):
        if not (mine | visitors) >> cell & 1:
            weights[cell] = 0
            for number, line in enumerate((*boards.lines, *anew.further)):
                if line >> cell & 1:
                    count = anew.laid.machine * (line & mine).bit_count()
                    count += anew.laid.visitor * (line & visitors).bit_count()
                    weights[cell] += anew.laid.table[anew.laid.begins[number in anew.second] + count]
    best = max(weights.values())
    return min(cell for cell, weight in weights.items() if weight == best), best


def seen_of(sheet):
    play, card = play_of(sheet, 1), load_machine("twelve-bit")
    (asked,) = asked_in(play, play.proof.walk.strategy)
    return Seen(Setting(Text(card), Choices(), play, endings_of(play)), asked, asked.meaning.weights)


@pytest.fixture
def seen():
    return seen_of(WINS_FIRST)


def listed_anew(boards):
    listed = found_listed(boards)
    return listed and Anew(listed.laid, further=listed.further)


@pytest.mark.parametrize(
    ("sheet", "find", "words"),
    [
        pytest.param(WINS_FIRST, found_anew, 10, id="told-by-a-bit"),
        pytest.param(FEWEST, listed_anew, 5, id="further-lines"),
    ],
)
def test_other_weights_take_the_same_cells_and_tell_wins(sheet, find, words):
    seen = seen_of(sheet)
    boards = seen.boards(are_wins_told=True)
    anew = find(boards)
    assert len(anew.laid.table) == words
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
    double = Boards(4, lines, (0, 0), (0, 0), (0, 1), ())
    for find in (found_anew, listed_anew):
        anew = find(boards)
        for mine, visitors, move in zip(boards.mine, boards.visitors, boards.moves, strict=True):
            assert anew is None or heaviest(boards, anew, mine, visitors)[0] == move
        assert find(double) is None
