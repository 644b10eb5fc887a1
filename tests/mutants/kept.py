"""What has been found so far: docs/mutants.json, and the tables of docs/mutants.md, which are made of it."""

import hashlib
import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path

from tests.mutants.changes import Change
from tests.mutants.rooms import HOLDERS, ROOT, part_of

STORED = ROOT / "docs" / "mutants.json"
PAGE = ROOT / "docs" / "mutants.md"
BEGIN, END = "<!-- begin: make mutants -->", "<!-- end: make mutants -->"
HEAD = """\
| module | mutants | tried | killed | | survived | no reason yet |
| --- | ---: | ---: | ---: | ---: | ---: | ---: |
"""


@dataclass
class Survivor:
    """A mutant that no test noticed; the reason why that does no harm, as somebody has written it, or nothing."""

    number: int
    line: int
    within: str
    was: str
    becomes: str
    reason: str = ""


@dataclass
class Found:
    """What is known of a module: its text, how many mutants it has, how many of the first were tried, who survived."""

    text: str
    mutants: int
    tried: int = 0
    survived: list[Survivor] = field(default_factory=list)


def digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def stored() -> dict[str, Found]:
    """What has been found of each module."""
    if not STORED.exists():
        return {}
    read = json.loads(STORED.read_text(encoding="utf-8"))
    return {
        module: Found(**{**each, "survived": [Survivor(**survivor) for survivor in each["survived"]]})
        for module, each in read.items()
    }


def store(found: dict[str, Found]) -> None:
    """Write both files anew."""
    data = {module: asdict(each) for module, each in sorted(found.items())}
    _write(STORED, json.dumps(data, indent=1) + "\n")
    before, _, rest = PAGE.read_text(encoding="utf-8").partition(BEGIN)
    _write(PAGE, f"{before}{BEGIN}\n{tables(found)}{END}{rest.partition(END)[2]}")


def _write(path: Path, text: str) -> None:
    beside = path.with_name(path.name + ".new")
    beside.write_text(text, encoding="utf-8")
    beside.replace(path)


def taken_up(before: Found | None, text: str, every: Sequence[Change]) -> Found:
    """What is known of a module, to go on from; nothing, if its text has changed."""
    if before is not None and before.text == digest(text) and before.mutants == len(every):
        return before
    return Found(digest(text), len(every))


def reasons_of(before: Found | None) -> dict[tuple[str, str, str], str]:
    """The reasons that were written, by what does not change when lines move."""
    survived = before.survived if before is not None else []
    return {(each.within, each.was, each.becomes): each.reason for each in survived}


def survivor(change: Change, reasons: dict[tuple[str, str, str], str]) -> Survivor:
    reason = reasons.get((change.within, change.was, change.becomes), "")
    return Survivor(change.number, change.line, change.within, change.was, change.becomes, reason)


def tables(found: dict[str, Found]) -> str:
    """The tables as Markdown: module by module, part by part, and the survivors."""
    rows = [_row(f"`{module}`", [each]) for module, each in sorted(found.items())]
    for part in HOLDERS:
        of_part = [each for module, each in found.items() if part_of(module) == part]
        if of_part:
            rows.append(_row(f"**`{part}/`**, {len(of_part)} modules", of_part))
    rows.append(_row(f"**all**, {len(found)} modules", list(found.values())))
    return f"\n{HEAD}{''.join(rows)}\n{_survivors(found)}"


def _row(name: str, found: Sequence[Found]) -> str:
    mutants, tried = sum(each.mutants for each in found), sum(each.tried for each in found)
    survived = [survivor for each in found for survivor in each.survived]
    killed = tried - len(survived)
    share = f"{1000 * killed // tried / 10:.1f} %" if tried else ""  # rounded down
    open_ones = sum(not each.reason for each in survived)
    return (
        f"| {name} | {mutants:,} | {tried:,} | {killed:,} | {share} | {len(survived):,} | {open_ones:,} |\n"
    )


def _survivors(found: dict[str, Found]) -> str:
    """Every survivor with its reason, a list for each module that has some."""
    parts = []
    for module, each in sorted(found.items()):
        if each.survived:
            ordered = sorted(each.survived, key=lambda survivor: (survivor.line, survivor.number))
            parts.append(f"### {module}\n\n" + "".join(map(_told, ordered)) + "\n")
    return "".join(parts)


def _told(survivor: Survivor) -> str:
    place = f"line {survivor.line}" + (f", `{survivor.within}`" if survivor.within else "")
    reason = survivor.reason or "*no reason yet*"
    return f"* {place}: {_code(survivor.was)} becomes {_code(survivor.becomes)}: {reason}\n"


def _code(text: str) -> str:
    """As code in Markdown, whatever ticks it has."""
    if not text:
        return "nothing"
    return f"`` {text} ``" if "`" in text else f"`{text}`"
