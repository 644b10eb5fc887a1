"""`wordtight report`: the page says what is known, in one file that stands alone."""

import json
import re
from html.parser import HTMLParser

import pytest

from budget.card import compiled_names, load_machine, machine_names
from budget.forms import AS_WRITTEN
from budget.size import size_play
from games.inputs import WORDS, classes_of
from solver.fixed import TURNED
from solver.load import load_strategy
from solver.proof import prove
from tests.workbench.reporting.plays import played
from tests.workbench.running import wordtight
from workbench.reporting import boards
from workbench.reporting.report import Report, gathered, page_of
from workbench.reporting.sizes import on_all_machines, programs_part, smallest_program
from workbench.sizing import sized

LAMP_ROOM, FERRY = "examples/lamp-room.rules", "examples/ferry.rules"
SMALL = "game: two-by-two\nseat: first\ntake any free cell\n"
MOST_BYTES = 200_000


class Seen(HTMLParser):
    """The words of a page as a reader sees them, and its headings; every element is closed."""

    def __init__(self):
        super().__init__()
        self.words, self.open, self.headings, self.links = [], [], [], []

    def handle_starttag(self, tag, attrs):
        self.links += [value for name, value in attrs if name in ("src", "href", "action", "xlink:href")]
        if tag not in ("meta", "input"):
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        pass

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        if self.open and self.open[-1] not in ("script", "style"):
            self.words.append(data)
            if self.open[-1] in ("h1", "h2"):
                self.headings.append(data)


def read(page):
    seen = Seen()
    seen.feed(page)
    seen.close()
    assert seen.open == []
    return seen


def proof_of(file):
    written = load_strategy(file)
    return prove(written.strategy(written.seats[0]), written.claim, written.house)


@pytest.fixture(scope="module")
def lamp_room():
    return gathered(proof_of(LAMP_ROOM), "# by group 3\ncomplete a line\n")


@pytest.fixture(scope="module")
def small(tmp_path_factory):
    file = tmp_path_factory.mktemp("small") / "my.rules"
    file.write_text(SMALL, encoding="utf-8")
    return gathered(proof_of(str(file)), SMALL)


@pytest.fixture
def a_sheet(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "my.rules").write_text(SMALL, encoding="utf-8")
    (tmp_path / "seat.rules").write_text(SMALL.replace("first", "second"), encoding="utf-8")
    (tmp_path / "both.rules").write_text(SMALL.replace("first", "both"), encoding="utf-8")


# The page -------------------------------------------------------------------------------------------------


def test_a_page_for_noughts_and_crosses_is_small_and_stands_alone(lamp_room):
    page = page_of(lamp_room)
    seen = read(page)
    assert len(page.encode()) < MOST_BYTES
    assert seen.links == []
    assert not re.search(r"https?://(?!www\.w3\.org/2000/svg)", page)
    assert seen.headings == [
        "lamp-room: Noughts and crosses, machine moves second",
        "Play against it",
        "How it plays",
        "Evidence",
        "House rules: usual",
        "On every machine",
    ]
    text = " ".join(seen.words)
    assert "PROVED." in text
    assert "complete a line" in text
    assert "'YOU WIN' (the visitor has won)" in text


def test_the_same_strategy_is_the_same_page(small):
    again = gathered(small.proof, SMALL)
    assert page_of(again) == page_of(small)


def test_every_class_of_wrong_input_is_told_once(lamp_room):
    words = read(page_of(lamp_room)).words
    for name in classes_of(lamp_room.proof.walk.game.fair):
        assert words.count(WORDS[name]) == 1


def test_a_refuted_strategy_has_its_line_and_its_first_losing_decision():
    proof = proof_of(FERRY)
    seen = read(page_of(Report(proof, "take a corner\n", [], [])))
    assert "The line that beats it" in seen.headings
    text = " ".join(seen.words)
    assert "In 7 plies, the visitor wins" in text
    assert re.search(r"4: machine \d; FIRST LOSING DECISION", text)
    assert "2, 4, 6 or 8 would do." in text


def test_a_strategy_without_an_answer_is_told_but_not_played(tmp_path):
    file = tmp_path / "hole.rules"
    file.write_text("game: noughts-and-crosses\nseat: second\ntake the centre\n", encoding="utf-8")
    seen = read(page_of(gathered(proof_of(str(file)), "take the centre\n")))
    assert "NO ANSWER." in seen.words
    assert "can be neither stored nor played" in " ".join(seen.words)
    assert "On every machine" not in seen.headings


# Machines -------------------------------------------------------------------------------------------------


def test_tables_on_machines_are_those_that_size_packs(small):
    rows = {each.card.name: each for each in small.machines}
    assert set(rows) == {*machine_names(), *compiled_names()}
    card = load_machine("twelve-bit")
    sizes = size_play(small.plays, small.proof.house, card).encodings
    least = min(row.total_words for row in sizes if row.total_words is not None)
    assert rows["twelve-bit"].row.total_words == least


def test_a_machine_that_cannot_read_so_says_why(small):
    [kit] = [each for each in on_all_machines(small.plays) if each.card.name == "kit-96"]
    assert kit.row is None
    assert kit.reason == "it reads by key"
    assert "none: it reads by key" in read(page_of(small)).words


@pytest.mark.long
def test_whole_programs_of_one_machine_are_shown_with_their_store(small):
    card = load_machine("delay-line")
    sizing = sized(small.proof, card, AS_WRITTEN)
    part = programs_part(sizing, card, smallest_program(sizing, card))
    words = read(part).words
    assert "On delay-line, as whole programs" in words
    assert any(word.startswith("instruction: ") for word in words)
    for row in sizing.programs:
        assert f"{row.total_words:,}" in words


# The command ----------------------------------------------------------------------------------------------


@pytest.mark.usefixtures("a_sheet")
def test_the_command_writes_a_page_and_never_over_a_file(tmp_path):
    ran = wordtight("report", "my.rules", "-o", "page.html")
    assert (ran.status, ran.err) == (0, "")
    assert "'never-loses' is proved" in ran.out
    page = (tmp_path / "page.html").read_text(encoding="utf-8")
    assert "PROVED." in page
    again = wordtight("report", "my.rules", "-o", "page.html")
    assert again.status == 2
    assert again.err.startswith("page.html: is there already")
    assert (tmp_path / "page.html").read_text(encoding="utf-8") == page


@pytest.mark.usefixtures("a_sheet")
def test_a_strategy_that_loses_is_written_and_ends_with_status_1(tmp_path):
    ran = wordtight("report", "seat.rules", "-o", "page.html", "--json")
    record = json.loads(ran.out)
    assert (ran.status, record["verdict"], record["file"]) == (1, "refuted", "page.html")
    assert {each["machine"] for each in record["tables"]} == {*machine_names(), *compiled_names()}
    assert (record["machine"], record["programs"], record["tradeoffs"]) == (None, None, None)
    page = (tmp_path / "page.html").read_text(encoding="utf-8")
    assert "This seat is lost from the start" in page


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("my.rules -o page.html --trade-offs", "--trade-offs is for one machine; expected --machine as well"),
        ("my.rules -o page.html --machine twelve-bits", "there is no machine called 'twelve-bits'"),
        ("both.rules -o page.html", "expected --seat first or --seat second"),
        ("my.rules -o none/page.html", "cannot be written"),
        ("my.rules", "missing option '--output'; expected"),
    ],
    ids=["trade-offs", "machine", "seats", "folder", "output"],
)
@pytest.mark.usefixtures("a_sheet")
def test_what_cannot_be_done_is_said_in_a_line(line, said, tmp_path):
    ran = wordtight("report", *line.split())
    assert (ran.status, ran.out) == (2, "")
    assert said in ran.err
    assert not (tmp_path / "page.html").exists()


def test_replies_that_are_too_many_to_be_shown_are_counted(monkeypatch):
    play = played("hexapawn", 1, "usual", TURNED)
    replies = len(list(boards.first_replies(play)))
    monkeypatch.setattr(boards, "MOST_SHOWN", 1)
    assert f"There are {replies - 1} more, which are not shown." in boards.boards_part([play])
    monkeypatch.setattr(boards, "MOST_SHOWN", replies)
    assert "not shown" not in boards.boards_part([play])
