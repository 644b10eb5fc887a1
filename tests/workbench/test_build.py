"""The command `build`: a folder of files that appears whole."""

import json
import os
import shutil
from pathlib import Path

import pytest

from budget.card import load_machine
from budget.images.load import load_image
from budget.machine.assembler import assemble_file
from tests.workbench.running import wordtight
from workbench import files as workbench_files

MACHINE = ("--machine", "delay-line")
NAMES = {
    f"my{suffix}"
    for suffix in (".hex", ".srec", ".rows.txt", ".tape.bin", ".tape.txt", ".map.txt", ".listing.txt")
}


@pytest.fixture(autouse=True)
def a_program(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("my.orders").write_text("start: load =5\n output\n halt\nx: space 2\n", encoding="utf-8")


def names(folder):
    return {path.name for path in Path(folder).iterdir()}


def test_what_is_written():
    ran = wordtight("build", "my.orders", *MACHINE, "-o", "out")
    assert (ran.status, ran.err) == (0, "")
    assert names("out") == NAMES
    assert names(".") == {"my.orders", "out"}
    assert all(name in ran.out for name in NAMES)
    card = load_machine("delay-line")
    program = assemble_file("my.orders", card)
    for name in NAMES - {"my.map.txt", "my.listing.txt"}:
        image = load_image(Path("out") / name, card)
        assert (image.words, image.start) == (program.image, program.start)


def test_the_listing_is_what_assemble_prints():
    wordtight("build", "my.orders", *MACHINE, "-o", "out")
    shown = wordtight("assemble", "my.orders", *MACHINE).out
    assert shown.startswith(Path("out/my.listing.txt").read_text(encoding="utf-8"))


def test_keys_for_machines():
    ran = wordtight("build", "my.orders", *MACHINE, "-o", "out", "--json")
    told = json.loads(ran.out)
    assert (ran.status, ran.err) == (0, "")
    assert set(told) == {"file", "machine", "folder", "start", "words", "files", "left_out"}
    assert (told["machine"], told["folder"], told["start"], told["left_out"]) == ("delay-line", "out", 0, [])
    assert {each["name"]: each["bytes"] for each in told["files"]} == {
        name: (Path("out") / name).stat().st_size for name in NAMES
    }


def test_a_tape_that_a_machine_cannot_say_is_left_out():
    ran = wordtight("build", "my.orders", "--machine", "kit-96", "-o", "out")
    assert ran.status == 0
    assert names("out") == {name for name in NAMES if "tape" not in name}
    told = " ".join(ran.out.split())
    assert "There is no tape, drawn: one hexadecimal digit has no space" in told
    left_out = json.loads(wordtight("build", "my.orders", "--machine", "kit-96", "-o", "o", "--json").out)[
        "left_out"
    ]
    assert [each["what"] for each in left_out] == ["tape, drawn", "tape, a byte for each character"]


def test_nothing_is_overwritten_unasked():
    assert wordtight("build", "my.orders", *MACHINE, "-o", "out").status == 0
    before = Path("out/my.hex").read_bytes()
    Path("my.orders").write_text("halt\n", encoding="utf-8")
    ran = wordtight("build", "my.orders", *MACHINE, "-o", "out")
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.startswith("out: is there already; expected another name (-o NAME), or --force")
    assert Path("out/my.hex").read_bytes() == before
    assert wordtight("build", "my.orders", *MACHINE, "-o", "out", "--force").status == 0
    assert Path("out/my.hex").read_bytes() != before
    assert names(".") == {"my.orders", "out"}


def test_force_takes_no_other_files_away():
    Path("out").mkdir()
    Path("out/notes.txt").write_text("mine", encoding="utf-8")
    ran = wordtight("build", "my.orders", *MACHINE, "-o", "out", "--force")
    assert (ran.status, names("out")) == (2, {"notes.txt"})
    assert ran.err == "out: holds other files, such as notes.txt; expected a folder of its own (-o NAME)\n"
    ran = wordtight("build", "my.orders", *MACHINE, "-o", "my.orders", "--force")
    assert (ran.status, ran.err) == (2, "my.orders: is no folder; expected another name (-o NAME)\n")


def test_places_where_no_folder_can_be():
    ran = wordtight("build", "my.orders", *MACHINE, "-o", "none/out")
    assert (ran.status, ran.err) == (2, "none/out: cannot be written: there is no such folder\n")
    assert wordtight("build", "my.orders", *MACHINE).status == 2


@pytest.mark.parametrize("had_one", [False, True])
def test_interrupted_it_leaves_what_was_there(had_one, monkeypatch):
    """Interrupted at each step in turn: the old folder whole, or none; and nothing else left behind."""
    if had_one:
        wordtight("build", "my.orders", *MACHINE, "-o", "out")
    before = {path.name: path.read_bytes() for path in Path("out").iterdir()} if had_one else None
    for method in ("write_bytes", "rename"):
        for step in range(3):
            with monkeypatch.context() as patched:
                _interrupt(method, step, patched)
                ran = wordtight("build", "my.orders", *MACHINE, "-o", "out", "--force")
            there = Path("out").exists()
            assert names(".") == {"my.orders", *(["out"] if there else [])}
            if ran.status:
                assert (ran.status, there) == (130, had_one)
                assert not there or {path.name: path.read_bytes() for path in Path("out").iterdir()} == before
            elif not had_one:
                shutil.rmtree("out")


def _interrupt(method, step, monkeypatch):
    """Let one of Path's methods be interrupted the n-th time that it is used."""
    usual = getattr(workbench_files.Path, method)
    steps = iter(range(99))

    def interrupted(self, *arguments):
        if next(steps) == step:
            raise KeyboardInterrupt
        return usual(self, *arguments)

    monkeypatch.setattr(workbench_files.Path, method, interrupted)


def test_files_have_the_usual_permissions():
    wordtight("build", "my.orders", *MACHINE, "-o", "out")
    mask = os.umask(0)
    os.umask(mask)
    assert Path("out").stat().st_mode & 0o777 == 0o777 & ~mask
    assert Path("out/my.hex").stat().st_mode & 0o777 == 0o666 & ~mask


def test_mistakes_of_the_program():
    Path("bad.orders").write_text("laod 3\n", encoding="utf-8")
    ran = wordtight("build", "bad.orders", *MACHINE, "-o", "out")
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.startswith("bad.orders:1:1: there is no order 'laod'; did you mean 'load'?")
    assert not Path("out").exists()
