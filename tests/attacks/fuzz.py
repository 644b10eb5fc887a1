"""The long search at every door, led by coverage: `make fuzz`, or python -m tests.attacks.fuzz [DOOR]...

FUZZ_SECONDS (60 unless told) are spent at each door, in a process of its own that may take 2 GB of memory and half a
minute for an input.  What reaches code that nothing reached before is kept in tests/attacks/corpus/, which the test
suite tries every time; so is what brings about a fault, as `found-...`.  How many inputs were tried is added to the
table of docs/promises.md.
"""

import hashlib
import os
import re
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from tests.attacks.tried import add

CORPUS = Path(__file__).parent / "corpus"
ONE = "--one"
LARGEST_KEPT, MOST_KEPT = 2_000, 12
"""Bytes of an input that is kept, and how many are kept of a door, besides those that brought about a fault."""
LIMITS = ("-rss_limit_mb=2048", "-timeout=30", "-max_len=20000", "-print_final_stats=1", "-verbosity=0")
EXECUTED = re.compile(r"stat::number_of_executed_units: *(\d+)")


def main(arguments: Sequence[str]) -> int:
    """Search at the doors that are named, or at all: 1 if a fault was found."""
    if arguments[:1] == [ONE]:
        return search(*arguments[1:])
    from tests.attacks.doors import DOORS

    seconds = int(os.environ.get("FUZZ_SECONDS", "60"))
    unknown = set(arguments) - set(DOORS)
    if unknown:
        print(f"there is no door '{min(unknown)}'; expected some of {', '.join(DOORS)}", file=sys.stderr)
        return 2
    found = [name for name in arguments or DOORS if searched(name, DOORS[name].samples(), seconds)]
    for name in found:
        print(f"a fault at the door '{name}': see tests/attacks/corpus/{name}/found-*")
    return 1 if found else 0


def searched(name: str, samples: Sequence[bytes], seconds: int) -> bool:
    """Search at one door and keep what is worth it; whether a fault was found."""
    with tempfile.TemporaryDirectory(prefix="wordtight-fuzz-") as holder:
        seeds, grown, faults = (Path(holder) / part for part in ("seeds", "grown", "faults"))
        for folder in (seeds, grown, faults):
            folder.mkdir()
        for number, raw in enumerate(samples):
            (seeds / f"sample-{number}").write_bytes(raw)
        for file in (CORPUS / name).glob("*"):
            (seeds / file.name).write_bytes(file.read_bytes())
        options = [str(grown), str(seeds), f"-max_total_time={seconds}", f"-artifact_prefix={faults}/"]
        told = _run(name, options)
        tried = EXECUTED.search(told)
        add(name, int(tried[1]) if tried else 0, seconds)
        _keep(name, [file.read_bytes() for file in grown.iterdir()])
        found = sorted(faults.iterdir())
        for file in found:
            _put(name, f"found-{file.name.partition('-')[0]}", file.read_bytes())
        print(
            f"{name}: {tried[1] if tried else 'no'} inputs in {seconds} seconds, {len(found)} faults",
            flush=True,
        )
        if found or tried is None:
            print(told[-3000:])
        return bool(found)


def _run(name: str, options: Sequence[str]) -> str:
    """What the search prints in a process of its own, which may crash."""
    command = [sys.executable, "-m", "tests.attacks.fuzz", ONE, name, *options, *LIMITS]
    ran = subprocess.run(command, capture_output=True, check=False, cwd=CORPUS.parent.parent.parent)
    return (ran.stdout + ran.stderr).decode("utf-8", "replace")


def search(name: str, *options: str) -> int:
    """The search itself; it ends the process."""
    import atheris

    with atheris.instrument_imports(include=["games", "solver", "budget", "workbench"]):
        from tests.attacks.door import knock
        from tests.attacks.doors import DOORS
    with tempfile.TemporaryDirectory(prefix="wordtight-fuzz-") as folder:
        door = DOORS[name]
        atheris.Setup([sys.argv[0], *options], lambda raw: knock(door, raw, Path(folder)))
        atheris.Fuzz()
    return 0


def _keep(name: str, grown: Sequence[bytes]) -> None:
    """Keep some of these inputs and of those that were kept before: of all sizes, and rather those that are taken."""
    from tests.attacks.door import is_taken
    from tests.attacks.doors import DOORS

    before = sorted((CORPUS / name).glob("kept-*"))
    known = {raw for raw in (*grown, *(file.read_bytes() for file in before)) if len(raw) <= LARGEST_KEPT}
    found = sorted(known, key=lambda raw: (not is_taken(DOORS[name], raw), len(raw), raw))
    better = found[: max(MOST_KEPT, len(found) // 2)]
    for file in before:
        file.unlink()
    for raw in better[:: -(-len(better) // MOST_KEPT) or 1]:
        _put(name, "kept", raw)


def _put(name: str, kind: str, raw: bytes) -> None:
    folder = CORPUS / name
    folder.mkdir(parents=True, exist_ok=True)
    (folder / f"{kind}-{hashlib.sha256(raw).hexdigest()[:10]}").write_bytes(raw)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
