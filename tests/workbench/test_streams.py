"""Real processes: closed pipes, full disks, odd consoles, and Ctrl-C."""

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from tests.workbench.processes import environment, posix_only, run, start
from workbench.new import write_example


@pytest.fixture
def folder(tmp_path):
    write_example("rules", str(tmp_path / "my.rules"))
    return tmp_path


@posix_only
@pytest.mark.parametrize("arguments", [("prove", "my.rules"), ("prove", "my.rules", "--json"), ("--help",)])
def test_a_reader_that_has_seen_enough_gets_no_traceback(folder, arguments):
    reading, writing = os.pipe()
    os.close(reading)
    try:
        ran = run(folder, *arguments, stdout=writing, stderr=subprocess.PIPE)
    finally:
        os.close(writing)
    assert ran.stderr == b""
    assert ran.returncode == 130  # nobody may take it for a proof


@posix_only
@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_a_full_disk_is_told_in_one_line(folder):
    with Path("/dev/full").open("wb") as full:
        ran = run(folder, "prove", "my.rules", stdout=full, stderr=subprocess.PIPE)
    assert ran.returncode == 2
    assert ran.stderr.decode() == "the output cannot be written: No space left on device\n"


@posix_only
def test_without_any_output_the_status_still_tells(folder):
    for streams in ("", " 2>&-"):
        line = f'exec "$@" >&-{streams}'
        ran = subprocess.run(
            ["sh", "-c", line, "sh", sys.executable, "-m", "workbench", "prove", "my.rules"],
            cwd=folder,
            env=environment(),
            check=False,
        )
        assert ran.returncode == 1


def test_a_console_without_the_sign_shows_its_number(folder):
    odd = folder / "\u0142\u00f3d\u017a of the \u2693 club.rules"
    odd.write_bytes((folder / "my.rules").read_bytes())
    ran = run(
        folder, "prove", odd.name, capture_output=True, env={"PYTHONIOENCODING": "cp1252", "PYTHONUTF8": "0"}
    )
    assert ran.returncode == 1
    assert ran.stderr == b""
    assert ran.stdout.startswith(b"\\u0142\xf3d\\u017a of the \\u2693 club.rules: Noughts and crosses")
    told = run(folder, "prove", odd.name, "--json", capture_output=True, env={"PYTHONIOENCODING": "cp1252"})
    assert json.loads(told.stdout)["strategy"] == "\u0142\u00f3d\u017a of the \u2693 club"


@posix_only
def test_a_file_name_that_is_no_text_at_all_is_shown_somehow(folder):
    odd = os.fsencode(folder) + b"/caf\xe9.rules"
    Path(os.fsdecode(odd)).write_bytes(b"game: noughts-and-crosses\nseat: second\ntake a cornr\n")
    ran = run(folder, b"check", odd, capture_output=True)
    assert ran.returncode == 2
    assert b"caf\\udce9.rules:3:8: expected 'corner', not 'cornr'" in ran.stderr
    assert b"Traceback" not in ran.stderr


def test_no_codes_that_steer_a_terminal_are_printed(folder):
    plain = run(folder, "prove", "my.rules", capture_output=True)
    for env in ({"NO_COLOR": "1", "TERM": "dumb"}, {"FORCE_COLOR": "1", "CLICOLOR_FORCE": "1"}):
        ran = run(folder, "prove", "my.rules", capture_output=True, env=env)
        assert ran.stdout == plain.stdout
    assert b"\x1b" not in plain.stdout + plain.stderr


@posix_only
def test_a_dumb_terminal_is_not_cleared(folder):
    import pty

    for term, clears in (("dumb", False), ("vt100", True)):
        ours, theirs = pty.openpty()
        watching = start(
            folder, "prove", "--watch", "my.rules", env={"TERM": term}, stdout=theirs, stderr=theirs
        )
        os.close(theirs)
        shown = b""
        while b"Ctrl-C ends" not in shown:
            shown += os.read(ours, 65536)
        watching.send_signal(signal.SIGINT)
        try:
            while part := os.read(ours, 65536):
                shown += part
        except OSError:
            pass  # how a terminal says that its program has left
        assert watching.wait(timeout=120) == 130
        os.close(ours)
        assert (b"\x1b[" in shown) == clears


@posix_only
def test_ctrl_c_ends_play(folder):
    playing = start(folder, "play", "noughts-and-crosses", "--against", "my.rules", stdin=subprocess.PIPE)
    shown = b""
    while b"YOUR MOVE? " not in shown:
        shown += os.read(playing.stdout.fileno(), 65536)
    playing.send_signal(signal.SIGINT)
    _, err = playing.communicate(timeout=120)
    assert playing.returncode == 130
    assert err.decode().strip() == "interrupted"
