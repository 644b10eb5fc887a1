"""The command starts quickly because it loads only what the case in hand needs.

What is loaded is checked here; how long it takes is measured by benchmarks/startup.py and never asserted.
"""

import runpy
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
SHEETS = sorted((ROOT / "examples").rglob("*.rules"))

# Runs the command as `python -m workbench` would, then says what has been loaded by then.
PROBE = """
import runpy, sys
sys.argv = ["wordtight", *sys.argv[1:]]
try:
    runpy.run_module("workbench", run_name="__main__", alter_sys=True)
except SystemExit as end:
    status = end.code or 0
print(status, *sys.modules, file=sys.stderr)
"""


def loaded(*arguments: object) -> tuple[int, set[str]]:
    """Give the exit status of a command and the top-level names of the modules that it loaded."""
    done = subprocess.run(
        [sys.executable, "-c", PROBE, *map(str, arguments)],
        cwd=ROOT,
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    status, *modules = done.stderr.splitlines()[-1].split()
    return int(status), {name.partition(".")[0] for name in modules}


def test_help_loads_nothing_heavy():
    status, modules = loaded("--help")
    assert status == 0
    assert "click" in modules  # the probe does see what is loaded
    assert not modules & {"numpy", "networkx", "lark", "rich"}


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda path: path.name)
def test_prove_loads_only_numpy_and_click(sheet):
    status, modules = loaded("prove", sheet)
    assert status in (0, 1)
    assert {"numpy", "click"} <= modules
    assert not modules & {"networkx", "lark", "rich"}


def test_there_is_a_sheet_to_prove():
    assert SHEETS


def test_python_m_workbench_is_the_same_command(monkeypatch, capsys):
    monkeypatch.setattr(sys, "argv", ["somewhere/__main__.py", "--help"])
    with pytest.raises(SystemExit) as end:
        runpy.run_module("workbench", run_name="__main__")
    assert not end.value.code
    assert capsys.readouterr().out.startswith("Usage: wordtight ")
