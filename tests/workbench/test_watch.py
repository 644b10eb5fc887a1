"""`prove --watch` in a process of its own, with a learner who saves, loses and spoils the file."""

import os
import signal
import threading
import time

import pytest

from tests.workbench.processes import posix_only, start
from workbench.new import template

PATIENCE = 120
"""Seconds; what is promised is one, and what it takes is a quarter, but test machines have other work as well."""
SHEET = template("rules")
MENDED = SHEET.replace("take the centre\n", "stop a double threat\ntake the centre\n")


class Watched:
    """A process, and what it has said so far on both outputs."""

    def __init__(self, folder, *arguments):
        self.process = start(folder, "prove", "--watch", *arguments)
        self.said = b""
        self.fresh = threading.Condition()
        for stream in (self.process.stdout, self.process.stderr):
            threading.Thread(target=self._listen, args=(stream,), daemon=True).start()

    def _listen(self, stream):
        with stream:
            while part := os.read(stream.fileno(), 65536):
                with self.fresh:
                    self.said += part
                    self.fresh.notify_all()

    def waits_to_say(self, text):
        """Seconds until the text is said; what was said up to its end is forgotten."""
        begun = time.monotonic()
        with self.fresh:
            assert self.fresh.wait_for(lambda: text in self.said, PATIENCE), self.said.decode()
            _, _, self.said = self.said.partition(text)
        return time.monotonic() - begun

    def interrupt(self):
        self.process.send_signal(signal.SIGINT)
        return self.process.wait(PATIENCE)


@pytest.fixture
def sheet(tmp_path):
    path = tmp_path / "my.rules"
    path.write_text(SHEET, encoding="utf-8")
    return path


@pytest.fixture
def watched(sheet):
    watched = Watched(sheet.parent, "my.rules")
    watched.waits_to_say(b"REFUTED.")
    watched.waits_to_say(b"Watching my.rules: save it to prove it again; Ctrl-C ends.")
    yield watched
    watched.process.kill()
    watched.process.wait()


@posix_only
def test_one_more_rule_is_proved_within_a_moment_of_saving(sheet, watched):
    assert MENDED != SHEET
    sheet.write_text(MENDED, encoding="utf-8")
    print(f"{watched.waits_to_say(b'PROVED.'):.2f} seconds from saving to PROVED")
    watched.waits_to_say(b"Ctrl-C ends.")
    assert watched.interrupt() == 130
    watched.waits_to_say(b"interrupted")


@posix_only
def test_a_file_that_goes_away_and_comes_back_spoilt_is_waited_out(sheet, watched):
    sheet.unlink()
    time.sleep(0.4)
    sheet.write_text(SHEET.replace("take the centre\n", "take the middle\n"), encoding="utf-8")
    watched.waits_to_say(
        b"my.rules:23:10: expected 'centre', 'first', 'heaviest' or 'opposite', not 'middle'"
    )
    sheet.write_bytes(b"\xff\xfe broken")
    watched.waits_to_say(b"UTF-16")
    sheet.write_bytes(b"")
    watched.waits_to_say(b"is empty")
    beside = sheet.with_suffix(".new")
    beside.write_text(MENDED, encoding="utf-8")
    beside.replace(sheet)  # as careful editors save
    watched.waits_to_say(b"\nPROVED.")
    assert watched.interrupt() == 130
    assert b"Traceback" not in watched.said
