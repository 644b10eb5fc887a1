"""Heaps, pins and strips against the naive model: any sizes, any octal code, with lost turns and without."""

import re
from typing import NamedTuple

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from games.game import inverse_symmetries, least_images
from games.house import parse_house_rules
from games.housed import HousedGame
from games.interchange import MOST_SYMMETRIES, interchanges
from games.load import parse_game
from games.problems import BadInput
from solver import grundy
from solver.graph import explore
from solver.solve import solve
from solver.values import best_play
from tests import naive_take

RESULTS = {"first": 1, "second": 2, None: 0}
FIRST, SECOND = 0, 1


class Twins(NamedTuple):
    """The same game twice: as the rooms read it, and as the naive model has it."""

    game: object
    naive: object


def written(**keys):
    """A game read from a file with these keys."""
    lines = ['kind = "game"', 'family = "take"']
    for key, value in keys.items():
        text = str(value).lower() if isinstance(value, bool) else str(value).replace("'", '"')
        lines.append(f"{key.replace('_', '-')} = " + (f'"{value}"' if isinstance(value, str) else text))
    return parse_game("\n".join(lines), "drawn.toml")


def heaps(sizes, octal=None, misere=False):
    code = {} if octal is None else {"octal": octal}
    return Twins(
        written(play="heaps", heaps=list(sizes), misere=misere, **code),
        naive_take.Heaps(sizes, octal, misere),
    )


def pins(rows, octal, misere=False):
    return Twins(
        written(play="pins", rows=list(rows), octal=octal, misere=misere),
        naive_take.Pins(rows, octal, misere),
    )


def strips(rows, forward_only=False, misere=False):
    return Twins(
        written(play="northcott", strips=list(rows), forward_only=forward_only, misere=misere),
        naive_take.Strips(rows, forward_only, misere),
    )


@st.composite
def octal_codes(draw, digits):
    """A code that lets something be taken from the smallest heap or row, so that the start is not over."""
    first = draw(st.sampled_from([digit for digit in digits if digit in "37"]))
    return "0." + first + "".join(draw(st.lists(st.sampled_from(digits), max_size=3)))


@st.composite
def heap_games(draw):
    sizes = draw(st.lists(st.integers(1, 4), min_size=1, max_size=3))
    code = draw(st.none() | octal_codes("0123"))
    return heaps(sizes, code, draw(st.booleans()))


@st.composite
def pin_games(draw):
    rows = draw(st.lists(st.integers(1, 4), min_size=1, max_size=3).filter(lambda rows: sum(rows) <= 8))
    return pins(rows, draw(octal_codes("01234567")), draw(st.booleans()))


def words_of_strips(columns):
    places = [(a, b) for a in range(columns) for b in range(columns) if a != b]
    return ["".join({a: "F", b: "S"}.get(c, "_") for c in range(columns)) for a, b in places]


@st.composite
def strip_games(draw, columns=5, most=2):
    wide = draw(st.integers(3, columns))
    rows = draw(st.lists(st.sampled_from(words_of_strips(wide)), min_size=1, max_size=most))
    forward_only = draw(st.booleans())
    model = naive_take.Strips(rows, forward_only)
    if not naive_take.moves(model, model.start, FIRST):
        rows[0] = "F" + "_" * (wide - 2) + "S"
    return strips(rows, forward_only, draw(st.booleans()))


games = heap_games() | pin_games() | strip_games()


def as_naive(pair, codes):
    """The positions as boards of the naive model would write them, with whose turn it is."""
    return list(zip(pair.game.texts(codes, FIRST), pair.game.mover(codes).tolist(), strict=True))


def check_graph(pair, game, visitor=None, costly=()):
    """Every position, move, ending and refusal of a game is what the naive model says."""
    model = pair.naive
    found = naive_take.reached(model, visitor, costly)
    boards = {(model.text(board), turn): (board, turn) for board, turn in found}
    graph = explore(game)
    positions = as_naive(pair, graph.codes)
    assert len(boards) == len(found)
    assert sorted(positions) == sorted(boards)
    names = game.move_names
    for place, position in enumerate(positions):
        board, turn = boards[position]
        assert graph.mover[place] == turn
        assert graph.ending[place] == RESULTS[naive_take.result(model, board, turn)]
        after = {names[graph.move[e]]: positions[graph.child[e]] for e in graph.edges_of(place)}
        assert after == {name: (model.text(b), t) for name, (b, t) in found[board, turn].items()}
    return graph, [boards[position] for position in positions]


@given(games)
def test_positions_moves_and_endings_are_the_naive_ones(pair):
    game, model = pair
    assert list(game.move_names) == model.names
    graph, boards = check_graph(pair, game)
    every = np.arange(len(model.names), dtype=np.uint16)
    for code, (board, turn) in zip(graph.codes, boards, strict=True):
        reasons = game.why_not(np.full(len(every), code, dtype=np.uint64), every)
        said = [None if not reason else game.refusals[reason - 1] for reason in reasons]
        assert said == [model.refusal(board, turn, name) for name in model.names]


@given(games, st.data())
def test_a_lost_turn_is_one_more_move_where_some_input_falls_into_its_class(pair, data):
    classes = [c for c in pair.game.refusals if not c.startswith("taken-by-")] + [
        "off-board",
        "not-understood",
    ]
    costly = data.draw(st.lists(st.sampled_from(classes), min_size=1, max_size=2, unique=True))
    seat = data.draw(st.sampled_from([FIRST, SECOND]))
    text = f'kind = "house-rules"\n[[rule]]\nwhen = {costly}\nsay = "NO"\ncost = "turn"\n'.replace("'", '"')
    house = parse_house_rules(text, "drawn.toml", pair.game)
    check_graph(pair, HousedGame(pair.game, house, seat), 1 - seat, costly)


@given(games)
def test_texts_name_positions_and_are_read_back(pair):
    game = pair.game
    codes = explore(game).codes
    for seat in (FIRST, SECOND):
        texts = game.texts(codes, seat)
        movers = game.mover(codes).tolist()
        assert len(set(zip(texts, movers, strict=True))) == len(codes)
        read = [game.read(text, seat, mover) for text, mover in zip(texts, movers, strict=True)]
        assert read == codes.tolist()


@given(games)
def test_symmetries_are_a_group_that_keeps_start_moves_endings_and_turns(pair):
    game = pair.game
    every = np.arange(len(game.move_names), dtype=np.uint16)
    images = [tuple(game.turned_move(symmetry, every).tolist()) for symmetry in range(game.symmetries)]
    assert images[0] == tuple(every.tolist())
    assert len(set(images)) == len(images)
    assert {tuple(second[move] for move in first) for first in images for second in images} == set(images)
    for symmetry, back in enumerate(inverse_symmetries(game)):
        assert [images[back][move] for move in images[symmetry]] == every.tolist()
    codes = explore(game).codes
    codes = codes[:: 1 + len(codes) // 60]
    for symmetry in range(game.symmetries):
        assert int(game.turned(symmetry, np.array([game.start], dtype=np.uint64))[0]) == game.start
        check_turned(game, symmetry, codes, every)


def check_turned(game, symmetry, codes, every):
    image = game.turned(symmetry, codes)
    assert len(set(image.tolist())) == len(codes)
    assert game.mover(image).tolist() == game.mover(codes).tolist()
    assert game.ending(image).tolist() == game.ending(codes).tolist()
    before, after = (game.moves(part[game.ending(codes) == 0]) for part in (codes, image))
    turned = before.parent, game.turned_move(symmetry, before.move), game.turned(symmetry, before.child)
    assert triples(*turned) == triples(*after)
    for code, turned_code in zip(codes, image, strict=True):
        of_each = [np.full(len(every), each, dtype=np.uint64) for each in (code, turned_code)]
        reasons = game.why_not(of_each[0], every)
        assert reasons.tolist() == game.why_not(of_each[1], game.turned_move(symmetry, every)).tolist()


def triples(*columns):
    return set(zip(*(column.tolist() for column in columns), strict=True))


@given(games)
def test_many_positions_at_once_are_the_same_as_one_by_one(pair):
    game = pair.game
    codes = explore(game).codes
    open_ = codes[game.ending(codes) == 0]
    together = game.moves(open_)
    one_by_one = set()
    for place in range(len(open_)):
        alone = game.moves(open_[place : place + 1])
        one_by_one |= {(place, move, child) for _, move, child in triples(*alone)}
    assert triples(*together) == one_by_one
    assert len(together.parent) == len(one_by_one)
    least, by = least_images(game, codes)
    assert [int(game.turned(int(s), codes[p : p + 1])[0]) for p, s in enumerate(by)] == least.tolist()


@pytest.mark.parametrize(
    ("pair", "symmetries"),
    [
        (heaps([3, 4, 5]), 1),
        (heaps([3, 3, 5]), 2),
        (heaps([2, 2, 2]), 6),
        (heaps([1, 2, 1, 2]), 4),
        (heaps([1] * 5), 120),
        (pins([10], "0.77"), 2),
        (pins([1], "0.7"), 1),
        (pins([3, 3], "0.7"), 8),
        (pins([3, 1, 1], "0.7"), 4),
        (pins([2, 2, 2], "0.77"), 48),
        (strips(["F__S", "F__S"]), 2),
        (strips(["F_S_", "_S_F"]), 2),
        (strips(["F_S_", "_F_S"]), 1),
        (strips(["F_S_", "S_F_"]), 1),
    ],
)
def test_the_symmetries_are_all_that_equal_heaps_rows_and_strips_allow(pair, symmetries):
    assert pair.game.symmetries == symmetries


def test_many_equal_things_change_places_only_in_smaller_groups():
    for count in range(1, 27):
        found = interchanges(["alike"] * count)
        assert len(found) <= MOST_SYMMETRIES
        assert found[0] == tuple(range(count))
        assert all(sorted(goes) == list(range(count)) for goes in found)
        assert {tuple(b[a] for a in first) for first in found for b in found} == set(found)
    assert len(interchanges("aaabba")) == 24 * 2
    assert heaps([1] * 7).game.symmetries == 6 * 24


def test_it_matters_who_begins_only_where_the_two_sides_do_not_look_alike():
    assert heaps([3, 4]).game.other_start is None
    assert strips(["F__S"]).game.other_start is None
    assert strips(["F_S_", "_F_S"]).game.other_start is None
    uneven = strips(["F_S_"]).game
    assert uneven.other_start == uneven.start | 1 << 63


# Values ---------------------------------------------------------------------------------------------------


def mover_wins(graph):
    value = best_play(graph).value
    assert set(value.tolist()) <= {1, 2}
    return (value - 1 == graph.mover).tolist()


@given(heap_games() | pin_games())
def test_values_are_those_of_trying_every_move(pair):
    graph, boards = check_graph(pair, pair.game)
    assert mover_wins(graph) == [naive_take.wins(pair.naive, board) for board, _ in boards]


@given(heap_games() | pin_games())
def test_grundy_values_of_sums_are_those_of_the_game_graph_and_tell_who_wins(pair):
    game = pair.game
    longest = max(pair.naive.parts(pair.naive.start))
    graph = explore(game)
    of_size = grundy.of_rows(game.octal, longest)
    of_sums = grundy.of_sums(game.parts(graph.codes), of_size)
    assert of_sums.tolist() == grundy.of_positions(graph).tolist()
    if not game.misere:
        assert mover_wins(graph) == (of_sums != 0).tolist()


@given(heap_games() | pin_games())
def test_parts_are_the_heaps_and_what_stands_side_by_side(pair):
    _, boards = check_graph(pair, pair.game)
    codes = explore(pair.game).codes
    found = [[size for size in sizes if size] for sizes in pair.game.parts(codes).tolist()]
    assert found == [pair.naive.parts(board) for board, _ in boards]


@given(octal_codes("01234567"), st.integers(0, 30))
def test_grundy_values_of_rows_are_the_naive_ones(code, longest):
    game = written(play="pins", rows=[max(1, longest)], octal=code)
    values = grundy.of_rows(game.octal, longest).tolist()
    assert values == naive_take.grundy_of_rows(code, longest)


@given(st.lists(st.lists(st.integers(0, 9), max_size=6), min_size=1, max_size=5))
def test_mex_is_the_least_number_that_is_missing(values):
    pairs = [(owner, value) for owner, each in enumerate(values) for value in each][::-1]
    owners, numbers = (np.array([pair[side] for pair in pairs], dtype=np.intp) for side in (0, 1))
    found = grundy.mex(owners, numbers, len(values))
    assert found.tolist() == [naive_take.least_missing(each) for each in values]


def test_positions_that_can_come_back_have_no_grundy_values():
    with pytest.raises(ValueError, match="come back"):
        grundy.of_positions(explore(strips(["F__S"]).game))


@settings(max_examples=15)
@given(strip_games())
def test_northcott_is_nim_of_the_gaps_whether_or_not_men_may_go_back(pair):
    """Who is winning follows each step back; so play comes to an end all the same (Winning Ways, from memory)."""
    game, model = strips(pair.naive.start, pair.naive.forward_only)
    graph, boards = check_graph(Twins(game, model), game)
    assert mover_wins(graph) == [naive_take.exclusive_or(model.gaps(board)) != 0 for board, _ in boards]


def test_northcott_can_go_on_for_ever_only_where_men_may_go_back():
    for forward_only in (False, True):
        game = strips(["F___S"], forward_only).game
        solution = solve(game)
        assert game.can_repeat == (not forward_only)
        assert (solution.counts().lines is None) == (not forward_only)


# House rules in which having to move hurts ----------------------------------------------------------------

LOST_TURN = 'kind = "house-rules"\n[[rule]]\nwhen = ["off-board"]\nsay = "TURN LOST"\ncost = "turn"\n'


@pytest.mark.parametrize(
    "pair",
    [
        heaps([1, 2, 3]),
        heaps([20], "0.333"),
        heaps([2, 2], misere=True),
        pins([4, 4], "0.77"),
        pins([5], "0.07"),
        strips(["F__S", "F__S"]),
        strips(["F__S", "F__S"], forward_only=True),
    ],
)
def test_a_lost_turn_gives_the_visitor_a_game_that_fair_play_would_lose(pair):
    game = pair.game
    house = parse_house_rules(LOST_TURN, "turn.toml", game)
    solution = solve(game, house, SECOND)
    assert (solution.fair_value, solution.value) == ("second", "first")
    assert solution.gives_game_away
    after_losing_the_turn = solution.solved.look_up(np.array([game.start | 1 << 63], dtype=np.uint64))
    assert after_losing_the_turn.value[0] == RESULTS["first"]


# What people see ------------------------------------------------------------------------------------------


def drawn(game, text, moved=None, seat=FIRST, named=False):
    last = None if moved is None else game.move_names.index(moved)
    return game.drawing(game.read(text, seat, FIRST), seat, last, named=named)


def test_heaps_are_drawn_with_what_was_taken_last_and_what_may_be_taken():
    game = heaps([3, 10, 5]).game
    assert drawn(game, "3-9-5", "b1") == ["a   3  ooo", "b  (9) ooooooooo.", "c   5  ooooo"]
    assert drawn(game, "2-0-5", named=True) == [
        "a   2  oo      a1 a2",
        "b   0",
        "c   5  ooooo   c1 c2 ... c5",
    ]
    assert drawn(heaps([21], "0.333").game, "19", "2") == ["(19) ooooooooooooooooooo.."]
    assert drawn(heaps([300, 2]).game, "300-1", "b1", named=True) == [
        "a  300    a1 a2 ... a300",
        "b   (1)   b1",
    ]


def test_pins_are_drawn_with_those_taken_last_and_the_numbers_of_those_that_stand():
    game = pins([6], "0.77").game
    assert drawn(game, "||..||", "3-4") == [" |  | (.)(.) |  |"]
    assert drawn(game, "||..||", named=True) == [" |  |  .  .  |  |", " 1  2        5  6"]
    game = pins([3, 2], "0.77").game
    assert drawn(game, "|.|/.|", "b1") == ["a  |  .  |", "b (.) |"]
    assert drawn(game, "|.|/.|", named=True) == ["a  |  .  |", "   1     3", "b  .  |", "      2"]


def test_every_drawing_fits_a_screen():
    for game in (pins([58], "0.77").game, heaps([255] * 7).game, strips(["F" + "_" * 14 + "S"] * 4).game):
        assert max(len(line) for line in game.drawing(game.start, FIRST, named=True)) <= 80
        assert all(line.isascii() for line in game.drawing(game.start, FIRST, named=True))


def test_strips_are_drawn_from_the_machine_s_seat():
    game = strips(["F__S", "S_F_"]).game
    assert game.texts(np.array([game.start], dtype=np.uint64), SECOND) == ["V__M/M_V_"]
    assert drawn(game, "VM__/M_V_", "b1", seat=SECOND) == [" V (M) _  _ ", " M  _  V  _ "]


@pytest.mark.parametrize(
    ("pair", "text", "said"),
    [
        (heaps([3, 4, 5]), "3-4", "expected the sizes of 3 heaps, such as 3-4-5, not '3-4'"),
        (heaps([3, 4, 5]), "3-4-x", "expected the sizes of 3 heaps"),
        (heaps([3, 4, 5]), "3-5-5", "'3-5-5' has 5 in a heap that began with 4; expected no more"),
        (heaps([21]), "M__", "expected the size of the heap, such as 21, not 'M__'"),
        (heaps([21]), "9" * 5000, "expected no more"),
        (heaps([21]), "\u0663", "expected the size of the heap"),
        (
            pins([3, 2], "0.77"),
            "||||",
            "expected pins such as |||/||, with . for each that is gone, not '||||'",
        ),
        (pins([3, 2], "0.77"), "|||/|x", "expected pins such as"),
        (pins([3], "0.77"), "|/|", "expected pins such as"),
        (strips(["F__S"]), "MV_V", "strip 1 of this position has not one man of either side"),
        (strips(["F__S"]), "M___", "strip 1 of this position has not one man of either side"),
        (strips(["F__S", "F__S"]), "M__V/V__M", "the men on strip 2 have jumped over each other"),
        (strips(["F__S"]), "M_V", "expected 1 rows of 4 signs"),
    ],
)
def test_a_text_that_is_no_position_is_told_so(pair, text, said):
    with pytest.raises(ValueError, match=re.escape(said)):
        pair.game.read(text, FIRST, FIRST)


def test_rules_in_words_are_true_to_the_options():
    def rules(pair):
        return " ".join(pair.game.rules)

    assert "takes any number of counters from one heap" in rules(heaps([3, 4, 5]))
    assert "takes 1, 2 or 3 counters from the heap" in rules(heaps([21], "0.333"))
    assert "takes 2 to 6 counters from the heap" in rules(heaps([21], "0.033333"))
    assert "no move left has lost" in rules(heaps([3]))
    assert "no move left has won" in rules(heaps([3], misere=True))
    assert "Taking 1 is allowed only where that leaves something of the heap." in rules(heaps([3], "0.23"))
    assert "knocks down 1 or 2 pins that stand side by side" in rules(pins([5], "0.77"))
    assert "knocks down 1 pin." in rules(pins([5], "0.7"))
    dawson = rules(pins([9], "0.137"))
    assert "Taking 1 is allowed only where that leaves nothing of its row." in dawson
    assert "Taking 2 is allowed only where that leaves nothing of its row or one row." in dawson
    assert "Taking 3" not in dawson
    assert "towards the other man or away from it" in rules(strips(["F__S"]))
    assert "away" not in rules(strips(["F__S"], forward_only=True))
    assert "never ends" not in rules(strips(["F__S"], forward_only=True))


# Files ----------------------------------------------------------------------------------------------------


def test_a_list_of_numbers_is_an_octal_code_of_threes():
    listed, code = (
        written(play="heaps", heaps=[9], take=[1, 3, 4]),
        written(play="heaps", heaps=[9], octal=".3033"),
    )
    assert listed.octal.digits == code.octal.digits == (3, 0, 3, 3)
    assert listed.move_names == ("1", "2", "3", "4")
    assert listed.refusals == ("not-that-many", "heap-gone", "too-many")
    assert written(play="heaps", heaps=[4, 2], take=[2, 9]).octal.digits == (0, 3)


VALUES = (
    st.integers(-1, 60)
    | st.booleans()
    | st.sampled_from(["heaps", "pins", "northcott", "0.77", "0.3", "F__S", "", "x"])
    | st.lists(st.integers(-1, 70) | st.booleans(), max_size=9)
    | st.lists(st.sampled_from(["F__S", "F_S", "S__F", "FS", "F", "FSS_", "", "f__s"]), max_size=9)
)
KEYS = ("play", "heaps", "take", "rows", "octal", "strips", "forward-only", "misere", "title", "from", "heap")


@settings(max_examples=150)
@given(
    st.dictionaries(st.sampled_from(KEYS), VALUES, max_size=6),
    st.sampled_from(["heaps", "pins", "northcott"]),
)
def test_any_keys_give_a_game_that_can_be_played_or_plain_words(keys, play):
    def toml(value):
        return (
            str(value).lower()
            if isinstance(value, bool)
            else repr(value).replace("True", "true").replace("False", "false")
        )

    text = "\n".join(f"{key} = {toml(value)}" for key, value in {"play": play, **keys}.items())
    try:
        game = parse_game(f'kind = "game"\nfamily = "take"\n{text}\n', "drawn.toml")
    except BadInput:
        return
    start = np.array([game.start], dtype=np.uint64)
    assert game.ending(start)[0] == 0
    assert len(game.moves(start).move) > 0
    assert game.bits <= 58
