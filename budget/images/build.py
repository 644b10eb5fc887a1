"""The files that are made of a program: one in each format, read back and compared, and the map of the store."""

from typing import NamedTuple

from budget.images.formats import formats
from budget.images.image import Image, image_in, image_of
from budget.images.store_map import map_lines
from budget.machine.program import Program
from games.problems import BadInput

MAP, MAP_TITLE = ".map.txt", "map of the store"


class Built(NamedTuple):
    """What was made of a program.

    files: by their names; titles: what each is; left_out: the formats that there is no file in, by their titles, and
    why.
    """

    files: dict[str, bytes]
    titles: dict[str, str]
    left_out: dict[str, str]


def build_files(program: Program, name: str) -> Built:
    """Every file of a program; `name` is how their names begin.

    Raises RuntimeError if a file does not read back word by word: that would be a fault of ours.
    """
    built = Built({}, {}, {})
    image = image_of(program, name)
    for each in formats().values():
        file = name + each.SUFFIX
        try:
            built.files[file] = each.write(image, program.card)
        except BadInput as problem:
            built.left_out[each.TITLE] = problem.problems[0].message
            continue
        built.titles[file] = each.TITLE
        found = image_in(each.read(built.files[file], program.card, file), program.card)
        if not _same(found, image):
            raise RuntimeError(f"{file} does not read back as it was written")
    built.files[name + MAP] = "".join(f"{line}\n" for line in map_lines(program)).encode()
    built.titles[name + MAP] = MAP_TITLE
    return built


def _same(one: Image, other: Image) -> bool:
    """Whether two images load the same words and begin at the same place."""
    return (one.words, one.start) == (other.words, other.start)
