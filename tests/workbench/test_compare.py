"""Two strategies side by side, as people and programs read it."""

import json

import pytest

from solver.played import Side
from tests.workbench.running import wordtight
from workbench.commands import compare as compare_command
from workbench.tell_compare import _played

HEADER = "game: noughts-and-crosses\nseat: second\n"
FERRY = (
    "complete a line\nblock a line\nmake a double threat\ntake the centre\n"
    "take the opposite corner\ntake a corner\ntake an edge\n"
)
SAME_GAME = "expected two strategies for the same game"
SAME_SEAT = "expected the same seat (--seat second would do)"
LAMP = "complete a line\nblock a line\nstop a double threat\ntake the centre\ntake a corner\ntake any free cell\n"


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)

    def write(name, text):
        (tmp_path / name).write_text(text, encoding="utf-8")

    write("ferry.rules", HEADER + FERRY)
    write("lamp.rules", HEADER + LAMP)
    return write


def test_the_report_says_who_gives_what_away_and_draws_it():
    ran = wordtight("compare", "ferry.rules", "lamp.rules", "--boards", "1")
    assert (ran.status, ran.err) == (0, "")
    lines = ran.out.splitlines()
    assert lines[:3] == [
        "A: ferry.rules",
        "B: lamp.rules",
        "Noughts and crosses, machine moves second, house rules 'usual'",
    ]
    figures = {line[:39].rstrip(): line[39:].split() for line in lines[5:18]}
    assert figures["verdict"] == ["refuted", "proved"]
    assert figures["boards on which the machine moves"] == ["72", "91"]
    assert figures["boards on which it gives something away"] == ["2", "0"]
    assert "A turns a draw into a loss on 2 boards." in lines
    assert "B gives nothing away, on any board that it meets." in lines
    assert "Both of them meet 68 boards, and on 5 of them they play differently." in lines
    assert "The first is drawn here; --boards 5 draws all." in lines
    assert lines[-7:] == [
        "                          A plays 1, 3 or 9: 9      B plays 1 or 3: each",
        "ply 4, machine to move    turns a draw into a loss  keeps the draw",
        " _  V  _                   _  V  _                  (M) V  _",
        " V  M  _                   V  M  _                   V  M  _",
        " _  _  _                   _  _ (M)                  _  _  _",
        "",
        "Next: wordtight prove ferry.rules  (why it does not hold, with the line of play)",
    ]
    assert max(map(len, lines)) <= 80


def test_the_record_lists_every_difference():
    ran = wordtight("compare", "ferry.rules", "lamp.rules", "--json")
    found = json.loads(ran.out)
    assert (ran.status, ran.err) == (0, "")
    assert found["boards_that_differ"] == len(found["differences"]) == 5
    assert found["boards_of_both"] == found["a"]["boards"] - found["a"]["boards_alone"] == 68
    assert found["a"]["gives_away"] == {"differ": 2, "same": 0, "alone": 0}
    assert found["a"]["kinds"] == [{"before": "draw", "after": "loss", "boards": 2}]
    assert "words" not in found["a"]
    first = found["differences"][0]
    assert (first["ply"], first["position"]) == (4, "_V_/VM_/___")
    assert first["a"] == {
        "moves": ["1", "3", "9"],
        "illegal": [],
        "unanswered": False,
        "worst": "9",
        "before": "draw",
        "after": "loss",
        "later": 0,
    }


def test_the_same_sheet_twice_differs_nowhere():
    ran = wordtight("compare", "lamp.rules", "lamp.rules")
    assert "They play the same on every board that both of them meet (91)." in ran.out
    assert ran.out.endswith(
        "Next: wordtight size lamp.rules --machine twelve-bit  (does it fit a machine?)\n"
    )


@pytest.mark.long
def test_on_a_machine_the_words_are_those_of_size():
    found = json.loads(
        wordtight("compare", "ferry.rules", "lamp.rules", "--machine", "relay-256", "--json").out
    )
    for side, file in (("a", "ferry.rules"), ("b", "lamp.rules")):
        size = json.loads(
            wordtight("size", file, "--machine", "relay-256", "--encoding", "as-written", "--json").out
        )
        rows = size["programs"]
        assert found[side]["words"] == rows
        assert found[side]["verdicts"] == size["verdicts"]
        assert found[side]["least_words"] == min(row["total_words"] for row in rows if row["total_words"])
        assert found["store_words"] == size["store_words"]
    out = wordtight("compare", "ferry.rules", "lamp.rules", "--machine", "relay-256", "--boards", "0").out
    for name, side in (("A", "a"), ("B", "b")):
        assert f"The fewest words for {name}: {found[side]['least_words']:,} (" in out
    assert "None is drawn here; --boards 5 draws all." in out


@pytest.mark.long
def test_what_settling_the_choices_changes_is_said(folder):
    open_sheet = LAMP.replace("take a corner\n", "")
    folder("open.rules", HEADER + open_sheet)
    folder("plain.rules", HEADER + "choice: plain\n" + LAMP)
    ran = wordtight("compare", "open.rules", "plain.rules", "--machine", "twelve-bit")
    sized = ("size", "open.rules", "--machine", "twelve-bit", "--encoding", "as-written", "--json")
    verdicts = json.loads(wordtight(*sized).out)["verdicts"]
    assert verdicts == {"plain": "proved", "turned": "proved"}
    assert json.loads(wordtight("prove", "open.rules", "--json").out)["verdict"] == "refuted"
    for reading in verdicts:
        assert f"With its choices settled {reading}, A is proved." in ran.out
    assert "settled plain, B" not in ran.out


@pytest.mark.long
def test_what_has_no_answer_somewhere_has_no_words(folder):
    folder("short.rules", HEADER + "complete a line\n")
    ran = wordtight("compare", "short.rules", "lamp.rules", "--machine", "twelve-bit")
    assert ran.status == 0
    assert "A cannot be built: in some position that can be met it has no legal answer." in ran.out
    assert "A has no move: no rule    B plays 5: keeps the" in ran.out
    found = json.loads(
        wordtight("compare", "short.rules", "short.rules", "--machine", "twelve-bit", "--json").out
    )
    assert found["a"]["words"] == []
    assert found["a"]["least_words"] is None
    both = wordtight("compare", "short.rules", "short.rules", "--machine", "twelve-bit").out
    assert "in words:" not in both


def test_both_seats_are_compared_one_after_the_other(folder):
    for name in ("one.rules", "two.rules"):
        folder(
            name,
            f"game: two-by-two\nseat: both\ntake {'a1' if name[0] == 'o' else 'b2'}\ntake any free cell\n",
        )
    ran = wordtight("compare", "one.rules", "two.rules")
    assert ran.out.count("A: one.rules") == 2
    assert ran.out.count("-" * 80) == 1
    found = json.loads(wordtight("compare", "one.rules", "two.rules", "--json").out)
    assert [each["seat"] for each in found["seats"]] == ["first", "second"]


def test_a_lost_seat_is_not_blamed_on_the_sheets(folder):
    folder("nim.rules", "game: nim-1-2-3\nseat: first\nlook ahead 9 plies\n")
    ran = wordtight("compare", "nim.rules", "nim.rules")
    assert "This seat is lost from the start" in ran.out
    assert "A gives nothing away, on any board that it meets." in ran.out


def test_house_rules_that_give_the_seat_away_are_named(folder):
    folder("rules.rules", "game: misere-noughts-and-crosses\nseat: second\nlook ahead 2 plies\n")
    ran = wordtight("compare", "rules.rules", "rules.rules", "--house-rules", "lost-turn")
    assert "The house rules give this seat away" in ran.out


@pytest.mark.parametrize(
    ("b", "says"),
    [
        (
            "game: hexapawn\nseat: second\nlook ahead 1 ply\n",
            f"b.rules: plays hexapawn, and lamp.rules plays noughts-and-crosses; {SAME_GAME}",
        ),
        (
            "game: noughts-and-crosses\nseat: first\ntake any free cell\n",
            "b.rules: here the machine moves first, and in lamp.rules second; expected the same seat",
        ),
        (
            "game: noughts-and-crosses\nseat: both\ntake any free cell\n",
            f"b.rules: here the machine moves first and second, and in lamp.rules second; {SAME_SEAT}",
        ),
        (
            "game: noughts-and-crosses\nseat: second\nhouse-rules: lost-turn\ntake any free cell\n",
            "b.rules: goes by the house rules 'lost-turn', and lamp.rules by 'usual'; expected the same house rules",
        ),
    ],
)
def test_what_cannot_be_compared_is_refused_in_one_line(folder, b, says, monkeypatch):
    folder("b.rules", b)
    monkeypatch.setattr(compare_command, "prove", None)  # nothing is proved before that is known
    for options in ((), ("--json",)):
        ran = wordtight("compare", "lamp.rules", "b.rules", *options)
        assert (ran.status, ran.out, ran.err) == (2, "", f"{says}\n")


def test_the_option_that_the_refusal_names_does(folder):
    folder("b.rules", "game: noughts-and-crosses\nseat: both\ntake any free cell\n")
    assert wordtight("compare", "lamp.rules", "b.rules", "--seat", "second").status == 0


def test_the_mistakes_of_both_files_are_told_at_once(folder):
    folder("a.rules", HEADER + "complet a line\n")
    folder("b.rules", HEADER + "take a cornr\n")
    ran = wordtight("compare", "a.rules", "b.rules")
    assert ran.status == 2
    assert [line.partition(":")[0] for line in ran.err.splitlines() if ".rules:" in line] == [
        "a.rules",
        "b.rules",
    ]
    once = wordtight("compare", "a.rules", "a.rules")
    assert once.err.count("a.rules:") == 1


@pytest.mark.parametrize(
    ("side", "says"),
    [
        (Side((4,), (4,), False, None, 0, 0, 0), "A plays 5, which may not be played"),
        (Side((), (), True, None, 0, 0, 0), "A has no move: no rule applies"),
        (Side((0,), (), False, 0, 2, 2, 2), "A plays 1: keeps the win, 2 plies later"),
        (Side((0, 1), (), False, 1, 2, 2, 1), "A plays 1 or 2: 2 keeps the win, 1 ply later"),
        (Side((0, 1), (), False, 0, 0, 0, 0), "A plays 1 or 2: each loses anyway"),
        (
            Side((0,), (), True, 0, 1, 1, 0),
            "A plays 1: keeps the draw, but on some turned board no rule applies",
        ),
    ],
)
def test_every_kind_of_move_has_its_words(side, says):
    from games.load import load_game

    assert _played("A", load_game("noughts-and-crosses"), side) == says


def test_in_a_game_of_scores_points_are_told(folder):
    for name, plies in (("a.rules", "1 ply"), ("b.rules", "4 plies")):
        folder(name, f"game: boxes-two-by-two\nseat: first\nclaim: best-value\nlook ahead {plies}\n")
    ran = wordtight("compare", "a.rules", "b.rules", "--boards", "2")
    assert "A gives away 6 points on " in ran.out
    assert "gives away 4 points" in " ".join(ran.out.split())
    assert "nothing away" in ran.out
