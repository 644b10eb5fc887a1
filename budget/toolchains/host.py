"""The computer on which Wordtight runs, with gcc: a program is a process of its own."""

from collections.abc import Mapping, Sequence

from budget.toolchains.toolchain import Heard, Image, call, patience, workshop

NAME = "host"
SUFFIX = ".program"
TOOLS: Mapping[str, str] = {"gcc": "gcc", "size": "binutils"}
COMPILE = ("gcc", "-std=c90", "-pedantic", "-Wall", "-Wextra", "-Werror", "-Os")


def link(text: str) -> Image:
    """Compile it, with every warning an error; the figures are those of the program alone, without the C library."""
    with workshop({"program.c": text}, NAME) as folder:
        call(folder, [*COMPILE, "-c", "program.c"])
        call(folder, [*COMPILE, "program.o", "target.c", "-o", "program"])
        code, initialised, written = map(int, call(folder, ["size", "program.o"]).split()[6:9])
        return Image((folder / "program").read_bytes(), code + initialised, initialised + written)


def play(image: Image, inputs: Sequence[bytes]) -> Heard:
    """Run it as a child with all that is typed; it ends where the input does."""
    with workshop({"program": image.content}) as folder:
        program = folder / "program"
        program.chmod(0o755)
        return Heard(call(folder, [str(program)], b"".join(inputs), patience(inputs)), None)
