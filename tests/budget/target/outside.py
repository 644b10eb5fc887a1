"""The assembler and the simulator of others: palbart, and the pdp8 of simh, both Debian packages."""

import os
import pty
import re
import select
import shutil
import subprocess
import termios
import time

import pytest

SLOWEST = 120
"""Seconds within which the simulator answers a key."""
INTERRUPT = b"\x05"
"""The key that stops the simulated machine; the terminal knows it while that runs."""
needs_palbart = pytest.mark.skipif(not shutil.which("palbart"), reason="needs Debian's package palbart")
needs_pdp8 = pytest.mark.skipif(not shutil.which("pdp8"), reason="needs Debian's package simh")
needs_simh = pytest.mark.skipif(
    not (shutil.which("palbart") and shutil.which("pdp8")), reason="needs Debian's packages palbart and simh"
)


def assembled(source, folder):
    """The words that palbart makes of a source, by address; the file that it leaves is folder/program.bin."""
    (folder / "program.pal").write_text(source, encoding="ascii")
    ran = subprocess.run(
        ["palbart", "-e", "program.pal"], cwd=folder, capture_output=True, text=True, check=False, timeout=60
    )
    mistakes = folder / "program.err"
    assert not mistakes.exists(), mistakes.read_text()
    assert ran.returncode == 0, ran.stderr
    return read_bin((folder / "program.bin").read_bytes())


def read_bin(tape):
    """The words of a tape in BIN format, by address: two rows of six bits each, an address marked by bit 0100."""
    rows = [row for row in tape.strip(b"\x80") if row & 0o300 != 0o300]
    words, address, total = {}, 0, 0
    for upper, lower in zip(rows[:-2:2], rows[1:-2:2], strict=True):
        total += upper + lower
        value = (upper & 0o77) << 6 | lower
        if upper & 0o100:
            address = value
        else:
            words[address] = value
            address += 1
    assert total % 4096 == (rows[-2] & 0o77) << 6 | rows[-1], "the sum at the end of the tape"
    return words


class Pdp8:
    """The simulator at a pseudo-terminal, with a program loaded and started: a context that ends it.

    image: the words by address; without it they are those of the tape folder/program.bin.
    """

    def __init__(self, folder, start, image=None):
        loading = [f"load {folder}/program.bin"]
        if image is not None:
            loading = [f"deposit {address:o} {word:o}" for address, word in image.items()]
        script = folder / "go.ini"
        script.write_text("\n".join(["set cpu 4k", *loading, f"run {start:o}\n"]), encoding="ascii")
        self.terminal, theirs = pty.openpty()
        self.process = subprocess.Popen(
            ["pdp8", str(script)], stdin=theirs, stdout=theirs, stderr=theirs, cwd=folder, close_fds=True
        )
        os.close(theirs)
        self.heard = ""

    def __enter__(self):
        try:
            self.wait_for(r"PDP-8 simulator[^\n]*\n")
            end = time.monotonic() + SLOWEST
            while not self.is_started() and self.process.poll() is None and "sim>" not in self.heard:
                assert time.monotonic() < end, "the program was not started"
                self.listen(0.01)
        except BaseException:
            self.__exit__()
            raise
        return self

    def is_started(self):
        """Whether the simulated machine has the keyboard; whatever was typed before is lost."""
        return termios.tcgetattr(self.terminal)[6][termios.VINTR] == INTERRUPT

    def __exit__(self, *_):
        if self.process.poll() is None:
            self.process.kill()
        self.process.wait()
        os.close(self.terminal)

    def listen(self, seconds):
        """Hear what comes within some seconds; whether anything has."""
        if not select.select([self.terminal], [], [], seconds)[0]:
            return False
        try:
            self.heard += os.read(self.terminal, 4096).decode("latin-1")
        except OSError:
            return False
        return True

    def wait_for(self, pattern):
        """Wait until something is said, forget it and what was before it, and give it."""
        end = time.monotonic() + SLOWEST
        while not (found := re.search(pattern, self.heard)):
            assert time.monotonic() < end, f"waited for {pattern!r}, heard {self.heard!r}"
            self.listen(0.1)
        self.heard = self.heard[found.end() :]
        return found[0]

    def key(self, sign, answer):
        """Press a key and hear the answer, which must be this."""
        os.write(self.terminal, sign.encode("ascii"))
        assert self.wait_for(re.escape(answer)) == answer

    def answer(self, code, most):
        """Press a key and hear so many characters, or what comes instead; nothing may have come before."""
        assert not self.heard, f"it went on: {self.heard!r}"
        os.write(self.terminal, bytes([code]))
        end = time.monotonic() + SLOWEST
        while len(self.heard) < most and time.monotonic() < end:
            self.listen(0.1)
        heard, self.heard = self.heard, ""
        return heard

    def silence(self):
        """What is said further that nobody has waited for."""
        while self.listen(0.2):
            pass
        return self.heard

    def store(self, first, last):
        """The words of some addresses, of a machine that has stopped."""
        self.wait_for("sim> ")
        os.write(self.terminal, f"examine {first:o}-{last:o}\nexamine pc\n".encode("ascii"))
        said = ""
        while "PC:" not in said:
            said += self.wait_for(r"[^\n]*\n")
        return {
            int(at, 8): int(word, 8) for at, word in re.findall(r"^(\d+):\s+(\d+)\r?$", said, re.MULTILINE)
        }
