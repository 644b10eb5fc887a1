"""Learners' programs as attackers: what the sandbox holds, with bubblewrap and without it.

What is not held is shown as well, so that nobody believes otherwise; docs/drill.md says the same in words.
"""

import os
import shutil
import signal
import socket
import sys
import time
from pathlib import Path

import pytest

from tests.workbench.drill.bank import drilled, open_folder, written
from tests.workbench.processes import posix_only
from tests.workbench.running import wordtight
from workbench.drill.command import command_for
from workbench.drill.process import ENDED, FLOOD, LATE, WAITS, Running
from workbench.drill.sandbox import Limits, Sandbox
from workbench.drill.waiting import Waiting

pytestmark = [posix_only, pytest.mark.skipif(sys.platform != "linux", reason="the limits are Linux's")]

ALONE, WALLED = "alone", "with-bubblewrap"
LIMITS = Limits(milliseconds=20_000, output_kb=16, memory_mb=512, file_kb=64, open_files=32, processes=16)
AS_ROOT = os.geteuid() == 0
IN_TIME = 120.0
"""Seconds for what the system does in a moment."""


@pytest.fixture(params=[ALONE, WALLED])
def walls(request, monkeypatch):
    """Whether bubblewrap is used; skipped where the system has none that works."""
    which = shutil.which
    if request.param == ALONE:
        monkeypatch.setattr(
            shutil, "which", lambda name, **how: None if name == "bwrap" else which(name, **how)
        )
    else:
        with Sandbox(LIMITS) as sandbox:
            if "bubblewrap" not in sandbox.held[-1]:
                pytest.skip("there is no bubblewrap that works here")
    return request.param


@pytest.fixture
def attack(walls):
    """Starts a program of a few lines, whose name for the open folder is HERE, and gives it back with that folder."""
    running = []
    with open_folder() as folder, Sandbox(LIMITS) as sandbox:
        folder.chmod(0o777)

        def start(text, *, limits=LIMITS, terminal=True):
            text = f"import os, signal, socket, sys, time\nHERE = {str(folder)!r}\n{text}"
            command = command_for([written(text, folder, f"p{len(running)}.py")], sandbox)
            sandbox.limits = limits
            running.append(Running(sandbox, command, terminal=terminal))
            return running[-1]

        start.folder, start.scratch = folder, sandbox.folder
        yield start
        for each in running:
            each.end()


def heard(program, asks="READY"):
    return program.hear(Waiting([asks], [], lambda text: False, told=True))


def said(program):
    """What a program says before it ends by itself."""
    found = heard(program)
    assert found.how == ENDED, found
    return found.text.strip()


def comes_true(holds):
    """Whether something comes to hold, waiting for it as long as a busy machine may take."""
    end = time.monotonic() + IN_TIME
    while not holds():
        if time.monotonic() > end:
            return False
        time.sleep(0.02)
    return True


# What is held everywhere ------------------------------------------------------------------------------------------


def test_endless_output_and_a_gigantic_line_are_cut_off(attack):
    for text in (
        "while True: print('no')",
        "while True: sys.stdout.write('x' * 65536)",
        "os.write(1, b'\\0' * 10**7)",
    ):
        found = heard(attack(text))
        assert (found.how, len(found.text)) == (FLOOD, LIMITS.output_kb * 1024)


def test_a_fork_bomb_is_stopped_by_its_number(attack):
    """At some time the system refuses another child; then all of them are ended."""
    text = (
        "try:\n    children = 0\n    while children < 3000:\n        if not os.fork(): time.sleep(600)\n"
        "        children += 1\nexcept OSError as error: print('refused:', error.errno, flush=True)\n"
        "print('READY', flush=True)\ntime.sleep(600)"
    )
    program = attack(text)
    found = heard(program)
    assert found.how == WAITS
    assert "refused: 11" in found.text  # EAGAIN
    program.end()
    file = str(attack.folder / "p0.py")
    assert comes_true(lambda: not running_with(file))


def test_memory_and_large_files_and_many_open_ones_are_refused(attack):
    assert said(attack("try: bytearray(1 << 30)\nexcept MemoryError: print('refused')")) == "refused"
    text = "try: open('large', 'wb').write(bytes(1 << 20))\nexcept OSError as error: print(error.errno)"
    assert said(attack(text)) == "27"  # EFBIG: too large
    assert (attack.scratch / "large").stat().st_size <= LIMITS.file_kb * 1024
    text = "try: held = [open('/dev/null') for _ in range(64)]\nexcept OSError as error: print(error.errno)"
    assert said(attack(text)) == "24"  # EMFILE: too many open files


def test_limits_cannot_be_raised_again(attack):
    text = (
        "import resource as r\n"
        "for kind in (r.RLIMIT_AS, r.RLIMIT_FSIZE, r.RLIMIT_NOFILE, r.RLIMIT_NPROC):\n"
        "    try: r.setrlimit(kind, (r.RLIM_INFINITY, r.RLIM_INFINITY)); print('raised')\n"
        "    except (ValueError, PermissionError): print('refused')\n"
    )
    assert said(attack(text)).split() == ["refused"] * 4


def test_a_program_that_closes_its_streams_has_ended_and_what_is_keyed_in_goes_nowhere(attack):
    quick = LIMITS._replace(milliseconds=300)
    for terminal in (True, False):
        program = attack(
            "for each in (0, 1, 2): os.close(each)\ntime.sleep(600)", limits=quick, terminal=terminal
        )
        assert heard(program).how in (ENDED, LATE)
        program.key_in(b"a1\n" * 10)
        assert heard(program).how in (ENDED, LATE)
        program.end()


def test_a_program_that_does_not_heed_signals_is_ended_all_the_same(attack):
    program = attack(
        "for each in range(1, 65):\n    try: signal.signal(each, signal.SIG_IGN)\n    except OSError: pass\n"
        "print('READY', flush=True)\nwhile True: time.sleep(600)"
    )
    assert heard(program).how == WAITS
    program.end()
    assert comes_true(lambda: not running_with(str(attack.folder / "p0.py")))


def test_what_it_leaves_in_its_scratch_folder_goes_with_it(walls):
    with open_folder() as folder, Sandbox(LIMITS) as sandbox:
        text = "import os\nos.makedirs('a/b/c')\nopen('a/b/c/d', 'w').write('x')\nos.symlink('/etc/passwd', 'link')\n"
        running = Running(sandbox, command_for([written(text, folder)], sandbox), terminal=False)
        assert heard(running).how == ENDED
        running.end()
        assert (sandbox.folder / "a/b/c/d").exists()
    assert not sandbox.folder.exists()
    assert Path("/etc/passwd").exists()


def test_secrets_of_who_runs_the_drill_are_not_in_its_environment(attack, monkeypatch):
    monkeypatch.setenv("WORDTIGHT_TEST_SECRET", "12345")
    assert "12345" not in said(attack("print(sorted(os.environ.items()))"))


# What only another user, or only bubblewrap, holds ----------------------------------------------------------------


def test_files_of_others_are_written_or_deleted_only_where_there_is_no_bubblewrap(attack, walls):
    victim = attack.folder / "victim.txt"
    victim.write_text("marks of the class", encoding="utf-8")
    victim.chmod(0o666)
    text = (
        "try: os.remove(HERE + '/victim.txt'); print('deleted')\nexcept OSError as error: print(error.errno)"
    )
    told = said(attack(text))
    assert told == ("deleted" if walls == ALONE else "30")  # EROFS: it can only be read
    assert victim.exists() == (walls == WALLED)


@pytest.mark.skipif(not AS_ROOT, reason="who is not root can only run it as himself")
def test_who_is_root_is_safe_from_what_reads_private_files_and_sends_signals(attack):
    private = attack.folder / "private.txt"
    private.write_text("secret", encoding="utf-8")
    private.chmod(0o600)
    text = "try: print(open(HERE + '/private.txt').read())\nexcept OSError as error: print(error.errno)"
    assert said(attack(text)) == "13"  # EACCES
    text = f"try: os.kill({os.getpid()}, 0); print('reached')\nexcept OSError as error: print(error.errno)"
    assert said(attack(text)) in ("1", "3")  # EPERM, or behind walls ESRCH: there is no such process


def test_signals_reach_who_runs_the_drill_only_as_the_same_user_without_bubblewrap(attack, walls):
    text = f"try: os.kill({os.getpid()}, 0); print('reached')\nexcept OSError: print('refused')"
    reached = walls == ALONE and not AS_ROOT
    assert said(attack(text)) == ("reached" if reached else "refused")


def test_the_network_is_there_only_without_bubblewrap(attack, walls):
    with socket.create_server(("127.0.0.1", 0)) as server:
        port = server.getsockname()[1]
        text = (
            f"try: socket.create_connection(('127.0.0.1', {port}), 60); print('connected')\n"
            "except OSError: print('refused')"
        )
        assert said(attack(text)) == ("connected" if walls == ALONE else "refused")


def test_what_leaves_its_session_goes_on_only_without_bubblewrap(attack, walls):
    """A daemon of three lines; without walls it is the test that ends it."""
    mark = f"wordtight-daemon-{os.getpid()}-{walls}"
    text = (
        "if not os.fork():\n    os.setsid()\n    for each in (0, 1, 2): os.close(each)\n"
        f"    os.execvp('sh', ['sh', '-c', 'sleep 600; :', '{mark}'])\n"
        "print('READY', flush=True)\ntime.sleep(600)"
    )
    program = attack(text)
    assert heard(program).how == WAITS
    assert comes_true(lambda: running_with(mark))
    program.end()
    if walls == WALLED:
        assert comes_true(lambda: not running_with(mark))
        return
    left = running_with(mark)
    assert left
    for process in left:
        os.killpg(os.getpgid(process), signal.SIGKILL)


def running_with(word):
    """The numbers of the processes that have a word on their command line, those of bubblewrap and shells too."""
    found = []
    for file in Path("/proc").glob("[0-9]*/cmdline"):
        try:
            if word.encode() in file.read_bytes().split(b"\0"):
                found.append(int(file.parent.name))
        except OSError:
            continue
    return found


# Attacks on the drill itself --------------------------------------------------------------------------------------

ODD_ANSWERS = {
    "plays-before-it-is-asked": "print('I PLAY A1\\nI PLAY B1\\nI PLAY A2\\nYOUR MOVE', flush=True)\ninput()",
    "asks-without-end": "while True: print('YOUR MOVE', flush=True); input()",
    "claims-to-have-won": "print('I WIN\\nI WIN\\nYOU WIN\\nYOUR MOVE', flush=True)\ninput()",
    "prints-what-steers": "print('\\x1b[2J\\x1b]0;title\\x07\\x9b31mI PLAY A1\\r\\nYOUR MOVE', flush=True)\ninput()",
    "is-no-text": "import os\nos.write(1, b'\\xff\\xfe\\x00I PLAY A1\\xc3\\nYOUR MOVE ')\ninput()",
    "echoes": "print('YOUR MOVE', flush=True)\nwhile True: print(input(), 'YOUR MOVE', flush=True)",
}


LENGTHY = ("asks-without-end", "claims-to-have-won", "echoes")


@pytest.mark.parametrize(
    "name",
    [
        pytest.param(name, marks=[pytest.mark.long] if name in LENGTHY else [], id=name)
        for name in ODD_ANSWERS
    ],
)
def test_whatever_it_answers_the_drill_ends_with_a_fault(name):
    with open_folder() as folder:
        found = drilled([written(ODD_ANSWERS[name], folder)], game="two-by-two", wrong=1)
    assert found.verdict == "fault-found"


@pytest.mark.parametrize(
    "how",
    [
        pytest.param(["--rehearse"], id="rehearse"),
        pytest.param(["--wrong", "0"], id="drill", marks=pytest.mark.long),
        pytest.param(["--junit", "report.xml"], id="junit", marks=pytest.mark.long),
    ],
)
def test_what_it_prints_does_not_steer_the_terminal_of_who_reads_the_report(how, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    with open_folder() as folder:
        program = written(ODD_ANSWERS["prints-what-steers"], folder)
        ran = wordtight("drill", program, "--game", "two-by-two", "--seat", "first", "--games", "0", *how)
    assert ran.status in (0, 1), ran.err
    text = ran.out + "".join(file.read_text(encoding="utf-8") for file in tmp_path.iterdir())
    assert "PLAY A1" in text
    assert text.replace("\n", "").isprintable()
