"""What every toolchain gives, and what they share: tools that may be missing, and tools that are run with limits."""

import shutil
import subprocess
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple, Protocol

SHIMS = Path(__file__).parent / "shims"
PLAYER = "player.c"
"""The shim that is no part of a program."""
SECONDS = 60
"""A tool that takes longer is taken to run for ever; a simulator has more, by what is typed."""
INPUTS_A_SECOND = 20
"""What the slowest simulator does on the busiest computer, and more."""


class Missing(Exception):
    """Tools that are not installed; the message is one line that says which, and in which Debian packages they are."""


class Failed(Exception):
    """A tool that has refused what we gave it, a fault of ours; the message has what it said."""


class Image(NamedTuple):
    """What a linker made.

    content: the file that a simulator runs; loaded: the bytes that are put into the machine, as the tool's own figures
    have them; written: the bytes that the program writes, its stack left aside.
    """

    content: bytes
    loaded: int
    written: int


class Heard(NamedTuple):
    """What a program did: all that it printed, and the cycles from each input to the next wait, the start first.

    cycles: None where the simulator does not say; of a computer of today nobody asks; total: the cycles of the whole
    run, if these are told, to the stop at the end of the input.
    """

    said: bytes
    cycles: tuple[int, ...] | None
    total: int | None = None


class Toolchain(Protocol):
    """What each module here gives."""

    NAME: str
    SUFFIX: str
    """How the names of its images end."""
    TOOLS: Mapping[str, str]
    """The tools that are called, each with the Debian package that has it."""

    def link(self, text: str) -> Image:
        """Compile and link a program.  Raises Failed where a tool refuses it."""
        ...

    def play(self, image: Image, inputs: Sequence[bytes]) -> Heard:
        """Start it, and feed it these inputs one after another."""
        ...


def check_tools(toolchain: Toolchain) -> None:
    """Raise Missing where a tool is not installed."""
    lacking = [tool for tool in toolchain.TOOLS if shutil.which(tool) is None]
    if lacking:
        packages = sorted({package for tool in lacking for package in toolchain.TOOLS[tool].split()})
        raise Missing(
            f"{', '.join(lacking)} {'are' if len(lacking) > 1 else 'is'} not installed; expected the Debian "
            f"package{'s' * (len(packages) > 1)} {', '.join(packages)}"
        )


def shims(toolchain: Toolchain) -> dict[str, bytes]:
    """The files that a program is compiled and linked with, by name; what only plays it is none of them."""
    folder = SHIMS / toolchain.NAME
    return {path.name: path.read_bytes() for path in sorted(folder.iterdir()) if path.name != PLAYER}


@contextmanager
def workshop(files: Mapping[str, str | bytes], *names: str) -> Iterator[Path]:
    """A folder with these files and those of some toolchains' shims, for as long as it is needed."""
    with tempfile.TemporaryDirectory(prefix="wordtight-") as place:
        folder = Path(place)
        for name in names:
            for path in sorted((SHIMS / name).iterdir()):
                shutil.copyfile(path, folder / path.name)
        for file, content in files.items():
            (folder / file).write_bytes(content.encode("ascii") if isinstance(content, str) else content)
        yield folder


def patience(inputs: Sequence[bytes]) -> int:
    """How many seconds a simulator has for so many inputs."""
    return SECONDS + len(inputs) // INPUTS_A_SECOND


def call(folder: Path, command: Sequence[str], typed: bytes = b"", seconds: int = SECONDS) -> bytes:
    """What a tool prints, run in a folder.

    Raises Failed where it ends with another status than 0, or takes more than so many seconds.
    """
    return called(folder, command, typed, seconds)[0]


def called(
    folder: Path, command: Sequence[str], typed: bytes = b"", seconds: int = SECONDS
) -> tuple[bytes, bytes]:
    """The same with what it says on standard error."""
    try:
        done = subprocess.run(
            command, cwd=folder, input=typed, capture_output=True, timeout=seconds, check=False
        )
    except subprocess.TimeoutExpired:
        raise Failed(f"{command[0]} has not ended after {seconds} seconds") from None
    if done.returncode:
        said = (done.stderr or done.stdout).decode("ascii", "replace").strip()
        raise Failed(f"{' '.join(command)}: {said}")
    return done.stdout, done.stderr
