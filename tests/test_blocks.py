"""Every block of code in the documents is run by a test: here those that are neither commands nor doctests.

Commands are run by `docs/regenerate.py` (`test_documents`), what stands behind ``>>>`` is a doctest, a block behind
``<!-- file: ... -->`` is a file that commands read.  Of the rest each is tried by a test that is named here, or is run
nowhere, for a reason that stands here.
"""

import ast
import re
import tomllib
from pathlib import Path
from typing import NamedTuple

import pytest

from budget.card import load_machine
from games.own.file import load_python_game
from games.own.lawful import problems_of
from solver.load import load_strategy
from tests.test_documents import DOCUMENTS, ROOT

TEMPLATE = (ROOT / "workbench/templates/python-game.txt").read_text(encoding="utf-8")
ORDERS = (ROOT / "budget/order_sheets/twelve-bit-operate.toml").read_text(encoding="utf-8")
CARD = (ROOT / "budget/machines/twelve-bit-orders.toml").read_text(encoding="utf-8")
TRIED_ELSEWHERE = {
    "docs/evidence.md": ("tests/workbench/evidence/test_drilled.py", "evidence.md"),
    "docs/faults.md": ("tests/budget/drilling/test_noughts.py", "faults.md"),
    "docs/images.md": ("tests/budget/images/test_store_map.py", "images.md"),
    "docs/machines.md": ("tests/budget/test_pages.py", "```toml"),
    "docs/reference/functions.md": ("tests/test_documents.py", "docs/reference/functions.py"),
}
"""Documents whose blocks another test reads, and by which words one sees that it does."""
RUN_NOWHERE = {
    ("docs/mutants.md", "make mutants"): "takes hours",
    (
        "docs/build.md",
        "type        the machine prints",
    ): "a part of a file that `build --self-test` writes, to explain it",
    ("docs/build.md", "wordtight proofread"): "a command on what somebody has typed; its options are tried",
    ("docs/targets.md", "wordtight size"): "needs the compilers; its options are tried",
    ("docs/evidence.md", "two-by-two, machine"): "a plan takes a minute",
    ("docs/evidence.md", '{"position"'): "lines of several files, shortened",
    ("docs/smallest.md", "rule words"): "takes minutes, and says when it was written down",
    ("docs/games/python.md", "bit   63"): "a drawing",
    ("benchmarks/README.md", "make bench"): "takes minutes; the Makefile is looked at for its names",
}
"""Blocks that no test runs, by how they begin, and why."""


class Block(NamedTuple):
    """A fenced block: where it stands, in which language, and whether it is a file that commands read."""

    document: str
    language: str
    text: str
    is_file: bool

    def begins(self, words: str) -> bool:
        return self.text.lstrip().startswith(words)


def blocks():
    for document in DOCUMENTS:
        text = (ROOT / document).read_text(encoding="utf-8")
        fence = re.compile(
            r"(<!-- file: .*? -->\s*)?^( *)(`{3,})(\w*)\n(.*?)^\2\3$", re.MULTILINE | re.DOTALL
        )
        for found in fence.finditer(text):
            yield Block(document, found[4], found[5], found[1] is not None)


def is_run_as_it_stands(block):
    return block.is_file or block.language == "console" or ">>> " in block.text


SHOWN = [block for block in blocks() if not is_run_as_it_stands(block)]


def shown(document, language="text"):
    return [each.text for each in SHOWN if (each.document, each.language) == (document, language)]


TRIED_HERE = {
    ("docs/games/python.md", "python"),
    ("docs/rule-sheets.md", "text"),
    ("docs/order-sheets.md", "text"),
}


def test_every_block_is_run_or_it_is_said_why_not():
    for block in SHOWN:
        why = [
            why
            for (document, words), why in RUN_NOWHERE.items()
            if document == block.document and block.begins(words)
        ]
        is_tried = block.document in TRIED_ELSEWHERE or (block.document, block.language) in TRIED_HERE
        assert why or is_tried, block


@pytest.mark.parametrize(("document", "words"), list(RUN_NOWHERE))
def test_what_is_run_nowhere_is_there(document, words):
    assert any(each.document == document and each.begins(words) for each in SHOWN)


@pytest.mark.parametrize("document", list(TRIED_ELSEWHERE))
def test_what_is_tried_elsewhere_is_read_there(document):
    file, words = TRIED_ELSEWHERE[document]
    assert words in (ROOT / file).read_text(encoding="utf-8")


@pytest.mark.parametrize("number", range(5))
def test_a_part_of_a_game_in_python_makes_a_game_that_keeps_its_promises(number, tmp_path, monkeypatch):
    """Each part in place of that of the file with which one begins, or added to it."""
    part = shown("docs/games/python.md", "python")[number]
    ast.parse(part)
    monkeypatch.chdir(tmp_path)
    Path("moorings.py").write_text(f"{TEMPLATE}\n\n{part}", encoding="utf-8")
    assert problems_of(load_python_game("moorings.py")) == []


def test_the_parts_of_a_game_in_python_are_all_tried():
    assert len(shown("docs/games/python.md", "python")) == 5


def test_the_sheet_that_is_shown_first_can_be_read(tmp_path):
    [sheet] = shown("docs/rule-sheets.md")
    (tmp_path / "my.rules").write_text(sheet, encoding="utf-8")
    written = load_strategy(tmp_path / "my.rules")
    assert [rule.text for rule in written.rules] == ["complete a line", "block a line", "take any free cell"]


def test_a_cost_card_names_the_order_sheet_beside_it_as_it_is_shown(tmp_path):
    keys = shown("docs/order-sheets.md")[0]
    own = re.compile(r"^programs = .*\norder-sheet = .*\n", re.MULTILINE)
    assert len(own.findall(CARD)) == 1
    (tmp_path / "card.toml").write_text(own.sub(keys, CARD), encoding="utf-8")
    (tmp_path / "my-orders.toml").write_text(ORDERS, encoding="utf-8")
    found, ours = load_machine(tmp_path / "card.toml").sheet, load_machine("twelve-bit-orders").sheet
    assert (found.name, found.orders) == ("my-orders", ours.orders)


def test_parts_of_an_order_sheet_are_those_of_the_sheet_that_comes_with_wordtight():
    sheet = tomllib.loads(ORDERS)
    for text in shown("docs/order-sheets.md"):
        part = tomllib.loads(text)
        for kind in ("order", "expand"):
            assert all(each in sheet[kind] for each in part.get(kind, [])), text


def test_benchmarks_are_called_as_their_page_says():
    """Each script of the table is there and has these options and no others; so has `make bench`."""
    page = (ROOT / "benchmarks/README.md").read_text(encoding="utf-8")
    rows = re.findall(r"^\| `(\w+\.py)([^`]*)` \|", page, re.MULTILINE)
    assert len(rows) == 5
    for script, usage in rows:
        text = (ROOT / "benchmarks" / script).read_text(encoding="utf-8")
        has = re.findall(r"add_argument\(\s*\"(--[a-z-]+)\"", text)
        assert set(re.findall(r"--[a-z-]+", usage)) == set(has), script
    makefile = (ROOT / "Makefile").read_text(encoding="utf-8")
    [block] = shown("benchmarks/README.md", "sh")
    for name in set(re.findall(r"\b([A-Z]+)=", block)):
        assert f"$({name})" in makefile
