"""Men that step, against the plain version: positions, moves, endings, refusals, symmetries, texts, house rules."""

from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from games.board import Board
from games.codes import RESULTS
from games.game import inverse_symmetries, on_board, with_lines
from games.house import HouseRule, HouseRules
from games.housed import HousedGame
from games.inputs import InputForm, classes_of
from games.load import catalogue_names, load_game, parse_game
from games.steps import likeness
from games.steps.likeness import MOST_SYMMETRIES, Figure, Tangled
from games.steps.points import Neighbours, draw_with_steps, joined_by, steps_of_pattern
from games.steps.rules import StepRules
from games.steps.steps import Steps, count_of
from solver.graph import explore
from tests.games import plain_steps
from tests.games.plain_steps import every_state

STEP_GAMES = [name for name in catalogue_names() if isinstance(load_game(name), Steps)]


def game_of(plain):
    """The same rules as the games room has them."""
    standing = [tuple(p for p, sign in enumerate(plain.start) if sign == each) for each in "FS"]
    board = Board(len(plain.names), 1, plain.names)
    rules = StepRules(
        board,
        plain.steps,
        plain.lines,
        plain.men,
        tuple(standing),
        plain.begins,
        plain.lines_while_placing,
        plain.blocked,
        plain.barred,
        plain.barred_to,
        plain.guarded,
        plain.guarded_moves,
    )
    return Steps("drawn", rules)


@st.composite
def pairs(draw, most_points=6):
    """Rules in both versions, in which the game is not over before it begins."""
    plain = draw(
        plain_steps.rules(most_points).filter(lambda rules: rules.result(rules.first_state()) is None)
    )
    return plain, game_of(plain)


def text_of(plain, state, seat=0):
    """A state as people write it."""
    mine, visitors = plain_steps.SIGNS[seat], plain_steps.SIGNS[1 - seat]
    text = state.board.replace(".", "_").replace(mine, "M").replace(visitors, "V")
    if plain.guarded and plain.guarded_moves:
        text += f" moved {state.counted[seat]}/{state.counted[1 - seat]}"
    return text + " line" * state.line


def keys_of(game, codes):
    """Positions as pairs of a text and whose turn it is: what tells them apart for people."""
    return list(zip(game.texts(codes, 0), game.mover(codes).tolist(), strict=True))


@given(pairs())
def test_positions_moves_and_endings_are_the_plain_ones(pair):
    plain, game = pair
    graph = explore(game)
    plies = every_state(plain.first_state(), lambda s: plain.moves(s).values() if not plain.result(s) else ())
    states = {(text_of(plain, state), state.turn): state for state in plies}
    keys = keys_of(game, graph.codes)
    assert sorted(keys) == sorted(states), "each position once, and every one of them"
    for place, key in enumerate(keys):
        state = states[key]
        assert RESULTS[graph.ending[place]] == (plain.result(state) or "unfinished")
        assert graph.ply[place] == plies[state]
        found = {game.move_names[graph.move[e]]: keys[graph.child[e]] for e in graph.edges_of(place)}
        assert len(found) == len(graph.edges_of(place))
        after = {} if plain.result(state) else plain.moves(state)
        assert found == {name: (text_of(plain, child), child.turn) for name, child in after.items()}


@given(pairs(most_points=5))
def test_reasons_against_moves_are_the_plain_ones(pair):
    plain, game = pair
    assert sorted(game.move_names) == sorted(plain.move_names())
    plies = every_state(plain.first_state(), lambda s: plain.moves(s).values() if not plain.result(s) else ())
    every_move = np.arange(len(game.move_names), dtype=np.uint16)
    for state in plies:
        if plain.result(state) is None:
            code = game.read(text_of(plain, state), 0, state.turn)
            reasons = game.why_not(np.full(len(every_move), code, dtype=np.uint64), every_move)
            found = [game.refusals[reason - 1] if reason else None for reason in reasons]
            assert found == [plain.why_not(state, name) for name in game.move_names]


@given(pairs())
def test_texts_are_read_back_from_either_seat(pair):
    game = pair[1]
    codes = explore(game).codes
    for seat in (0, 1):
        texts, movers = game.texts(codes, seat), game.mover(codes).tolist()
        assert [
            game.read(text, seat, mover) for text, mover in zip(texts, movers, strict=True)
        ] == codes.tolist()
    first, second = (cells.tolist() for cells in game.holdings(codes))
    boards = game.board.size * 2
    rebuilt = [
        game.code_of(f, s, m) for f, s, m in zip(first, second, game.mover(codes).tolist(), strict=True)
    ]
    assert rebuilt == [code & ((1 << boards) - 1 | 1 << 63) for code in codes.tolist()]
    assert game.bits <= 58


@given(pairs(most_points=6))
def test_symmetries_are_all_that_keep_everything(pair):
    plain, game = pair
    placed = "".join(plain.names)
    wanted = sorted(plain.likenesses())
    found = []
    for symmetry in range(game.symmetries):
        names = [game.move_names[m] for m in game.turned_move(symmetry, every_move_of(game))]
        images = dict(zip(game.move_names, names, strict=True))
        ends = {name.rpartition("-")[2]: image.rpartition("-")[2] for name, image in images.items()}
        found.append(tuple(placed.index(ends[name]) for name in plain.names))
    few = len(wanted) <= MOST_SYMMETRIES
    assert found == (wanted if few else [images for images in wanted if is_turn(images)])
    assert found[0] == tuple(plain.points())
    swappable = plain.men[0] == plain.men[1] and any(True for _ in plain.likenesses(swap=True))
    assert (game.other_start is None) == swappable
    assert game.other_start in (None, game.start ^ 1 << 63)


def is_turn(images):
    """Whether a permutation of points in one row leaves the row as it is or turns it round."""
    return images in (tuple(range(len(images))), tuple(reversed(range(len(images)))))


def every_move_of(game):
    return np.arange(len(game.move_names), dtype=np.uint16)


@given(pairs())
def test_symmetries_are_a_group_that_carries_play_along(pair):
    check_symmetries(pair[1])


@pytest.mark.parametrize("name", STEP_GAMES)
def test_symmetries_of_the_catalogues_games(name):
    if name != "slide-four":
        check_symmetries(load_game(name))


def check_symmetries(game):
    codes = explore(game).codes
    open_ = codes[game.ending(codes) == 0]
    every = every_move_of(game)
    images = [tuple(game.turned_move(symmetry, every).tolist()) for symmetry in range(game.symmetries)]
    assert images[0] == tuple(every.tolist())
    assert {tuple(b[m] for m in a) for a in images for b in images} == set(images)
    start = np.array([game.start], dtype=np.uint64)
    for symmetry, back in enumerate(inverse_symmetries(game)):
        turned = game.turned(symmetry, codes)
        assert np.array_equal(np.sort(turned), codes)
        assert np.array_equal(game.turned(back, turned), codes)
        assert game.turned(symmetry, start) == start
        assert np.array_equal(game.ending(turned), game.ending(codes))
        assert np.array_equal(game.mover(turned), game.mover(codes))
        before, after = game.moves(open_), game.moves(game.turned(symmetry, open_))
        carried = game.turned_move(symmetry, before.move), game.turned(symmetry, before.child)
        assert set(zip(before.parent.tolist(), *(c.tolist() for c in carried), strict=True)) == set(
            zip(*(c.tolist() for c in after), strict=True)
        )


# House rules ----------------------------------------------------------------------------------------------

LINE = InputForm("line", 8)


@given(pairs(most_points=5), st.data())
def test_a_lost_turn_is_a_move_where_some_input_costs_it(pair, data):
    plain, game = pair
    seat = data.draw(st.integers(0, 1))
    classes = classes_of(game)
    when = data.draw(
        st.sets(st.sampled_from([c for c in classes if c not in ("after-end", "too-long")]), min_size=1)
    )
    rest = tuple(name for name in classes if name not in when)
    rules = (
        HouseRule("dear", tuple(when), "NO", "turn", 0, ""),
        HouseRule("cheap", rest, "NO", "nothing", 0, ""),
    )
    housed = HousedGame(game, HouseRules("drawn", LINE, rules, {}), seat)

    def classes_in(state):
        """Every class of wrong input that can be keyed in, with a few inputs that are no names at all."""
        held = {"taken-by-first": ("taken-by-machine", "taken-by-visitor")[seat]}
        held["taken-by-second"] = ("taken-by-visitor", "taken-by-machine")[seat]
        reasons = {plain.why_not(state, name) for name in plain.move_names()}
        return {held.get(reason, reason) for reason in reasons} | {"empty", "not-understood", "off-board"}

    @cache
    def after(state):
        if plain.result(state):
            return {}
        moves = dict(plain.moves(state))
        if state.turn != seat and classes_in(state) & when:
            moves["(turn lost)"] = state._replace(turn=1 - state.turn)
        return moves

    states = every_state(plain.first_state(), lambda state: after(state).values())
    by_key = {(text_of(plain, state), state.turn): state for state in states}
    graph = explore(housed)
    keys = keys_of(game, graph.codes)
    assert sorted(keys) == sorted(by_key)
    for place, key in enumerate(keys):
        found = {housed.move_names[graph.move[e]]: keys[graph.child[e]] for e in graph.edges_of(place)}
        wanted = {name: (text_of(plain, child), child.turn) for name, child in after(by_key[key]).items()}
        assert found == wanted


# Small parts ----------------------------------------------------------------------------------------------


@given(st.lists(st.integers(0, (1 << 64) - 1)))
def test_members_are_counted(sets):
    assert count_of(np.array(sets, dtype=np.uint64)).tolist() == [each.bit_count() for each in sets]


@given(st.data())
def test_neighbours_are_the_points_one_step_away(data):
    size = data.draw(st.integers(2, 26))
    step = st.tuples(st.integers(0, size - 1), st.integers(0, size - 1)).filter(lambda s: s[0] < s[1])
    steps = data.draw(st.lists(step, unique=True))
    within, points = (data.draw(st.sets(st.integers(0, size - 1))) for _ in range(2))
    wanted = {b for a, b in steps if a in points} | {a for a, b in steps if b in points}
    near = Neighbours(joined_by(steps, size), sum(1 << point for point in within))
    found = int(near.of(np.array([sum(1 << point for point in points)], dtype=np.uint64))[0])
    assert found == sum(1 << point for point in wanted & within)


def test_patterns_join_what_they_say():
    def joined(columns, rows, pattern, holes=()):
        board = Board(columns, rows, holes=holes)
        return {f"{board.names[a]}-{board.names[b]}" for a, b in steps_of_pattern(board, pattern)}

    straight = {"1-2", "2-3", "4-5", "5-6", "7-8", "8-9", "1-4", "4-7", "2-5", "5-8", "3-6", "6-9"}
    assert joined(3, 3, "orthogonal") == straight
    assert joined(3, 3, "centre-diagonals") == straight | {"1-5", "5-9", "3-5", "5-7"}
    assert joined(3, 3, "all-neighbours") == straight | {
        f"{a}-{b}" for a, b in ["15", "59", "35", "57", "24", "26", "48", "68"]
    }
    assert len(joined(3, 3, "anywhere")) == 36
    assert joined(3, 3, "orthogonal", holes=[4]) == {step for step in straight if "5" not in step}
    assert joined(4, 4, "centre-diagonals") - joined(4, 4, "orthogonal") == {
        "a1-b2", "b2-c3", "c3-d4", "d1-c2", "c2-b3", "b3-a4"}  # fmt: skip
    assert joined(5, 3, "centre-diagonals") - joined(5, 3, "orthogonal") == {
        "b1-c2",
        "c2-d3",
        "d1-c2",
        "c2-b3",
    }


def test_where_there_are_too_many_likenesses_only_turns_of_the_grid_are_taken():
    everywhere = Figure(joined_by([(a, b) for a in range(6) for b in range(a + 1, 6)], 6), [])
    with pytest.raises(Tangled):
        everywhere.likenesses([0] * 6, [0] * 6)
    text = GAME + 'columns = 7\nrows = 1\npattern = "anywhere"\nlines = [["a1", "b1"]]\nmen = 2\n'
    game = parse_game(text, "row.toml")
    assert game.symmetries == 240  # both of the line change places, and the five others go anywhere
    text = GAME + 'columns = 8\nrows = 1\npattern = "anywhere"\nlines = [["d1", "e1"]]\nmen = 2\n'
    game = parse_game(text, "row.toml")
    assert game.symmetries == 2
    check_symmetries(game)


@pytest.mark.parametrize(("columns", "symmetries"), [(26, 2), (13, 4)])
def test_points_that_cannot_be_told_apart_by_counting_are_still_placed(columns, symmetries):
    """Rings and ladders whose points are numbered in no helpful order."""
    shuffled = [point * 7 % 26 for point in range(26)]
    path = list(pairwise(shuffled[:columns]))
    if columns == 13:
        path += list(pairwise(shuffled[13:])) + list(zip(shuffled[:13], shuffled[13:], strict=True))
    figure = Figure(joined_by([(min(step), max(step)) for step in path], 26), [])
    assert len(figure.likenesses([0] * 26, [0] * 26)) == symmetries


def test_lines_must_be_kept_as_wholes():
    """In the plane of seven points and seven lines every two points are alike; 168 permutations keep the lines."""
    lines = [sum(1 << (point + shift) % 7 for point in (0, 1, 3)) for shift in range(7)]
    assert len(Figure([0] * 7, lines).likenesses([0] * 7, [0] * 7)) == 168


def test_a_search_that_takes_too_long_is_given_up(monkeypatch):
    monkeypatch.setattr(likeness, "MOST_TRIES", 20)
    game = parse_game(GAME + "columns = 4\nrows = 4\nin-a-row = 4\nmen = 4\n", "sixteen.toml")
    assert game.symmetries == 8, "then the turns of the grid are tried, which here are all there are"
    assert game.other_start is None
    lopsided = GAME + 'columns = 4\nrows = 4\nstart = ["F___", "____", "____", "_S_S"]\nmen = 4\n'
    game = parse_game(lopsided, "sixteen.toml")
    assert game.symmetries == 1
    assert game.other_start == game.start ^ 1 << 63


# For people -----------------------------------------------------------------------------------------------


def test_a_drawing_shows_the_steps_and_what_can_be_played():
    game = load_game("tapatan")
    code = game.read("MV_/_M_/V__", 1, 1)
    assert game.drawing(code, 1, last=0) == ["(M) V  _ ", " _  M  _ ", " V  _  _ "]
    assert game.drawing(code, 1, named=True) == [
        "M1 - V2 - 3",
        "| \\  | /  |",
        "4  - M5 - 6",
        "| /  | \\  |",
        "V7 - 8  - 9",
        "",
        "to place: machine 1, visitor 1",
    ]
    full = game.read("MVM/_M_/VV_", 1, 1)
    assert game.drawing(full, 1, named=True)[-1] == "machine can play: 1-4, 3-6, 5-4, 5-6, 5-9"


def test_a_drawing_says_what_it_cannot_show():
    text = (
        GAME
        + 'columns = 3\nrows = 2\nsteps = [["a1", "c2"], ["a1", "c1"], ["a1", "b1"]]\nstart = ["F__", "__S"]\n'
    )
    rows = parse_game(text, "odd.toml").drawing(1, 0, named=True)
    assert rows[0] == "Ma1 -  b1    c1"
    assert "joined as well: a1-c1, a1-c2" in rows
    over = GAME + 'columns = 3\nrows = 1\nstart = ["F_S"]\n'
    game = parse_game(over, "over.toml")
    assert game.drawing(game.read("_MV", 0, 0), 0, named=True) == [
        " a1 - Mb1 - Vc1",
        "",
        "machine can play: b1-a1",
    ]
    assert game.drawing(game.read("M_V", 0, 1), 0, named=True)[-1] == "visitor can play: c1-b1"
    assert game.drawing(game.read("MV_", 0, 0), 0, named=True) == ["Ma1 - Vb1 -  c1"], "the game is over"


def test_crossing_diagonals_are_both_drawn():
    board = Board(2, 2)
    assert draw_with_steps(board, board.names, [(0, 3), (1, 2)]).rows == ["a1   b1", "  X", "a2   b2"]


@pytest.mark.parametrize("name", STEP_GAMES)
def test_drawings_fit_on_a_line_in_plain_signs(name):
    game = load_game(name)
    rows = [*game.drawing(game.start, 0, named=True), *game.drawing(game.start, 1)]
    assert all(row.isascii() and len(row) <= 76 for row in rows)
    assert on_board(game) is game
    assert with_lines(game) is None, "a sheet's rules for marks make no sense where men move"


GAME = 'kind = "game"\nfamily = "steps"\n'


def test_rules_are_said_as_they_are():
    text = GAME + (
        'columns = 3\nrows = 3\nlines = [["1", "2", "3"]]\nmen = 3\nsecond-men = 4\nbegins = "second"\n'
        'lines-while-placing = "wait"\nblocked = "passes"\nbarred = ["5"]\nbarred-to = "each-first-man"\n'
        'guarded = ["5"]\n'
    )
    game = parse_game(text, "odd.toml")
    assert game.rules == (
        "The two players take turns; the second player begins.",
        "The first player has 3 men, the second 4 men. They are placed first, one a turn, on any free point.",
        "The first man of each player may not be placed on 5.",
        "Who has no man left to place moves one man along a row or a column to the next point, if that point is free.",
        "A man may enter 5 only from a point that is joined to one where a man of the other player stands.",
        "Once all men are placed, whoever has just played and has a whole line of men wins. The lines: 1-2-3.",
        "Whoever is to move and cannot has to pass; when nobody can move, the game is a draw.",
        "Positions can come back, and play that never ends is a draw.",
    )
    assert game.refusals == (
        "must-pass", "may-not-pass", "place-first", "nothing-to-place", "not-your-piece", "no-such-step", "barred",
        "no-entry", "taken-by-first", "taken-by-second",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ('start = ["F__", "___", "__S"]\nmen = 2\n', "Some stand on the board from the start; the others are placed"),
        ('start = ["F__", "___", "__S"]\n', "Each player has 1 man. They stand on the board from the start."),
        ('men = 2\nbarred = ["1", "2", "3"]\n', "The first man of the game may not be placed on 1, 2 or 3."),
        ('men = 2\nin-a-row = 2\n', "Whoever has 2 men in a row (along a row, a column or a diagonal) wins."),
        ('men = 2\nin-a-row = 2\nlines-while-placing = "never"\n', "by a step wins; a line made while placing"),
        ('men = 2\nsteps = [["1", "2", "3"]]\n', "to a point that is joined to its own (1-2, 2-3), if that point"),
        ('men = 2\nguarded = ["5"]\nguarded-moves = 3\n', "In each player's first 3 moves a man may enter 5 only from"),
        ('men = 2\nblocked = "wins"\n', "Whoever is to move and cannot wins."),
    ],
)  # fmt: skip
def test_each_rule_is_said(keys, said):
    [rule] = [
        rule
        for rule in parse_game(GAME + "columns = 3\nrows = 3\n" + keys, "said.toml").rules
        if said in rule
    ]
    assert rule.endswith(".")


def test_who_can_never_be_blocked_is_not_told_what_comes_of_it():
    assert not any("cannot" in rule for rule in load_game("nine-holes").rules)


def test_long_lists_are_not_read_aloud():
    steps = [[f"{a}{n}", f"{b}{n}"] for n in range(1, 4) for a, b in pairwise("abcdefghi")]
    lines = [[f"{column}1", f"{column}2"] for column in "abcdefghi"] + [
        ["a1", "b1"],
        ["a2", "b2"],
        ["a1", "c1"],
        ["a1", "d1"],
    ]
    text = (
        GAME
        + f'columns = 9\nrows = 3\nholes = ["i3"]\nmen = 2\nsteps = {steps[:-1]}\nlines = {lines}\n'.replace(
            "'", '"'
        )
    )
    rules = parse_game(text, "long.toml").rules
    assert "Whoever has a whole line of men wins." in rules
    assert any("moves one man to a point that is joined to its own, if that" in rule for rule in rules)


def test_a_position_with_wrong_men_or_counts_is_no_position():
    game = load_game("mu-torere")
    assert game.read("MMM/V_M/VVV moved 0/2", 0, 0) == game.with_tail(game.start, (0, 2), line=False)
    counted = (
        "expected the board, then 'moved' and how many of the first 2 moves the machine and the visitor have made, "
        "such as 'moved 2/0', not 'TEXT'"
    )
    for text, said in [
        ("MMM/V_M/VV_ moved 0/0", "the visitor has 3 men on this board; expected 4"),
        ("MMM/V_M/VVV", counted),
        ("MMM/V_M/VVV moved 3/0", counted),
        (
            "MMM/V_M/VVV moved 1/0 line",
            "expected nothing behind the board but 'moved 0/0', not 'MMM/V_M/VVV moved 1/0 line'",
        ),
        (
            "MMM/V_M moved 1/0",
            "expected 3 rows of 3 signs divided by '/', such as M__/___/___, not 'MMM/V_M'",
        ),
        ("", "expected 3 rows of 3 signs divided by '/', such as M__/___/___, not ''"),
    ]:
        with pytest.raises(ValueError) as caught:
            game.read(text, 0, 0)
        assert str(caught.value) == said.replace("TEXT", text)
    with pytest.raises(ValueError, match="the machine has 4 men on this board; expected 0 to 3"):
        load_game("tapatan").read("MMM/M__/___", 0, 0)


def test_a_row_of_a_table_may_be_meant_for_either_seat():
    """The reader of tables knows no seat yet; where the sides have unlike numbers of men it must not say no."""
    text = GAME + "columns = 3\nrows = 3\nin-a-row = 3\nmen = 2\nsecond-men = 3\n"
    game = parse_game(text, "unlike.toml")
    assert game.read("MM_/VVV/___", 0, 0) == game.code_of(0b11, 0b111000, 0)
    assert game.read("MMM/VV_/___", 1, 1) == game.code_of(0b11000, 0b111, 1)
    game.read("MMM/VV_/___", 0, 0)
    for board in ("MMM/VVV/___", "MMM/M__/___"):
        with pytest.raises(ValueError, match=r"the machine has [34] men on this board; expected 0 to 2"):
            game.read(board, 0, 0)
