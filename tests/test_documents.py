"""What the documents show is what the commands print, and a change of it is noticed."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
DOCUMENTS = sorted(
    path.relative_to(ROOT).as_posix()
    for folder in (".", "docs", "examples")
    for path in (ROOT / folder).glob("*.md")
)
# What a sample document shows depends on the command's own words only through this line.
USAGE = "Usage: wordtight [OPTIONS] COMMAND [ARGS]..."


def regenerate(*arguments: object) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, ROOT / "docs" / "regenerate.py", *map(str, arguments)],
        capture_output=True,
        encoding="utf-8",
        check=False,
    )


@pytest.mark.parametrize("document", DOCUMENTS)
def test_document_shows_what_the_commands_print(document):
    done = regenerate("--check", ROOT / document)
    assert done.returncode == 0, done.stdout + done.stderr


def sample(folder: Path, text: str) -> Path:
    document = folder / "sample.md"
    document.write_text(text, encoding="utf-8")
    return document


HELP = """\
# Sample

```console
$ cd somewhere
(stays as it is)
$ wordtight --help
old
```

After.
"""


def test_output_is_written_below_its_command_and_then_holds(tmp_path):
    document = sample(tmp_path, HELP)
    assert regenerate(document).returncode == 0
    lines = document.read_text(encoding="utf-8").splitlines()
    assert lines[2:6] == ["```console", "$ cd somewhere", "(stays as it is)", "$ wordtight --help"]
    assert lines[6] == USAGE
    assert lines[-3:] == ["```", "", "After."]
    assert "old" not in lines
    assert regenerate("--check", document).returncode == 0


def test_changed_output_is_noticed_and_nothing_written(tmp_path):
    document = sample(tmp_path, HELP)
    regenerate(document)
    changed = document.read_text(encoding="utf-8").replace(USAGE, USAGE.replace("OPTIONS", "OPTION"))
    sample(tmp_path, changed)
    done = regenerate("--check", document)
    assert done.returncode == 1
    assert f"+{USAGE}" in done.stdout.splitlines()
    assert document.read_text(encoding="utf-8") == changed


SHOWN_FILE = """\
1. In a list:

   <!-- file: rules/empty.rules -->
   ```text
   # nothing
   ```

   ```console
   $ wordtight check \\
       rules/empty.rules
   ```
"""


def test_shown_file_is_there_for_the_commands(tmp_path):
    document = sample(tmp_path, SHOWN_FILE)
    assert regenerate(document).returncode == 0
    text = document.read_text(encoding="utf-8")
    assert text.startswith(SHOWN_FILE.removesuffix("   ```\n"))
    printed = text.removeprefix(SHOWN_FILE.removesuffix("   ```\n")).removesuffix("   ```\n")
    assert "rules/empty.rules" in printed
    assert all(line.startswith("   ") or not line for line in printed.splitlines())


COPIED = """\
<!-- files: LICENSE -->

```console
$ wordtight check LICENSE
```
"""


def test_copied_file_is_there_for_the_commands(tmp_path):
    without, with_it = sample(tmp_path, COPIED.partition("\n")[2]), tmp_path / "with.md"
    with_it.write_text(COPIED, encoding="utf-8")
    assert regenerate(without, with_it).returncode == 0
    missing = without.read_text(encoding="utf-8")
    assert missing != with_it.read_text(encoding="utf-8").partition("\n")[2]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("```console\n$ wordtight\n", "line 1: this block or comment is never closed"),
        ("<!-- stdin: 1\n", "line 1: this block or comment is never closed"),
        ("```text\n$ wordtight\n```\n", "line 2: expected a 'console' block around '$ wordtight'"),
        ("<!-- stdin: 1 -->\n\nText\n", "line 3: expected the block that 'stdin:' is for"),
        ("<!-- file: a -->\n<!-- stdin: 1 -->\n", "line 2: expected the block that 'file:' is for"),
        ("<!-- stdin: 1 -->\n", "the end: expected the block that 'stdin:' is for"),
        ("<!-- stdin: 1 -->\n```text\n```\n", "line 2: expected a 'console' block, which 'stdin:' is for"),
        ("<!-- files: nowhere -->\n", "line 1: expected a file or folder of the repository, got 'nowhere'"),
        (
            "```console\n$ wordtight \\\n```\n",
            "line 1: expected a line after the last backslash of this block",
        ),
    ],
)
def test_mistake_in_a_document(tmp_path, text, message):
    document = sample(tmp_path, text)
    done = regenerate("--check", document)
    assert (done.returncode, done.stderr) == (2, f"{document}: {message}\n")
