"""`wordtight serve` as a whole: on a pipe, on a terminal, killed at random, and its log afterwards."""

import json
import os
import random
import select
import signal
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.workbench.processes import environment, posix_only, start
from tests.workbench.running import wordtight
from tests.workbench.stand.stands import GOOD, WEAK, proof_of
from workbench.stand.course import bond
from workbench.stand.events import ALIVE, BEGUN, CLOSED, ENTERED, OPENED, Event, line_of
from workbench.stand.history import history_of
from workbench.stand.logbook import Logbook, read_log
from workbench.stand.replaying import replay

KEYS = 'kind = "house-rules"\ninput = "key"\n[[rule]]\nwhen = ["any"]\nsay = "?"\n'
DRAW = b"1\n9\n8\n3\n4\n"


@pytest.fixture(autouse=True)
def in_a_folder_of_files(tmp_path, monkeypatch):
    (tmp_path / "my.rules").write_text(GOOD, encoding="utf-8")
    (tmp_path / "weak.rules").write_text(WEAK, encoding="utf-8")
    monkeypatch.chdir(tmp_path)


def serve(*arguments, stdin=b"", status=0):
    ran = wordtight("serve", *arguments, stdin=stdin)
    assert ran.status == status, ran
    assert all(len(line) <= 80 and line.isascii() for line in ran.out.split("\n"))
    return ran


def test_a_day_on_a_pipe_and_its_totals():
    ran = serve("my.rules", stdin=b"\n" + DRAW + b"\n5\n5\nclose\n9\n")
    assert ran.err == ""
    assert "NOUGHTS AND CROSSES: you are V, the machine is M and moves second." in ran.out
    assert "Proved: the machine never loses." in ran.out
    assert "Type your move, such as 1, and then Return." in ran.out
    told = ran.out.partition("The stand is closed. Since it was opened:\n")[2]
    assert told.startswith("2 games, 7 inputs.\n")
    assert "\na draw                   1\nleft before the end      1\n" in told
    assert "\ntaken by the visitor      1\n" in told
    assert told.endswith(
        "Next: wordtight serve my.rules --log stand.jsonl --replay\n"
        "      (what visitors did, against the proof)\n"
    )
    again = serve("my.rules", stdin=b"\n" + DRAW).out
    assert "Since it was opened:\n1 game, 5 inputs." in again
    assert "In all of stand.jsonl:\n3 games, 12 inputs." in again


def test_the_log_is_played_over_in_words_and_in_json():
    serve("my.rules", stdin=b"\n" + DRAW)
    said = serve("my.rules", "--replay").out
    assert said.startswith("PROVED: the machine never loses.\nEvery game in the log is as the strategy plays")
    told = json.loads(serve("my.rules", "--replay", "--json").out)
    assert (told["sound"], told["results"], told["findings"]) == (True, {"draw": 1}, [])
    assert (told["log"], told["strategy"], told["verdict"]) == ("stand.jsonl", "my", "proved")


def test_what_is_off_is_told_with_its_line_and_status_1():
    serve("my.rules", stdin=b"\n" + DRAW)
    log = Path("stand.jsonl")
    log.write_bytes(log.read_bytes().replace(b'"answers": ["5"]', b'"answers": ["3"]'))
    ran = serve("my.rules", "--replay", status=1)
    assert (
        "NOT AS THE STRATEGY PLAYS: 1 game of the log.\n  line 4, game 1: answer '3' in the log, '5' is due."
        in ran.out
    )
    assert not json.loads(serve("my.rules", "--replay", "--json", status=1).out)["sound"]


def test_a_strategy_that_is_not_proved_can_be_served_and_that_is_said():
    ran = serve("weak.rules", "--log", "weak.jsonl", stdin=b"\n5\n7\n8\n2\n")
    assert ran.err == "it is not proved that the machine never loses (wordtight prove)\n"
    assert "YOU WIN" in ran.out
    assert "Proved" not in ran.out
    said = serve("weak.rules", "--log", "weak.jsonl", "--replay", status=1).out
    assert said.startswith("NOT PROVED (refuted): that the machine never loses.")
    assert "A visitor won game 1: 5, 1, 7, 3, 8, 9, 2." in said


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["none.rules"], "none.rules: cannot be read: there is no such file"),
        (["my.rules", "--json"], "wordtight serve: --json goes with --replay (see wordtight serve --help)"),
        (["my.rules", "--word", "5"], "the word '5' that closes the stand is a move, or empty"),
        (["my.rules", "--word", " "], "the word ' ' that closes the stand is a move, or empty"),
        (["my.rules", "--replay"], "stand.jsonl: cannot be read: there is no such file"),
        (["my.rules", "--log", "my.rules"], "my.rules: is no log of a stand"),
        (["my.rules", "--seat", "first"], "my.rules:2:7: "),
    ],
    ids=["no file", "json", "a move", "empty", "no log", "no such log", "seat"],
)
def test_what_cannot_be_served_is_told_in_one_line(arguments, said):
    ran = wordtight("serve", *arguments)
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.startswith(said)
    assert Path("my.rules").read_text(encoding="utf-8") == GOOD


def test_another_word_closes_the_stand():
    said = serve("my.rules", "--word", "good night", stdin=b"\nclose\nGood Night\n").out
    assert "1 game, 1 input." in said


def test_the_odds_are_told_from_a_log():
    """Open for ten hours with a game of half an hour, then the power failed; open for two more, and closed."""
    serve("my.rules", stdin=b"")
    log = Path("stand.jsonl")
    events = [
        Event(OPENED),
        Event(BEGUN, 1, up=600),
        Event(ENTERED, 1, 0, "1", "legal", "move", ("5",), "draw", up=2400),
        Event(ALIVE, up=36_000),
        Event(OPENED),
        Event(CLOSED, up=7200),
    ]
    header = log.read_bytes().splitlines(keepends=True)[0]
    Path("long.jsonl").write_bytes(header + b"".join(line_of(event.as_json()) for event in events))
    record = json.loads(wordtight("odds", "--log", "long.jsonl", "--json").out)
    assert (record["failures"], record["running_hours"], record["minutes_a_game"]) == (1, 12, 30)
    assert record["mean_hours"]["estimate"] == 12
    slower = ("--log", "long.jsonl", "--mean-hours", "7", "--reply-seconds", "60", "--json")
    record = json.loads(wordtight("odds", *slower).out)
    assert (record["mean_hours"]["estimate"], record["running_hours"]) == (7, None)
    assert record["minutes_a_game"] == 31  # one reply
    short = wordtight("odds", "--log", "stand.jsonl")
    assert (short.status, short.out) == (2, "")
    assert short.err.startswith("stand.jsonl: tells of less than a minute of running")
    untimed = header + b"".join(line_of(event.as_json()) for event in events[4:])
    Path("untimed.jsonl").write_bytes(untimed)
    ran = wordtight("odds", "--log", "untimed.jsonl")
    assert "expected --minutes-a-game: no game of the log was timed" in ran.err


def begin(folder, *options):
    """A stand in a process of its own, on pipes."""
    return start(folder, "serve", "my.rules", *options, stdin=-1)


def read_until(stand, mark):
    """What the stand prints, up to a mark."""
    seen = b""
    while mark not in seen:
        part = os.read(stand.stdout.fileno(), 65536)
        assert part, (seen, stand.stderr.read())
        seen += part
    return seen


def killed_at_random(folder, kills, seed):
    """A visitor plays on whenever the stand comes back: killed after some moves, often while it works on one."""
    generator = random.Random(seed)
    log = folder / "stand.jsonl"
    seen = []  # the inputs that were answered
    for _ in range(kills):
        with begin(folder, "--go-on") as stand:
            try:
                read_until(stand, b" \n")
                for _ in range(generator.randrange(1, 9)):
                    text = generator.choice("123456789") + generator.choice(["", "", "", "?"])
                    stand.stdin.write(text.encode() + b"\n")
                    stand.stdin.flush()
                    if generator.random() < 0.3:
                        break  # not waited for: it may be written or not
                    read_until(stand, b" \n")
                    seen.append(text)
            finally:
                stand.kill()
        logged = [event.text for event in read_log(log).events if event.kind in ("entered", "begun")]
        assert_all_there(seen, logged)
    return log


def assert_all_there(seen, logged):
    """Every input that was answered is in the log, in order; at a title any line begins a game and is no input."""
    places = iter(logged)
    assert all(any(text == found or not found for found in places) for text in seen), (seen, logged)


def test_a_game_that_was_gone_on_with_counts_on_the_day_on_which_it_ended():
    proof = proof_of(Path())
    with Logbook("stand.jsonl", bond(proof)) as logbook:
        logbook.append(Event(BEGUN, 1))
        logbook.append(Event(ENTERED, 1, 0, "1", "legal", "move", ("5",), ""))
    told = serve("my.rules", "--go-on", stdin=DRAW[2:]).out
    assert "Since it was opened:\n1 game, 5 inputs." in told
    assert "a draw      1" in told
    assert serve("my.rules", "--replay").out.startswith("PROVED")


@posix_only
def test_kill_9_loses_nothing_but_the_move_being_typed(tmp_path):
    check_after(killed_at_random(tmp_path, 2, 5), tmp_path)


@posix_only
@pytest.mark.long
@pytest.mark.parametrize("seed", [1, 2])
def test_kill_9_again_and_again(tmp_path, seed):
    check_after(killed_at_random(tmp_path, 12, seed), tmp_path)


def check_after(log, folder):
    """The log is whole, and every game in it is one of the proof's."""
    history = history_of(read_log(log), str(log))
    assert history.games
    assert replay(proof_of(folder), history).findings == []
    assert not any(opening.closed for opening in history.openings)


@contextmanager
def terminal(folder, *arguments):
    """A stand on a terminal of 80 columns and 24 rows: the process, and our end of the terminal."""
    import fcntl
    import pty
    import struct
    import termios

    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
    env = environment(TERM="xterm", PYTHONUTF8="1", COLUMNS="80", LINES="24")
    for name in ("NO_COLOR", "FORCE_COLOR"):
        env.pop(name, None)
    stand = start(folder, "serve", *arguments, stdin=theirs, stdout=theirs, stderr=theirs, env=env)
    try:
        yield stand, ours, theirs
    finally:
        stand.kill()
        stand.wait()
        os.close(ours)
        os.close(theirs)


def until(handle, mark):
    """What comes to a terminal, up to a mark; a stand that hangs is not waited for longer than a minute."""
    seen = b""
    while mark not in seen:
        assert select.select([handle], [], [], 60)[0], seen
        seen += os.read(handle, 65536)
    return seen


def screens_in(said):
    """The screens that were shown, and what came when the terminal had been given back."""
    text = said.decode().replace("\r\n", "\n")
    assert text.startswith("\x1b[?1049h")
    before, _, after = text.partition("\x1b[?1049l")
    screens = before.split("\x1b[2J\x1b[H")[1:]
    assert all(screen.count("\n") < 24 for screen in screens)
    return screens, after


@posix_only
def test_ctrl_c_on_a_terminal_tells_the_totals_and_gives_the_screen_back(tmp_path):
    """The whole screen: the board is large, and nothing runs over the edge."""
    with terminal(tmp_path, "my.rules") as (stand, ours, _):
        said = until(ours, b"play. ")
        os.write(ours, b"\n")
        said += until(ours, b"MOVE? ")
        os.write(ours, b"1\n")
        said += until(ours, b"MOVE? ")
        stand.send_signal(signal.SIGINT)
        said += until(ours, b"proof)")
        assert stand.wait() == 130
    screens, after = screens_in(said)
    assert "left before the end      1" in after
    assert len(screens) == 3
    assert "\u2588" * 4 in screens[-1]
    assert "I PLAY 5" in screens[-1]
    assert read_log(tmp_path / "stand.jsonl").events[-1].kind == "closed"


@posix_only
def test_where_the_machine_reads_keys_so_does_the_stand(tmp_path):
    """Return is a key like others in the game, an arrow is one key, and the terminal is as it was afterwards."""
    import termios

    (tmp_path / "keys.toml").write_text(KEYS, encoding="utf-8")
    with terminal(tmp_path, "my.rules", "--house-rules", "keys.toml") as (stand, ours, theirs):
        before = termios.tcgetattr(theirs)
        said = until(ours, b"play. ")
        for key in (b"\n", b"1", b"\n", b"\x1b[A", b"1"):
            os.write(ours, key)
            said += until(ours, b"MOVE? ")
        os.write(ours, b"\x04")
        said += until(ours, b"proof)")
        assert stand.wait() == 0
        assert termios.tcgetattr(theirs) == before
    screens, _ = screens_in(said)
    assert "Press the key of your move, such as 1." in screens[0]
    events = [event for event in read_log(tmp_path / "stand.jsonl").events if event.kind == "entered"]
    assert [(event.text, event.input_class) for event in events] == [
        ("1", "legal"), ("\n", "not-understood"), ("\x1b", "not-understood"), ("1", "taken-by-visitor"),
    ]  # fmt: skip
