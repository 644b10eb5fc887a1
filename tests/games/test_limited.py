"""A limit of plies over games of several families: what it changes, what it leaves, and how it is read."""

import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from games.codes import DRAW, FIRST, FIRST_WINS, RESULTS, SECOND, UNFINISHED
from games.game import least_images, on_board, with_lines
from games.house import load_house_rules
from games.housed import HousedGame
from games.limited import ENDLESS, LimitedBoardGame, LimitedLineGame, limited
from games.load import load_game, parse_game
from games.problems import BadInput
from solver.counts import longest_line
from solver.graph import explore
from solver.sheet.reader import SheetReader
from solver.strategy import View
from solver.values import best_play
from tests.solver.test_loops import drawings
from tests.solver.toy import Plain, Toy

NAMES = ["noughts-and-crosses", "three-mens-morris", "pong-hau-ki", "mu-torere", "hexapawn"]


def games():
    return [load_game(name) for name in NAMES]


@pytest.fixture(params=games(), ids=lambda game: game.name)
def pair(request):
    return request.param, limited(request.param, 7)


def test_moves_are_counted_and_nothing_else_changes(pair):
    game, short = pair
    graph = explore(short)
    for code, ply in zip(graph.codes.tolist(), graph.ply.tolist(), strict=True):
        assert code >> game.bits & 7 == ply
    assert np.array_equal(short.plies(graph.codes), graph.ply.astype(np.uint64))
    plain = short.without_plies(graph.codes)
    assert np.array_equal(short.mover(graph.codes), game.mover(plain))
    before, after = game.ending(plain), short.ending(graph.codes)
    assert np.array_equal(after == UNFINISHED, (before == UNFINISHED) & (graph.ply < 7))
    assert np.array_equal(after[before != UNFINISHED], before[before != UNFINISHED])
    assert (after[(before == UNFINISHED) & (graph.ply == 7)] == DRAW).all()
    assert longest_line(graph) <= 7
    assert not short.can_repeat
    open_ = graph.codes[after == UNFINISHED]
    every, few = game.moves(short.without_plies(open_)), short.moves(open_)
    assert np.array_equal(every.parent, few.parent)
    assert np.array_equal(every.move, few.move)
    assert np.array_equal(every.child, short.without_plies(few.child))


def test_symmetries_names_and_refusals_stay(pair):
    game, short = pair
    codes = explore(short).codes
    assert (short.symmetries, short.move_names, short.refusals) == (
        game.symmetries,
        game.move_names,
        game.refusals,
    )
    every = np.arange(len(game.move_names), dtype=np.uint16)
    some = codes[:50]
    for symmetry in range(game.symmetries):
        image = short.turned(symmetry, codes)
        assert np.array_equal(np.sort(image), codes)
        assert np.array_equal(short.plies(image), short.plies(codes))
        assert np.array_equal(short.turned_move(symmetry, every), game.turned_move(symmetry, every))
    pairs = np.repeat(some, len(every)), np.tile(every, len(some))
    assert np.array_equal(short.why_not(*pairs), game.why_not(short.without_plies(pairs[0]), pairs[1]))
    assert len(np.unique(least_images(short, codes)[0])) <= len(codes)


def test_texts_are_read_back_and_drawings_say_the_ply(pair):
    game, short = pair
    codes = explore(short).codes
    for seat in (0, 1):
        texts = short.texts(codes, seat)
        movers = short.mover(codes).tolist()
        assert [
            short.read(text, seat, mover) for text, mover in zip(texts, movers, strict=True)
        ] == codes.tolist()
    assert short.drawing(short.start, 0) == [*game.drawing(game.start, 0), "ply 0 of 7"]
    assert short.drawing(int(codes[-1]), 1, named=True)[-1].endswith(" of 7")
    [text] = short.texts(codes[:1], 0)
    position = text.rpartition(" ply ")[0]
    for wrong in (
        position,
        f"{position} ply 8",
        f"{position} ply",
        f"{position} ply x",
        f"{position} ply -1",
    ):
        with pytest.raises(ValueError, match="expected 'ply' and the number of moves made"):
            short.read(wrong, 0, 0)


def test_rules_end_with_the_limit():
    rules = limited(load_game("three-mens-morris"), 30).rules
    assert rules[-1] == "When 30 moves have been made and nobody has won, the game is a draw."
    assert ENDLESS in load_game("three-mens-morris").rules
    assert ENDLESS not in rules
    assert "When 1 move" in limited(load_game("three-mens-morris"), 1).rules[-1]


@given(drawings(), st.integers(1, 12))
def test_values_are_what_can_be_forced_within_the_limit(drawing, limit):
    """A win counts if it can be forced in so many plies; and it takes as long as without a limit."""
    game = Toy(drawing)
    graph = explore(limited(game, limit))
    values = best_play(graph)
    winner, plies = Plain(drawing).value(0)
    wins = plies is not None and plies <= limit
    assert RESULTS[values.value[graph.start]] == (("first", "second")[winner] if wins else "draw")
    assert values.distance[graph.start] == (plies if wins else -1)


def test_a_game_of_cells_or_of_lines_stays_one():
    marks, morris = limited(load_game("noughts-and-crosses"), 5), limited(load_game("three-mens-morris"), 5)
    assert with_lines(marks) is marks
    assert isinstance(marks, LimitedLineGame)
    assert marks.lines == load_game("noughts-and-crosses").lines
    assert on_board(morris) is morris
    assert isinstance(morris, LimitedBoardGame)
    assert with_lines(morris) is None
    assert on_board(limited(Toy([(0, [1]), "first"]), 3)) is None
    graph = explore(marks)
    first, second = marks.holdings(graph.codes)
    assert max(first.tolist()) < 512
    assert max(second.tolist()) < 512
    assert marks.code_of(1, 2, 0) == load_game("noughts-and-crosses").code_of(1, 2, 0)
    assert marks.board is marks.unlimited.board


WITHIN = 6


def positions_by_ply(housed):
    """For each ply what can stand there, seen by people, found by making every ply in turn."""
    codes = np.array([housed.start], dtype=np.uint64)
    for _ in range(WITHIN + 1):
        ending = housed.ending(codes)
        texts, movers = housed.texts(codes, FIRST), housed.mover(codes).tolist()
        yield set(zip(texts, movers, ending.tolist(), strict=True))
        codes = np.unique(housed.moves(codes[ending == UNFINISHED]).child)


@pytest.mark.parametrize("house", ["usual", "lost-turn", "three-warnings"])
@pytest.mark.parametrize("seat", [FIRST, SECOND])
@pytest.mark.parametrize("name", ["pong-hau-ki", "hexapawn", "two-by-two"])
def test_wrong_input_that_changes_something_is_a_ply_like_every_other(name, seat, house):
    """What can stand on the board after so many plies is the same with a limit, until it is reached."""
    game = load_game(name)
    rules = load_house_rules(house, game)
    short = HousedGame(limited(game, WITHIN), rules, seat)
    found = [set() for _ in range(WITHIN + 1)]
    graph = explore(short)
    endings = short.ending(graph.codes).tolist()
    for text, mover, ending in zip(
        short.texts(graph.codes, FIRST), graph.mover.tolist(), endings, strict=True
    ):
        ply = int(re.search(" ply ([0-9]+)", text)[1])
        found[ply].add((text.replace(f" ply {ply}", ""), mover, ending))
    *before, last = positions_by_ply(HousedGame(game, rules, seat))
    assert found[:-1] == before
    assert found[-1] == {(text, mover, ending or DRAW) for text, mover, ending in last}
    assert longest_line(graph) <= WITHIN


def test_wrong_input_can_save_a_draw_in_the_last_ply():
    """The machine wins with the third ply; wrong input of the visitor's, though forgiven, makes it the fourth."""
    drawing = [(0, [1]), (1, [2]), (0, [3]), "first"]
    short = limited(Toy(drawing), 3)
    assert best_play(explore(short)).value[0] == FIRST_WINS
    housed = HousedGame(short, load_house_rules("three-warnings", short), FIRST)
    graph = explore(housed)
    assert RESULTS[best_play(graph).value[graph.start]] == "draw"


FILE = 'kind = "game"\nfamily = "{}"\n{}ply-limit = {}\n'
MARKS, MORRIS = "columns = 3\nrows = 3\nin-a-row = 3\n", "columns = 3\nrows = 3\nin-a-row = 3\nmen = 3\n"


def test_every_family_takes_a_limit_from_its_file():
    assert parse_game(FILE.format("marks", MARKS, 4), "short.toml").limit == 4
    game = parse_game(FILE.format("steps", MORRIS, 40), "short.toml")
    assert game.limit == 40
    assert game.bits == 18 + 6
    assert parse_game(FILE.format("steps", MORRIS, 0), "long.toml").can_repeat


def test_a_limit_that_cannot_be_is_refused():
    for family, keys, limit, said in [
        ("steps", MORRIS, 1001, "'ply-limit' should be a whole number from 0 to 1000"),
        (
            "marks",
            "columns = 7\nrows = 4\nin-a-row = 4\n",
            100,
            "a count of 100 plies does not fit beside this board",
        ),
        (
            "fill",
            'play = "boxes"\ncolumns = 2\nrows = 2\n',
            4,
            "a game that is played for a score knows no draw",
        ),
    ]:
        with pytest.raises(BadInput) as caught:
            parse_game(FILE.format(family, keys, limit), "bad.toml")
        [problem] = caught.value.problems
        assert said in problem.message
        assert problem.line == len(keys.splitlines()) + 3


@pytest.mark.parametrize("name", ["noughts-and-crosses", "falling-three-4x3"])
@pytest.mark.parametrize("rule", ["complete a line", "take any free cell", "take a corner", "picture"])
def test_a_sheets_rules_allow_the_same_with_a_limit(name, rule):
    game = load_game(name)
    short = limited(game, 5)
    signs = ["-" * game.board.columns] * (game.board.rows - 1) + ["M" + "!" + "-" * (game.board.columns - 2)]
    lines = [rule, *signs] if rule == "picture" else [rule]
    codes = explore(short).codes
    codes = codes[(short.ending(codes) == UNFINISHED) & (short.mover(codes) == FIRST)]
    [of_short] = SheetReader("drawn.rules", lines, short).read(0)
    [of_game] = SheetReader("drawn.rules", lines, game).read(0)
    found = of_short.allowed(View(short, codes, FIRST))
    wanted = of_game.allowed(View(game, short.without_plies(codes), FIRST))
    assert len(found.move)
    assert np.array_equal(found.place, wanted.place)
    assert np.array_equal(found.move, wanted.move)


def test_the_last_move_is_marked_as_without_a_limit(pair):
    game, short = pair
    _, moves, children = short.moves(np.array([short.start], dtype=np.uint64))
    code, fair = int(children[0]), int(short.without_plies(children)[0])
    for last in (None, int(moves[0])):
        assert short.drawing(code, FIRST, last) == [*game.drawing(fair, FIRST, last), "ply 1 of 7"]


@pytest.mark.parametrize(
    ("key", "least", "most", "called"),
    [("ply-limit", 0, 1000, "from 0 to 1000"), ("repetition-limit", 2, 1000, "from 2 to 1000")],
    ids=["plies", "repetitions"],
)
def test_limits_have_their_limits(key, least, most, called):
    text = 'kind = "game"\nfamily = "advance"\nsteps = ["forward", "sideways"]\ncolumns = 3\nrows = 3\n'
    for limit in (least, most):
        assert parse_game(f"{text}{key} = {limit}\n", "limited.toml").name == "limited"
    for limit in (least - 1, most + 1):
        with pytest.raises(BadInput, match=f"'{key}' should be a whole number {called}, not {limit}"):
            parse_game(f"{text}{key} = {limit}\n", "limited.toml")


# Limits in files ------------------------------------------------------------------------------------------

WIDE = 'kind = "game"\nfamily = "marks"\ncolumns = 8\nrows = 6\nin-a-row = 4\ngravity = true\n'
ROUND = 'kind = "game"\nfamily = "steps"\ncolumns = 3\nrows = 1\nmen = 1\n'


def told(text):
    with pytest.raises(BadInput) as caught:
        parse_game(text, "limited.toml")
    [problem] = caught.value.problems
    return problem.line, problem.message


def test_a_count_of_plies_fits_to_the_last_bit():
    """A code has 62 bits beside the turn's and that of a game lost by a house rule; this board takes 56 of them."""
    assert parse_game(WIDE, "wide.toml").bits == 56
    assert parse_game(f"{WIDE}ply-limit = 63\n", "wide.toml").bits == 62
    said = "a count of 64 plies does not fit beside this board; expected a lower one"
    assert told(f"{WIDE}ply-limit = 64\n") == (7, said)


def test_limits_have_their_own_bounds():
    assert parse_game(f"{ROUND}ply-limit = 0\n", "round.toml").can_repeat
    assert not parse_game(f"{ROUND}ply-limit = 1000\n", "round.toml").can_repeat
    assert told(f"{ROUND}ply-limit = 1001\n") == (
        6,
        "'ply-limit' should be a whole number from 0 to 1000, not 1001",
    )
    for comings in (2, 1000):
        assert parse_game(f"{ROUND}repetition-limit = {comings}\n", "round.toml").can_repeat
    for comings in (1, 1001):
        said = f"'repetition-limit' should be a whole number from 2 to 1000, not {comings}"
        assert told(f"{ROUND}repetition-limit = {comings}\n") == (6, said)


def test_limits_that_make_no_sense_are_told():
    both = "with 'ply-limit' no play goes on for ever; expected 'ply-limit' or 'repetition-limit', not both"
    assert told(f"{ROUND}ply-limit = 9\nrepetition-limit = 3\n") == (7, both)
    never = "in this game no position comes back; expected no 'repetition-limit'"
    assert told(f"{WIDE}repetition-limit = 3\n") == (7, never)
    scored = 'kind = "game"\nfamily = "fill"\nplay = "boxes"\ncolumns = 2\nrows = 1\nply-limit = 3\n'
    said = "a game that is played for a score knows no draw; expected no 'ply-limit'"
    assert told(scored) == (6, said)
