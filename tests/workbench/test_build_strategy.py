"""`build` of a strategy: nothing is written that does not play as it does; every file is read back and run again."""

import json
import re
from pathlib import Path

import pytest

from budget.card import load_machine
from budget.closing import close
from budget.conversation import Conversation
from budget.images.load import load_image
from budget.machine.program import Program
from solver.fixed import fix
from solver.load import load_strategy
from solver.proof import prove
from tests.budget.test_faulty import GAME, SHEET
from tests.workbench.running import wordtight

MACHINE = ("--machine", "transistor-39")
IMAGES = (".hex", ".srec", ".rows.txt", ".tape.bin", ".tape.txt", ".orders")


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A folder with a strategy, one that loses, and what was built of the first."""
    folder = tmp_path_factory.mktemp("build")
    (folder / "small.toml").write_text(GAME)
    (folder / "good.rules").write_text(SHEET)
    (folder / "bad.rules").write_text(SHEET.replace("block a line\n", ""))
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        ran = wordtight("build", "good.rules", *MACHINE, "-o", "out", "--check-sum", "--self-test", "--json")
    assert (ran.status, ran.err) == (0, "")
    (folder / "told.json").write_text(ran.out)
    return folder


@pytest.fixture(autouse=True)
def there(folder, monkeypatch):
    monkeypatch.chdir(folder)


@pytest.fixture(scope="module")
def play(folder):
    written = load_strategy(folder / "good.rules")
    return fix(prove(written.strategy(1), written.claim, written.house), "plain")


def test_every_image_plays_as_the_strategy_does(play):
    """Read back, word by word the same; loaded, and run with every input in every state: the strategy."""
    card = load_machine("transistor-39")
    source = load_image("out/good.orders", card)
    for suffix in IMAGES:
        image = load_image(f"out/good{suffix}", card)
        assert image.words == source.words
        if suffix in (".hex", ".srec", ".orders"):
            assert image.start == source.start
    image = load_image("out/good.tape.bin", card)
    program = Program(card, "read back", image.words, source.start, (), {})
    assert close(program, Conversation(play, card, thorough=False)).states > 30


def test_what_is_told_for_machines():
    told = json.loads(Path("told.json").read_text())
    assert (told["strategy"], told["seat"], told["verdict"]) == ("good", "second", "proved")
    program = told["program"]
    assert program["form"] == "as-written"
    assert program["total_words"] == told["words"]["total"]
    assert told["check_sum"]["instructions"] > told["words"]["total"]
    assert told["check_sum"]["seconds"] > 0
    assert told["verdict_words"] > 0  # that the visitor never wins need not be seen
    assert told["self_test"]["tried"] == {
        "rules": 2,
        "answers": 0,
        "endings": 1,  # nobody completes a line
        "wrong_inputs": 3,
    }
    assert {each["name"] for each in told["files"]} == {path.name for path in Path("out").iterdir()}


def test_the_card_for_the_morning_says_what_json_says():
    told = json.loads(Path("told.json").read_text())["self_test"]
    card = Path("out/good.selftest.txt").read_text()
    typed = [entry["typed"] for game in told["games"] for entry in game]
    lines = re.findall(r"^[abc]\d(?= )", card, re.MULTILINE)
    assert lines == [text for text in typed if text[:1] in tuple("abc")]
    assert told["inputs"] == len(typed)
    assert f" {len(typed)} inputs: 2 rules, 1 way to end and 3 answers to wrong input" in " ".join(
        card.split()
    )


def test_a_strategy_that_loses_is_not_written_unasked():
    ran = wordtight("build", "bad.rules", *MACHINE, "-o", "lost")
    assert (ran.status, ran.err) == (1, "")
    assert "NOTHING IS WRITTEN" in ran.out
    assert not Path("lost").exists()
    told = json.loads(wordtight("build", "bad.rules", *MACHINE, "-o", "lost", "--json").out)
    assert (told["folder"], told["verdict"], told["files"]) == (None, "refuted", [])
    ran = wordtight("build", "bad.rules", *MACHINE, "-o", "lost", "--anyway")
    assert ran.status == 0
    assert "BUT: 'never-loses' does not hold" in ran.out
    assert Path("lost/bad.hex").exists()


@pytest.mark.long
def test_what_was_built_before_can_be_written_over():
    """Also where less is asked for than the last time; never what is not ours."""
    assert wordtight("build", "good.rules", *MACHINE, "-o", "again", "--self-test").status == 0
    assert wordtight("build", "good.rules", *MACHINE, "-o", "again").status == 2
    assert wordtight("build", "good.rules", *MACHINE, "-o", "again", "--force").status == 0
    assert not Path("again/good.selftest.txt").exists()
    Path("again/mine.txt").write_text("mine")
    assert wordtight("build", "good.rules", *MACHINE, "-o", "again", "--force").status == 2
    assert Path("again/mine.txt").exists()


def test_a_store_that_is_too_small_is_said(folder):
    card = Path("tiny.toml")
    card.write_text(
        'kind = "machine"\ntitle = "Tiny"\nfrom = "for a test"\nword-bits = 18\nstore-words = 64\n'
        '[characters]\ncode = "six-bit"\n[instructions]\nlayout = "one-word"\nbase = 8\n'
    )
    ran = wordtight("build", "good.rules", "--machine", "tiny.toml", "-o", "none")
    assert ran.status == 1
    assert "the store has 64" in " ".join(ran.out.split())
    assert not Path("none").exists()


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("good.rules", "--encoding", "denser"), "expected as-written"),
        (("good.rules", "--seat", "first"), "good.rules:2"),
        (("out/good.orders", "--check-sum"), "a program in orders is built as it stands"),
        (("out/good.orders", "--seat", "first"), "a program in orders is built as it stands"),
    ],
)
def test_what_is_not_usable(arguments, told):
    ran = wordtight("build", *arguments, *MACHINE, "-o", "none")
    assert ran.status == 2
    assert told in ran.err
    assert not Path("none").exists()


def test_a_program_that_alters_itself_has_no_check_sum():
    asked = ("good.rules", "--machine", "twelve-bit-orders", "--check-between", "-o", "none")
    ran = wordtight("build", *asked)
    assert ran.status == 2
    assert "programs of 'twelve-bit-orders' alter themselves, so that they have no check-sum" in ran.err
    assert not Path("none").exists()


# -- proofreading ------------------------------------------------------------------------------------


def slip(place, digit):
    """The rows to type with one digit changed."""
    lines = Path("out/good.rows.txt").read_text().split("\n")
    number, line = next((at, each) for at, each in enumerate(lines) if each.startswith(place))
    head, row = line[: len(place) + 1], line[len(place) + 1 :].split("=")[0]
    at = next(at for at, sign in enumerate(row) if sign.isdigit())
    lines[number] = head + row[:at] + digit + row[at + 1 :]
    Path("typed.txt").write_text("\n".join(lines))


def test_proofread_says_what_comes_of_a_slip():
    rows = [line for line in Path("out/good.rows.txt").read_text().split("\n") if line[:4].isdigit()]
    slip(rows[len(rows) // 2][:4], "0")
    slipped = Path("typed.txt").read_text()
    if slipped == Path("out/good.rows.txt").read_text():
        slip(rows[len(rows) // 2][:4], "1")
    ran = wordtight("proofread", "out/good.orders", "typed.txt", *MACHINE, "--strategy", "good.rules")
    assert ran.status == 1
    assert "IT GIVES NO ANSWER with these slips" in ran.out  # the check-sum sees to that
    assert "(start)     E" in ran.out
    told = json.loads(
        wordtight(
            "proofread", "out/good.orders", "typed.txt", *MACHINE, "--strategy", "good.rules", "--json"
        ).out
    )
    assert told["fate"]["kind"] == "stops"
    assert told["fate"]["line"] == [{"typed": "", "printed": "E"}]


def test_proofread_wants_the_strategy_of_the_image():
    slip(
        next(line for line in Path("out/good.rows.txt").read_text().split("\n") if line[:4].isdigit())[:4],
        "7",
    )
    ran = wordtight("proofread", "out/good.orders", "typed.txt", *MACHINE, "--strategy", "bad.rules")
    assert ran.status == 2
    assert "does not play as bad.rules does" in ran.err
    ran = wordtight("proofread", "out/good.orders", "typed.txt", *MACHINE, "--seat", "second")
    assert ran.status == 2
    assert "expected --strategy" in ran.err
    rows = [line for line in Path("out/good.rows.txt").read_text().split("\n") if line[:4].isdigit()]
    Path("bare.txt").write_text("\n".join(rows))
    ran = wordtight("proofread", "bare.txt", "typed.txt", *MACHINE, "--strategy", "good.rules")
    assert ran.status == 2
    assert "does not say where its program begins" in ran.err


def test_without_slips_nothing_has_to_be_played():
    ran = wordtight(
        "proofread", "out/good.orders", "out/good.rows.txt", *MACHINE, "--strategy", "good.rules", "--json"
    )
    assert ran.status == 0
    assert json.loads(ran.out)["fate"] is None
