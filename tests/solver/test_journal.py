"""A long run that is interrupted anywhere can be taken up again: less is left to do, and the answers are the same."""

import hashlib
import json
import os
import signal
import subprocess
import sys
from contextlib import nullcontext
from pathlib import Path

import numpy as np
import pytest

from games.load import load_game, parse_game
from solver.engines import solve_any
from solver.journal import Journal
from solver.layers import solve_by_layers
from solver.loops import solve_loops
from solver.run import Run
from solver.scores import SolvedScores, solve_scores
from solver.slides import solve_slides

ROOT = Path(__file__).resolve().parent.parent.parent
SLIDES = 'kind = "game"\nfamily = "steps"\ncolumns = {columns}\nrows = {rows}\nmen = {men}\nin-a-row = {in_a_row}\n'


def sliding(columns, rows, men, in_a_row):
    text = SLIDES.format(columns=columns, rows=rows, men=men, in_a_row=in_a_row)
    return parse_game(text, "slides.toml")


def by_layers(game, journal=None):
    return solve_by_layers(game, run=Run(journal=journal))


def by_loops(game, journal=None):
    return solve_loops(game, run=Run(journal=journal))


def by_scores(game, journal=None):
    return solve_scores(game, journal=journal)


ENGINES = {
    "layers": (by_layers, load_game("noughts-and-crosses")),
    "loops": (by_loops, sliding(3, 3, 3, 3)),
    "scores": (by_scores, load_game("boxes-two-by-two")),
}


class Interrupted(Exception):
    pass


class Counting:
    """A game that counts how often moves are asked for, and breaks off after so many times."""

    def __init__(self, game, most=10**9):
        self._game, self._most, self.asked = game, most, 0

    def __getattr__(self, name):
        return getattr(self._game, name)

    def moves(self, codes):
        self.asked += 1
        if self.asked > self._most:
            raise Interrupted
        return self._game.moves(codes)


@pytest.fixture
def at_once(monkeypatch):
    """Everything is written as soon as it is known, and the work goes in small parts."""
    monkeypatch.setattr("solver.journal.WAIT", 0.0)
    monkeypatch.setattr("solver.journal.AGAIN", 0.0)
    monkeypatch.setattr("solver.journal.MOST_SHARE", 0)
    for part in ("solver.forward.PART", "solver.layers.PART", "solver.loops.PART", "solver.joined.FEW"):
        monkeypatch.setattr(part, 1000)


def assert_same(solved, other):
    assert solved.positions == other.positions
    for codes in other.plies():
        wanted, found = other.look_up(codes), solved.look_up(codes)
        if isinstance(other, SolvedScores):
            assert np.array_equal(found, wanted)
        else:
            assert np.array_equal(found.value, wanted.value)
            assert np.array_equal(found.distance, wanted.distance)


@pytest.mark.parametrize("engine", ENGINES)
@pytest.mark.parametrize("share", [0.0, 0.1, 0.3, 0.5, 0.6, 0.9, 0.99])
def test_an_interrupted_run_goes_on_where_it_was(engine, share, tmp_path, at_once):
    solve, game = ENGINES[engine]
    whole = Counting(game)
    solved = solve(whole)
    after = int(whole.asked * share)
    with pytest.raises(Interrupted):
        solve(Counting(game, after), Journal(tmp_path / "part", resume=False))
    journal = Journal(tmp_path / "part", resume=True)
    assert journal.resumes == (after > 0)
    again = Counting(game)
    assert_same(solve(again, journal), solved)
    assert again.asked == whole.asked - after


def by_slides(game, journal=None, report=None):
    return solve_slides(game, Run(report=report, journal=journal))


def by_loops_told(game, journal=None, report=None):
    return solve_loops(game, run=Run(report=report, journal=journal))


@pytest.mark.parametrize("solve", [by_loops_told, by_slides])
@pytest.mark.parametrize("sparse", [1, 100])
def test_the_way_back_is_taken_up_as_well(solve, sparse, tmp_path, at_once, monkeypatch):
    """Interrupted at every report in turn, also in the middle of a ply; what was decided is not decided again."""
    monkeypatch.setattr("solver.joined.FEW", 100)
    monkeypatch.setattr("solver.moving_phase.SPARSE_NEARBY", sparse)
    game = sliding(3, 3, 3, 3)
    solved = solve(game)
    reports = []
    solve(game, report=reports.append)
    back = [number for number, progress in enumerate(reports) if progress.stage.name == "working back"]
    assert len(back) > 5
    for stop in back[:: len(back) // 5]:
        told = []

        def interrupt(progress, stop=stop, told=told):
            told.append(progress)
            if len(told) > stop:
                raise Interrupted

        with pytest.raises(Interrupted):
            solve(game, Journal(tmp_path / "part", resume=False), interrupt)
        again = []
        assert_same(solve(game, Journal(tmp_path / "part", resume=True), again.append), solved)
        rest = [progress for progress in again if progress.stage.name == "working back"]
        assert len(rest) == len(back) - max(back.index(stop) - 1, 0)


def test_without_resuming_an_old_journal_is_forgotten(tmp_path, at_once):
    game = load_game("noughts-and-crosses")
    with pytest.raises(Interrupted):
        by_layers(Counting(game, 12), Journal(tmp_path / "part", resume=False))
    whole, anew = Counting(game), Counting(game)
    by_layers(whole)
    by_layers(anew, Journal(tmp_path / "part", resume=False))
    assert anew.asked == whole.asked


def test_short_runs_write_nothing(tmp_path):
    by_layers(load_game("noughts-and-crosses"), Journal(tmp_path / "part", resume=False))
    assert not (tmp_path / "part").exists()


def flipped(content):
    """One bit of the last number is another."""
    return content[:-1] + bytes([content[-1] ^ 16])


@pytest.mark.parametrize("engine", ENGINES)
@pytest.mark.parametrize(
    "damage",
    [
        lambda content: b"",
        lambda content: b"x" * 200,
        lambda content: content[:-5],
        lambda content: content + b"\0",
        flipped,
        lambda content: content.replace(b"u8", b"u4", 1),
        lambda content: content.replace(b"wordtight piece 1", b"wordtight piece 2"),
        lambda content: b"wordtight piece 1\n" + b"[" * 100_000,
    ],
)
def test_a_damaged_journal_is_found_out_and_work_starts_afresh(engine, damage, tmp_path, at_once):
    solve, game = ENGINES[engine]
    with pytest.raises(Interrupted):
        solve(Counting(game, 15), Journal(tmp_path / "part", resume=False))
    path = sorted((tmp_path / "part").iterdir())[2]
    content = path.read_bytes()
    assert damage(content) != content
    path.write_bytes(damage(content))
    journal = Journal(tmp_path / "part", resume=True)
    assert journal.is_damaged
    assert not journal.resumes
    whole, anew = Counting(game), Counting(game)
    assert_same(solve(anew, journal), solve(whole))
    assert anew.asked == whole.asked


def test_what_a_killed_run_was_just_writing_does_no_harm(tmp_path, at_once):
    solve, game = ENGINES["loops"]
    with pytest.raises(Interrupted):
        solve(Counting(game, 15), Journal(tmp_path / "part", resume=False))
    (tmp_path / "part" / "tmpabcdef").write_bytes(b"wordtight piece 1\nhalf")
    journal = Journal(tmp_path / "part", resume=True)
    assert journal.resumes
    assert_same(solve(game, journal), solve(game))


KILLED = """
import os, signal, sys
import solver.journal
from pathlib import Path
from games.load import load_game
from solver.engines import solve_any
from solver.journal import Journal

solver.journal.WAIT = solver.journal.AGAIN = solver.journal.MOST_SHARE = 0.0
name, folder, reports = sys.argv[1], Path(sys.argv[2]), int(sys.argv[3])
told = 0

def report(progress):
    global told
    told += 1
    if told > reports:
        os.kill(os.getpid(), signal.SIGKILL)

solve_any(load_game(name), report=report, journal=Journal(folder, resume=False))
"""


@pytest.mark.skipif(os.name != "posix", reason="signals are POSIX's")
@pytest.mark.parametrize("name", ["hex-three", "northcott", "boxes-two-by-two"])
def test_a_run_that_is_killed_is_taken_up_to_the_same_end(name, tmp_path):
    """Nothing but what is written is left of it, and the later it was killed the less is left to do."""
    game = load_game(name)
    reports = []
    whole = Counting(game)
    solved = solve_any(whole, report=reports.append)
    asked = []
    for share in (0.3, 0.6, 0.9):
        part = tmp_path / f"{share}.part"
        script = [sys.executable, "-c", KILLED, name, str(part), str(int(share * len(reports)))]
        assert subprocess.run(script, cwd=ROOT, check=False).returncode == -signal.SIGKILL
        resumed = Counting(game)
        assert_same(solve_any(resumed, journal=Journal(part, resume=True)), solved)
        asked.append(resumed.asked)
    assert whole.asked > asked[0] >= asked[1] >= asked[2]


def test_what_there_is_of_a_piece_is_saved_every_minute_and_takes_a_tenth_of_the_time(tmp_path, monkeypatch):
    now = [0.0]
    monkeypatch.setattr("solver.journal.time.monotonic", lambda: now[0])
    takes = [0.0]
    monkeypatch.setattr(
        "solver.journal._head_of", lambda columns: now.__setitem__(0, now[0] + takes[0]) or b""
    )
    journal = Journal(tmp_path / "part", resume=False)
    for seconds, until_next in ((0.0, 20.0), (1.0, 20.0), (5.0, 50.0), (0.5, 20.0)):
        takes[0] = seconds
        journal.save("half-layer", np.zeros(3))
        now[0] += until_next - 0.1
        assert not journal.is_due
        now[0] += 0.2
        assert journal.is_due


def test_pieces_are_files_of_their_own_with_a_check_sum_and_nothing_is_written_in_the_first_seconds(
    tmp_path, monkeypatch
):
    now = [0.0]
    monkeypatch.setattr("solver.journal.time.monotonic", lambda: now[0])
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path / "nowhere"))  # what is half written stands beside
    folder = tmp_path / "deep" / "part"
    journal = Journal(folder, resume=False)
    numbers, flags = np.arange(6, dtype=np.int16)[::2], np.array([True, False])
    journal.write("layer", 3, numbers)
    now[0] = 9.9
    journal.write("layer", 4, flags)
    assert not journal.is_written
    now[0] = 10.0
    journal.write("half", 123456, numbers, flags)
    assert journal.is_written
    assert not journal.resumes
    assert journal.read("layer", 3) is None  # what this run has written itself it need not read
    names = ["half-123456.piece", "layer-000003.piece", "layer-000004.piece"]
    assert sorted(path.name for path in folder.iterdir()) == names
    head, said, payload = (folder / names[0]).read_bytes().split(b"\n", 2)
    check, columns = json.loads(said)
    assert (head, columns) == (b"wordtight piece 1", [["<i2", 3], ["|b1", 2]])
    assert payload == b"\0\0\2\0\4\0" + b"\1\0"
    assert check == hashlib.blake2b(json.dumps(columns).encode() + payload, digest_size=16).hexdigest()

    again = Journal(folder, resume=True)
    assert again.resumes
    assert not again.is_damaged
    for read, wanted in zip(again.read("half", 123456), (numbers, flags), strict=True):
        assert read.dtype == wanted.dtype
        assert read.tolist() == wanted.tolist()
    assert again.read("half") is None
    now[0] = 30.0
    again.write("layer", 3, flags)  # it is there already
    again.save("half", flags)
    assert [each.tolist() for each in again.read("layer", 3)] == [[0, 2, 4]]
    assert [each.tolist() for each in again.read("half")] == [[True, False]]
    again.clear()
    again.clear()
    assert not again.is_written


def test_what_cannot_be_saved_leaves_nothing_half_written(tmp_path, monkeypatch):
    journal = Journal(tmp_path / "part", resume=False)
    journal.save("half", np.zeros(3))
    before = {path.name: path.read_bytes() for path in (tmp_path / "part").iterdir()}
    for why in (OSError, KeyboardInterrupt):

        def fails(columns, why=why):
            raise why

        monkeypatch.setattr("solver.journal._head_of", fails)
        with nullcontext() if why is OSError else pytest.raises(why):
            journal.save("half", np.ones(3))
        assert {path.name: path.read_bytes() for path in (tmp_path / "part").iterdir()} == before
