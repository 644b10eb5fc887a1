"""`size --every-form` tells the tables alone, bits and words beside the bits that any table needs."""

import json
from math import log2
from types import SimpleNamespace

from tests.workbench.running import wordtight
from workbench.sizing import Sizing
from workbench.tell_size import tell_tables

SHEET = "game: two-by-two\nseat: first\nclaim: best-value\ntake any free cell\n"


def sized(tmp_path):
    sheet = tmp_path / "any.rules"
    sheet.write_text(SHEET, encoding="utf-8")
    return wordtight("size", str(sheet), "--machine", "delay-line", "--encoding", "as-written", "--json")


def test_the_fewest_bits_are_those_of_the_legal_moves_on_every_stored_board(tmp_path):
    """The machine begins and takes the least free cell: four cells at the start, two left on each of three boards."""
    found = json.loads(sized(tmp_path).out)["fewest_bits"]
    assert found["plain"] == round(log2(4) + 3 * log2(2), 3)


def test_each_table_is_told_beside_them(capsys):
    row = SimpleNamespace(encoding="dense", reading="plain", answers=1200, table_bits=3400, table_words=284)
    not_possible = SimpleNamespace(table_bits=None)
    tell_tables(SimpleNamespace(encodings=(row, not_possible), fewest_bits={"plain": 4.2}))
    lines = capsys.readouterr().out.splitlines()
    assert lines[3].split() == ["table", "board", "answers", "bits", "any", "play", "words"]
    assert [line.split() for line in lines[5:] if line] == [["dense", "plain", "1,200", "3,400", "5", "284"]]


def test_tables_without_a_program_of_their_own_are_counted():
    tables = [
        SimpleNamespace(encoding=encoding, reading=reading, table_words=words)
        for encoding, words in (("dense", 284), ("hashed", 20), ("pictures", None), ("reply-tree", 12))
        for reading in ("plain", "turned")
    ]
    programs = [
        SimpleNamespace(form=form, reading="plain") for form in ("as-written", "hashed", "reply-tree")
    ]
    sizing = Sizing(None, [], SimpleNamespace(encodings=tables), programs, 0, None, [])
    assert sizing.left_out == 4  # dense in both readings, and the other two on a turned board
