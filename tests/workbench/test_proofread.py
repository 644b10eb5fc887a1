"""The command `proofread`: each slip in a plain sentence, with what should stand there."""

import json
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from budget.images.formats import format_of
from budget.images.load import Read
from budget.images.proofread import proofread as slips_of
from games.problems import BadInput
from tests.budget.images.made import CARDS, FORMATS, images, write
from tests.workbench.running import wordtight
from workbench.tell_slips import slip_text

DUMPS = tomllib.loads(Path(__file__).with_name("dumps.toml").read_text(encoding="utf-8"))
PROGRAM = DUMPS.pop("program")
MACHINE = ("--machine", "delay-line")


@pytest.fixture(autouse=True)
def a_built_program(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("my.orders").write_text(PROGRAM, encoding="utf-8")
    assert wordtight("build", "my.orders", *MACHINE, "-o", "built").status == 0


def proofread(image, dump):
    """What is found, and the same as people read it."""
    plain = wordtight("proofread", image, dump, *MACHINE)
    ran = wordtight("proofread", image, dump, *MACHINE, "--json")
    assert (plain.status, plain.err, ran.err) == (ran.status, "", "")
    return ran.status, json.loads(ran.out), plain.out


@pytest.mark.parametrize("name", DUMPS)
def test_the_bank_of_dumps(name):
    case = DUMPS[name]
    Path("typed.txt").write_text(case["dump"].removeprefix("\n"), encoding="utf-8")
    image = f"built/{case['image']}" if "image" in case else "my.orders"
    status, found, plain = proofread(image, "typed.txt")
    assert [slip["text"] for slip in found["slips"]] == case["told"]
    assert (found["words"], found["words_right"]) == (10, case["right"])
    assert status == bool(case["told"])
    sentences = " ".join(plain.split())
    assert all(" ".join(told.split()) in sentences for told in case["told"])
    assert all(len(line) <= 80 for line in plain.splitlines())


def test_every_file_of_build_is_right():
    files = [path for path in Path("built").iterdir() if path.name not in ("my.map.txt", "my.listing.txt")]
    assert len(files) == 5
    for image in [*files, Path("my.orders")]:
        for dump in files:
            status, found, plain = proofread(image, dump)
            assert (status, found["slips"], found["words_beside"]) == (0, [], 0)
            assert plain.startswith(f"{dump} is right: ")


def test_keys_for_machines():
    Path("typed.txt").write_text("0 40011", encoding="utf-8")
    found = proofread("my.orders", "typed.txt")[1]
    assert set(found) == {
        *("image", "dump", "machine", "format", "rows", "words", "words_right", "words_beside", "slips"),
    }
    assert found["slips"][0] == {
        "kind": "wrong word",
        "line": 1,
        "address": 0,
        "word": 1,
        "should": "040010",
        "stands": "40011",
        "other": None,
        "remark": "digit 6 is 1, not 0",
        "text": "line 1, row 000: word 1 should be 040010, not 40011: digit 6 is 1, not 0",
    }


def test_many_slips_are_cut_short():
    rows = "".join(f"{at:o} 123456\n" for at in range(100, 200))
    Path("typed.txt").write_text(rows, encoding="utf-8")
    status, found, plain = proofread("my.orders", "typed.txt")
    assert status == 1
    assert plain.count("\n  the image has no row") + plain.count(": the image has no row") <= 40
    assert f"... and {len(found['slips']) - 40} more." in plain


@pytest.mark.parametrize("options", [(), ("--json",)])
@pytest.mark.parametrize(
    ("image", "dump", "told"),
    [
        ("none.hex", "typed.txt", "none.hex: cannot be read: there is no such file"),
        ("my.orders", "none.txt", "none.txt: cannot be read: there is no such file"),
        ("my.orders", "typed.txt", "typed.txt:2:1: '9' is no address; expected octal digits, up to 777"),
        ("wrong.hex", "typed.txt", "wrong.hex:1:16: the check byte is 00, and what stands before it needs"),
        ("bad.orders", "typed.txt", "bad.orders:1:1: there is no order 'laod'"),
    ],
)
def test_what_cannot_be_read(image, dump, told, options):
    Path("typed.txt").write_text("0 40010\n9 17\n", encoding="utf-8")
    Path("wrong.hex").write_text(":0300000000400800\n:00000001FF\n", encoding="utf-8")
    Path("bad.orders").write_text("laod 3\n", encoding="utf-8")
    ran = wordtight("proofread", image, dump, *MACHINE, *options)
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.startswith(told)


PIECES = [
    *(b"", b" ", b"\n", b"=", b":", b"S1", b"START", b"|", b"o", b"#", b"0", b"7", b"F", b"0" * 90),
    *(b"\xff", b"\0", b"\x7f", b"\xc2\x9b"),
]
"""What spoils a file."""


@pytest.mark.parametrize("name", FORMATS)
@given(st.sampled_from(CARDS), st.data())
def test_a_spoilt_file_is_compared_or_told(name, card, data):
    """Pieces cut out, doubled or put in anywhere: either it cannot be read, or each slip has its sentence."""
    image = data.draw(images(card))
    raw = write(name, image, card)
    for _ in range(data.draw(st.integers(1, 4))):
        at, length = data.draw(st.integers(0, len(raw))), data.draw(st.integers(0, 30))
        put_in = data.draw(st.sampled_from(PIECES) | st.just(raw[at : at + length] * 2))
        raw = raw[:at] + put_in + raw[at + length :]
    try:
        found = format_of(raw, "f")
        dump = Read(found, found.read(raw, card, "f"))
    except BadInput as bad:
        assert all(str(problem).isprintable() for problem in bad.problems)  # noqa: PT017 - reading may succeed
        return
    slips = slips_of(image, dump, card).slips
    told = [slip_text(slip, dump.reading.notation) for slip in slips]
    assert all(text.isascii() and text.isprintable() and 0 < len(text) < 3000 for text in told)
