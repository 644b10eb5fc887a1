"""What `build` writes, in plain lines."""

from budget.images.build import Built
from budget.machine.program import Program
from workbench.output import table
from workbench.tell_program import counted, listing_lines

LISTING, LISTING_TITLE = ".listing.txt", "listing"


def listing_text(program: Program) -> str:
    """The listing as `assemble` prints it, as the text of a file."""
    lines = [line.rstrip() for line in listing_lines(program)]
    return "\n".join([*lines, "", counted(program), ""])


def built_lines(built: Built) -> list[str]:
    """The files with what each is and how long it is."""
    rows = [(name, built.titles[name], f"{len(content):,}") for name, content in built.files.items()]
    return table(("file", "what it is", "bytes"), rows, right=(2,))
