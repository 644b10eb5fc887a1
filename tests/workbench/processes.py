"""The command in a process of its own."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent.parent
HEEDS_CTRL_C = """
import runpy, signal
signal.signal(signal.SIGINT, signal.default_int_handler)
runpy.run_module("workbench", run_name="__main__", alter_sys=True)
"""
"""A shell that runs the tests in the background may have told its children to ignore Ctrl-C."""
posix_only = pytest.mark.skipif(os.name != "posix", reason="signals, terminals and device files are POSIX's")


def environment(**changes):
    return {**os.environ, "PYTHONPATH": str(ROOT), **changes}


def run(folder, *arguments, env=None, **options):
    """Run the command in a folder to its end."""
    command = [sys.executable, "-m", "workbench", *arguments]
    return subprocess.run(command, cwd=folder, env=environment(**env or {}), check=False, **options)


def start(folder, *arguments, env=None, **options):
    """Start the command in a folder, with pipes for both outputs unless told otherwise."""
    command = [sys.executable, "-c", HEEDS_CTRL_C, *arguments]
    streams = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, **options}
    return subprocess.Popen(command, cwd=folder, env=environment(**env or {}), **streams)
