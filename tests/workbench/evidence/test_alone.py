"""The checker by itself, under a Python that has no packages at all: as a folder that was copied, and as one file."""

import ast
import builtins
import json
import re
import shutil
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

from tests.workbench.evidence.alone import alone, outcome
from tests.workbench.evidence.corrupting import changed_files
from tests.workbench.evidence.test_drilled import drill_evidence
from tests.workbench.evidence.test_least import SMALL, least_evidence
from tests.workbench.evidence.test_planned import plan_evidence
from tests.workbench.evidence.writing import written_evidence
from tests.workbench.running import wordtight
from workbench.evidence import checker
from workbench.evidence.joined import READING_ORDER, joined

ROOT = Path(__file__).parents[3]
FOLDER = Path(checker.__file__).parent
FERRY = ROOT / "examples" / "ferry.rules"
KINDS = {
    "proof": (lambda: written_evidence(str(FERRY))[0], 0, "REFUTED. "),
    "least": (lambda: least_evidence(*SMALL[0])[0], 0, "PROVED LEAST: "),
    "drill": (lambda: drill_evidence("right")[0], 0, "NO FAULT in 78 answers"),
    "plan": (lambda: plan_evidence()[0], 3, "WORDS NOT CHECKED: "),
}


@pytest.fixture(params=["file", "folder"])
def ran(request, tmp_path):
    """Run a copy of the checker in a folder where nothing else is; gives the status and what was printed."""
    name = "copied.py" if request.param == "file" else "copied 1.0"
    if request.param == "file":
        (tmp_path / name).write_text(joined(), "utf-8")
    else:
        shutil.copytree(FOLDER, tmp_path / name, ignore=shutil.ignore_patterns("__pycache__"))

    def run(*arguments):
        command = [sys.executable, "-I", "-S", "-B", name, *arguments]
        done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=False)
        assert "Traceback" not in done.stderr
        return done.returncode, done.stdout or done.stderr

    return run


@pytest.mark.parametrize("kind", list(KINDS))
def test_it_checks_every_kind(kind, ran, tmp_path):
    make, status, says = KINDS[kind]
    (tmp_path / "some.evidence").write_bytes(make())
    found, told = ran("some.evidence")
    assert found == status
    assert says in told


def test_its_statuses(ran, tmp_path):
    evidence = KINDS["proof"][0]()
    (tmp_path / "ferry.evidence").write_bytes(evidence)
    (tmp_path / "bent.evidence").write_bytes(evidence.replace(b'"visitor"', b'"machine"', 1))
    (tmp_path / "no.evidence").write_text("seat: second", "utf-8")
    assert ran("ferry.evidence", "--strategy", str(FERRY))[0] == 0
    assert ran("ferry.evidence", "--strategy", "no.evidence")[0] == 1
    assert ran("bent.evidence")[0] == 1
    assert ran("no.evidence") == (2, "this is no evidence: expected one JSON object on every line\n")
    assert ran("missing.evidence")[0] == 2
    assert ran() == (2, "expected: EVIDENCE [--strategy FILE]\n")


@pytest.mark.parametrize("kind", list(KINDS))
def test_both_refuse_what_was_changed_in_the_same_words(kind):
    seen = Counter()
    for _, _, raw in changed_files(KINDS[kind][0](), range(25), f"alone {kind}"):
        found = outcome(checker, raw)
        assert outcome(alone(), raw) == found
        seen[str(found[0])] += 1
    assert seen["Wrong"] > 10


def test_the_command_writes_it_once(tmp_path):
    file = tmp_path / "checker.py"
    ran = wordtight("check-evidence", "--write-checker", file)
    assert (ran.status, file.read_text("utf-8")) == (0, joined())
    assert ran.out.startswith("Written:")
    file.write_text("mine", "utf-8")
    assert wordtight("check-evidence", "--write-checker", file).status == 2
    assert file.read_text("utf-8") == "mine"
    ran = wordtight("check-evidence", "--write-checker", file, "--force", "--json")
    assert (json.loads(ran.out), file.read_text("utf-8")) == ({"written": str(file)}, joined())


# How it is made ---------------------------------------------------------------------------------------------------


def imported(path):
    """What a module imports from elsewhere, and from the folder."""
    nodes = ast.walk(ast.parse(path.read_text("utf-8")))
    found = [node for node in nodes if isinstance(node, ast.Import | ast.ImportFrom)]
    assert all(each.asname is None for node in found for each in node.names), (
        "the joined file has no other names"
    )
    others = [each.name for node in found if isinstance(node, ast.Import) for each in node.names]
    others += [node.module for node in found if isinstance(node, ast.ImportFrom) and not node.level]
    ours = [node for node in found if isinstance(node, ast.ImportFrom) and node.level]
    assert all(node.level == 1 and node.module for node in ours)
    return {name.partition(".")[0] for name in others}, {node.module for node in ours}


def test_it_imports_nothing_of_ours_and_nothing_later():
    modules = {path.stem for path in FOLDER.glob("*.py")}
    assert modules == {*READING_ORDER, "__init__", "__main__"}
    assert not modules & set(sys.stdlib_module_names)  # run as a folder, it would find itself instead
    for place, name in enumerate(READING_ORDER):
        others, ours = imported(FOLDER / f"{name}.py")
        assert others <= set(sys.stdlib_module_names)
        assert ours <= set(READING_ORDER[:place]), name
    assert imported(FOLDER / "__init__.py") == (set(), {"checking", "terms"})
    assert imported(FOLDER / "__main__.py") == ({"sys", "importlib", "pathlib", "types"}, set())


def bound(nodes):
    """The names that statements at the top give to something, once for each time."""
    for node in nodes:
        if isinstance(node, ast.Import | ast.ImportFrom):
            yield from (each.name for each in node.names)
        elif isinstance(node, ast.FunctionDef | ast.ClassDef):
            yield node.name
        else:
            yield from (
                each.id
                for each in ast.walk(node)
                if isinstance(each, ast.Name) and isinstance(each.ctx, ast.Store)
            )


def test_no_name_of_the_joined_file_means_two_things():
    names = Counter(bound(ast.parse(joined()).body))
    assert {name for name, times in names.items() if times > 1} == set()
    assert not names.keys() & set(dir(builtins))
    assert {"Board", "Marks", "Fewest", "main", "KINDS", "hashlib"} <= names.keys()


def body(text):
    """What a module does after it has told what it is and imported what it needs."""
    return [
        ast.dump(node)
        for node in ast.parse(text).body[1:]
        if not isinstance(node, ast.Import | ast.ImportFrom)
    ]


def test_the_joined_file_is_the_modules_in_order():
    text = joined()
    heads = [line.split()[1] for line in text.splitlines() if re.fullmatch(r"# \w+ -{9,}", line)]
    assert heads == list(READING_ORDER)
    *parts, run = body(text)
    assert parts == [
        part for name in READING_ORDER for part in body((FOLDER / f"{name}.py").read_text("utf-8"))
    ]
    assert "__main__" in run


def lengths():
    """Each module with its lines, in tens."""
    return [
        (name, round((FOLDER / f"{name}.py").read_text("utf-8").count("\n"), -1)) for name in READING_ORDER
    ]


def test_the_page_and_the_package_say_how_long_its_parts_are():
    page = (ROOT / "docs" / "evidence.md").read_text("utf-8")
    told = re.findall(r"^\| `(\w+)` \| (\d+) \| .* \| .* \|$", page, re.MULTILINE)
    assert [(name, int(lines)) for name, lines in told] == lengths()
    told = re.findall(r"^    [* ] (\w+) +(\d+)  \w", checker.__doc__, re.MULTILINE)
    assert [(name, int(lines)) for name, lines in told] == lengths()


def test_what_a_proof_in_noughts_and_crosses_needs_is_marked():
    """The marked modules are those in which a function is called; `terms` has none."""
    evidence, _ = written_evidence(str(ROOT / "examples" / "lamp-room.rules"))
    called, before = set(), sys.getprofile()
    sys.setprofile(lambda frame, *_: called.add(frame.f_code.co_filename))
    try:
        checker.check(evidence)
    finally:
        sys.setprofile(before)
    found = {Path(name).stem for name in called if Path(name).parent == FOLDER}
    assert {*re.findall(r"^    \* (\w+)", checker.__doc__, re.MULTILINE)} == found | {"terms"}
