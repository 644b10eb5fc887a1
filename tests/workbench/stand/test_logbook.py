"""The log on disk: torn at every byte nothing is lost but the event being written; one stand a log; its own only."""

import json

import pytest

from games.problems import BadInput
from tests.workbench.stand.stands import FIRST, SILENCE, WEAK, day, proof_of, ticking
from workbench.check import check_file
from workbench.stand.course import bond
from workbench.stand.events import (
    ALIVE,
    BEGUN,
    CLOSED,
    DROPPED,
    ENTERED,
    GONE_ON,
    KINDS,
    LEFT,
    OPENED,
    Event,
    event_in,
    line_of,
)
from workbench.stand.history import history_of
from workbench.stand.logbook import Logbook, is_open, parse_log, read_log

GAMES = (b"", b"1", b"9", b"?", b"5", b"", b"3", b"\xff", SILENCE, SILENCE, b"", b"a1")


@pytest.fixture
def proof(tmp_path):
    return proof_of(tmp_path, WEAK)


@pytest.fixture
def log(tmp_path, proof):
    """A log of two openings."""
    path = tmp_path / "stand.jsonl"
    day(path, proof, *GAMES, b"close")
    day(path, proof, b"", b"2")
    return path


def opened(path, proof):
    return Logbook(path, bond(proof), ticking(), lambda: "now")


def test_a_log_that_is_cut_anywhere_is_mended_and_gone_on_with(log, proof, tmp_path):
    """Cut at every byte behind the header: all whole lines are there, and a stand opens on it as if they were all."""
    content = log.read_bytes()
    every = read_log(log).events
    ends = [place + 1 for place, byte in enumerate(content) if byte == ord("\n")]
    torn = tmp_path / "torn.jsonl"
    for cut in range(ends[0], len(content) + 1):
        whole = sum(end - 1 <= cut for end in ends) - 1  # a line that lacks only its end is all there
        assert parse_log(content[:cut], "log").events == every[:whole]
        if cut % 17 and cut not in ends:
            continue
        torn.write_bytes(content[:cut])
        with opened(torn, proof) as logbook:
            assert logbook.log.events == every[:whole]
        assert read_log(torn).events[:-1] == every[:whole]
        assert read_log(torn).events[-1].kind == OPENED
        assert torn.read_bytes().startswith(content[: ends[whole]])


def test_a_log_that_is_torn_in_its_first_line_is_begun_again(log, proof, tmp_path):
    header = log.read_bytes().split(b"\n")[0]
    torn = tmp_path / "torn.jsonl"
    for cut in (*range(0, len(header), 40), len(header) - 1, len(header)):
        torn.write_bytes(header[:cut])
        with opened(torn, proof):
            pass
        assert torn.read_bytes().startswith(header + b"\n")
        assert [event.kind for event in read_log(torn).events] == [OPENED]


@pytest.mark.parametrize(
    "tail", [b"\0" * 40, b"\0" * 40 + b"\n", b'{"event": "ent', b'{"event": "ent\n', b"\xff\n", b"\n\n"]
)
def test_what_a_power_cut_may_leave_behind_the_last_line(log, proof, tail):
    content = log.read_bytes()
    log.write_bytes(content + tail)
    every = parse_log(content, "log").events
    assert read_log(log).events == every
    with opened(log, proof):
        pass
    assert read_log(log).events[:-1] == every
    assert log.read_bytes().startswith(content)


def test_damage_further_up_is_told_with_its_line(log):
    lines = log.read_bytes().split(b"\n")
    lines[3] = lines[3][:-5]
    log.write_bytes(b"\n".join(lines))
    with pytest.raises(BadInput, match=r"jsonl:4: expected an event, a JSON object on one line"):
        read_log(log)


def test_the_checker_of_all_files_tells_what_a_log_is_and_where_it_is_damaged(log, tmp_path):
    found = check_file(log)
    begun, entered = (log.read_bytes().count(b'"event": "%s"' % kind) for kind in (b"begun", b"entered"))
    assert (found.kind, found.figures) == ("stand-log", {"games": begun, "inputs": entered})
    assert f"{begun} games, {entered} inputs" in found.about
    log.write_bytes(log.read_bytes().replace(b'"begun"', b'"began"', 1))
    with pytest.raises(BadInput, match=r"jsonl:3: "):
        check_file(log)
    (tmp_path / "graded.jsonl").write_text("[]\n", encoding="utf-8")
    with pytest.raises(BadInput, match="is no log of a stand"):
        check_file(tmp_path / "graded.jsonl")


def test_two_stands_cannot_write_one_log(log, proof):
    assert not is_open(log)
    with opened(log, proof):
        assert is_open(log)
        before = log.read_bytes()
        with pytest.raises(BadInput, match="is in use by another stand; expected another name"):
            opened(log, proof)
        assert log.read_bytes() == before
        assert read_log(log).events  # reading is free
    with opened(log, proof):
        pass


def test_the_log_of_another_strategy_is_refused_in_one_line(log, tmp_path):
    before = log.read_bytes()
    for sheet, house, what in [
        (FIRST, None, r"another game \(noughts-and-crosses\)"),
        (
            WEAK,
            'kind = "house-rules"\n[[rule]]\nwhen = ["any"]\nsay = "NO"\n',
            r"other house rules \(usual\)",
        ),
        (WEAK.replace("second", "first"), None, r"another strategy \(my\)"),
    ]:
        with pytest.raises(BadInput, match=rf"jsonl:1: is the log of {what}; expected that of this one"):
            opened(log, proof_of(tmp_path, sheet, house))
    assert log.read_bytes() == before


@pytest.mark.parametrize("content", [b"my diary\n", b"{}\n", b'{"kind": "stand"}\n', b"[1]\n", b"\x89PNG\n"])
def test_a_file_of_something_else_is_left_alone(content, proof, tmp_path):
    path = tmp_path / "diary"
    path.write_bytes(content)
    with pytest.raises(BadInput, match="diary: is no log of a stand"):
        opened(path, proof)
    assert path.read_bytes() == content
    with pytest.raises(BadInput, match="is no log of a stand"):
        read_log(path)


def test_a_log_of_another_version_is_told(log, proof):
    log.write_bytes(log.read_bytes().replace(b'"version": 1', b'"version": 2'))
    with pytest.raises(BadInput, match="jsonl:1: is a log of version 2; expected version 1"):
        opened(log, proof)


def test_where_no_log_can_be(proof, tmp_path):
    for path, written, read in [
        (tmp_path / "no" / "log", "there is no such folder", "there is no such file"),
        (tmp_path, "it is a folder", "it is a folder"),
    ]:
        with pytest.raises(BadInput, match=f"{path.name}: cannot be written: {written}"):
            opened(path, proof)
        with pytest.raises(BadInput, match=f"{path.name}: cannot be read: {read}"):
            read_log(path)


EXAMPLES = [
    Event(OPENED),
    Event(BEGUN, 1, answers=("5",)),
    Event(ENTERED, 1, 3, "\xff\x00", "not-understood", "nothing", (), "", "now", 1.5),
    Event(ENTERED, 1, 3, "a1", "legal", "move", ("b2", "b3"), "machine", "now", 7.0),
    Event(LEFT, 2),
    Event(GONE_ON, 2),
    Event(DROPPED, 2),
    Event(ALIVE),
    Event(CLOSED),
]


@pytest.mark.parametrize("event", EXAMPLES, ids=range(len(EXAMPLES)))
def test_an_event_is_read_as_it_was_written(event):
    line = line_of(event.as_json())
    assert line.isascii()
    assert line.count(b"\n") == 1
    assert event_in(json.loads(line), "log", 2) == event
    assert {each.kind for each in EXAMPLES} == set(KINDS)


@pytest.mark.parametrize("key", ["game", "ply", "input", "class", "effect", "answers", "result", "at", "up"])
@pytest.mark.parametrize("value", [None, True, -1, 1e300, {}, [3]], ids=repr)
def test_an_event_with_a_wrong_value_is_told(key, value):
    told = EXAMPLES[3].as_json() | {key: value}
    with pytest.raises(BadInput, match=rf"log:7: expected a .* as '{key}' of 'entered', not "):
        event_in(told, "log", 7)


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("class", "\x1b[2J"),
        ("effect", "a\nb"),
        ("answers", ["caf\xe9"]),
        ("result", "\x07"),
        ("input", "\u20ac"),
    ],
    ids=ascii,
)
def test_a_log_that_would_steer_a_terminal_is_none(key, value):
    told = EXAMPLES[3].as_json() | {key: value}
    with pytest.raises(BadInput, match=f"as '{key}' of 'entered', not ") as refused:
        event_in(told, "log", 7)
    assert "\x1b" not in str(refused.value)


def test_an_event_that_there_is_not():
    with pytest.raises(
        BadInput, match=r"log:2: expected an event of a stand's log \(opened, .*\), not 'lunch'"
    ):
        event_in({"event": "lunch"}, "log", 2)


@pytest.mark.parametrize(
    ("place", "event", "said"),
    [
        (1, Event(BEGUN, 1), "expected 'opened' before 'begun'"),
        (3, Event(BEGUN, 2), "expected the end of a game, or game 2"),
        (2, Event(BEGUN, 7), "expected the end of a game, or game 1"),
        (2, Event(ENTERED, 1), "'entered' is of game 1, which is not being played"),
        (3, Event(LEFT, 3), "'left' is of game 3, which is not being played"),
    ],
)
def test_events_that_do_not_follow_each_other(log, place, event, said):
    lines = log.read_bytes().split(b"\n")
    lines[place:place] = [line_of(event.as_json()).strip()]
    log.write_bytes(b"\n".join(lines))
    with pytest.raises(BadInput, match=f"log:{place + 1}: {said}"):
        history_of(read_log(log), "log")


def test_running_hours_and_failures(proof, tmp_path):
    """A clock that goes on by a second whenever it is looked at: once at the opening, once an event."""
    log = tmp_path / "log"
    day(log, proof, b"", b"1", b"close")
    with opened(log, proof):
        pass  # the power fails at once
    day(log, proof, SILENCE, SILENCE, b"close")
    history = history_of(read_log(log), "log")
    assert [each.closed for each in history.openings] == [True, False, True]
    assert [each.up for each in history.openings] == [5, 1, 4]
    assert history.hours == 10 / 3600
    assert history.failures(is_open=False) == 1
    with opened(log, proof):
        still = history_of(read_log(log), "log")
        assert (still.failures(is_open=is_open(log)), still.failures(is_open=False)) == (1, 2)
