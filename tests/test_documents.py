"""The documents show what the commands print, and a change of it is noticed."""

import re
import shutil
import subprocess
import sys
from pathlib import Path

import click
import pytest

from workbench.main import COMMANDS, commands

ROOT = Path(__file__).resolve().parent.parent
SCRIPT = ROOT / "docs" / "regenerate.py"
DOCUMENTS = sorted(
    path.relative_to(ROOT).as_posix()
    for pattern in ("*.md", "docs/**/*.md", "examples/*.md", "benchmarks/*.md")
    for path in ROOT.glob(pattern)
)
SLOW = re.compile(
    r"README\.md|docs/(tutorial|faults|paper|build|tour|games/steps|lessons/.*|explained/.*|reference/commands)\.md"
)
"""Documents whose commands build and drill whole programs, draw many pages, or are many."""


def regenerate(*arguments: object, script: Path = SCRIPT) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, script, *map(str, arguments)], capture_output=True, encoding="utf-8", check=False
    )


@pytest.mark.parametrize(
    "document",
    [pytest.param(each, marks=pytest.mark.long if SLOW.fullmatch(each) else ()) for each in DOCUMENTS],
)
def test_document_shows_what_the_commands_print(document):
    done = regenerate("--check", ROOT / document)
    assert done.returncode == 0, done.stdout + done.stderr


TYPED_HERE = re.compile(
    r"(?:^(?:    )?|`)wordtight (?!solved 1`|help[ `])(?P<typed>[a-z][^`\n]*)", re.MULTILINE
)
"""A command that is shown and not run: in a line of its own, or in a sentence; kept results begin like one."""


@pytest.mark.parametrize("document", DOCUMENTS)
def test_commands_that_are_only_mentioned_can_be_typed(document):
    """Each names a command that there is, with options that it has."""
    for line in TYPED_HERE.finditer((ROOT / document).read_text(encoding="utf-8")):
        typed = line["typed"].split(" -- ")[0]
        context = click.Context(commands, **commands.context_settings)
        _, command, _ = commands.resolve_command(context, typed.split())
        assert command is not None, typed
        known = {
            option for parameter in command.params for option in (*parameter.opts, *parameter.secondary_opts)
        }
        assert set(re.findall(r"(?<=[ \[])--?[a-z][a-z-]*", typed)) <= known | {"--help", "-h"}, typed


def test_every_command_has_its_help_in_the_reference():
    page = (ROOT / "docs" / "reference" / "commands.md").read_text(encoding="utf-8")
    assert re.findall(r"^## (\S+)$", page, re.MULTILINE) == list(COMMANDS)
    assert set(re.findall(r"^\$ wordtight (\S+) --help$", page, re.MULTILINE)) == set(COMMANDS)


def test_the_page_of_functions_is_what_their_docstrings_say(tmp_path):
    subprocess.run([sys.executable, ROOT / "docs/reference/functions.py", tmp_path / "page.md"], check=True)
    page = (ROOT / "docs/reference/functions.md").read_text(encoding="utf-8")
    assert (tmp_path / "page.md").read_text(encoding="utf-8") == page, "python docs/reference/functions.py"


@pytest.mark.long
def test_the_pictures_of_the_explanations_are_as_they_are_drawn(tmp_path):
    subprocess.run([sys.executable, ROOT / "docs/explained/draw.py", tmp_path], check=True)
    drawn = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    assert drawn == {path.name: path.read_bytes() for path in (ROOT / "docs/explained").glob("*.svg")}


@pytest.mark.long
def test_the_site_is_built_without_a_broken_link_and_needs_no_network(tmp_path):
    """Whatever a page loads lies in the site; links that a reader may follow lead anywhere."""
    command = [sys.executable, "-m", "mkdocs", "build", "--quiet", "--site-dir", tmp_path / "site"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, encoding="utf-8", check=False)
    assert (done.returncode, done.stdout + done.stderr) == (0, "")
    pages = list((tmp_path / "site").rglob("*.html"))
    assert len(pages) >= len(DOCUMENTS)
    for own in ("site.css", "site.js"):
        assert (tmp_path / "site" / own).read_bytes() == (ROOT / "docs" / own).read_bytes()
        assert own in (tmp_path / "site/index.html").read_text("utf-8")
    for page in pages:
        loaded = re.findall(
            r"<(?:script|link|img|iframe)[^>]*(?:src|href)=\"([^\"]*)", page.read_text("utf-8")
        )
        assert not [each for each in loaded if re.match(r"(https?:)?//", each)]


# The script itself is tried in a small repository of its own, whose command tells what it is given.

COMMAND = """\
import os, pathlib, sys
print("given", *sys.argv[1:])
for name in sys.argv[1:]:
    if pathlib.Path(name).is_file():
        print(name, "holds", pathlib.Path(name).read_text().split())
if "fail" in sys.argv:
    raise ValueError
if "write" in sys.argv:
    pathlib.Path("made.txt").write_text("made before")
if "settings" in sys.argv:
    print(os.environ["COLUMNS"], os.environ["NO_COLOR"], os.environ.get("FORCE_COLOR"))
if "ticks" in sys.argv:
    print("```")
if typed := sys.stdin.read():
    print("typed", typed.split(), file=sys.stderr)
"""


@pytest.fixture
def repository(tmp_path):
    (tmp_path / "docs").mkdir()
    shutil.copy(SCRIPT, tmp_path / "docs")
    (tmp_path / "workbench").mkdir()
    (tmp_path / "workbench" / "__init__.py").touch()
    (tmp_path / "workbench" / "__main__.py").write_text(COMMAND, encoding="utf-8")
    (tmp_path / "examples").mkdir()
    (tmp_path / "examples" / "a.txt").write_text("from the examples", encoding="utf-8")
    return tmp_path


def run_sample(repository: Path, text: str, *options: str) -> subprocess.CompletedProcess[str]:
    (repository / "sample.md").write_text(text, encoding="utf-8")
    return regenerate(*options, repository / "sample.md", script=repository / "docs" / "regenerate.py")


# In these samples `> ` marks what the commands print.

OUTPUTS = """\
Output is written below its command; other commands keep theirs.

```console
$ make coffee
coffee
$ wordtight one 'and two'  # a remark
> given one and two
$ make tea
tea
```
"""
FILES = """\
Files come from the repository, from blocks that are shown, and from earlier commands.

<!-- files: examples -->

<!-- file: shown/b.txt -->
```text
shown   above
```

```console
$ wordtight write examples/a.txt \\
    shown/b.txt
> given write examples/a.txt shown/b.txt
> examples/a.txt holds ['from', 'the', 'examples']
> shown/b.txt holds ['shown', 'above']
```

```console
$ wordtight made.txt
> given made.txt
> made.txt holds ['made', 'before']
```
"""
TYPED = """\
<!-- A comment like any other. -->
<!-- stdin:
5
1 -->

```console
$ wordtight both outputs
> given both outputs
> typed ['5', '1']
```

```console
$ wordtight nothing typed
> given nothing typed
```
"""
IN_A_LIST = """\
1. First:

   <!-- file: b.txt -->
   ```text
   in a list
   ```

   ````console
   $ wordtight b.txt ticks
   > given b.txt ticks
   > b.txt holds ['in', 'a', 'list']
   > ```
   ````
"""
SETTINGS = """\
```console
$ wordtight settings
> given settings
> 80 1 None
```
"""


@pytest.mark.parametrize("sample", [OUTPUTS, FILES, TYPED, IN_A_LIST, SETTINGS])
@pytest.mark.parametrize("old", ["", "old\n\nlines\n"])
def test_output_is_written_below_its_command_and_then_holds(repository, sample, old, monkeypatch):
    monkeypatch.setenv("FORCE_COLOR", "1")
    monkeypatch.delenv("PYTHONUNBUFFERED", raising=False)
    before = re.sub(r"( *> .*\n)+", old, sample)
    after = sample.replace("> ", "")
    done = run_sample(repository, before)
    assert (done.returncode, done.stderr) == (0, "")
    assert (repository / "sample.md").read_text(encoding="utf-8") == after
    assert run_sample(repository, after, "--check").returncode == 0


def test_changed_output_is_noticed_and_nothing_is_written(repository):
    changed = OUTPUTS.replace("> given one and two", "given one and too")
    done = run_sample(repository, changed, "--check")
    assert done.returncode == 1
    assert "-given one and too\n+given one and two\n" in done.stdout
    assert (repository / "sample.md").read_text(encoding="utf-8") == changed


def test_all_documents_are_looked_at_when_none_is_named(repository):
    (repository / "docs" / "deep.md").write_text("```console\n$ wordtight\n```\n", encoding="utf-8")
    done = regenerate("--check", script=repository / "docs" / "regenerate.py")
    assert (done.returncode, "+given" in done.stdout) == (1, True)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("\n```console\n$ wordtight\n", "line 2: this block or comment is never closed"),
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
        ("```console\n$ wordtight ticks\n```\n", "line 1: the output holds a line of ticks: '```'"),
        ("```console\n$ wordtight fail\n```\n", "line 2: this command fails"),
    ],
)
def test_mistake_in_a_document(repository, text, message):
    done = run_sample(repository, text)
    assert done.returncode == 2
    assert done.stderr.splitlines()[0] == f"{repository / 'sample.md'}: {message}"
    assert (repository / "sample.md").read_text(encoding="utf-8") == text
