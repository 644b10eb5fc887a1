"""Games at the terminal, typed in as a visitor would; and the session behind them against the game itself."""

import re
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from games.codes import UNFINISHED
from games.house import load_house_rules, parse_house_rules
from solver.counts import lines_of_play
from solver.load import load_strategy
from solver.walk import walk
from tests.workbench.running import wordtight
from workbench import play as playing
from workbench.new import template
from workbench.play import Odds, Session

HEAD = "game: noughts-and-crosses\nseat: second\n"
GOOD = f"{HEAD}complete a line\nblock a line\nstop a double threat\ntake the centre\ntake any free cell\n"
SHORT = f"{HEAD}take the centre\ntake a corner\n"
KEYS = """
kind = "house-rules"
input = "key"
[[rule]]
when = ["not-understood"]
say = "WHICH KEY IS THAT"
[[rule]]
when = ["off-board"]
say = "NO SUCH CELL"
[[rule]]
when = ["taken-by-machine"]
say = "MINE"
[[rule]]
when = ["taken-by-visitor"]
say = "YOURS"
[[rule]]
when = ["after-end"]
say = "IT IS OVER"
"""
LINES = f"""
{KEYS.replace('"key"', '"line"')}
[[rule]]
when = ["empty"]
say = "NOTHING"
[[rule]]
when = ["too-long"]
say = "TOO LONG"
"""
QWERTZ = """
kind = "game"
family = "marks"
columns = 3
rows = 3
in-a-row = 3
cells = ["q", "w", "e", "a", "s", "d", "z", "x", "c"]
"""
FILES = {
    "my.rules": template("rules"),
    "good.rules": GOOD,
    "short.rules": SHORT,
    "both.rules": GOOD.replace("second", "both"),
    "first.rules": GOOD.replace("second", "first"),
    "table.csv": template("table"),
    "keys.toml": KEYS,
    "lines.toml": LINES,
    "qwertz.toml": QWERTZ,
    "qwertz.rules": "game: qwertz.toml\nseat: second\ntake a corner\ntake any free cell\n",
}


@pytest.fixture(autouse=True)
def in_a_folder_of_files(tmp_path, monkeypatch):
    for name, text in FILES.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)


def play(typed, sheet="my.rules", *options, game="noughts-and-crosses", status=0):
    """What is said when these lines are typed, without drawn boards: a list for each time the visitor is asked."""
    ran = wordtight("play", game, "--against", sheet, *options, stdin=typed)
    assert (ran.status, ran.err) == (status, "")
    assert all(len(line) <= 80 and line.isprintable() and line.isascii() for line in ran.out.split("\n"))
    said = re.split(r"(?:YOUR MOVE|Return: another game\. \w+: enough)\? ", ran.out)
    board = re.compile(r" *[\w ]+\|[\w |]+| *[-+]+| *")
    return [[line for line in part.split("\n") if not board.fullmatch(line)] for part in said]


def test_a_legal_game_from_the_first_board_to_the_last_word():
    none_of_them = f"None of the {len(all_games('good.rules'))} lines beats this sheet."
    assert play(b"1\n9\n8\n3\n4\nq\n", "good.rules") == [
        [
            "Noughts and crosses: you are V, the machine is M and moves second. Type your",
            "move, such as 1; q ends the play.",
            none_of_them,
        ],
        ["I PLAY 5"],
        ["I PLAY 2"],
        ["I PLAY 7"],
        ["I PLAY 6"],
        ["A DRAW", none_of_them],
        ["Next: wordtight prove good.rules  (the truth about it)"],
    ]


@cache
def all_games(name):
    """Every line of inputs with which a visitor can play against a sheet, and whether it beats it."""
    session = session_of(name)
    lines = []

    def go_on(typed):
        if session.is_over or session.is_stuck:
            lines.append((typed, tuple(session.moves) in session.found))
            return
        code, moves = session.code, session.moves
        for cell in session.game.fair.move_names:
            session.code, session.moves = code, list(moves)
            session.enter(cell.encode())
            if session.code != code:  # the cell was free
                go_on((*typed, cell.encode()))

    go_on(())
    assert len(session.found) == sum(beats for _, beats in lines)
    return lines


def losing_lines(name):
    """What can be typed, a move a line, to beat a sheet."""
    return [b"".join(move + b"\n" for move in typed) for typed, beats in all_games(name) if beats]


def session_of(name, house="usual"):
    written = load_strategy(name)
    return Session(written.strategy(written.seats[0]), load_house_rules(house, written.game))


@pytest.mark.parametrize("name", ["my.rules", "short.rules", "table.csv"])
def test_the_lines_that_are_counted_are_those_that_can_be_played(name):
    assert session_of(name).odds() == Odds(len(all_games(name)), len(losing_lines(name)))


def test_the_first_sheet_of_a_learner_has_two_holes_to_be_found():
    """As the README and the sheet itself promise; a line that is found twice is counted once."""
    one, other = losing_lines("my.rules")
    said = play(one + b"\n" + one + b"\n" + other + b"q\n")
    assert [line for part in said for line in part if "beat" in line] == [
        "2 of 585 lines beat this sheet; nobody has found one yet.",
        "2 of 585 lines beat this sheet; 1 found so far.",
        "2 of 585 lines beat this sheet; 1 found so far.",
        "2 of 585 lines beat this sheet; 2 found so far.",
    ]
    assert sum("YOU WIN" in part for part in said) == 3


def test_a_position_without_an_answer_is_a_hole():
    hole = "THE STRATEGY HAS NO ANSWER HERE. YOU HAVE FOUND A HOLE."
    endings = [play(line + b"5\nq\n", "short.rules") for line in losing_lines("short.rules")[:200:10]]
    stuck = [said for said in endings if any(hole in part for part in said)]
    assert stuck
    for said in stuck:
        assert said[-3][-1].endswith(" beat this sheet; 1 found so far.")
        assert said[-2] == said[-3][-1:]  # whatever is typed now, nothing moves


def test_the_machine_moves_first_where_that_is_its_seat():
    said = play(b"q\n", "table.csv")
    assert said[0][-2:] == [f"None of the {len(all_games('table.csv'))} lines beats this table.", "I PLAY 5"]


def test_every_class_of_wrong_input_by_line():
    typed = b"\n10\n5\n?\n0\n\xff\xfe\n123456789\n" + b"1" * 25_000 + b"\n1\n5\nq\n"
    said = play(typed, "my.rules", "--house-rules", "lines.toml")
    assert [part[-1] for part in said[1:-1]] == [
        "NOTHING", "NO SUCH CELL", "I PLAY 1", "WHICH KEY IS THAT", "NO SUCH CELL", "WHICH KEY IS THAT",
        "TOO LONG", "TOO LONG", "MINE", "YOURS",
    ]  # fmt: skip


def test_every_class_of_wrong_input_by_key():
    said = play(b"0\n?5\n15\n\n55\nq\n", "my.rules", "--house-rules", "keys.toml")
    assert said[1:-1] == [
        ["NO SUCH CELL"],
        ["WHICH KEY IS THAT", "I PLAY 1"],
        ["MINE", "YOURS"],
        [],
        ["YOURS", "YOURS"],
    ]


def test_a_move_after_the_end():
    said = play(losing_lines("my.rules")[0] + b"5\n\nq\n", "my.rules", "--house-rules", "lines.toml")
    ended = next(place for place, part in enumerate(said) if "YOU WIN" in part)
    assert said[ended + 1] == ["IT IS OVER", "2 of 585 lines beat this sheet; 1 found so far."]
    assert said[ended + 2] == []  # Return alone: an empty board, and the visitor is asked


def test_a_lost_turn_is_the_machines():
    said = play(b"5\n5\nq\n", "good.rules", "--house-rules", "lost-turn")
    assert said[2][0] == "YOU LOSE YOUR TURN"
    assert said[2][1].startswith("I PLAY ")


def test_the_fourth_wrong_input_loses_after_three_warnings():
    said = play(b"x\nx\nx\nx\nx\nq\n", "good.rules", "--house-rules", "three-warnings")
    assert [part[0] for part in said[1:-1]] == ["CAREFUL. AGAIN"] * 3 + ["YOU LOSE", "GAME OVER"]
    assert "I WIN" in said[4]


@pytest.mark.parametrize("typed", [b"", b"5", b"5\n", b"5\n1\n?", b"q", b"Q\n", b" quit \n", b"5\nQUIT\n"])
def test_play_ends_with_the_word_or_the_input(typed):
    said = play(typed)
    assert said[-1][-1] == "Next: wordtight prove my.rules  (the truth about it)"


def test_a_cell_called_like_the_word_that_ends_the_play_can_be_played():
    said = play(b"q\nquit\n", "qwertz.rules", game="qwertz.toml")
    assert "quit ends the play." in " ".join(said[0])
    assert said[1] == ["I PLAY e"]
    assert len(said) == 3


def test_a_sheet_for_both_seats_plays_in_the_one_that_is_asked_for():
    ran = wordtight("play", "noughts-and-crosses", "--against", "both.rules")
    assert ran.status == 2
    assert ran.err == "both.rules: is for both seats; expected --seat first or --seat second\n"
    for seat in ("first", "second"):
        assert f"moves {seat}." in " ".join(play(b"q\n", "both.rules", "--seat", seat)[0])


def test_play_needs_lines_it_can_count_no_more_than_it_needs_an_end():
    Path("hau.rules").write_text("game: pong-hau-ki\nseat: second\nlook ahead 1 ply\n", encoding="utf-8")
    said = play(b"q\n", "hau.rules", game="pong-hau-ki")
    assert "cannot be counted" in " ".join(said[0])


# The session against the game ------------------------------------------------------------------------------

INPUTS = st.one_of(
    st.sampled_from([b"1", b"2", b"3", b"4", b"5", b"6", b"7", b"8", b"9"]),
    st.sampled_from([b"", b"0", b"10", b"?", b"x", b"123456789", b"\xff", b" 5"]),
    st.binary(max_size=12),
)
SEVERE = """
kind = "house-rules"
[[rule]]
when = ["off-board", "taken-by-visitor"]
say = "A"
cost = "turn"
forgive = 1
[[rule]]
when = ["any"]
say = "B"
cost = "game"
forgive = 2
"""


@pytest.mark.parametrize("name", ["my.rules", "short.rules", "first.rules", "table.csv"])
@pytest.mark.parametrize("house", ["usual", "lost-turn", "three-warnings", "severe"])
def test_a_session_never_leaves_the_walk(name, house):
    """Whatever is typed, the position is one that the proof has been through, reached by one of its moves."""
    written = load_strategy(name)
    rules = (
        parse_house_rules(SEVERE, "severe.toml", written.game)
        if house == "severe"
        else load_house_rules(house, written.game)
    )
    session = Session(written.strategy(written.seats[0]), rules)
    graph = walk(session.game, session.strategy).graph
    steps = {
        (int(graph.codes[parent]), int(move)): int(graph.codes[child])
        for parent, move, child in zip(graph.parent, graph.move, graph.child, strict=True)
    }

    @settings(max_examples=15)
    @given(st.lists(INPUTS, max_size=12))
    def any_visitor(typed):
        session.begin()
        for text in typed:
            before = len(session.moves)
            said = session.enter(text) if not session.is_stuck else ["?"]
            assert said
            assert all(isinstance(line, str) for line in said)
            code = session.game.start
            for move in session.moves:
                code = steps[code, move]
            assert code == session.code
            assert len(session.moves) >= before
            assert session.is_over == bool(
                session.game.ending(np.array([code], dtype=np.uint64))[0] != UNFINISHED
            )

    any_visitor()


def test_odds_count_what_the_walk_counts():
    session = session_of("my.rules", "lost-turn")
    lines = lines_of_play(walk(session.game, session.strategy).graph)
    assert session.odds() == Odds(lines["all"], lines["first"])


def test_the_example_that_is_given_is_a_move():
    for name in ("my.rules", "table.csv"):
        session = session_of(name)
        before = len(session.moves)
        session.enter(session.example().encode())
        assert len(session.moves) > before


# Other games -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "game", ["nim-3-4-5", "kayles", "hexapawn", "dodgem", "hex-three", "chomp-four-by-three", "mu-torere"]
)
@pytest.mark.parametrize("seat", ["first", "second"])
def test_every_family_of_games_can_be_played(game, seat):
    """A visitor who always types the first open move comes to an end, or is asked as long as the input lasts."""
    Path("ahead.rules").write_text("look ahead 1 ply\n", encoding="utf-8")
    written = load_strategy("ahead.rules", game=game, seat=seat)
    session = Session(written.strategy(written.seats[0]), written.house)
    typed = []
    while not session.is_over and len(typed) < 8:
        typed.append(session.example())
        assert session.enter(typed[-1].encode())[0].startswith(("I PLAY", "I WIN", "YOU WIN", "A DRAW"))
    ran = wordtight("play", game, "--against", "ahead.rules", "--seat", seat, stdin="\n".join(typed).encode())
    assert (ran.status, ran.err) == (0, "")
    assert ran.out.isascii()
    assert all(len(line) <= 80 for line in ran.out.split("\n"))
    assert ran.out.count("? \n") == len(typed) + 1


def test_a_visitor_does_not_wait_for_lines_that_nobody_could_count(monkeypatch):
    monkeypatch.setattr(playing, "MOST_COUNTED", 100)
    assert session_of("my.rules").odds() is None
    assert "cannot be counted" in " ".join(play(b"q\n")[0])
