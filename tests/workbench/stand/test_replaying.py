"""A log played over against the proof: sound as it was written, and every change of it found."""

import json

import pytest

from games.problems import BadInput
from tests.workbench.stand.stands import CHARGED, GOOD, SILENCE, WEAK, day, proof_of
from workbench.play import Session
from workbench.stand.course import Course
from workbench.stand.history import history_of
from workbench.stand.logbook import parse_log, read_log
from workbench.stand.replaying import is_sound, moves_of, replay, replay_record

LINES = (
    *(
        b"",
        b"1",
        b"5",
        b"9",
        b"8",
        b"3",
        b"?",
        b"4",
        b"7",
        SILENCE,
    ),  # a draw, with wrong input and one after the end
    *(b"", b"", b"x" * 30, b"2", SILENCE, SILENCE, SILENCE),  # left
    *(b"", b"0", b"5", b"5", b"1"),
)


def replayed(log, proof):
    return replay(proof, history_of(read_log(log), str(log)))


@pytest.mark.parametrize("house", [None, CHARGED], ids=["usual", "charged"])
def test_a_log_is_sound_as_it_was_written(tmp_path, house):
    proof = proof_of(tmp_path, GOOD, house)
    day(tmp_path / "log", proof, *LINES)
    found = replayed(tmp_path / "log", proof)
    assert found.findings == []
    assert is_sound(proof, found) == (proof.verdict == "proved")
    assert 0 < found.met < found.positions


def test_every_field_of_every_input_is_held_against_the_proof(tmp_path):
    """Each value in each line is changed, one at a time, to another that could stand there."""
    proof = proof_of(tmp_path)
    log = tmp_path / "log"
    day(log, proof, *LINES)
    lines = log.read_bytes().splitlines()
    others = {
        "ply": [6], "class": ["legal", "empty"], "effect": ["move", "turn lost"], "answers": [[], ["7"]],
        "result": ["", "draw", "machine"],
    }  # fmt: skip
    tried = 0
    for place, line in enumerate(lines):
        told = json.loads(line)
        for key in set(others) & set(told):
            for other in others[key]:
                if other == told[key]:
                    continue
                changed = [*lines[:place], json.dumps(told | {key: other}).encode(), *lines[place + 1 :], b""]
                tried += 1
                try:
                    history = history_of(parse_log(b"\n".join(changed), "log"), "log")
                except BadInput:
                    continue  # the lines do not even follow each other
                found = replay(proof, history)
                findings = found.findings
                assert findings, (place, key, other)
                assert findings[0].line == place + 1
                assert not is_sound(proof, found)
    assert tried > 50


def test_another_input_does_not_lead_to_the_same_answers(tmp_path):
    proof = proof_of(tmp_path)
    log = tmp_path / "log"
    day(log, proof, b"", b"1", b"9", b"8", b"3", b"4")
    content = log.read_bytes()
    for typed in (b"7", b"?", b""):
        log.write_bytes(content.replace(b'"input": "9"', b'"input": "' + typed + b'"'))
        assert replayed(log, proof).findings


def test_a_finding_says_where_and_what(tmp_path):
    proof = proof_of(tmp_path)
    log = tmp_path / "log"
    day(log, proof, b"", b"1", b"9")
    log.write_bytes(log.read_bytes().replace(b'"answers": ["5"]', b'"answers": ["3"]'))
    [finding] = replayed(log, proof).findings
    assert finding == (4, 1, "answer", "3", "5")


def test_lines_that_were_played_to_the_end_count_once(tmp_path):
    """`play` counts the lines of a sheet in the same way, and is held against all games that can be typed."""
    proof = proof_of(tmp_path)
    one, other = line_after(proof, b"1"), line_after(proof, b"9")
    day(tmp_path / "log", proof, b"", *one, b"", *one, b"", b"?", *other, b"", b"1")
    found = replayed(tmp_path / "log", proof)
    assert found.played == 2
    assert [played.outcome for played in history_of(read_log(tmp_path / "log"), "log").games].count(
        "left"
    ) == 1
    assert found.lines == Session(proof.walk.strategy, proof.house).odds().lines
    told = replay_record("log", proof, found)
    assert (told["lines_played"], told["lines"]) == (2, found.lines)


def line_after(proof, text):
    """What is typed in a game in which a visitor begins with this, and then always takes the first move there is."""
    course = Course(proof)
    typed = [text]
    while not course.enter(typed[-1]).result:
        typed.append(course.example().encode())
    return typed


def test_where_play_can_be_endless_lines_are_not_counted(tmp_path):
    proof = proof_of(tmp_path, "game: pong-hau-ki\nseat: second\nlook ahead 3 plies\n")
    day(tmp_path / "log", proof, b"", b"1-3", b"close")
    assert replayed(tmp_path / "log", proof).lines is None


def test_totals_are_those_of_the_day(tmp_path):
    proof = proof_of(tmp_path)
    day(tmp_path / "log", proof, *LINES)
    told = replay_record("log", proof, replayed(tmp_path / "log", proof))
    assert told["games"] == 3
    assert told["results"] == {"draw": 1, "left": 2}
    assert told["lengths"] == {"9": 1}
    assert told["wrong_inputs"] == {
        "after-end": 1, "empty": 1, "not-understood": 1, "off-board": 1, "taken-by-machine": 2,
        "taken-by-visitor": 1, "too-long": 1,
    }  # fmt: skip
    assert told["inputs"] == 15
    assert told["sound"]


def test_a_visitor_who_wins_is_shown_with_the_line(tmp_path):
    proof = proof_of(tmp_path, WEAK)
    assert proof.verdict == "refuted"
    day(tmp_path / "log", proof, b"", b"5", b"7", b"8", b"2")
    found = replayed(tmp_path / "log", proof)
    assert not is_sound(proof, found)
    told = replay_record("log", proof, found)
    [won] = told["visitors_won"]
    assert won == {"game": 1, "line": ["5", "1", "7", "3", "8", "9", "2"]}
    assert told["results"] == {"visitor": 1}


def test_a_line_names_what_was_charged(tmp_path):
    proof = proof_of(tmp_path, GOOD, CHARGED)
    day(tmp_path / "log", proof, b"", b"1", b"5", b"5", b"0")
    [played] = history_of(read_log(tmp_path / "log"), "log").games
    assert moves_of(played)[:4] == ["1", "5", "'5' (forgiven by rule 1)", "'5' (turn lost)"]
    assert moves_of(played)[-1] == "'0' (game lost)"
    assert played.outcome == "machine"
    assert len(moves_of(played)) == played.plies


def test_what_a_visitor_keyed_in_cannot_steer_the_terminal(tmp_path):
    charged = 'kind = "house-rules"\n[[rule]]\nwhen = ["not-understood"]\nsay = "NO"\ncost = "turn"\n'
    day(tmp_path / "log", proof_of(tmp_path, GOOD, charged), b"", b"\x1b[2J")
    [played] = history_of(read_log(tmp_path / "log"), "log").games
    assert moves_of(played)[0] == r"'\x1b[2J' (turn lost)"
