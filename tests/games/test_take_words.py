"""Heaps, pins and strips as people see them: drawings, texts, rules in words, files, sheets and play."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from games.load import parse_game
from games.problems import BadInput
from games.take.taking import counted
from tests.take_twins import FIRST, SECOND, heaps, pins, strips, written
from tests.workbench.running import wordtight


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


@pytest.mark.parametrize(
    ("numbers", "said"),
    [
        ([1], "1 counter"),
        ([2], "2 counters"),
        ([1, 2], "1 or 2 counters"),
        ([1, 2, 3, 4], "1, 2, 3 or 4 counters"),
        ([1, 2, 3, 4, 5], "1 to 5 counters"),
        ([2, 3, 4, 5, 6], "2 to 6 counters"),
        ([1, 2, 3, 4, 6], "1, 2, 3, 4 or 6 counters"),
    ],
    ids=str,
)
def test_numbers_are_told_one_by_one_unless_they_are_many_in_a_row(numbers, said):
    assert counted(numbers, "counter") == said


def test_every_drawing_fits_a_screen():
    for game in (pins([58], "0.77").game, heaps([255] * 7).game, strips(["F" + "_" * 14 + "S"] * 4).game):
        assert max(len(line) for line in game.drawing(game.start, FIRST, named=True)) <= 80
        assert all(line.isascii() for line in game.drawing(game.start, FIRST, named=True))


def test_cells_of_one_strip_are_numbers_and_those_of_several_have_the_letter_of_their_column():
    assert strips(["F__S"]).game.move_names == ("1", "2", "3", "4")
    assert strips(["F_S", "S_F"]).game.move_names == ("a1", "b1", "c1", "a2", "b2", "c2")


def test_pins_side_by_side_are_one_part_told_at_its_last_pin():
    game = pins([3, 2], "0.77").game
    codes = np.array(
        [game.read(text, FIRST, FIRST) for text in ("|.|/||", "|||/..", "||./.|")], dtype=np.uint64
    )
    assert game.parts(codes).tolist() == [[1, 0, 1, 0, 2], [0, 0, 3, 0, 0], [0, 2, 0, 0, 1]]


def test_strips_are_drawn_from_the_machine_s_seat():
    game = strips(["F__S", "S_F_"]).game
    assert game.texts(np.array([game.start], dtype=np.uint64), SECOND) == ["V__M/M_V_"]
    assert drawn(game, "VM__/M_V_", "b1", seat=SECOND) == [" V (M) _  _ ", " M  _  V  _ "]


@pytest.mark.parametrize(
    ("pair", "text", "said"),
    [
        (heaps([3, 4, 5]), "3-4", "expected the sizes of 3 heaps, such as 3-4-5, not '3-4'"),
        (heaps([3, 4, 5]), "3-4-x", "expected the sizes of 3 heaps, such as 3-4-5, not '3-4-x'"),
        (heaps([3, 4, 5]), "3-5-5", "'3-5-5' has 5 in a heap that began with 4; expected no more"),
        (heaps([21]), "M__", "expected the size of the heap, such as 21, not 'M__'"),
        (
            heaps([21]),
            "9" * 5000,
            f"'{'9' * 5000}' has {'9' * 5000} in a heap that began with 21; expected no more",
        ),
        (heaps([21]), "\u0663", "expected the size of the heap, such as 21, not '\u0663'"),
        (
            pins([3, 2], "0.77"),
            "||||",
            "expected pins such as |||/||, with . for each that is gone, not '||||'",
        ),
        (
            pins([3, 2], "0.77"),
            "|||/|x",
            "expected pins such as |||/||, with . for each that is gone, not '|||/|x'",
        ),
        (pins([3], "0.77"), "|/|", "expected pins such as |||, with . for each that is gone, not '|/|'"),
        (strips(["F__S"]), "MV_V", "strip 1 of this position has not one man of either side"),
        (strips(["F__S"]), "M___", "strip 1 of this position has not one man of either side"),
        (strips(["F__S", "F__S"]), "M__V/V__M", "the men on strip 2 have jumped over each other"),
        (strips(["F__S"]), "M_V", "expected 1 row of 4 signs divided by '/', such as M___, not 'M_V'"),
    ],
)
def test_a_text_that_is_no_position_is_told_so(pair, text, said):
    with pytest.raises(ValueError) as caught:
        pair.game.read(text, FIRST, FIRST)
    assert str(caught.value) == said


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


# Sheets, tables and play ----------------------------------------------------------------------------------

HEAPS = "game: nim-1-2-3\nseat: second\n\nlook ahead 6 plies\n"
TABLE = "game: twenty-one\nseat: first\n\nposition,move\n"
COUNTERS = 'game: twenty-one\nseat: first\n\nuse table "counters.csv"\n'


@pytest.fixture
def folder(tmp_path, monkeypatch):
    rows = [f"{left},{left % 4}\n" for left in range(1, 22) if left % 4]
    (tmp_path / "heaps.rules").write_text(HEAPS, encoding="utf-8")
    (tmp_path / "counters.csv").write_text(TABLE + "".join(rows), encoding="utf-8")
    (tmp_path / "counters.rules").write_text(COUNTERS, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_a_sheet_that_looks_ahead_and_one_with_a_table_are_proved(folder):
    for sheet in ("heaps.rules", "counters.rules", "counters.csv"):
        ran = wordtight("prove", sheet)
        assert (ran.status, "PROVED" in ran.out) == (0, True), ran


def test_a_table_with_a_wrong_row_is_refuted_and_one_without_a_row_has_no_answer(folder):
    table = (folder / "counters.csv").read_text(encoding="utf-8")
    (folder / "counters.csv").write_text(table.replace("10,2\n", "10,1\n"), encoding="utf-8")
    (folder / "counters.rules").write_text(COUNTERS + "look ahead 1 ply\n", encoding="utf-8")
    ran = wordtight("prove", "counters.rules")
    assert (ran.status, "REFUTED" in ran.out) == (1, True)
    assert "is the first losing decision: the machine plays 1." in " ".join(ran.out.split())
    (folder / "counters.csv").write_text(table.replace("10,2\n", ""), encoding="utf-8")
    ran = wordtight("prove", "counters.csv")
    assert (ran.status, "NO ANSWER" in ran.out) == (1, True)


def test_a_lost_turn_gives_the_game_away_and_the_line_is_shown(folder):
    ran = wordtight("prove", "heaps.rules", "--house-rules", "lost-turn")
    assert ran.status == 1
    assert "THE HOUSE RULES GIVE THE GAME AWAY" in ran.out
    assert "The visitor wins in 5 plies with wrong input:" in ran.out


def test_heaps_are_played_at_the_terminal(folder):
    ran = wordtight("play", "nim-1-2-3", "--against", "heaps.rules", stdin=b"b1\nb2\nd1\nB1\na1\nq\n")
    assert ran.status == 0
    assert "I PLAY c3" in ran.out
    assert "I WIN" in ran.out


CATALOGUE = {
    "nim-1-2-3": "second",
    "nim-3-4-5": "first",
    "misere-nim-3-4-5": "first",
    "twenty-one": "first",
    "kayles": "first",
    "misere-kayles": "first",
    "dawsons-kayles": "first",
    "northcott": "first",
    "northcott-forward": "first",
}


@pytest.mark.parametrize("name", CATALOGUE)
def test_the_games_of_the_catalogue_are_shown_and_solved(name):
    shown = wordtight("show", name)
    assert (shown.status, shown.err) == (0, "")
    assert all(len(line) <= 80 and line.isascii() for line in shown.out.splitlines())
    solved = wordtight("solve", name, "--no-counts")
    assert solved.status == 0
    assert f"the {CATALOGUE[name]} player wins" in " ".join(solved.out.split())
