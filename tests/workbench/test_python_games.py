"""A game in Python on the command line: every command takes it, and no file can smuggle one in."""

import json
import shutil
from pathlib import Path

import pytest

from tests.games.test_lawful_files import MISTAKES, faulty
from tests.workbench.running import wordtight
from workbench.new import template

ROOT = Path(__file__).parents[2]
SHEET = """\
seat: first

complete a line
take the centre
picture
    V - - - - - !
picture
    - V - - - ! -
"""


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "kept"))
    Path("my_game.py").write_text(template("python-game"), encoding="utf-8")
    Path("my.rules").write_text(SHEET, encoding="utf-8")


def changed(old, new):
    text = template("python-game")
    assert old in text
    Path("my_game.py").write_text(text.replace(old, new), encoding="utf-8")


# What works -------------------------------------------------------------------------------------------------


def test_new_check_show_solve():
    assert wordtight("new", "python-game", "--force").out.startswith("Written: my_game.py.")
    checked = wordtight("check", "my_game.py")
    assert (checked.status, checked.err) == (0, "")
    told = " ".join(checked.out.split())
    assert "tried on all 145 positions that can be reached." in told
    assert told.endswith("Next: wordtight solve my_game.py (who wins under best play)")
    figures = json.loads(wordtight("check", "my_game.py", "--json").out)
    assert (figures["kind"], figures["positions"], figures["all_positions"]) == ("python-game", 145, True)
    shown = json.loads(wordtight("show", "my_game.py", "--json").out)
    assert (shown["game"], shown["size"], shown["symmetries"]) == ("my_game", "7 x 1", 2)
    solved = json.loads(wordtight("solve", "my_game.py", "--json").out)
    assert (solved["value"], solved["distance"], solved["positions"]) == ("first", 5, 145)


def test_a_sheet_is_checked_proved_sized_and_played_for_the_game_that_is_named():
    named = ("--game", "my_game.py")
    assert wordtight("check", "my.rules", *named).status == 0
    assert "PROVED" in wordtight("prove", "my.rules", *named).out
    sized = wordtight("size", "my.rules", *named, "--machine", "twelve-bit")
    assert (sized.status, "are not written" in sized.out) == (3, True)  # words of tables alone
    drilled = wordtight("drill", "my.rules", *named, "--machine", "twelve-bit")
    assert (drilled.status, drilled.out.startswith("NOTHING TO DRILL")) == (3, True)
    played = wordtight("play", "my_game.py", "--against", "my.rules", stdin=b"a\nb\nq\n")
    assert (played.status, played.err) == (0, "")
    assert "I WIN" in played.out


def test_house_rules_reach_the_game():
    """In a game where having to move hurts, a turn lost on purpose can be worth something."""
    for rules in ("usual", "lost-turn"):
        solved = json.loads(wordtight("solve", "my_game.py", "--house-rules", rules, "--json").out)
        assert solved["fair_value"] == "first"
    assert wordtight("prove", "my.rules", "--game", "my_game.py", "--house-rules", "lost-turn").status in (
        0,
        1,
    )


def test_a_large_game_is_checked_on_a_sample_which_is_said():
    shutil.copy(ROOT / "benchmarks" / "four_by_four.py", "four_by_four.py")
    checked = wordtight("check", "four_by_four.py")
    told = " ".join(checked.out.split())
    assert "of the positions that can be reached: all up to ply 5, then up to 1,000 a ply." in told
    assert json.loads(wordtight("check", "four_by_four.py", "--json").out)["all_positions"] is False


def test_check_says_what_could_be_quicker():
    changed("can_repeat = False", "can_repeat = True")
    told = " ".join(wordtight("check", "my_game.py").out.split())
    assert "No position comes back: 'can_repeat = False' would have it solved faster." in told


def test_check_says_that_no_game_would_end():
    Path("endless.py").write_text(
        "import numpy as np\nbits, start, move_names = 1, 0, ['pass']\n"
        "def mover(codes): return codes >> 63\ndef ending(codes): return codes * 0\n"
        "def moves(codes):\n    at = np.arange(len(codes))\n    return at, at * 0, codes ^ 2**63\n",
        encoding="utf-8",
    )
    told = " ".join(wordtight("check", "endless.py").out.split())
    assert "But no position is over: every game goes on for ever." in told


def test_what_the_file_prints_does_not_disturb_json():
    Path("my_game.py").write_text("print('hello')\n" + template("python-game"), encoding="utf-8")
    ran = wordtight("solve", "my_game.py", "--json")
    assert json.loads(ran.out)["value"] == "first"
    assert ran.err == "hello\n"


def test_a_changed_file_is_solved_anew():
    assert json.loads(wordtight("solve", "my_game.py", "--json").out)["positions"] == 145
    changed("result[has_three(first)] = 1\n    result[has_three(second)] = 2\n    return", "return")
    assert json.loads(wordtight("solve", "my_game.py", "--json").out)["positions"] == 147


# What does not ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("command", ["check", "prove"])
@pytest.mark.parametrize(
    ("name", "header"), [("my.rules", SHEET), ("my.csv", "seat: first\nposition,move\n")]
)
def test_no_strategy_brings_a_program_with_it(command, name, header):
    """The file would leave a trace if it were run."""
    Path("evil.py").write_text("open('trace', 'w').close()\n" + template("python-game"), encoding="utf-8")
    Path(name).write_text(f"game: evil.py\n{header}", encoding="utf-8")
    ran = wordtight(command, name)
    assert (ran.status, ran.out) == (2, "")
    assert ran.err == (
        f"{name}:1:7: evil.py is a program, and is run only where you name it yourself; "
        "expected the option --game evil.py\n"
    )
    ran = wordtight(command, name, "--game", "my_game.py")
    assert ran.status == 2
    assert ran.err.startswith(
        f"{name}:1:7: the file says 'game: evil.py', but --game my_game.py was asked for"
    )
    assert not Path("trace").exists()


@pytest.mark.parametrize("written", ["EVIL.PY", "./evil.py", "sub/../evil.py"])
def test_no_other_spelling_helps_it(written):
    Path("evil.py").write_text("open('trace', 'w').close()\n", encoding="utf-8")
    Path("my.rules").write_text(f"game: {written}\n{SHEET}", encoding="utf-8")
    ran = wordtight("prove", "my.rules")
    assert ran.status == 2
    assert "is a program, and is run only where you name it yourself" in ran.err
    assert not Path("trace").exists()


@pytest.mark.parametrize("where", ["my_game.py", "./my_game.py", "sub/../my_game.py"])
def test_a_header_may_agree_with_what_was_named(where):
    Path("sub").mkdir()
    Path("my.rules").write_text(f"game: my_game.py\n{SHEET}", encoding="utf-8")
    ran = wordtight("prove", "my.rules", "--game", where)
    assert (ran.status, ran.err) == (0, "")


def test_broken_promises_are_told_each_in_a_line_with_status_2():
    changed("return moves if symmetry == 0 else BERTHS - 1 - moves", "return moves[::-1]")
    changed_too = (
        Path("my_game.py").read_text(encoding="utf-8").replace("moves[::-1]", "(moves + symmetry) % BERTHS")
    )
    Path("my_game.py").write_text(changed_too, encoding="utf-8")
    ran = wordtight("check", "my_game.py")
    assert (ran.status, ran.out) == (2, "")
    assert ran.err == (
        "my_game.py:91: turned_move: symmetry 1 and then 1 is none of them; expected a group, closed in itself\n"
    )
    assert wordtight("check", "my_game.py", "--json") == ran


def test_check_tells_everything_that_is_wrong():
    changed(
        "can_repeat = False",
        "can_repeat = False\nrefusals = ['no']\ndef why_not(codes, moves): return moves * 0",
    )
    text = Path("my_game.py").read_text(encoding="utf-8").replace("for low in (0, BERTHS)", "for low in (0,)")
    Path("my_game.py").write_text(text, encoding="utf-8")
    ran = wordtight("check", "my_game.py")
    assert ran.status == 2
    functions = [line.split(": ", 1)[1].split()[0].rstrip(":") for line in ran.err.splitlines()]
    assert functions == ["why_not", "turned"]


@pytest.mark.parametrize("name", MISTAKES)
def test_no_mistake_in_a_file_gets_past_the_commands_or_makes_them_fail(name):
    Path("my_game.py").write_text(faulty(MISTAKES[name][0]), encoding="utf-8")
    for arguments in (("solve", "my_game.py"), ("prove", "my.rules", "--game", "my_game.py")):
        ran = wordtight(*arguments)
        assert (ran.status, ran.out) == (2, "")
        assert all(line.startswith(("my_game.py:", "    ")) for line in ran.err.splitlines()), ran.err


AWAY = "if (codes & 1).any(): raise ValueError('no berth a')\n    "


@pytest.mark.parametrize("function", ["moves", "mover", "ending", "holdings", "turned"])
def test_an_exception_in_the_middle_of_the_work_is_one_clear_line(function):
    arguments = "symmetry, codes" if function == "turned" else "codes"
    changed(f"def {function}({arguments}):\n    ", f"def {function}({arguments}):\n    {AWAY}")
    for arguments in (
        ("check", "my_game.py"),
        ("solve", "my_game.py"),
        ("prove", "my.rules", "--game", "my_game.py"),
        ("size", "my.rules", "--game", "my_game.py", "--machine", "twelve-bit"),
        ("play", "my_game.py", "--against", "my.rules"),
    ):
        ran = wordtight(*arguments, stdin=b"a\nb\nc\nq\n")
        assert ran.status in (0, 1, 2, 3)  # not every command asks every function
        assert "Traceback" not in ran.err
        if ran.status == 2:
            line = ran.err.splitlines()[-1]
            assert line.endswith("ValueError: no berth a"), line
            assert line.startswith("my_game.py:"), line
    assert wordtight("check", "my_game.py").status == 2


def test_a_file_that_is_no_game():
    Path("my_game.py").write_text("x = 1\n", encoding="utf-8")
    for command in ("check", "show", "solve"):
        ran = wordtight(command, "my_game.py")
        assert (ran.status, ran.out) == (2, "")
        assert ran.err.startswith(
            "my_game.py: 'moves' is missing; expected def moves(codes), which gives parent,"
        )
    ran = wordtight("solve", "nowhere.py")
    assert (ran.status, ran.err) == (2, "nowhere.py: cannot be read: there is no such file\n")
