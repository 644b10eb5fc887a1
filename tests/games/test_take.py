"""Heaps, pins and strips against the naive model: any sizes, any octal code, with lost turns and without."""

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from games.game import inverse_symmetries, least_images
from games.house import parse_house_rules
from games.housed import HousedGame
from games.interchange import MOST_SYMMETRIES, interchanges
from solver.graph import explore
from tests.take_twins import FIRST, SECOND, check_graph, games, heaps, pins, strips


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


@example(heaps([2, 1, 2, 2]))
@example(pins([3, 1, 3], "0.733"))
@example(strips(["F_S_", "_S_F"]))
@example(strips(["S__F", "F__S", "F__S"], forward_only=True))
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
    assert [pins([2] * rows, "0.77").game.symmetries for rows in range(1, 7)] == [2, 8, 48, 64, 128, 128]


def test_it_matters_who_begins_only_where_the_two_sides_do_not_look_alike():
    assert heaps([3, 4]).game.other_start is None
    assert strips(["F__S"]).game.other_start is None
    assert strips(["F_S_", "_F_S"]).game.other_start is None
    uneven = strips(["F_S_"]).game
    assert uneven.other_start == uneven.start | 1 << 63
