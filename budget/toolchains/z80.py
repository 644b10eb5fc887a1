"""A Z80 by sdcc, run by its simulator."""

import re
from collections.abc import Mapping, Sequence

from budget.toolchains.toolchain import Heard, Image, call, workshop
from budget.toolchains.ucsim import loaded_bytes, run

NAME = "z80"
SUFFIX = ".ihx"
TOOLS: Mapping[str, str] = {"sdcc": "sdcc", "sdasz80": "sdcc", "sz80": "sdcc-ucsim"}
COMPILE = ("sdcc", "-mz80", "--std-sdcc89", "--opt-code-size", "--max-allocs-per-node", "20000")
LINK = ("sdcc", "-mz80", "--no-std-crt0", "--code-loc", "0x0006", "--data-loc", "0x8000")
AREA = re.compile(r"^(_DATA|_INITIALIZED|_BSS) +[0-9A-F]+ +([0-9A-F]+)", re.M)


def link(text: str) -> Image:
    """Compile and link it; the figures are those of the image, and of the linker's map."""
    with workshop({"program.c": text}, NAME) as folder:
        call(folder, ["sdasz80", "-o", "start.rel", "start.s"])
        call(folder, [*COMPILE, "-c", "program.c"])
        call(folder, [*LINK, "start.rel", "program.rel", "-o", "program.ihx"])
        content = (folder / "program.ihx").read_bytes()
        written = sum(int(size, 16) for _, size in AREA.findall((folder / "program.map").read_text()))
        return Image(content, loaded_bytes(content), written)


def play(image: Image, inputs: Sequence[bytes]) -> Heard:
    """Run it."""
    return run("sz80", "rom", image.content, inputs, "Z80", 1)
