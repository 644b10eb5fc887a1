"""Pages as a browser prints them: on as many sheets of A4 as they say."""

import re
import shutil
import subprocess

import pytest

from tests.workbench.papers.strategies import asked_for
from workbench.papers import cutouts, playbook, poster
from workbench.pictures.page import page

pytestmark = [
    pytest.mark.long,
    pytest.mark.skipif(not shutil.which("chromium"), reason="needs Debian's package chromium"),
]
A4 = {(595, 842), (842, 595)}
"""Points."""


@pytest.mark.parametrize(
    ("kind", "name"),
    [
        (cutouts, "lamp"),
        (cutouts, "steps"),
        (cutouts, "pins"),
        (playbook, "lamp"),
        (playbook, "charged"),
        (poster, "four"),
        (poster, "ruled"),
    ],
    ids=lambda each: each if isinstance(each, str) else each.__name__.rpartition(".")[2],
)
def test_a_page_takes_as_many_sheets_as_it_says(kind, name, tmp_path):
    paper = kind.paper(asked_for(name))
    file, pdf = tmp_path / "page.html", tmp_path / "page.pdf"
    file.write_text(page(paper.title, paper.body, styles=paper.styles), encoding="utf-8")
    chromium = [
        "chromium",
        "--headless",
        "--no-sandbox",
        "--disable-gpu",
        f"--user-data-dir={tmp_path / 'profile'}",
    ]
    printing = [*chromium, "--no-pdf-header-footer", f"--print-to-pdf={pdf}", file.as_uri()]
    subprocess.run(printing, check=True, capture_output=True, timeout=120)
    printed = pdf.read_bytes()
    boxes = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", printed)
    assert len(re.findall(rb"/Type /Page\b", printed)) == paper.record["sheets"]
    assert {tuple(round(float(length)) for length in box) for box in boxes} <= A4
