"""The day at the stand, with lines and silences from a list: what is shown, what is logged, and in which order."""

import pytest

from games.problems import BadInput
from tests.workbench.stand.stands import GOOD, SHORT, SILENCE, WEAK, Typed, Views, day, proof_of, ticking
from workbench.stand import logbook as logbooks
from workbench.stand.course import Course, bond
from workbench.stand.events import ALIVE, BEGUN, CLOSED, DROPPED, ENTERED, GONE_ON, LEFT, OPENED, Event
from workbench.stand.history import history_of, totals_of
from workbench.stand.logbook import Logbook, read_log
from workbench.stand.stand import BEAT, Pace, Stand

DRAW = (b"1", b"9", b"8", b"3", b"4")
PLAY, AGAIN = "Press Return to play.", "Again in 10 s. Press Return to play at once."
THERE = "ARE YOU STILL THERE? PRESS RETURN TO GO ON."
KEYS = 'kind = "house-rules"\ninput = "key"\n[[rule]]\nwhen = ["any"]\nsay = "?"\n'


@pytest.fixture
def log(tmp_path):
    return tmp_path / "stand.jsonl"


def kinds(log):
    return [event.kind for event in read_log(log).events]


def history(log):
    return history_of(read_log(log), str(log))


def test_a_game_from_the_title_to_the_title(log, tmp_path):
    views = day(log, proof_of(tmp_path), b"", *DRAW, SILENCE, b"close")
    assert [view.ask for view in views] == [PLAY, *["YOUR MOVE?"] * 5, AGAIN, PLAY]
    assert views[0].said == views[-1].said == ("WELCOME",)
    assert views[1].said == ()
    assert views[2].said == ("I PLAY 5",)
    assert views[6].said == ("A DRAW",)
    assert views[2].board[0].startswith("V | 2")
    assert kinds(log) == [OPENED, BEGUN, *[ENTERED] * 5, CLOSED]
    [played] = history(log).games
    assert (played.outcome, played.plies, played.seconds) == ("draw", 9, 5)


def test_return_after_the_result_begins_the_next_game_at_once(log, tmp_path):
    views = day(log, proof_of(tmp_path), b"", *DRAW, b"", *DRAW)
    assert [view.ask for view in views].count(PLAY) == 1
    assert totals_of(history(log).games).results == {"draw": 2}


def test_what_is_typed_after_the_end_is_answered_and_changes_nothing(log, tmp_path):
    views = day(log, proof_of(tmp_path), b"", *DRAW, b"5", SILENCE)
    assert [(view.said, view.ask) for view in views[-2:]] == [(("GAME OVER",), AGAIN), (("WELCOME",), PLAY)]
    totals = totals_of(history(log).games)
    assert (totals.results, totals.wrong) == ({"draw": 1}, {"after-end": 1})


def test_a_visitor_who_says_nothing_is_asked_once_and_then_the_title_comes_back(log, tmp_path):
    pace = Pace(10, 90, 30)
    typist = Typed(b"", b"1", SILENCE, SILENCE, SILENCE)
    proof = proof_of(tmp_path)
    views = Views()
    with Logbook(log, bond(proof), ticking(), lambda: "now") as logbook:
        Stand(Course(proof), logbook, views, typist, pace=pace, word="close", title=("WELCOME",)).run()
    assert [view.ask for view in views.views] == [PLAY, *["YOUR MOVE?"] * 3, PLAY]
    assert views.views[3].said == ("I PLAY 5", THERE)
    assert typist.waited == [BEAT, BEAT, BEAT, 30, 30, BEAT]  # 90 s are 60 and 30; then 30 more
    assert history(log).games[0].outcome == LEFT
    assert kinds(log) == [OPENED, BEGUN, ENTERED, ALIVE, LEFT, CLOSED]


def test_return_says_that_the_visitor_is_there_and_costs_nothing(log, tmp_path):
    silence = (SILENCE, SILENCE)  # two waits of a minute
    views = day(log, proof_of(tmp_path), b"", *silence, b"", b"", *silence, b"1", b"close")
    assert [view.said for view in views[1:6]] == [(), (THERE,), (), ("AGAIN",), ("AGAIN", THERE)]
    assert [each.input_class for each in history(log).games[0].inputs] == ["empty", "legal"]


def test_the_attendant_closes_the_stand_in_the_middle_of_a_game(log, tmp_path):
    day(log, proof_of(tmp_path), b"", b"1", b" Close ", b"9")
    assert kinds(log) == [OPENED, BEGUN, ENTERED, LEFT, CLOSED]


def test_ctrl_c_ends_it_well(log, tmp_path):
    with pytest.raises(KeyboardInterrupt):
        day(log, proof_of(tmp_path), b"", b"1", KeyboardInterrupt())
    assert kinds(log) == [OPENED, BEGUN, ENTERED, LEFT, CLOSED]


def test_where_moves_score_the_points_are_told(log, tmp_path):
    boxes = "game: boxes-two-by-two\nseat: second\nlook ahead 2 plies\n"
    views = day(log, proof_of(tmp_path, boxes), b"", b"a1-b1", b"close")
    assert views[1].said == ("Nobody is ahead.",)
    assert views[2].said[-1] == "Nobody is ahead."


def test_a_hole_ends_the_game(log, tmp_path):
    views = day(log, proof_of(tmp_path, SHORT), b"", b"5", SILENCE)
    assert views[-2].said == ("THE MACHINE HAS NO ANSWER HERE. YOU HAVE FOUND A HOLE.",)
    assert totals_of(history(log).games).results == {"no-answer": 1}


def test_keys_come_one_by_one_in_a_line(log, tmp_path):
    views = day(log, proof_of(tmp_path, WEAK, KEYS), b"", b"?51", b"", b"close")
    assert views[2].said == ("?", "I PLAY 1", "?")
    assert [each.text for each in history(log).games[0].inputs] == ["?", "5", "1"]


def test_of_a_line_that_is_too_long_as_much_is_kept_as_shows_it(log, tmp_path):
    day(log, proof_of(tmp_path), b"", b"x" * 500, b"close")
    [event] = history(log).games[0].inputs
    assert (event.text, event.input_class) == ("x" * 9, "too-long")


def interrupted(log, proof, *lines):
    """A stand whose power fails when all lines have been taken: nothing more is written."""

    class PowerCut(BaseException):
        pass

    views = Views()
    book = Logbook(log, bond(proof), ticking(), lambda: "now")
    stand = Stand(
        Course(proof), book, views, Typed(*lines, PowerCut()), pace=Pace(), word="close", title=("WELCOME",)
    )
    stand._close = lambda: None
    with pytest.raises(PowerCut):
        stand.run()
    book.__exit__(None, None, None)
    return views.views


@pytest.mark.parametrize("answer", [b"", SILENCE, b"yes"], ids=["return", "silence", "yes"])
def test_a_game_that_was_interrupted_is_gone_on_with_where_it_stood(log, tmp_path, answer):
    proof = proof_of(tmp_path)
    before = interrupted(log, proof, b"", b"1", b"9")
    views = day(log, proof, answer, *DRAW[2:], SILENCE)
    assert views[0].said == ("Game 1 was interrupted here.",)
    assert views[0].board == views[1].board == before[-1].board
    assert views[1].said == before[-1].said  # what the machine had answered last
    assert [each.outcome for each in history(log).games] == ["draw"]
    assert history(log).games[0].seconds is None  # nobody knows how long it took
    assert [kind for kind in kinds(log) if kind != ALIVE] == [
        *[OPENED, BEGUN, ENTERED, ENTERED], *[OPENED, GONE_ON, *[ENTERED] * 3], CLOSED,
    ]  # fmt: skip


@pytest.mark.parametrize(("lines", "go_on"), [((b"n",), None), ((b" No",), None), ((), False)])
def test_or_it_is_given_up(log, tmp_path, lines, go_on):
    proof = proof_of(tmp_path)
    interrupted(log, proof, b"", b"1")
    views = day(log, proof, *lines, b"", *DRAW, go_on=go_on)
    assert views[len(lines)].ask == PLAY
    assert [each.outcome for each in history(log).games] == [DROPPED, "draw"]


def test_gone_on_with_without_asking(log, tmp_path):
    proof = proof_of(tmp_path)
    interrupted(log, proof, b"", b"1")
    assert day(log, proof, b"9", go_on=True)[0].ask == "YOUR MOVE?"
    assert [each.outcome for each in history(log).games] == [LEFT]


def test_a_stand_that_is_interrupted_again_and_again_comes_to_the_same(log, tmp_path):
    """The power fails after every single line, and the game is gone on with each time."""
    proof = proof_of(tmp_path)
    interrupted(log, proof, b"")
    for line in DRAW:
        interrupted(log, proof, b"", line)
    assert [each.outcome for each in history(log).games] == ["draw"]
    assert [each.text.encode() for each in history(log).games[0].inputs] == list(DRAW)
    assert history(log).failures(is_open=False) == len(DRAW) + 1


def test_nothing_is_shown_before_it_is_on_the_disk(log, tmp_path):
    """Whenever a view is shown, the log, read as it lies on the disk, leads to the board that is in it."""
    proof = proof_of(tmp_path, WEAK)

    def look(view):
        course = Course(proof)
        games = history(log).games
        if view.ask != PLAY and games:
            for event in games[-1].inputs:
                course.enter(event.text.encode("latin-1"))
        assert view.board == course.drawing()

    lines = (
        b"",
        b"1",
        b"1",
        b"?",
        b"9",
        b"3",
        b"2",
        b"8",
        b"7",
        b"6",
        b"",
        b"5",
        b"3",
        SILENCE,
        SILENCE,
        SILENCE,
    )
    assert len(day(log, proof, *lines, look=look)) > 10


def test_every_line_is_pushed_through_to_the_disk(log, tmp_path, monkeypatch):
    calls = []
    write, push = logbooks.os.write, logbooks.os.fsync
    monkeypatch.setattr(logbooks.os, "write", lambda *given: calls.append("write") or write(*given))
    monkeypatch.setattr(logbooks.os, "fsync", lambda *given: calls.append("push") or push(*given))
    day(log, proof_of(tmp_path), b"", b"1", b"close")
    assert "".join(calls).replace("writepush", "") in ("", "push")  # one more: the new file's name
    assert calls.count("write") == len(log.read_bytes().splitlines())


def test_a_full_disk_is_told_and_what_was_written_stays(log, tmp_path, monkeypatch):
    proof = proof_of(tmp_path)
    with Logbook(log, bond(proof), ticking(), lambda: "now") as book:

        def full(handle, content):
            raise OSError(28, "No space left on device")

        monkeypatch.setattr(logbooks.os, "write", full)
        with pytest.raises(BadInput, match=r"stand.jsonl: cannot be written: No space left on device"):
            book.append(Event(ALIVE))
    assert kinds(log) == [OPENED]


def test_a_write_that_takes_only_a_part_is_gone_on_with(log, tmp_path, monkeypatch):
    write = logbooks.os.write
    monkeypatch.setattr(logbooks.os, "write", lambda handle, content: write(handle, content[:7]))
    day(log, proof_of(tmp_path, GOOD), b"", *DRAW)
    assert totals_of(history(log).games).results == {"draw": 1}
