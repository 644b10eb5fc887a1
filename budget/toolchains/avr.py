"""An ATtiny85 by avr-gcc; its programs are run by libsimavr, which is called from a small player in C.

The player is the other side of the serial port: it passes a byte as soon as the part waits for one.  So nothing is
ever lost that a slower other side would not lose either; how long a byte takes to pass is not in the cycles.
"""

from collections.abc import Mapping, Sequence

from budget.toolchains.toolchain import Heard, Image, call, called, patience, workshop

NAME = "avr"
SUFFIX = ".elf"
TOOLS: Mapping[str, str] = {
    "avr-gcc": "gcc-avr avr-libc",
    "avr-size": "binutils-avr",
    "simavr": "simavr libsimavr-dev",
    "gcc": "gcc",
}
COMPILE = (
    "avr-gcc", "-mmcu=attiny85", "-std=gnu90", "-Wall", "-Wextra", "-Werror", "-Os", "-nostartfiles", "-mrelax",
    "-fwhole-program", "-fno-move-loop-invariants", "--param", "max-completely-peel-times=0",
    "program.c", "start.S", "-o", "program.elf",
)  # fmt: skip
"""Short loops stay loops, and addresses are made where they are used: both save bytes, which -Os does not see."""
PLAYER = ("gcc", "-O2", "player.c", "-o", "player", "-lsimavr")


def link(text: str) -> Image:
    """Compile and link it; the figures are those of avr-size: what goes into the flash, and what is written."""
    with workshop({"program.c": text}, NAME) as folder:
        call(folder, COMPILE)
        code, initialised, cleared = map(int, call(folder, ["avr-size", "program.elf"]).split()[6:9])
        content = (folder / "program.elf").read_bytes()
        return Image(content, code + initialised, initialised + cleared)


def play(image: Image, inputs: Sequence[bytes]) -> Heard:
    """Run it in the player."""
    typed = b"".join(len(each).to_bytes(2, "little") + each for each in inputs)
    with workshop({"program.elf": image.content}, NAME) as folder:
        call(folder, PLAYER)
        said, told = called(folder, ["./player", "program.elf"], typed, patience(inputs))
        return Heard(said, tuple(map(int, told.split())))
