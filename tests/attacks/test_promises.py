"""The page of promises: the tests that it names are there, and its table is that of the long searches."""

import json
import re
from pathlib import Path

from tests.attacks.doors import DOORS
from tests.attacks.tried import BEGIN, END, PAGE, STORED, table

ROOT = Path(__file__).resolve().parent.parent.parent


def test_what_the_page_names_is_there():
    named = set(re.findall(r"`((?:tests|workbench)/[\w/.-]+)`", PAGE.read_text(encoding="utf-8")))
    assert len(named) > 15
    assert [name for name in sorted(named) if not (ROOT / name).exists()] == []


def test_every_door_was_tried_and_the_table_says_how_often():
    stored = json.loads(STORED.read_text(encoding="utf-8"))
    assert set(stored) == set(DOORS)
    assert f"{BEGIN}\n{table(stored)}{END}" in PAGE.read_text(encoding="utf-8")
