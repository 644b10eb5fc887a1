"""What a file says about its game is what the game says: name, title, origin and size, in every family."""

import tomllib
from importlib.resources import files

import numpy as np
import pytest

from games.board import Board
from games.fill.boxes import Boxes
from games.fill.chomp import Chomp
from games.fill.domineering import Domineering
from games.fill.hex import Hex
from games.load import catalogue_names, load_game, parse_game
from games.marks.gravity import Gravity
from games.marks.marks import Marks
from games.marks.shared import SharedMarks
from games.problems import BadInput
from games.take.heaps import Heaps
from games.take.northcott import Northcott
from games.take.octal import any_number
from games.take.pins import Pins

SIZES = {
    "achi": "3 x 3",
    "boxes-three-by-one": "3 x 1",
    "breaking-through": "3 x 5",
    "chomp-five-by-four": "5 x 4",
    "crosses-only": "3 x 3",
    "domineering-five-by-four": "5 x 4",
    "falling-three-4x3": "4 x 3",
    "five-by-three": "5 x 3",
    "hex-three": "3 x 3",
    "kayles": "10 pins",
    "nim-3-4-5": "3-4-5",
    "northcott": "6 x 3",
    "pong-hau-ki": "5 points",
    "round-the-basin": "4 x 4",
}


@pytest.mark.parametrize("name", catalogue_names())
def test_a_game_carries_what_its_file_says(name):
    data = tomllib.loads(files("games").joinpath("catalogue", f"{name}.toml").read_text(encoding="utf-8"))
    game = load_game(name)
    assert (game.name, game.title, game.origin) == (name, data.get("title", name), data.get("from", ""))


@pytest.mark.parametrize(("name", "size"), SIZES.items(), ids=list(SIZES))
def test_a_game_tells_its_size(name, size):
    assert load_game(name).size == size


STEPS = 'family = "steps"\n'
LARGEST = {
    "marks": 'family = "marks"\ncolumns = 7\nrows = 4\nin-a-row = 7',
    "lying marks": 'family = "marks"\ncolumns = 4\nrows = 7\nin-a-row = 7',
    "falling marks": 'family = "marks"\ncolumns = 7\nrows = 8\nin-a-row = 2\ngravity = true',
    "lines of two": 'family = "marks"\ncolumns = 2\nrows = 1\nlines = [["a1", "b1"]]',
    "men that advance": 'family = "advance"\ncolumns = 7\nrows = 4',
    "points for all men": f"{STEPS}columns = 2\nrows = 1\nmen = 1",
    "points": f"{STEPS}columns = 13\nrows = 2\nmen = 13",
    "rows of points": f"{STEPS}columns = 1\nrows = 26\nmen = 1\nsecond-men = 25",
    "guarded moves": f'{STEPS}columns = 3\nrows = 1\nmen = 1\nguarded = ["a1"]\nguarded-moves = 3',
    "boxes": 'family = "fill"\nplay = "boxes"\ncolumns = 4\nrows = 6',
    "strips": 'family = "take"\nplay = "northcott"\nstrips = ["F______S"' + ', "F______S"' * 7 + "]",
}
"""Files at the very edge of what is taken."""
TOO_LARGE = {
    "marks": (
        'family = "marks"\ncolumns = 5\nrows = 6\nin-a-row = 3',
        "a board of 5 x 6 cells is too large; expected at most 28 cells",
    ),
    "falling marks": (
        'family = "marks"\ncolumns = 8\nrows = 7\nin-a-row = 2\ngravity = true',
        "a board of 8 x 7 cells is too large where marks fall: it takes 8 x 8 = 64 bits; expected at most 63",
    ),
    "men that advance": (
        'family = "advance"\ncolumns = 6\nrows = 5',
        "a board of 6 x 5 cells is too large; expected at most 28 cells",
    ),
    "columns of points": (
        f"{STEPS}columns = 27\nrows = 1\nmen = 1",
        "'columns' should be a whole number from 1 to 26, not 27",
    ),
    "rows of points": (
        f"{STEPS}columns = 1\nrows = 27\nmen = 1",
        "'rows' should be a whole number from 1 to 26, not 27",
    ),
    "points": (f"{STEPS}columns = 14\nrows = 2\nmen = 1", "the board has 28 points; expected 2 to 26"),
    "men": (f"{STEPS}columns = 2\nrows = 1\nmen = 1\nsecond-men = 2", "3 men do not fit on 2 points"),
    "men of the first": (
        f"{STEPS}columns = 2\nrows = 1\nmen = 27\nsecond-men = 1",
        "'men' should be a whole number from 1 to 26, not 27",
    ),
    "men of the second": (
        f"{STEPS}columns = 2\nrows = 1\nmen = 1\nsecond-men = 27",
        "'second-men' should be a whole number from 1 to 26, not 27",
    ),
    "a line of points": (
        f"{STEPS}columns = 2\nrows = 1\nmen = 1\nin-a-row = 27",
        "'in-a-row' should be a whole number from 2 to 26, not 27",
    ),
    "guarded moves": (
        f'{STEPS}columns = 3\nrows = 1\nmen = 1\nguarded = ["a1"]\nguarded-moves = 4',
        "'guarded-moves' should be a whole number from 0 to 3, not 4",
    ),
    "a short line": (
        'family = "marks"\ncolumns = 3\nrows = 3\nin-a-row = 1',
        "'in-a-row' should be a whole number from 2 to 3, not 1",
    ),
    "a long line": (
        'family = "marks"\ncolumns = 3\nrows = 3\nin-a-row = 4',
        "'in-a-row' should be a whole number from 2 to 3, not 4",
    ),
}


@pytest.mark.parametrize("text", LARGEST.values(), ids=list(LARGEST))
def test_the_largest_is_taken(text):
    assert parse_game(f'kind = "game"\n{text}\n', "largest.toml").name == "largest"


@pytest.mark.parametrize(("text", "said"), TOO_LARGE.values(), ids=list(TOO_LARGE))
def test_what_is_larger_by_one_is_refused(text, said):
    with pytest.raises(BadInput) as caught:
        parse_game(f'kind = "game"\n{text}\n', "larger.toml")
    [problem] = caught.value.problems
    assert problem.message == said


def test_where_no_man_can_leave_nobody_is_told_of_leaving():
    assert not [name for name in load_game("hexapawn").move_names if "off" in name]
    assert [name for name in load_game("dodgem").move_names if "off" in name]


# Families in Python -----------------------------------------------------------------------------------------------

ROWS = ((0, 1), (1, 2))
PLAIN = {
    "marks": (lambda: Marks("plain", Board(3, 1), ROWS), "wins, and the game is over"),
    "falling marks": (lambda: Gravity("plain", Board(3, 1), ROWS), "wins, and the game is over"),
    "shared marks": (lambda: SharedMarks("plain", Board(3, 1), ROWS, "X"), "marks wins, whoever put them"),
    "dominoes": (lambda: Domineering("plain", Board(3, 2)), "cannot lay one loses"),
    "chomp": (lambda: Chomp("plain", Board(3, 2)), "whoever eats a1 loses"),
    "boxes": (lambda: Boxes("plain", 3, 2), "whoever has scored more has won"),
    "hex": (lambda: Hex("plain", Board(3, 3)), "the first player wins"),
    "heaps": (lambda: Heaps("plain", [3, 2], any_number(3)), "has no move left has lost"),
    "pins": (lambda: Pins("plain", [3, 2], any_number(2)), "has no move left has lost"),
    "strips": (lambda: Northcott("plain", ["F__S"]), "towards the other man or away from it"),
}


@pytest.mark.parametrize(("make", "said"), PLAIN.values(), ids=list(PLAIN))
def test_without_choices_a_game_is_the_plain_one(make, said):
    """It is called by its name, comes from nowhere and is not misere."""
    game = make()
    assert (game.name, game.title, game.origin) == ("plain", "plain", "")
    assert said in " ".join(game.rules)


def test_without_holes_every_cell_of_a_board_of_dominoes_is_free():
    game = Domineering("plain", Board(3, 2))
    assert game.texts(np.array([game.start], dtype=np.uint64), 0) == [".../..."]


def test_who_cannot_lay_a_domino_wins_where_it_is_misere():
    rules = Domineering("turned", Board(3, 2), misere=True).rules
    assert "Whoever cannot lay one wins, and the game is over." in rules


@pytest.mark.parametrize(
    ("key", "words"),
    [
        ("far-edge", '"wins", "loses", "leaves" or "nothing"'),
        ("no-men", '"wins", "loses", "draws" or "nothing"'),
        ("blocked", '"loses", "wins", "draws" or "passes"'),
    ],
    ids=["far-edge", "no-men", "blocked"],
)
def test_a_law_of_men_that_advance_is_one_of_a_few_words(key, words):
    with pytest.raises(BadInput) as caught:
        parse_game(
            f'kind = "game"\nfamily = "advance"\ncolumns = 3\nrows = 3\n{key} = "perhaps"\n', "law.toml"
        )
    [problem] = caught.value.problems
    assert problem.message == f"'{key}' should be {words}, not \"perhaps\""
