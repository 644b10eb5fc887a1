"""A whole class: what hangs, floods, crashes or is no strategy spoils nothing but its own row; and all the files."""

import csv
import io
import json
import re
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from xml.etree import ElementTree as ET

import pytest

from tests.workbench.running import wordtight
from workbench.grading import judging
from workbench.grading.attempts import attempts_in
from workbench.grading.crew import ProcessEnded, TookTooLong
from workbench.grading.grade import grade
from workbench.grading.journal import NAME, Journal
from workbench.grading.request import asked
from workbench.grading.row import row_from
from workbench.grading.table_file import harmless
from workbench.grading.writing import begin_folder, write_grading
from workbench.new import template

SQUARE = """\
LETTERS_AND_NUMBERS = ["a1", "b1", "a2", "b2"]
while True:
    free = LETTERS_AND_NUMBERS[1:]
    print("I PLAY A1")
    while True:
        print("YOUR MOVE ", end="", flush=True)
        text = input().lower()
        if text in free:
            break
        print("TAKEN. AGAIN" if text == "a1" else "AGAIN")
    free.remove(text)
    print("I PLAY", free[0].upper())
    print("I WIN")
    input()
    print("GAME OVER")
"""
FILES = {
    "good.rules": "take any free cell\n",
    "same.rules": "seat: first\ntake the first free of a1, b1, a2, b2\n",
    "=sum.rules": "game: two-by-two\ntake b1\ntake any free cell\n",
    "hole.rules": "take a1\ntake b1\n",
    "table.csv": "turning: plain\n\nposition,move\n__/__,a1\nMV/__,a2\nM_/V_,b1\nM_/_V,a1\n",
    "other.rules": "game: noughts-and-crosses\ntake any free cell\n",
    "prose.txt": "We play in the middle.\n",
    "photo.png": "not read at all",
    "square.py": SQUARE,
    "crash.py": "import sys\nsys.exit('no luck')\n",
    "flood.py": "while True: print('X' * 1000)\n",
    "hang.py": "import time\ntime.sleep(600)\n",
}
CONVERSATION = 'kind = "conversation"\n[limits]\nmilliseconds = 300\n'


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    folder = tmp_path_factory.mktemp("class")
    for name, text in FILES.items():
        (folder / name).write_text(text, encoding="utf-8")
    (folder / "hang.toml").write_text(CONVERSATION, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def graded(folder):
    with ThreadPoolExecutor(1) as executor:
        return grade(asked("two-by-two", "first"), attempts_in(folder), executor=executor)


@pytest.fixture
def rows(graded):
    return {row.name: row for row in graded.rows}


@pytest.fixture(scope="module")
def written(graded, tmp_path_factory):
    results = begin_folder(str(tmp_path_factory.mktemp("results") / "out"), may_be_there=False)
    return results, write_grading(results, graded)


def test_each_attempt_has_its_own_verdict(rows):
    assert {name: row.verdict for name, row in rows.items()} == {
        "good": "proved",
        "same": "proved",
        "=sum": "proved",
        "hole": "no-answer",
        "table": "illegal-answer",
        "other": "unusable",
        "prose": "unusable",
        "photo": "unusable",
        "square": "fault-found",
        "crash": "fault-found",
        "flood": "fault-found",
        "hang": "fault-found",
    }
    assert [row.name for row in rows.values() if row.holds] == ["=sum", "good", "same", "square"]


def test_what_is_wrong_is_told_in_its_row(rows):
    assert rows["other"].reason.startswith(
        "line 1: the file says 'game: noughts-and-crosses', but --game two-by-two"
    )
    assert rows["prose"].reason.startswith("line 1, 'We play in the middle.': expected ")
    assert rows["photo"].reason.startswith("this is no rule sheet")
    assert rows["crash"].reason == "the program has stopped: at the start it ends with status 1"
    assert rows["flood"].reason.startswith("output without end: ")
    assert rows["hang"].reason.endswith("it prints nothing in 300 ms")


def test_a_program_is_judged_by_what_it_was_heard_to_play(rows):
    square = rows["square"]
    assert square.met.positions == square.met.well
    assert square.everywhere is None
    assert [each.kind for each in square.wrong_input] == ["off-board"]
    assert rows["crash"].met.points == "0"


def test_rules_that_never_give_a_move_and_gaps_are_found(rows):
    assert rows["=sum"].unused == ()
    assert [each.kind for each in rows["hole"].mistakes] == ["no-answer"]
    assert rows["hole"].mistakes[0].position == "MV/__"
    assert rows["table"].decision.move == "a1"
    assert "illegal-move" in [each.kind for each in rows["table"].mistakes]


def test_who_plays_the_same_is_listed_together(graded):
    groups = {(each.everywhere, each.names) for each in graded.alike()}
    assert (False, ("same", "square")) in groups
    assert not any("good" in names for _, names in groups), "it leaves a choice open"


def test_lessons_name_who_makes_a_mistake_most_first(graded):
    lessons = graded.lessons()
    counts = [len(lesson.rows) for lesson in lessons]
    assert counts == sorted(counts, reverse=True)
    for lesson in lessons:
        positions = [lesson.positions(row) for row in lesson.rows]
        assert positions == sorted(positions, reverse=True)
        assert min(positions) > 0


def test_a_row_goes_into_json_and_back(graded):
    for row in graded.rows:
        assert row_from(json.loads(json.dumps(row.as_data()))) == row


# Files ----------------------------------------------------------------------------------------------------


def test_the_table_opens_in_a_spreadsheet_and_no_cell_is_a_formula(written):
    folder, _ = written
    content = (folder / "grades.csv").read_bytes()
    assert content.startswith(b"\xef\xbb\xbf")
    assert content.count(b"\r\n") == content.count(b"\n") == len(FILES) + 1
    table = list(csv.DictReader(io.StringIO(content.decode("utf-8-sig"))))
    assert table[0]["attempt"] == "'=sum"
    assert {row["attempt"] for row in table[1:]} == {name.partition(".")[0] for name in FILES} - {"=sum"}
    assert all(not cell.startswith(("=", "+", "-", "@")) for row in table for cell in row.values())
    hole = next(row for row in table if row["attempt"] == "hole")
    assert (hole["claim holds"], hole["positions with: no-answer"], hole["out of"]) == ("no", "1", "20")


@pytest.mark.parametrize("cell", ["=1", "+1", "-1", "@x", "\tx", "\r=1", " =1"])
def test_a_cell_that_looks_like_a_formula_is_made_harmless(cell):
    assert harmless(cell) == f"'{cell}"


def test_the_report_fails_what_fails_and_has_errors_for_what_cannot_be_judged(written):
    folder, _ = written
    suite = ET.parse(folder / "grades.xml").getroot().find("testsuite")
    assert (suite.get("tests"), suite.get("failures"), suite.get("errors")) == ("12", "6", "3")
    assert {case.get("name") for case in suite if case.find("failure") is not None} == {
        "hole", "table", "crash", "flood", "hang", "square",
    }  # fmt: skip
    assert {case.get("name") for case in suite if case.find("error") is not None} == {
        "other",
        "prose",
        "photo",
    }


def test_pages_stand_alone_and_are_linked(written):
    folder, files = written
    pages = [name for name in files if name.endswith(".html")]
    assert len(pages) == len(FILES) + 1
    index = (folder / "index.html").read_text("utf-8")
    assert set(re.findall(r'href="([^"]*)"', index)) == set(pages) - {"index.html"}
    for name in pages:
        text = (folder / name).read_text("utf-8")
        assert not re.search(r"(src|href)=\"?(https?:|//|/)", text)
        assert "<script" not in text
    assert "This says nothing about copying" in index
    hole = (folder / "attempt-hole.html").read_text("utf-8")
    assert hole.count("<svg") == 4, "the start, two moves, and the board without an answer"
    assert "no luck" in (folder / "attempt-crash.html").read_text("utf-8")


def test_no_name_of_a_file_is_told_where_numbers_stand_for_names(folder, tmp_path):
    with ThreadPoolExecutor(1) as executor:
        some = [each for each in attempts_in(folder, anonymous=True) if "hang" not in each.path]
        found = grade(asked("two-by-two", "first"), some, executor=executor)
    results = begin_folder(str(tmp_path / "out"), may_be_there=False)
    write_grading(results, found)
    told = "".join(path.read_text("utf-8") for path in results.iterdir())
    for name in FILES:
        assert name not in told
    assert str(folder) not in told


# Going on, and other executors ----------------------------------------------------------------------------


class Counting(Executor):
    """Does every task at once, and counts them; fails where it is told to."""

    def __init__(self, failures=None):
        self.tasks = 0
        self.failures = failures or {}

    def submit(self, fn, /, *args):
        self.tasks += 1
        future = Future()
        failure = self.failures.get(args[1].name)
        if failure is None:
            future.set_result(fn(*args))
        else:
            future.set_exception(failure)
        return future


def sheets(tmp_path, *names):
    folder = tmp_path / "sheets"
    folder.mkdir(exist_ok=True)
    for name in names:
        (folder / f"{name}.rules").write_text("take any free cell\n", encoding="utf-8")
    return folder


def test_what_was_judged_before_is_not_judged_again(tmp_path):
    folder, request = sheets(tmp_path, "a", "b"), asked("two-by-two", "both")

    def run(*, resume, request=request):
        executor = Counting()
        with Journal(tmp_path, request, resume=resume) as journal:
            found = grade(request, attempts_in(folder), executor=executor, journal=journal)
        return executor.tasks, found.rows

    assert run(resume=False)[0] == 2
    tasks, rows = run(resume=True)
    assert (tasks, [row.name for row in rows]) == (0, ["a", "a", "b", "b"])
    (folder / "b.rules").write_text("take a1\ntake any free cell\n", encoding="utf-8")
    sheets(tmp_path, "c")
    assert run(resume=True)[0] == 2
    with (tmp_path / NAME).open("a", encoding="utf-8") as journal:
        journal.write('["half a li')
    assert run(resume=True)[0] == 0
    assert run(resume=True, request=asked("two-by-two", "both", claim="quickest"))[0] == 3
    assert run(resume=False)[0] == 3


def test_a_process_that_comes_to_grief_spoils_its_own_row(tmp_path):
    folder = sheets(tmp_path, "a", "b", "c", "d")
    failing = Counting({"a": TookTooLong(), "b": ProcessEnded(), "c": OSError("no room")})
    found = grade(asked("two-by-two", "first"), attempts_in(folder), executor=failing)
    assert [(row.verdict, row.is_judged) for row in found.rows] == [
        ("too-long", False), ("ended", False), ("ended", False), ("proved", True),
    ]  # fmt: skip
    assert not found.is_whole


def test_a_fault_of_our_own_is_told_in_the_row_too(tmp_path, monkeypatch):
    def fails(*arguments):
        raise ZeroDivisionError("division by zero")

    monkeypatch.setattr(judging, "judge_strategy", fails)
    found = grade(asked("two-by-two", "first"), attempts_in(sheets(tmp_path, "a")), executor=Counting())
    assert found.rows[0].reason == "a fault of Wordtight's own: ZeroDivisionError: division by zero"


def test_the_command_grades_in_processes_of_its_own_and_writes_over_nothing(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    sheets(tmp_path, "a")
    line = ("grade", "sheets", "--game", "two-by-two", "--seat", "second", "--json")
    ran = wordtight(*line)
    assert (ran.status, ran.err) == (0, "")
    told = json.loads(ran.out)
    assert [(row["name"], row["verdict"], row["seat_is_lost"]) for row in told["attempts"]] == [
        ("a", "refuted", True)
    ]
    assert sorted(told["files"]) == sorted(
        path.name for path in (tmp_path / "graded").iterdir() if path.name != NAME
    )
    assert wordtight(*line).err.startswith(
        "graded: is there already; expected another name (-o DIR), --resume"
    )
    assert wordtight(*line, "--resume").out == ran.out


@pytest.mark.parametrize(("house", "kinds"), [("usual", None), ("lost-turn", ["off-board"])])
def test_wrong_input_that_a_sheet_does_not_outlast_is_named(tmp_path, house, kinds):
    folder = tmp_path / "tables"
    folder.mkdir()
    (folder / "a.csv").write_text(template("table"), encoding="utf-8")
    request = asked("noughts-and-crosses", "first", house_rules=house)
    [row] = grade(request, attempts_in(folder), executor=Counting()).rows
    assert (row.verdict == "proved") == (kinds is None)
    assert kinds == (None if row.wrong_input is None else [each.kind for each in row.wrong_input])


@pytest.mark.long
def test_an_attempt_is_sized_on_a_machine(tmp_path):
    folder = sheets(tmp_path, "a")
    (folder / "gap.rules").write_text("take a1\n", encoding="utf-8")
    request = asked("two-by-two", "first", machine="twelve-bit")
    whole, gap = grade(request, attempts_in(folder), executor=Counting()).rows
    sized = json.loads(
        wordtight("size", folder / "a.rules", "--game", "two-by-two", "--seat", "first", "--machine", "twelve-bit",
                  "--encoding", "as-written", "--json").out
    )  # fmt: skip
    assert (whole.fit.fits, whole.fit.words) == (True, sized["total_words"])
    assert whole.fit.seconds in {row["worst_seconds"] for row in sized["programs"]}
    assert (gap.fit.fits, gap.fit.words) == (False, None)


@pytest.mark.long
def test_a_cluster_spreads_the_work(tmp_path):
    distributed = pytest.importorskip("distributed")
    folder = sheets(tmp_path, "a", "b", "c")
    request, attempts = asked("two-by-two", "first"), attempts_in(folder)
    options = {"processes": False, "n_workers": 1, "threads_per_worker": 2, "dashboard_address": None}
    with distributed.Client(**options) as client:
        found = grade(request, attempts, executor=client.get_executor())
    assert found == grade(request, attempts, executor=Counting())
