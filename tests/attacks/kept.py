"""The doors for files that Wordtight has written and reads again: evidence, caches, journals, marks, logs, tables."""

import json
import tempfile
from functools import cache
from pathlib import Path
from types import SimpleNamespace

import numpy as np

from budget.drilling.table import NoSuchLine, fitting, step_of, words_to_look_at
from games.load import game_digest, load_game
from solver.journal import Journal
from solver.kept import NotKept, keep, read_kept
from solver.layers import solve_by_layers
from tests.attacks.door import Door, said_by
from tests.workbench.evidence.test_drilled import drill_evidence
from tests.workbench.evidence.test_least import least_evidence
from tests.workbench.evidence.test_planned import plan_evidence
from tests.workbench.evidence.writing import written_evidence
from tests.workbench.stand.stands import SILENCE, WEAK, day, proof_of
from workbench.drill.asked import make_ready
from workbench.drill.bookmark import Bookmark
from workbench.drill.drilling import Drill
from workbench.drill.faults import CONDUCT, STOPPED, Finding, Ply, Step
from workbench.drill.reading import Piece
from workbench.drill.record import fault_record
from workbench.drill.round import Round
from workbench.drill.rules import Entry
from workbench.drill.tell import transcript
from workbench.evidence import checker
from workbench.fault_table import read_fault_table
from workbench.grading.journal import _lines as graded_lines
from workbench.grading.journal import _sum_of as graded_sum
from workbench.grading.row import Row, row_from
from workbench.stand.course import bond
from workbench.stand.history import history_of, totals_of
from workbench.stand.logbook import read_log, require_bond
from workbench.stand.replaying import moves_of, replay, replay_record

SMALL = "two-by-two"


@cache
def game():
    return load_game(SMALL)


@cache
def scratch():
    """A folder for what good files are made of; it goes when the tests end."""
    holder = tempfile.TemporaryDirectory(prefix="wordtight-doors-")
    return holder, Path(holder.name)


# Evidence ---------------------------------------------------------------------------------------------------------


def good_evidence():
    _, folder = scratch()
    found = []
    for name, seat, plies in ((SMALL, "first", 9), ("hexapawn", "second", 1), ("pong-hau-ki", "first", 3)):
        sheet = folder / f"{name}.rules"
        sheet.write_text(f"game: {name}\nseat: {seat}\n\nlook ahead {plies} plies\n", encoding="utf-8")
        found.append(written_evidence(sheet)[0])
    least = least_evidence(SMALL, "first", "quickest", "lost-turn", "alike")
    return [*found, least[0], drill_evidence("a wrong message")[0], plan_evidence()[0]]


def enter_evidence(file):
    """It holds, or one line says why it does not, or that it is none."""
    with said_by(checker.Wrong, checker.Unreadable):
        checker.check(file.read_bytes())


# Kept results, and what a long run keeps --------------------------------------------------------------------------


@cache
def solved():
    return solve_by_layers(game())


def good_kept():
    _, folder = scratch()
    keep(folder / "good.solved", solved(), game_digest(SMALL))
    return [(folder / "good.solved").read_bytes()]


def enter_kept(file):
    """Whatever it holds, the answers are those of the game solved afresh."""
    with said_by(NotKept):
        kept = read_kept(file, game(), game_digest(SMALL))
        for codes, due in zip(kept.plies(), solved().plies(), strict=True):
            assert np.array_equal(codes, due)
            assert np.array_equal(kept.look_up(codes).value, solved().look_up(codes).value)


def good_pieces():
    _, folder = scratch()
    journal = Journal(folder / "good.part", resume=False)
    codes = np.arange(5, dtype=np.uint64)
    journal.save("layer", codes, codes.astype(np.int16))
    return [path.read_bytes() for path in sorted((folder / "good.part").iterdir())]


def enter_piece(file):
    """It is read as it was written, or the journal is called damaged."""
    journal = Journal(file.parent, resume=True)
    if journal.resumes:
        assert journal.read("layer") is not None
    else:
        assert journal.is_damaged


# A drill, a fault drill, a class ----------------------------------------------------------------------------------


@cache
def asked():
    return make_ready(SMALL, "first", "never-loses", "usual", None)


def drill():
    """A drill that has not begun, and has no program."""
    return Drill(asked().judge, SimpleNamespace)


def good_marks():
    _, folder = scratch()
    played = drill()
    played.rounds = [Round(0, 3, 5, 7, is_whole=True)]
    played.last_line = (b"b1\n",)
    start = game().start
    line = (
        Step(None, (Piece("I PLAY A1", "the machine plays a1"),), (Ply(start, 0, start, by_machine=True),)),
        Step(Entry(b"b1\n", "b1", "legal", 1), (), ()),
    )
    played.ledger.note(Finding(CONDUCT, STOPPED, "it ends"), line)
    Bookmark(str(folder / "good.mark"), "request").keep(played)
    return [(folder / "good.mark").read_bytes()]


def enter_mark(file):
    """What is restored can be told, and kept again."""
    played = drill()
    mark = Bookmark(str(file), "request")
    mark.restore(played)
    for fault in played.ledger.faults():
        json.dumps(fault_record(fault, asked()))
        transcript(fault.line)
    mark.keep(played)


TABLE = {
    "kind": "fault-table",
    "machine": "twelve-bit",
    "words": {"3": "word 3 (board)", "4": "word 4"},
    "begins": "I PLAY A1\nYOUR MOVE ",
    "steps": [{"after": -1, "typed": "b1", "printed": "I WIN"}, {"after": 0, "typed": "", "printed": "A"}],
    "faults": [
        {
            "kind": "bit",
            "where": [3, 1],
            "addresses": [3],
            "found": "play",
            "shown": [{"step": 0, "printed": "OH", "then": "waits"}],
        },
        {
            "kind": "track",
            "where": [3],
            "addresses": [3, 4],
            "found": "play",
            "shown": [{"step": -1, "printed": "OH", "then": "halted"}],
        },
    ],
}


def enter_fault_table(file):
    """What `suspect` does with it."""
    table = read_fault_table(str(file))
    for typed in ((), ("b1",), ("b1", "")):
        with said_by(NoSuchLine):
            step = step_of(table, typed)
            found = fitting(table, [(step, "OH"), (step, "H")])
            assert all(str(address) in table["words"] for address, _ in words_to_look_at(found))


def good_graded():
    row = Row("ada", "rules", "first", "proved", holds=True)
    rows = [row.as_data()]
    return [json.dumps(["key", graded_sum(rows), rows]).encode() + b"\n"]


def enter_graded(file):
    """Every line gives the rows that were written, or none."""
    for rows in graded_lines(file).values():
        assert [row_from(row).as_data() for row in rows] == rows


# The stand --------------------------------------------------------------------------------------------------------


@cache
def proof():
    return proof_of(scratch()[1], WEAK)


def good_logs():
    log = scratch()[1] / "stand.jsonl"
    day(log, proof(), b"", b"1", b"9", b"?", b"5", b"\xff", SILENCE, SILENCE, b"", b"a1", b"close")
    return [log.read_bytes()]


def enter_log(file):
    """As `odds` and `serve --replay` take it."""
    log = read_log(file)
    history = history_of(log, str(file))
    totals_of(history.games)
    require_bond(log, bond(proof()), str(file))
    found = replay(proof(), history)
    json.dumps(replay_record(str(file), proof(), found))
    for played in found.beaten:
        moves_of(played)


DOORS = {
    "evidence": Door("my.evidence", good_evidence, enter_evidence),
    "kept-results": Door("my.solved", good_kept, enter_kept),
    "journals": Door("my.part/layer-000000.piece", good_pieces, enter_piece),
    "drill-marks": Door("my.mark", good_marks, enter_mark),
    "fault-tables": Door("my.json", lambda: [json.dumps(TABLE).encode()], enter_fault_table),
    "graded": Door("graded.jsonl", good_graded, enter_graded),
    "stand-logs": Door("my.jsonl", good_logs, enter_log),
}
