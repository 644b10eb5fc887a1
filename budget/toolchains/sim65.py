"""A 6502 by cc65, run by sim65, which prints the cycles of a whole run behind what the program has printed."""

import re
from collections.abc import Mapping, Sequence

from budget.toolchains.toolchain import Failed, Heard, Image, call, patience, workshop

NAME = "sim65"
SUFFIX = ".sim65"
TOOLS: Mapping[str, str] = {"cl65": "cc65", "sim65": "cc65"}
COMPILE = ("cl65", "-t", "sim6502", "-Oirs", "-Cl", "-C", "sim65.cfg", "-m", "program.map", "-o", "program")
HEADER = 12
"""Bytes of the file that the simulator keeps for itself."""
FAR = ("-D", "FAR")
"""Where page zero has no room for all that is written, it lies outside."""
CYCLES = re.compile(rb"(\d+) cycles\n")


def link(text: str) -> Image:
    """Compile and link it; the figures are those of the linker's map."""
    with workshop({"program.c": text}, NAME) as folder:
        try:
            call(folder, [*COMPILE, "start.s", "program.c"])
        except Failed:
            call(folder, [*COMPILE, *FAR, "start.s", "program.c"])
        sizes = dict(re.findall(r"^(\w+) +\w+ +\w+ +(\w+) +\w+$", (folder / "program.map").read_text(), re.M))
        written = sum(int(sizes.get(segment, "0"), 16) for segment in ("ZEROPAGE", "BSS", "DATA"))
        content = (folder / "program").read_bytes()
        return Image(content, len(content) - HEADER, written)


def play(image: Image, inputs: Sequence[bytes]) -> Heard:
    """Run it; what a single input takes is not told.

    The figure of the cycles follows what the program has printed without anything between, and that may end in digits:
    so it is run twice, the second time with the figure.
    """
    typed, seconds = b"".join(inputs), patience(inputs)
    with workshop({"program": image.content}) as folder:
        said = call(folder, ["sim65", "program"], typed, seconds)
        more = call(folder, ["sim65", "-c", "program"], typed, seconds)[len(said) :]
    cycles = CYCLES.fullmatch(more)
    if cycles is None:
        raise Failed("sim65 has not told the cycles, so the program has not come to its end")
    return Heard(said, None, int(cycles[1]))
