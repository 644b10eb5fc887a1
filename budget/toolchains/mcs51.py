"""An 8051 by sdcc, run by its simulator."""

import re
from collections.abc import Mapping, Sequence

from budget.toolchains.toolchain import Heard, Image, call, workshop
from budget.toolchains.ucsim import loaded_bytes, run

NAME = "mcs51"
SUFFIX = ".ihx"
TOOLS: Mapping[str, str] = {"sdcc": "sdcc", "sdas8051": "sdcc", "s51": "sdcc-ucsim"}
COMPILE = ("sdcc", "-mmcs51", "--std-sdcc89", "--opt-code-size")
STACK = re.compile(r"^SSEG +([0-9A-F]+)", re.M)
REGISTERS = 8
"""Bytes below everything that is written."""
CLOCKS = 12
"""Of the oscillator, to a machine cycle."""


def link(text: str) -> Image:
    """Compile and link it; the figures are those of the image, and of the linker's map."""
    with workshop({"program.c": text}, NAME) as folder:
        call(folder, ["sdas8051", "-plosgff", "start.s"])
        call(folder, [*COMPILE, "-c", "target.c"])
        call(folder, [*COMPILE, "-c", "program.c"])
        call(folder, [*COMPILE, "program.rel", "start.rel", "target.rel", "-o", "program.ihx"])
        content = (folder / "program.ihx").read_bytes()
        stack = STACK.search((folder / "program.map").read_text())
        assert stack is not None, "every map of this linker tells where the stack is"
        return Image(content, loaded_bytes(content), int(stack[1], 16) - REGISTERS)


def play(image: Image, inputs: Sequence[bytes]) -> Heard:
    """Run it."""
    return run("s51", "xram", image.content, inputs, "51", CLOCKS)
