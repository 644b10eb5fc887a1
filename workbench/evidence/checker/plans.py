"""Plans: a proof for every way in which a program fits a machine."""

from itertools import pairwise

from .proofs import Check
from .shapes import FILE
from .terms import Numbered, Record, Wrong

PLAN = {"card": FILE, "ways": int}
WAY = {"way": str, "form": str, "reading": str, "words": int, "sheet": str, "image": str}


def check_plan(header: Record, records: Numbered) -> tuple[int, list[str]]:
    """Every way's own proof, which stands in the lines after it."""
    begins = [place for place, (_, record) in enumerate(records) if "way" in record]
    if not begins or begins[0] or len(begins) != header["ways"]:
        raise Wrong(f"line 1: {header['ways']} ways are told, but the lines are not those of so many")
    told = []
    for begin, end in pairwise([*begins, len(records)]):
        way = records[begin][1]
        found = Check({**header, "verdict": "proved"}, records[begin + 1 : end]).run()
        told.append(f"{way['way']} ({way['form']}, {way['reading']}): {found}")
    told.append(
        "WORDS NOT CHECKED: how many words a program takes, how long it thinks, and that it plays so."
    )
    return 3, told
