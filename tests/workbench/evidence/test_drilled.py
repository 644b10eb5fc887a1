"""Evidence of drills: what programs printed is judged again, and what was changed is refused."""

import hashlib
import json
import re
import sys
import tomllib
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest

from games.codes import PLAYERS
from games.house import parse_house_rules
from games.housed import HousedGame
from games.inputs import AFTER_END, LEGAL, Shape, classify
from games.load import parse_game
from games.problems import BadInput
from tests.workbench.evidence.alone import check
from tests.workbench.evidence.corrupting import attack, verdict_on
from tests.workbench.evidence.writing import sealed
from workbench.drill.asked import make_ready
from workbench.drill.judging import Judge
from workbench.drill.manner import parse_manner
from workbench.drill.process import ENDED, Heard
from workbench.drill.reading import Reader
from workbench.drill.report import drill
from workbench.drill.rules import Entry, Rules
from workbench.drill.worth import Worth
from workbench.evidence import checker
from workbench.evidence.drilled import Transcripts

PROGRAM = """
names = {names}
while True:
    free = names[1:]
    print({begins!r}, names[0].upper())
    while True:
        print({asks!r}, end="", flush=True)
        text = input().lower()
        if text in free:
            break
        if text in names:
            print({taken!r})
        elif len(text) == 2 and text[0].isalpha() and text[1].isdigit():
            print({nowhere!r})
        else:
            print({again!r})
    free.remove(text)
    print({begins!r}, free[{place}].upper())
    print({wins!r})
    {then}
"""
RIGHT = {
    "names": ["a1", "b1", "a2", "b2"],
    "begins": "I PLAY",
    "asks": "YOUR MOVE ",
    "taken": "TAKEN. AGAIN",
    "nowhere": "NO SUCH CELL. AGAIN",
    "again": "AGAIN",
    "wins": "I WIN",
    "place": 0,
    "then": "input(); print('GAME OVER')",
}
BANK = {
    "right": ({}, "no-fault-found"),
    "ends by itself": ({"then": "break"}, "no-fault-found"),
    "a wrong message": ({"nowhere": "AGAIN"}, "fault-found"),
    "a wrong verdict": ({"wins": "A DRAW"}, "fault-found"),
    "no verdict": ({"wins": ""}, "fault-found"),
    "plays where it may not": ({"begins": "I PLAY A1 AND"}, "fault-found"),
    "stops": ({"then": "raise SystemExit(3)"}, None),
    "gives up": ({"taken": "TAKEN. AGAIN", "again": "GOODBYE"}, "fault-found"),
}
MANNER = """
kind = "conversation"
enter = "PUT {move}"
machine-moves = ["MINE: {move}"]
machine-wins = ["HURRAH"]
waits = ["? ", "HURRAH"]
"""


@cache
def drill_evidence(name, wrong=1, manner=None):
    """The evidence of a drill of a program of the bank, as bytes; the others are one and the same but for a change."""
    with TemporaryDirectory() as folder:
        file, talk = Path(folder) / "square.py", Path(folder) / "talk.toml"
        changed, verdict = BANK[name]
        text = PROGRAM.format(**{**RIGHT, **changed})
        if manner:
            talk.write_text(manner, "utf-8")
            words = {"begins": "MINE:", "asks": "? ", "wins": "HURRAH"}
            text = PROGRAM.format(**{**RIGHT, **words}).replace("lower()", 'lower().replace("put ", "")')
        file.write_text(text, "utf-8")
        conversation = str(talk) if manner else None
        asked = make_ready("two-by-two", "first", "never-loses", "usual", conversation)
        heard = Transcripts(asked, "two-by-two", "usual", conversation, wrong)
        found = drill(
            asked, [sys.executable, str(file)], wrong=wrong, seconds=1000, games=0, listen=heard.hear
        )
        assert found.verdict == (verdict or found.verdict)
        return heard.evidence(found, [str(file)]).encode(), found.verdict, file.read_bytes()


@pytest.mark.parametrize("name", ["right", "a wrong message", "a wrong verdict"])
def test_what_a_drill_writes_holds(name):
    evidence, verdict, program = drill_evidence(name)
    status, told = check(evidence, program)
    assert status == 0
    assert told[1].startswith("NO FAULT in " if verdict == "no-fault-found" else "FAULT FOUND. In line ")
    assert told[-1].startswith("Taken on trust: that the program prints this")
    with pytest.raises(checker.Wrong, match="another version"):
        checker.check(evidence, b"another program")


def test_the_page_shows_what_is_said_of_a_right_program():
    page = (Path(__file__).parents[3] / "docs/evidence.md").read_text(encoding="utf-8")
    [shown] = re.findall(r"^```text\n(square\.py: .*?)^```", page, re.MULTILINE | re.DOTALL)
    evidence, _, _ = drill_evidence("right")
    assert shown.split() == " ".join(check(evidence)[1]).split()


@pytest.mark.long
@pytest.mark.parametrize("name", list(BANK))
def test_the_whole_bank(name):
    evidence, verdict, _ = drill_evidence(name)
    status, told = check(evidence)
    assert (status, told[1][:8]) == (0, "NO FAULT" if verdict != "fault-found" else "FAULT FO")


@pytest.mark.long
def test_two_wrong_inputs():
    evidence, _, _ = drill_evidence("right", 2)
    assert check(evidence)[1][1].startswith("NO FAULT in ")


@pytest.mark.long
def test_a_conversation_file():
    evidence, verdict, _ = drill_evidence("right", 1, MANNER)
    assert (verdict, check(evidence)[0]) == ("no-fault-found", 0)


def test_a_game_that_cannot_be_read_is_refused_where_nothing_else_is_checked():
    *records, _ = [json.loads(line) for line in drill_evidence("right")[0].splitlines()]
    records[0]["own_words"] = True
    records[0]["game"].update(text="kind = [", sha256=hashlib.sha256(b"kind = [").hexdigest())
    with pytest.raises(checker.Wrong, match="cannot be read"):
        checker.check(sealed(records))


def test_words_of_its_own_and_what_was_left_out_are_said():
    *records, _ = [json.loads(line) for line in drill_evidence("right")[0].splitlines()]
    records[0]["own_words"] = True
    assert check(sealed(records))[0] == 3
    records[0] |= {"own_words": False, "left_out": True}
    status, told = check(sealed(records[:-1]))
    assert (status, told[2]) == (3, "NOT CHECKED: other answers, which were not written down.")


# What was changed -----------------------------------------------------------------------------------------


class Again:
    """The same answers judged by the drill's own judge, on the real game."""

    def __init__(self, header):
        game = parse_game(header["game"]["text"], "some.toml")
        house = parse_house_rules(header["house_rules"]["text"], "some.toml", game)
        self.housed = HousedGame(game, house, PLAYERS.index(header["seat"]))
        manner = parse_manner('kind = "conversation"', "", house, game)
        self.rules, self.shape = Rules(self.housed, manner), Shape(game.move_names, house.form)
        self.judge = Judge(self.rules, Reader(manner, house), Worth(self.housed), header["claim"])
        self.judged, self.wrong, self.kids = [], [], {}
        self.leaves = set()
        self.findings = 0

    def play(self, record):
        """Whether this answer can stand where it stands; notes what is wrong with it."""
        after, text = record["after"], "\n".join(record["printed"])
        if record["answer"] != len(self.judged) + 1 or not 0 <= after < record["answer"]:
            return False
        how, status = (ENDED, 3) if record["how"] == "failed" else (record["how"], 0)
        heard = Heard(text, how, status)
        if (record["typed"] is None) != (not after):
            return False
        if not after:
            self.note(self.judge.opening(heard), 0, "", "")
            return True
        before = self.judged[after - 1]
        if after in self.leaves:
            return False
        code = self.housed.fair_codes(np.array([before.code], dtype=np.uint64))[0]
        kind, move = classify(
            self.housed.fair, self.shape, int(code), self.housed.seat, record["typed"].encode()
        )
        kind, move = (AFTER_END, None) if before.is_over else (kind, move)
        entry = Entry(
            record["typed"].encode() + b"\n", record["typed"], kind, move, stands_for_its_class=True
        )
        judged = self.judge.answer(before.code, is_over=before.is_over, entry=entry, heard=heard)
        self.note(judged, after, record["typed"], self.rules.name(move) if kind == LEGAL else kind)
        return True

    def note(self, judged, after, typed, kind):
        self.judged.append(judged)
        number = len(self.judged)
        if (after and judged.is_next) or not judged.goes_on:
            self.leaves.add(number)
        self.wrong.append(
            bool(after) and (self.wrong[after - 1] or kind not in (*self.housed.move_names, AFTER_END))
        )
        siblings = self.kids.setdefault(after, [])
        if any(
            each == typed and self.judged[other - 1].meaning != judged.meaning for each, _, other in siblings
        ):
            self.findings += 1
        siblings.append((typed, kind, number))
        self.findings += len(judged.findings)

    def whole(self, number):
        """Whether all lines of play are there from an answer on."""
        judged = self.judged[number - 1]
        kids = self.kids.get(number, [])
        if number in self.leaves:
            return True
        if judged.is_over:
            return bool(kids)
        led = {kind for _, kind, kid in kids if self.whole(kid)}
        return {self.rules.name(move) for move in self.rules.spot(judged.code).moves} <= led

    def is_complete(self, wrong):
        if not self.kids.get(0) or not all(self.whole(kid) for _, _, kid in self.kids[0]):
            return False
        for number, judged in enumerate(self.judged, 1):
            if not wrong or self.wrong[number - 1] or number in self.leaves or judged.is_over:
                continue
            led = {kind for _, kind, kid in self.kids.get(number, []) if self.whole(kid)}
            codes = np.array([judged.code], dtype=np.uint64)
            possible = {name for name, there in self.housed.possible(codes).items() if there[0]}
            if possible - {"off-board"} - led:
                return False
        return True


def is_right(records):
    header, *middle = records
    try:
        again = Again(header)
    except (BadInput, KeyError, TypeError, tomllib.TOMLDecodeError):
        return False
    if not all(again.play(record) for record in middle):
        return False
    if header["verdict"] == "fault-found":
        return again.findings > 0
    if again.findings:
        return False
    return header["verdict"] != "no-fault-found" or again.is_complete(header["wrong"])


@pytest.mark.parametrize("name", ["right", "a wrong verdict"])
def test_what_was_changed_is_refused_unless_it_is_still_right(name):
    counts = attack(drill_evidence(name)[0], is_right, range(60), f"drill {name}")
    assert counts["refused"] > 15


@pytest.mark.long
@pytest.mark.parametrize("name", ["right", "ends by itself", "a wrong verdict"])
def test_thousands_of_changes(name):
    counts = attack(drill_evidence(name)[0], is_right, range(60, 660), f"drill {name}")
    assert sum(counts.values()) > 500


def test_an_answer_that_is_missing():
    """Without any line of play, or any class of wrong input, the drill is not whole."""
    *records, _ = [json.loads(line) for line in drill_evidence("right", 0)[0].splitlines()]
    last = {record["after"] for record in records[1:]}
    for leaf in (record["answer"] for record in records[1:] if record["answer"] not in last):
        left = [dict(record) for record in records if record.get("answer") != leaf]
        for record in left[1:]:
            for key in ("answer", "after"):
                record[key] -= record[key] > leaf
        assert verdict_on(sealed(left)) == 1
