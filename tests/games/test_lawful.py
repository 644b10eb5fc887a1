"""Every game that comes with Wordtight keeps the promises of the interface, and each broken promise is found."""

from pathlib import Path

import networkx as nx
import numpy as np
import pytest

from games.codes import TURN, MoveList
from games.groups import why_no_group
from games.load import FAMILIES, catalogue_names, load_game, parse_game
from games.own.file import load_python_game
from games.own.lawful import find_loop, look_over, problems_of
from games.own.reached import reach, spread
from games.own.watched import Watched
from games.tomlfile import parse_toml, read_text
from solver.graph import explore
from tests.solver.toy import Toy

ROOT = Path(__file__).parents[2]
EXAMPLE = (ROOT / "workbench" / "templates" / "python-game.txt").read_text(encoding="utf-8")
FEW = 1_500
"""Positions of each game in the everyday run; the long run looks at as many as `check` does."""


# The games that come with Wordtight -----------------------------------------------------------------------


@pytest.mark.parametrize("name", catalogue_names())
def test_games_of_the_catalogue_keep_their_promises(name):
    assert problems_of(load_game(name), FEW) == []


@pytest.mark.long
@pytest.mark.parametrize("name", catalogue_names())
def test_games_of_the_catalogue_keep_their_promises_in_many_positions(name):
    assert problems_of(load_game(name)) == []


def test_every_family_is_in_the_catalogue():
    files = [ROOT / "games" / "catalogue" / f"{name}.toml" for name in catalogue_names()]
    assert {parse_toml(read_text(file), file.name, "game").text("family") for file in files} == set(FAMILIES)


def test_a_limit_of_plies_keeps_the_promises_too():
    text = (ROOT / "games" / "catalogue" / "pong-hau-ki.toml").read_text(encoding="utf-8")
    game = parse_game(f"{text}\nply-limit = 9\n", "limited.toml")
    assert not game.can_repeat
    assert problems_of(game) == []


@pytest.mark.parametrize("file", ["benchmarks/four_by_four.py", "workbench/templates/python-game.txt"])
def test_games_in_python_that_come_with_wordtight_keep_their_promises(file, tmp_path):
    (tmp_path / "game.py").write_text((ROOT / file).read_text(encoding="utf-8"), encoding="utf-8")
    assert problems_of(load_python_game(tmp_path / "game.py"), FEW) == []


# Mistakes in a family ---------------------------------------------------------------------------------------


class Broken:
    """A game of the catalogue, one of whose functions or constants is another."""

    def __init__(self, game, **others):
        self._game = game
        self._others = others

    def __getattr__(self, name):
        return self._others[name] if name in self._others else getattr(self._game, name)


CROSSES = load_game("noughts-and-crosses")


def changing(codes):
    codes[:1] = 0
    return CROSSES.mover(codes)


def moves_of_one_type(codes):
    return MoveList(*(column.astype(np.int64) for column in CROSSES.moves(codes)))


def moves_without_the_last(codes):
    return MoveList(*(column[:-1] for column in CROSSES.moves(codes)))


def moves_of_none(codes):
    """No moves for the second player on the empty board, where only a lost turn leads."""
    found = CROSSES.moves(codes)
    return MoveList(*(column[codes[found.parent] != TURN] for column in found))


def none_at_all(codes):
    if not len(codes):
        raise ValueError("nothing to do")
    return CROSSES.mover(codes)


def swapped_in_the_middle(symmetry, codes):
    """Symmetry 4 leaves the positions alone in which the first player holds cell 1."""
    image = CROSSES.turned(symmetry, codes)
    return np.where(codes & np.uint64(1), CROSSES.turned(0, codes), image) if symmetry == 4 else image


def exchanging(symmetry, codes):
    """Symmetry 1 takes MV_/___/___ where it should take VM_/___/___, and the other way round."""
    image = CROSSES.turned(symmetry, codes)
    one, other = (CROSSES.turned(symmetry, np.array([code], dtype=np.uint64))[0] for code in (0x401, 0x202))
    if symmetry == 1:
        was_one, was_other = image == one, image == other
        image[was_one], image[was_other] = other, one
    return image


BROKEN = {
    "a start outside": (
        {"start": 1 << 40},
        ["start: 0x10000000000 does not fit into 18 bits and the turn's"],
    ),
    "a start that is over": (
        {"start": 0b111},
        ["start in MMM/___/___ (0x7, first to move): is over already; expected a position with moves"],
    ),
    "a name twice": (
        {"move_names": (*"12345678", "1")},
        ["move_names: a name is given to two moves; expected each once, in capitals or not"],
    ),
    "another type": (
        {"mover": lambda codes: CROSSES.mover(codes).astype(np.int64)},
        ["mover: gives int64 of shape (5478,); expected an array of uint8 of shape (5478,)"],
    ),
    "another shape": (
        {"ending": lambda codes: CROSSES.ending(codes)[:, None]},
        ["ending: gives uint8 of shape (1, 1); expected an array of uint8 of shape (1,)"],
    ),
    "no array": (
        {"ending": lambda codes: CROSSES.ending(codes).tolist()},
        ["ending: gives list; expected an array of uint8 of shape (1,)"],
    ),
    "moves of another type": (
        {"moves": moves_of_one_type},
        ["moves: gives int64 of shape (9,); expected an array of uint16 of shape (9,)"],
    ),
    "moves as two columns": (
        {"moves": lambda codes: CROSSES.moves(codes)[:2]},
        ["moves: expected three arrays: parent, move, child"],
    ),
    "a question that is changed": (
        {"mover": changing},
        ["mover: changes the array that it is given; expected work on a copy"],
    ),
    "a third player": (
        {"mover": lambda codes: CROSSES.mover(codes) + np.uint8(1)},
        ["mover in M__/___/___ (0x8000000000000001, second to move): gives 2; expected 0 to 1"],
    ),
    "texts too few": ({"texts": lambda codes, seat: ["___/___/___"]}, ["texts: expected a list of 40 texts"]),
    "no answer for nothing": (
        {"mover": none_at_all},
        ["mover: stops where it is asked about no position at all: nothing to do"],
    ),
    "a move left out": (
        {"moves": moves_without_the_last},
        [
            (
                "moves in MMV/MMV/VV_ (0x1c81b, first to move): a position without moves that is not over; "
                "expected a move, or an ending"
            )
        ],
    ),
    "reasons without a name": (
        {"why_not": lambda codes, moves: CROSSES.why_not(codes, moves) * np.uint8(2)},
        ["why_not in VM_/___/___ (0x202, first to move): gives 4; expected 0 to 2, a place in refusals"],
    ),
    "a symmetry of moves only": (
        {"turned_move": lambda symmetry, moves: CROSSES.turned_move(symmetry and 8 - symmetry, moves)},
        [
            (
                "turned_move in VM_/___/___ (0x202, first to move): symmetry 1 calls 3 3, which is no move in "
                "the image __V/__M/___ (0x820, first to move)"
            )
        ],
    ),
    "a symmetry of some positions": (
        {"turned": swapped_in_the_middle},
        [
            (
                "turned in MV_/___/___ (0x401, first to move): symmetry 4 turns this and _VM/___/___ (0x404, "
                "first to move) into one; expected two"
            ),
            (
                "turned_move in MV_/___/___ (0x401, first to move): symmetry 4 calls 3 1, which is no move in "
                "the image MV_/___/___ (0x401, first to move)"
            ),
        ],
    ),
    "two positions whose images are exchanged": (
        {"turned": exchanging},
        [
            (
                "turned_move in VM_/___/___ (0x202, first to move): symmetry 1 calls 7 1, but 1 leads to "
                "M_M/__V/___ (0x8000000000004005, second to move) in the image; expected M_V/__M/___ "
                "(0x8000000000000821, second to move)"
            )
        ],
    ),
    "reasons beyond the last": (
        {
            "why_not": lambda codes, moves: (
                CROSSES.why_not(codes, moves) + (CROSSES.why_not(codes, moves) == 2)
            )
        },
        ["why_not in VM_/___/___ (0x202, first to move): gives 3; expected 0 to 2, a place in refusals"],
    ),
    "a move without a name": (
        {"move_names": tuple("12345678")},
        ["moves in ___/___/___ (0x0, first to move): gives move 8; expected 0 to 7, since there are 8 names"],
    ),
    "a child outside, and no texts": (
        {"bits": 2, "texts": none_at_all},
        [
            (
                "moves in 0x0 (first to move): 3 leads to 0x8000000000000004; expected a code in bits 0 to 1, "
                "and 63 for the turn"
            )
        ],
    ),
    "a symmetry left out": (
        {"symmetries": 7},
        ["turned_move: symmetry 1 and then 5 is none of them; expected a group, closed in itself"],
    ),
    "cells of both": (
        {"holdings": lambda codes: (CROSSES.holdings(codes)[0],) * 2},
        ["holdings in VM_/___/___ (0x202, first to move): a cell is held by both; expected one at most"],
    ),
}


@pytest.mark.parametrize("name", BROKEN)
def test_a_mistake_in_a_family_is_found(name):
    others, expected = BROKEN[name]
    problems = [str(problem) for problem in problems_of(Broken(CROSSES, **others))]
    assert problems == [f"noughts-and-crosses: {line}" for line in expected]


def test_a_symmetry_of_a_sample_that_leads_nowhere_is_found():
    game = load_game("four-by-three")
    full = np.uint64((1 << 12) - 1)  # a board full of first marks, which no rule of the game leads to

    def turned(symmetry, codes):
        image = game.turned(symmetry, codes)
        return (
            image
            if symmetry == 0
            else np.where(codes & full == 1, codes & TURN | full << np.uint64(12), image)
        )

    problems = [
        str(problem) for problem in problems_of(Broken(game, turned=turned, ending=ending_of(game)), 300)
    ]
    assert any(
        "turned: symmetry 1 leads to a faulty position: a position without moves" in each for each in problems
    )


def ending_of(game):
    """The endings, but no full board is over."""
    return lambda codes: np.where(
        codes >> np.uint64(12) & np.uint64(4095) == 4095, 0, game.ending(codes)
    ).astype(np.uint8)


def test_symmetries_begin_with_the_identity():
    assert why_no_group([(1, 0), (0, 1)]) == "symmetry 0 changes moves; expected the identity first"
    assert why_no_group([(0, 1), (1, 0)]) == ""


def test_a_faulty_game_after_a_lost_turn_is_found():
    problems = [str(problem) for problem in problems_of(Broken(CROSSES, moves=moves_of_none))]
    place = "moves in ___/___/___ (0x8000000000000000, second to move)"
    said = "after a lost turn, a position without moves that is not over; expected a move, or an ending"
    assert problems == [f"noughts-and-crosses: {place}: {said}"]


def test_what_is_answered_otherwise_alone_is_found_in_every_position():
    game = load_game("two-by-two")
    codes = reach(Watched(game), np.array([game.start], dtype=np.uint64)).codes.tolist()
    for code in (*codes[:3], *codes[-3:]):

        def texts(asked, seat, alone=code):
            return ["ALONE"] if asked.tolist() == [alone] else game.texts(asked, seat)

        place = f"texts in ALONE ({code:#x}, {('first', 'second')[code >> 63]} to move)"
        said = "alone it is answered otherwise than among others; expected the same"
        assert [str(problem) for problem in problems_of(Broken(game, texts=texts))] == [
            f"two-by-two: {place}: {said}"
        ]


def test_moves_that_are_others_alone_are_found():
    game = load_game("two-by-two")
    lone = game.moves(np.array([game.start], dtype=np.uint64)).child[:1]

    def moves(asked):
        found = game.moves(asked)
        return MoveList(*(column[1:] for column in found)) if asked.tolist() == lone.tolist() else found

    place = f"moves in {game.texts(lone, 0)[0]} ({int(lone[0]):#x}, second to move)"
    said = "alone it is answered otherwise than among others; expected the same"
    assert [str(problem) for problem in problems_of(Broken(game, moves=moves))] == [
        f"two-by-two: {place}: {said}"
    ]


def test_a_game_is_not_blamed_twice_for_the_same():
    problems = [str(problem) for problem in problems_of(Broken(CROSSES, texts=lambda codes, seat: []))]
    assert len(problems) == len(set(problems)) > 0


# What is looked at ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["noughts-and-crosses", "pong-hau-ki", "boxes-two-by-two", "hexapawn"])
def test_all_positions_are_looked_at_where_they_are_few(name):
    game = load_game(name)
    starts = np.array(
        sorted({game.start, game.start if game.other_start is None else game.other_start}), np.uint64
    )
    found = reach(Watched(game), starts)
    every = set().union(*(explore(game, start=int(start)).codes.tolist() for start in starts))
    assert found.is_whole
    assert found.codes.tolist() == sorted(every)
    assert np.array_equal(found.is_over, game.ending(found.codes) != 0)
    assert found.in_words() == f"all {len(every):,} positions that can be reached"


def test_a_sample_is_the_first_plies_whole_and_always_the_same():
    graph = explore(CROSSES)
    found = reach(Watched(CROSSES), np.array([0], dtype=np.uint64), most=400)
    assert not found.is_whole
    assert found.plies == 3  # 1 + 9 + 72 + 252 positions
    assert set(graph.codes[graph.ply <= 3].tolist()) <= set(found.codes.tolist()) <= set(graph.codes.tolist())
    by_ply = np.bincount(graph.ply[graph.places(found.codes)])
    assert by_ply.tolist()[:4] == [1, 9, 72, 252]
    assert all(0 < many <= 4 for many in by_ply[4:])
    again = reach(Watched(CROSSES), np.array([0], dtype=np.uint64), most=400)
    assert np.array_equal(found.codes, again.codes)
    assert found.in_words() == (
        f"{len(found.codes):,} of the positions that can be reached: all up to ply 3, then up to 4 a ply"
    )


def test_of_a_game_that_is_too_large_at_once_only_the_start_is_looked_at_whole():
    found = reach(Watched(CROSSES), np.array([0], dtype=np.uint64), most=1)
    assert (found.is_whole, found.plies, found.drawn) == (False, 0, 1)
    assert found.in_words() == (
        f"{len(found.codes):,} of the positions that can be reached: the start, then up to 1 a ply"
    )


def test_a_draw_is_spread_over_the_codes():
    codes = np.arange(10_000, dtype=np.uint64)
    drawn = spread(codes, 1_000)
    assert len(drawn) == 1_000
    assert (np.diff(drawn.astype(np.int64)) > 0).all()
    by_thousand = np.bincount((drawn // np.uint64(1_000)).astype(np.intp), minlength=10)
    assert by_thousand.min() > 60
    assert by_thousand.max() < 140


def test_play_that_goes_on_without_end_is_followed_for_a_while_only():
    endless = [(step % 2, [step + 1]) for step in range(20_000)] + ["draw"]
    game = Toy(endless)
    game.bits = 62
    found = reach(Watched(game), np.array([game.start], dtype=np.uint64))
    assert not found.is_whole
    assert len(found.codes) < 6_000


# Whether positions come back --------------------------------------------------------------------------------

DRAWINGS = {
    "a line": ([(0, [1]), (1, [2]), "first"], False),
    "a fork that meets again": ([(0, [1, 2]), (1, [3]), (1, [3]), (0, [4]), "draw"], False),
    "to oneself": ([(0, [0, 1]), "draw"], True),
    "there and back": ([(0, [1, 2]), (1, [0, 2]), "second"], True),
    "far from the start": ([(0, [1]), (1, [2]), (0, [3, 4]), (1, [2]), "draw"], True),
    "a tail behind the loop": ([(0, [1]), (1, [2, 3]), (0, [1]), (0, [4]), "draw"], True),
}


@pytest.mark.parametrize("name", DRAWINGS)
def test_a_way_back_is_found_if_there_is_one(name):
    drawing, comes_back = DRAWINGS[name]
    game = Toy(drawing)
    watched = Watched(game)
    way = find_loop(watched, reach(watched, np.array([game.start], dtype=np.uint64)))
    assert bool(way) == comes_back
    for (code, move), (following, _) in zip(way, [*way[1:], *way[:1]], strict=True):
        moves = game.moves(np.array([code], dtype=np.uint64))
        assert int(moves.child[moves.move == move][0]) == following


@pytest.mark.parametrize("name", catalogue_names())
def test_positions_come_back_where_a_plain_walk_of_the_graph_says_so(name):
    game = load_game(name)
    found = look_over(game, FEW)
    assert found.reached is not None, found.problems
    if not found.reached.is_whole or len(found.reached.starts) > 1:
        return
    graph = explore(game)
    plain = nx.DiGraph(zip(graph.parent.tolist(), graph.child.tolist(), strict=True))
    assert found.comes_back == (not nx.is_directed_acyclic_graph(plain))
