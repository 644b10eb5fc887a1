"""Odd surroundings: a killed run, caches that are no use, two runs at once, missing tools, odd consoles and names."""

import json
import os
import signal
import subprocess
import sys

import pytest

import solver.kept
from budget.card import compiled_names
from games.load import game_digest, load_game
from solver.engines import solve_any
from solver.journal import Journal
from solver.kept import keep, read_kept
from solver.layers import solve_by_layers
from tests.attacks.writers import WRITERS, contents, lay_out
from tests.workbench.processes import ROOT, environment, posix_only, run
from tests.workbench.running import wordtight

NOBODY = 65534
SLOW = ("graph", "report", "repair", "plan", "drill")
NON_LATIN = "Klub \u0141\u00f3d\u017a \u7881 \u0438\u0433\u0440\u044b, two  blanks"
KILLED = """
import os, signal, sys
from tests.attacks.interrupting import Steps
from tests.attacks.writers import WRITERS
class Killing(Steps):
    def hear(self, event, arguments):
        try: super().hear(event, arguments)
        except KeyboardInterrupt: os.kill(os.getpid(), signal.SIGKILL)
Killing().run(WRITERS[sys.argv[1]].words, int(sys.argv[2]), KeyboardInterrupt())
"""
TWO_AT_ONCE = """
import sys
import solver.kept
from workbench.main import main
solver.kept.WORTH_KEEPING = 0.0
main(["solve", "hexapawn", "--json"])
"""


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """A folder with the files that commands read, and a cache beside it."""
    monkeypatch.setenv("WORDTIGHT_CACHE", str(tmp_path / "cache"))
    made = tmp_path / "work"
    made.mkdir()
    lay_out(made)
    monkeypatch.chdir(made)
    return made


def slow_or_not(name):
    """A writer; those that take a second each time are for the long tests."""
    return pytest.param(name, marks=[pytest.mark.long] if name in SLOW else [], id=name)


# Killed -----------------------------------------------------------------------------------------------------------


@posix_only
@pytest.mark.parametrize(
    ("name", "step"),
    [
        pytest.param("new", 4, id="new-before-its-last-step"),
        *(
            pytest.param(name, step, marks=pytest.mark.long, id=f"{name}-{step}")
            for name, steps in (("prove", (1, 2, 3, 4, 5)), ("build", (1, 2, 5, 8, 11)))
            for step in steps
        ),
    ],
)
def test_a_killed_run_leaves_what_was_there_and_the_next_one_does_its_work(name, step, folder):
    before = contents(folder)
    script = [sys.executable, "-c", KILLED, name, str(step)]
    ran = subprocess.run(script, cwd=folder, env=environment(), capture_output=True, check=False)
    assert ran.returncode == -signal.SIGKILL, ran.stderr
    left = {each: what for each, what in contents(folder).items() if not each.startswith(".made")}
    assert left == before
    assert wordtight(*WRITERS[name].words).status == 0
    assert (folder / WRITERS[name].makes).exists()


# The cache --------------------------------------------------------------------------------------------------------


def solved_here(*more):
    """What `solve` says of a game, without the seconds."""
    ran = wordtight("solve", "hexapawn", "--json", *more)
    assert (ran.status, ran.err) == (0, "")
    found = json.loads(ran.out)
    del found["measured"]
    return found


@pytest.fixture
def keeping(folder, monkeypatch):
    """Every result is worth keeping; the answer without any."""
    monkeypatch.setattr(solver.kept, "WORTH_KEEPING", 0.0)
    return solved_here("--no-cache")


def kept_files(folder):
    return sorted((folder.parent / "cache").glob("*"))


def test_a_kept_result_says_the_same(folder, keeping):
    assert solved_here() == keeping
    [file] = kept_files(folder)
    written = file.read_bytes()
    assert solved_here() == keeping
    assert kept_files(folder) == [file]
    assert file.read_bytes() == written


@pytest.mark.parametrize("flaw", ["empty", "cut", "flipped", "foreign", "folder"])
def test_a_cache_that_is_damaged_costs_time_alone(flaw, folder, keeping):
    solved_here()
    [file] = kept_files(folder)
    raw = file.read_bytes()
    file.unlink()
    if flaw == "folder":
        file.mkdir()
    else:
        flaws = {"empty": b"", "cut": raw[:-9], "flipped": raw[:-1] + b"\x7f", "foreign": b"PK\x03\x04" + raw}
        file.write_bytes(flaws[flaw])
    assert solved_here() == keeping
    assert solved_here() == keeping


def test_a_cache_that_is_a_file_or_cannot_be_made_costs_time_alone(folder, keeping, monkeypatch):
    (folder / "file").touch()
    for name in ("file", "file/below", "x" * 300):
        monkeypatch.setenv("WORDTIGHT_CACHE", str(folder / name))
        assert solved_here() == keeping


@posix_only
def test_a_cache_that_may_not_be_written_costs_time_alone(folder, keeping, monkeypatch):
    shut = folder / "shut"
    shut.mkdir()
    shut.chmod(0o555)
    for parent in (folder, *folder.parents[:3]):
        parent.chmod(0o755)  # pytest's own folders, which it makes for one account alone
    monkeypatch.setenv("WORDTIGHT_CACHE", str(shut))
    as_root = os.geteuid() == 0
    if as_root:
        os.seteuid(NOBODY)
    try:
        assert solved_here() == keeping
    finally:
        if as_root:
            os.seteuid(0)
    assert contents(shut) == {}


@posix_only
def test_a_full_disk_under_the_cache_costs_time_alone(folder, keeping):
    import resource

    most = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (100, most[1]))
    try:
        assert solved_here() == keeping
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, most)
    assert kept_files(folder) == []


# Two runs at once -------------------------------------------------------------------------------------------------


def test_a_result_that_another_run_keeps_meanwhile_is_whole(tmp_path, monkeypatch):
    """The other run begins and ends while this one writes."""
    game, digest = load_game("hexapawn"), game_digest("hexapawn")
    solved, path, writes = solve_by_layers(game), tmp_path / "hexapawn.solved", solver.kept._write

    def both(file, result, name):
        monkeypatch.setattr(solver.kept, "_write", writes)
        keep(path, result, name)
        writes(file, result, name)

    monkeypatch.setattr(solver.kept, "_write", both)
    keep(path, solved, digest)
    assert read_kept(path, game, digest).positions == solved.positions
    assert list(tmp_path.iterdir()) == [path]


def test_two_runs_that_share_a_journal_do_each_other_no_harm(tmp_path, monkeypatch):
    """The second clears what the first has written; each is solved, and what is left can be taken up."""
    for name in ("solver.journal.WAIT", "solver.journal.AGAIN"):
        monkeypatch.setattr(name, 0.0)
    game = load_game("hexapawn")
    first = Journal(tmp_path / "part", resume=False)
    begun = []

    def report(progress):
        if not begun:
            begun.append(solve_any(game, journal=Journal(tmp_path / "part", resume=False)))

    solved = solve_any(game, report=report, journal=first)
    assert begun[0].positions == solved.positions
    assert solve_any(game, journal=Journal(tmp_path / "part", resume=True)).positions == solved.positions


@pytest.mark.long
def test_two_processes_at_once_on_one_cache_say_the_same(folder):
    env = environment(WORDTIGHT_CACHE=str(folder / "cache"))
    script = [sys.executable, "-c", TWO_AT_ONCE]
    pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
    runs = [subprocess.Popen(script, cwd=ROOT, env=env, **pipes) for _ in range(4)]
    told = []
    for each in runs:
        out, err = each.communicate()
        assert (each.returncode, err) == (0, b"")
        found = json.loads(out)
        del found["measured"]
        told.append(found)
    assert all(found == told[0] for found in told)
    [file] = (folder / "cache").iterdir()
    assert file.suffix == ".solved"


# Missing tools ----------------------------------------------------------------------------------------------------


def test_missing_tools_are_named_with_their_packages(folder, monkeypatch):
    monkeypatch.setenv("PATH", str(folder / "nothing"))
    for name in compiled_names():
        ran = wordtight("build", "my.rules", "--machine", name, "-o", "made")
        assert (ran.status, ran.out) == (2, "")
        [line] = ran.err.splitlines()
        assert "Debian package" in line
    assert not (folder / "made").exists()


@posix_only
@pytest.mark.parametrize("name", ["program.bas", "program.c", "no-such"])
def test_a_program_without_what_runs_it_is_told_in_one_line(name, folder, monkeypatch):
    monkeypatch.setenv("PATH", str(folder / "nothing"))
    (folder / "program.bas").write_text("10 PRINT 1\n", encoding="utf-8")
    (folder / "program.c").write_text("int main(void) { return 0; }\n", encoding="utf-8")
    ran = wordtight("drill", name, "--game", "two-by-two", "--seat", "first")
    assert (ran.status, ran.out) == (2, "")
    [line] = ran.err.splitlines()
    assert line.startswith(f"{name}: ")
    assert "expected a program, or the interpreter before it" in line


# Consoles, columns and names --------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [slow_or_not(name) for name in WRITERS if name != "plan"])
def test_names_that_are_not_latin_and_folders_with_blanks_make_the_same_files(name, folder, monkeypatch):
    """On a console that knows cp1252 alone; what is made differs by no byte but where it names its own file.

    A plan is made once, below: it takes seconds each time.
    """
    writer = WRITERS[name]
    plain = wordtight(*writer.words)
    assert plain.status == 0, plain.err
    assert all(len(line) <= 80 for line in plain.out.splitlines())
    assert plain.out.isascii()
    assert plain.out.replace("\n", "").isprintable()  # no colours either
    odd = folder / NON_LATIN
    odd.mkdir()
    lay_out(odd)
    monkeypatch.chdir(odd)
    ran = wordtight(*writer.words, encoding="cp1252")
    assert (ran.status, ran.out) == (0, plain.out)
    made = {each: what for each, what in contents(odd).items() if each.startswith("made")}
    assert made == {each: what for each, what in contents(folder).items() if each.startswith("made")}
    elsewhere = [
        word if not word.startswith("made") else str(odd / f"\u78c1 {word}") for word in writer.words
    ]
    monkeypatch.chdir(folder)
    ran = wordtight(*elsewhere, encoding="cp1252")
    assert ran.status == 0
    there = odd / f"\u78c1 {writer.makes}"
    assert contents(there) == contents(odd / writer.makes)
    named = "" if there.is_dir() else there.read_text(encoding="utf-8").replace("\u78c1 made", "made")
    assert there.is_dir() or named.encode() == (odd / writer.makes).read_bytes()


@pytest.mark.long
@pytest.mark.parametrize("name", WRITERS)
def test_the_same_in_processes_of_their_own(name, tmp_path):
    """With the name of the folder as the system passes it on, no colours asked for, and a narrow console."""
    odd = tmp_path / NON_LATIN
    odd.mkdir()
    lay_out(odd)
    env = {"PYTHONIOENCODING": "cp1252", "NO_COLOR": "1", "FORCE_COLOR": "1", "COLUMNS": "80", "TERM": "dumb"}
    ran = run(odd, *WRITERS[name].words, env=env, capture_output=True)
    assert (ran.returncode, ran.stderr) == (0, b"")
    assert b"\x1b" not in ran.stdout
    assert all(len(line) <= 80 for line in ran.stdout.decode("cp1252").splitlines())
