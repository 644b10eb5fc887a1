"""Men that advance, held against the slow reading of the same rules in `advancing`."""

import json
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from games.codes import DRAW, FIRST, FIRST_WINS, SECOND, SECOND_WINS, TURN, UNFINISHED
from games.game import inverse_symmetries, on_board, with_lines
from games.house import load_house_rules
from games.housed import HousedGame
from games.inputs import Shape, classify
from games.limited import ENDLESS
from games.load import catalogue_names, load_game, parse_game
from games.problems import BadInput
from solver.graph import explore
from solver.solve import solve
from solver.values import best_play
from tests.games import advancing
from tests.games.advancing import Model, Rules
from tests.workbench.running import wordtight

RESULTS = {None: UNFINISHED, "first": FIRST_WINS, "second": SECOND_WINS, "draw": DRAW}
KINDS = ("forward", "sideways", "diagonal")
HEADINGS = ("up", "down", "left", "right")
HEXAPAWN = Rules(("SSS", "___", "FFF"))
DODGEM = Rules(
    ("S__", "S__", "_FF"),
    ("up", "right"),
    ("forward", "sideways"),
    captures=(),
    far_edge="leaves",
    no_men="wins",
    blocked="wins",
)


def game_of(rules):
    return parse_game(rules.toml(), "drawn.toml")


@st.composite
def all_rules(draw, most_cells=8):
    """Any choice among the keys, on a small board with men standing anywhere."""
    columns = draw(st.integers(1, 4))
    rows = draw(st.integers(1, min(4, most_cells // columns)))
    row = st.text("_FS", min_size=columns, max_size=columns)
    kinds = st.lists(st.sampled_from(KINDS), unique=True, max_size=3).map(tuple)
    captures = draw(kinds)
    return Rules(
        tuple(draw(st.lists(row, min_size=rows, max_size=rows))),
        tuple(
            draw(
                st.sampled_from([("up", "down"), ("up", "right")])
                | st.tuples(*[st.sampled_from(HEADINGS)] * 2)
            )
        ),
        draw(kinds),
        captures,
        bool(captures) and draw(st.booleans()),
        draw(st.sampled_from(["wins", "loses", "leaves", "nothing"])),
        draw(st.sampled_from(["wins", "loses", "draws", "nothing"])),
        draw(st.sampled_from(["loses", "wins", "draws", "passes"])),
    )


@st.composite
def playable(draw, most_cells=8):
    """Rules whose game is not over before it begins: few men stand on an edge that ends it."""
    rules = draw(all_rules(most_cells))
    model = Model(rules)
    ends = rules.far_edge in ("wins", "loses")
    signs = iter(
        draw(st.sampled_from([p for p in "FS" if not (ends and model.on_far_edge(p, *cell))] + ["_"]))
        for cell in model.cells()
    )
    rules = rules._replace(start=tuple("".join(next(signs) for _ in row) for row in rules.start))
    assume({"F", "S"} <= set("".join(rules.start)) and Model(rules).result((rules.start, "F")) is None)
    return rules


def code_of(game, position):
    board, player = position
    signs = "".join(board)
    held = [sum(1 << cell for cell, sign in enumerate(signs) if sign == each) for each in "FS"]
    return getattr(game, "fair", game).code_of(*held, "FS".index(player))


def one(code):
    return np.array([code], dtype=np.uint64)


# Rules ----------------------------------------------------------------------------------------------------


def assert_same_play(game, model):
    """Positions, movers, endings, moves, values and distances are those of the model."""
    positions = advancing.every_position(model)
    known = advancing.values(model, positions)
    graph = explore(game)
    found = best_play(graph)
    by_code = {code_of(game, position): position for position in positions}
    assert graph.codes.tolist() == sorted(by_code)
    for place, code in enumerate(graph.codes.tolist()):
        position = by_code[code]
        assert "FS"[graph.mover[place]] == position[1]
        assert graph.ending[place] == RESULTS[model.result(position)]
        after = {
            game.move_names[graph.move[e]]: by_code[int(graph.codes[graph.child[e]])]
            for e in graph.edges_of(place)
        }
        assert after == positions[position]
        value, plies = known[position]
        assert found.value[place] == RESULTS[value]
        assert found.distance[place] == (-1 if plies is None else plies)
    return positions


@given(playable())
def test_play_is_that_of_the_slow_reading(rules):
    game, model = game_of(rules), Model(rules)
    positions = assert_same_play(game, model)
    assert game.can_repeat or not advancing.can_go_round(positions)


@given(playable(most_cells=6), st.sampled_from([FIRST, SECOND]))
def test_a_lost_turn_is_one_more_move_of_the_visitors(rules, seat):
    game = game_of(rules)
    housed = HousedGame(game, load_house_rules("lost-turn", game), seat)
    positions = assert_same_play(housed, advancing.LosingTurns(Model(rules), "SF"[seat]))
    assert housed.can_repeat or not advancing.can_go_round(positions)


@pytest.mark.parametrize("rules", [HEXAPAWN, DODGEM])
def test_the_known_games_are_played_as_the_slow_reading_says(rules):
    assert_same_play(game_of(rules), Model(rules))


@given(all_rules())
def test_a_game_that_is_over_before_it_begins_is_refused_and_no_other(rules):
    signs = set("".join(rules.start))
    over = Model(rules).result(Model(rules).start) is not None
    if {"F", "S"} <= signs and not over:
        game_of(rules)
    else:
        with pytest.raises(BadInput) as caught:
            game_of(rules)
        said = "over before it begins" if {"F", "S"} <= signs else "expected at least one"
        assert all(said in problem.message for problem in caught.value.problems)


@given(playable(most_cells=6))
def test_every_move_that_can_be_typed_is_refused_for_the_first_reason_that_fits(rules):
    game, model = game_of(rules), Model(rules)
    every = np.arange(len(game.move_names), dtype=np.uint16)
    for position in advancing.every_position(model):
        if model.result(position) is None:
            codes = np.full(len(every), code_of(game, position), dtype=np.uint64)
            found = [(None, *game.refusals)[reason] for reason in game.why_not(codes, every)]
            assert found == [model.why_not(position, name) for name in game.move_names]


@given(playable())
def test_moves_are_named_by_cells_those_that_men_can_make_first(rules):
    game, model = game_of(rules), Model(rules)
    places = [*(model.name(*cell) for cell in model.cells()), "off"]
    pairs = [(at, to) for at in range(len(places) - 1) for to in range(len(places)) if at != to]
    names = [f"{places[at]}-{places[to]}" for at, to in pairs]
    leaves = any(name.endswith("-off") for name in made_by_some_man(model))
    made = [name for name in names if name in made_by_some_man(model)]
    never = [name for name in names if name not in made and (leaves or not name.endswith("-off"))]
    assert list(game.move_names) == [*made, *(["pass"] if rules.blocked == "passes" else []), *never]


def made_by_some_man(model):
    """The names of what a man of either side can do somewhere: on a board with others all around, or alone on it."""
    names = set()
    for x, y in model.cells():
        for player, other in (("F", "S"), ("S", "F")):
            alone = advancing.put(["_" * model.columns] * model.rows, (x, y), player)
            crowded = advancing.put([other * model.columns] * model.rows, (x, y), player)
            names |= set(model.steps(alone, player)) | set(model.captures(crowded, player))
    return names


# Symmetries -----------------------------------------------------------------------------------------------


@given(playable())
@example(Rules(("___", "F_S", "___"), steps=("sideways",), captures=(), far_edge="nothing"))
def test_symmetries_are_the_mirrorings_that_carry_each_side_onto_itself(rules):
    game = game_of(rules)
    upright = {rules.goes[0], rules.goes[1]} <= {"up", "down"}
    level = {rules.goes[0], rules.goes[1]} <= {"left", "right"}
    mirrored = tuple(row[::-1] for row in rules.start) if upright else rules.start[::-1]
    wide = len(rules.start[0]) > 1 if upright else len(rules.start) > 1
    assert game.symmetries == (2 if (upright or level) and wide and mirrored == rules.start else 1)


@given(playable())
def test_turning_commutes_with_everything_and_undoes_itself(rules):
    game = game_of(rules)
    graph = explore(game)
    every = np.arange(len(game.move_names), dtype=np.uint16)
    assert game.turned(0, graph.codes).tolist() == graph.codes.tolist()
    assert game.turned_move(0, every).tolist() == every.tolist()
    for symmetry, back in enumerate(inverse_symmetries(game)):
        image = game.turned(symmetry, graph.codes)
        assert game.turned(back, image).tolist() == graph.codes.tolist()
        assert game.turned_move(back, game.turned_move(symmetry, every)).tolist() == every.tolist()
        assert int(game.turned(symmetry, one(game.start))[0]) == game.start
        assert game.mover(image).tolist() == graph.mover.tolist()
        assert game.ending(image).tolist() == graph.ending.tolist()
        open_ = graph.codes[graph.ending == UNFINISHED]
        parent, move, child = game.moves(open_)
        turned = game.moves(game.turned(symmetry, open_))
        expected = zip(parent, game.turned_move(symmetry, move), game.turned(symmetry, child), strict=True)
        assert set(zip(*turned, strict=True)) == set(expected)
        codes, moves = np.repeat(open_, len(every)), np.tile(every, len(open_))
        turned_reasons = game.why_not(game.turned(symmetry, codes), game.turned_move(symmetry, moves))
        assert game.why_not(codes, moves).tolist() == turned_reasons.tolist()


@given(playable(most_cells=6))
def test_where_there_is_no_other_start_it_does_not_matter_who_begins(rules):
    game, model = game_of(rules), Model(rules)
    other = (rules.start, "S")
    if game.other_start is not None:
        assert game.other_start == code_of(game, other) == game.start | int(TURN)
        assert model.result(other) is None
    elif model.result(other) is None:
        exchanged = {"first": "second", "second": "first", "draw": "draw"}
        value, plies = advancing.values(model, advancing.every_position(model))[model.start]
        found = advancing.values(model, advancing.every_position(model, other))[other]
        assert found == (exchanged[value], plies)


def test_it_matters_who_begins_where_the_sides_differ():
    assert game_of(HEXAPAWN).other_start is None
    assert game_of(DODGEM).other_start is None
    unlike = game_of(HEXAPAWN._replace(start=("SS_", "___", "FFF")))
    assert unlike.other_start == unlike.start | int(TURN)
    same_way = game_of(HEXAPAWN._replace(goes=("up", "up"), start=("___", "S__", "_FF")))
    assert same_way.other_start is not None


# Texts ----------------------------------------------------------------------------------------------------


@given(playable(), st.sampled_from([FIRST, SECOND]))
def test_positions_are_read_as_they_are_written(rules, seat):
    game = game_of(rules)
    graph = explore(game)
    texts = game.texts(graph.codes, seat)
    assert len(set(zip(texts, graph.mover.tolist(), strict=True))) == len(graph)
    read = [game.read(text, seat, int(mover)) for text, mover in zip(texts, graph.mover, strict=True)]
    assert read == graph.codes.tolist()
    lines = [line for code in graph.codes.tolist() for line in game.drawing(code, seat, named=True)]
    assert all(len(line) <= 78 and line.isascii() for line in lines)


def test_a_drawing_shows_names_men_and_the_last_move():
    game = load_game("dodgem")
    after = game.read("V__/_V_/_MM", FIRST, FIRST)
    step = game.move_names.index("4-5")
    assert game.drawing(after, FIRST, step) == [" V  _  _ ", " _ (V) _ ", " _  M  M "]
    assert game.drawing(after, FIRST, named=True)[2] == "4 _ | 5 V | 6 _"
    assert game.drawing(after, FIRST, step, named=True)[2] == "4 _  | 5(V) | 6 _"
    left = game.read("M__/___/_V_", SECOND, SECOND)
    assert game.drawing(left, SECOND, game.move_names.index("2-off"))[0] == " M (_) _ "
    passing = load_game("harbour-crossing")
    last = passing.move_names.index("pass")
    assert passing.drawing(passing.start, FIRST, last) == passing.drawing(passing.start, FIRST)


def test_the_widest_board_with_the_longest_names_fits_a_line():
    names = [f"{letter}{number}" for number in (10, 11, 12) for letter in "abcdefghi"]
    text = f'kind = "game"\nfamily = "advance"\ncolumns = 9\nrows = 3\ncells = {names}\n'.replace("'", '"')
    game = parse_game(text, "wide.toml")
    for last in (None, game.move_names.index("a12-a11")):
        lines = game.drawing(game.start, FIRST, last, named=True)
        assert max(map(len, lines)) <= 78
    assert game.bits == 54
    assert max(map(len, game.move_names)) <= 8, (
        "an input may have 8 characters unless house rules say otherwise"
    )


def test_the_rules_say_what_is_played():
    assert load_game("hexapawn").rules == (
        "The two players take turns; the first player begins.",
        "The first player's men go up, the second player's go down: that is forward.",
        "A man steps one cell forward onto a free cell.",
        "A man captures one cell diagonally forward: it takes the place of the other player's man there.",
        "A move is typed as the cells from which and to which the man goes, such as 1-4.",
        "Whoever brings a man to the far edge wins.",
        "Whoever has no man left on the board loses.",
        "Whoever is to move and cannot loses.",
    )
    dodgem = " ".join(load_game("dodgem").rules)
    assert "forward or sideways" in dodgem
    assert "may leave the board over it; that is a move too, such as 1-off" in dodgem
    assert "no man left on the board wins. Whoever is to move and cannot wins." in dodgem
    assert "captures" not in dodgem
    assert "Whoever can capture must." in load_game("dawsons-chess").rules
    assert "has to pass" in load_game("harbour-crossing").rules[-1]
    assert load_game("dodgem").rules[-1] == ENDLESS
    nothing = game_of(
        HEXAPAWN._replace(far_edge="nothing", no_men="nothing", steps=(), start=("___", "SS_", "FFF"))
    )
    assert not any("far edge" in rule or "no man left" in rule or "steps" in rule for rule in nothing.rules)


# Files ----------------------------------------------------------------------------------------------------

FILE = 'kind = "game"\nfamily = "advance"\ncolumns = 3\nrows = 3\n'


def test_unless_told_a_file_is_hexapawn():
    game = parse_game(FILE, "odd/small.toml")
    assert (game.name, game.title, game.size, game.symmetries) == ("small", "small", "3 x 3", 2)
    assert explore(game).codes.tolist() == explore(game_of(HEXAPAWN)).codes.tolist()
    assert on_board(game) is game
    assert with_lines(game) is None


def test_men_stand_on_the_edges_behind_them_unless_told():
    level = parse_game(FILE + 'first-goes = "left"\nsecond-goes = "right"\n', "level.toml")
    assert level.texts(one(level.start), FIRST) == ["V_M/V_M/V_M"]


def test_whoever_has_no_man_left_wins_where_men_leave_unless_told():
    leaving = parse_game(FILE + 'far-edge = "leaves"\n', "leaving.toml")
    assert leaving.laws.no_men == "wins"
    assert parse_game(FILE, "staying.toml").laws.no_men == "loses"


def test_cells_have_names_of_their_own_if_the_file_says_so():
    names = [f"{letter}{number}" for number in (3, 2, 1) for letter in "abc"]
    game = parse_game(FILE + f"cells = {names}\n".replace("'", '"'), "named.toml")
    assert {"a1-a2", "b3-a2"} <= set(game.move_names)
    assert game.why_not(one(game.start), np.array([game.move_names.index("a1-a2")], dtype=np.uint16))[0] == 0


SPOILT = ["", "north", 0, 99, True, ["back"], ["FS", "_"], [1], {}, "\u0007", ["off", "a", "a", "?"]]


@given(all_rules(), st.dictionaries(st.integers(0, 12), st.sampled_from(SPOILT), max_size=2))
def test_any_file_is_a_game_or_is_told_its_mistakes_line_by_line(rules, spoilt):
    lines = [*rules.toml().splitlines(), "cells = []"]
    for place, value in spoilt.items():
        key = lines[place].partition(" =")[0]
        lines[place] = f"{key} = {json.dumps(value)}"
    try:
        game = parse_game("\n".join(lines), "drawn.toml")
    except BadInput as error:
        for problem in error.problems:
            assert problem.file == "drawn.toml"
            assert 1 <= problem.line <= len(lines)
            assert str(problem).isprintable()
    else:
        assert len(game.moves(one(game.start)).move)
        assert game.rules


# The catalogue --------------------------------------------------------------------------------------------

CATALOGUE = {
    "hexapawn": ("second", 6, 135, False),
    "hexapawn-four-by-three": ("first", 5, 1_128, False),
    "hexapawn-three-by-four": ("second", 8, 987, False),
    "hexapawn-three-by-five": ("first", 11, 3_708, False),
    "hexapawn-four-by-four": ("first", 11, 20_286, False),
    "dodgem": ("first", 19, 1_963, True),
    "dodgem-four-by-four": ("draw", None, 393_900, True),
    "breaking-through": ("first", 13, 51_608, False),
    "two-rows": ("first", 15, 71_474, False),
    "dawsons-chess": ("first", 11, 389, False),
    "giveaway-pawns": ("first", 12, 222, False),
    "harbour-crossing": ("first", 23, 14_413, True),
}
"""Value, plies, positions, and whether positions can come back; published figures stand in tests/published."""


@pytest.mark.parametrize("name", CATALOGUE)
def test_a_game_of_the_catalogue_is_solved(name):
    game = load_game(name)
    assert name in catalogue_names()
    assert game.origin
    solution = solve(game)
    value, plies, positions, repeats = CATALOGUE[name]
    assert (solution.value, solution.distance, game.can_repeat) == (value, plies, repeats)
    assert solution.positions == positions


# House rules and inputs -----------------------------------------------------------------------------------


def test_a_lost_turn_gives_away_hexapawn_where_having_to_move_hurts():
    game = load_game("hexapawn")
    solution = solve(game, load_house_rules("lost-turn", game), SECOND)
    assert (solution.fair_value, solution.value) == ("second", "first")
    assert solution.gives_game_away
    assert not solve(game, load_house_rules("usual", game), SECOND).gives_game_away
    assert not solve(game, load_house_rules("lost-turn", game), FIRST).gives_game_away, (
        "this seat is lost anyhow"
    )


SHEET = """game: hexapawn
seat: second

use table "pawns.csv"
look ahead 1 ply
"""
TABLE = """game: hexapawn
seat: second

position,move
MMM/_V_/V_V,3-5
MMM/__V/VV_,2-6
"""
GIVEN_AWAY = "THE HOUSE RULES GIVE THE GAME AWAY: "


def test_solve_and_prove_say_first_that_the_house_rules_give_hexapawn_away(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("pawns.rules").write_text(SHEET, encoding="utf-8")
    Path("pawns.csv").write_text(TABLE, encoding="utf-8")
    ran = wordtight("prove", "pawns.rules")
    assert (ran.status, "PROVED." in ran.out, GIVEN_AWAY in ran.out) == (0, True, False)
    ran = wordtight("prove", "pawns.rules", "--house-rules", "lost-turn")
    assert (ran.status, "REFUTED." in ran.out) == (1, True)
    assert ran.out.index(GIVEN_AWAY) < ran.out.index("REFUTED.")
    ran = wordtight("solve", "hexapawn", "--house-rules", "lost-turn")
    assert ran.status == 0
    assert ran.out.startswith(GIVEN_AWAY + "in fair play the result is the second player")
    assert not wordtight("solve", "hexapawn").out.startswith(GIVEN_AWAY)


@pytest.mark.parametrize(
    ("name", "position", "typed", "said"),
    [
        ("hexapawn", "VVV/___/MMM", b"7-4", "not-your-piece"),
        ("hexapawn", "VVV/___/MMM", b"4-7", "not-your-piece"),
        ("hexapawn", "VVV/___/MMM", b"1-7", "no-such-step"),
        ("hexapawn", "VVV/___/MMM", b"1-5", "no-such-step"),
        ("hexapawn", "V_V/_V_/MMM", b"5-2", "no-such-step"),
        ("hexapawn", "V_V/_V_/MMM", b"1-5", "taken-by-visitor"),
        ("hexapawn", "V_V/_V_/MMM", b"5-8", "taken-by-machine"),
        ("hexapawn", "V_V/_V_/MMM", b"5-7", "legal"),
        ("hexapawn", "V_V/_V_/MMM", b"5-0", "off-board"),
        ("hexapawn", "V_V/_V_/MMM", b"5", "not-understood"),
        ("dodgem", "V__/V__/_MM", b"1-off", "no-such-step"),
        ("dodgem", "__V/V__/_MM", b"3-OFF", "legal"),
        ("harbour-crossing", "VVV/___/___/MMM", b"pass", "may-not-pass"),
        ("harbour-crossing", "___/___/___/V_M", b"A4-OFF", "legal"),
        ("dawsons-chess", "VV_____/__M____/_______", b"a1-a2", "must-capture"),
        ("dawsons-chess", "VV_____/__M____/_______", b"b1-c2", "legal"),
    ],
)
def test_a_typed_move_falls_into_its_class(name, position, typed, said):
    game = load_game(name)
    house = load_house_rules("usual", game)
    code = game.read(position, FIRST, SECOND)
    assert classify(game, Shape(game.move_names, house.form), code, FIRST, typed)[0] == said


def test_whoever_is_blocked_has_to_pass_where_the_file_says_so():
    rules = Rules(("_S_", "_F_", "__F"), captures=(), far_edge="nothing", blocked="passes")
    game = game_of(rules)
    code = code_of(game, (rules.start, "S"))
    parent, move, child = game.moves(one(code))
    assert [game.move_names[each] for each in move] == ["pass"]
    assert child.tolist() == [code ^ int(TURN)]
    assert parent.tolist() == [0]
    assert game.ending(one(code)).tolist() == [UNFINISHED]
    stuck = code_of(game, (("_S_", "_F_", "___"), "S"))
    assert game.ending(one(stuck)).tolist() == [DRAW]
