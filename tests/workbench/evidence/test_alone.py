"""The checker as a file copied by itself, under a Python that has no packages at all."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.workbench.evidence.test_drilled import drill_evidence
from tests.workbench.evidence.test_least import SMALL, least_evidence
from tests.workbench.evidence.test_planned import plan_evidence
from workbench.evidence import checker

KINDS = {
    "least": (lambda: least_evidence(*SMALL[0])[0], 0, "PROVED LEAST: "),
    "drill": (lambda: drill_evidence("right")[0], 0, "NO FAULT in 78 answers"),
    "plan": (lambda: plan_evidence()[0], 3, "WORDS NOT CHECKED: "),
}


@pytest.mark.parametrize("kind", list(KINDS))
def test_it_checks_every_kind(kind, tmp_path):
    make, status, says = KINDS[kind]
    (tmp_path / "copied.py").write_bytes(Path(checker.__file__).read_bytes())
    (tmp_path / "some.evidence").write_bytes(make())
    command = [sys.executable, "-I", "-S", "copied.py", "some.evidence"]
    ran = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert (ran.returncode, ran.stderr) == (status, "")
    assert says in ran.stdout
    for bent in (make()[:-2], make().replace(b"1", b"2", 40)):
        (tmp_path / "some.evidence").write_bytes(bent)
        ran = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=False)
        assert ran.returncode in (1, 2)
        assert "Traceback" not in ran.stderr


def sections():
    """The sections of the checker with their lengths, what stands before the first one being the head."""
    found, name = {}, "head"
    for line in Path(checker.__file__).read_text("utf-8").splitlines():
        mark = re.match("# ([A-Z].*?) -{9,}$", line)
        name = mark[1] if mark else name
        found[name] = found.get(name, 0) + 1
    return found


def test_the_page_says_how_long_its_parts_are():
    """In tens of lines, in the order of the file, and all of them."""
    page = (Path(__file__).parents[3] / "docs" / "evidence.md").read_text("utf-8")
    told = re.findall(r"^\| (.+?) \| (\d+) \| .* \| .* \|$", page, re.MULTILINE)
    assert [(name, int(lines)) for name, lines in told] == [
        (name, round(lines, -1)) for name, lines in sections().items()
    ]
