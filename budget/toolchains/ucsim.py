"""What the machines of sdcc have in common: how its images are read, and how its simulators are run.

A simulator listens at one address: what a program writes there goes to a file, and what it asks for comes out of one.
The simulator runs for as long as its own standard input stays open.
"""

import re
import subprocess
from collections.abc import Iterator, Sequence

from budget.toolchains.toolchain import Failed, Heard, patience, workshop

TICKS = re.compile(rb"Simulated (\d+) ticks")


def records(content: bytes) -> Iterator[tuple[int, bytes]]:
    """The address and the bytes of each record of an Intel HEX file."""
    for line in content.decode("ascii").split():
        raw = bytes.fromhex(line[1:])
        if raw[3] == 0:
            yield raw[1] << 8 | raw[2], raw[4 : 4 + raw[0]]


def loaded_bytes(content: bytes) -> int:
    """How many bytes an Intel HEX file puts into the store."""
    return sum(len(data) for _, data in records(content))


def run(simulator: str, space: str, content: bytes, inputs: Sequence[bytes], part: str, ticks: int) -> Heard:
    """Run a program with all that is typed on a part; what a single input takes is not told.

    ticks: of the clock, to a cycle.
    """
    files = {"program.ihx": content, "in": b"".join(inputs), "out": b""}
    interface = f"if={space}[0xffff],in=in,out=out"
    with workshop(files) as folder:
        with subprocess.Popen(
            [simulator, "-t", part, "-q", "-b", "-I", interface, "program.ihx"],
            cwd=folder,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
        ) as process:
            said = _ended(process, patience(inputs))
        took = TICKS.search(said)
        if took is None:
            raise Failed(f"{simulator} has not come to the program's end: {said.decode('ascii', 'replace')}")
        return Heard((folder / "out").read_bytes(), None, int(took[1]) // ticks)


def _ended(process: "subprocess.Popen[bytes]", seconds: int) -> bytes:
    """What a simulator says, told to run and then to end."""
    try:
        said, _ = process.communicate(b"run\nquit\n", timeout=seconds)
    except subprocess.TimeoutExpired:
        process.kill()
        raise Failed(f"the simulator has not ended after {seconds} seconds") from None
    return said
