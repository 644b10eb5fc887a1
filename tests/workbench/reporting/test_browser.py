"""The page in a real browser: its script against the rules, a whole game by keyboard, wrong input, and paper."""

import json
import re
import shutil
from pathlib import Path

import numpy as np
import pytest

from games.house import load_house_rules
from games.inputs import LEGAL, classify
from games.load import load_game
from solver.fixed import fixed_plays
from solver.load import load_strategy
from solver.proof import prove
from tests.workbench.reporting.browser import SPACE, TAB, Browser
from tests.workbench.reporting.plays import CASES, IDS, played
from tests.workbench.reporting.test_playable import BOXES, TYPED
from workbench.pictures.page import page
from workbench.reporting.play import STYLE, play_part
from workbench.reporting.playable import MACHINE_MOVES, VISITOR_MOVES, playable, smallest_table
from workbench.reporting.report import gathered, page_of

pytestmark = [
    pytest.mark.long,
    pytest.mark.skipif(not shutil.which("chromium"), reason="needs Debian's package chromium"),
]
LAMP_ROOM = "examples/lamp-room.rules"
EVERY_ANSWER = """
DATA.positions.map((each) => {
  if (each[0] !== MACHINE) return null;
  const found = lookUp(BigInt("0x" + each[2]));
  return DATA.back.length ? DATA.back[each[3]][found.move] : found.move;
})
"""
EVERY_INPUT = """
DATA.positions.map((each, at) => {
  if (each[0] !== VISITOR) return null;
  place = at;
  return TYPED.map((text) => {
    const found = read(text);
    return found.move === undefined ? [Object.keys(DATA.class_ids)[found.wrong], null] : ["legal", found.move];
  });
})
"""


@pytest.fixture(scope="module")
def browser(tmp_path_factory):
    with Browser(tmp_path_factory.mktemp("browser")) as opened:
        yield opened


@pytest.fixture
def opened(browser, tmp_path):
    """Open a page; whatever was on the console before is forgotten."""

    def open_page(text):
        browser.problems.clear()
        browser.asked_for.clear()
        file = tmp_path / "page.html"
        file.write_text(text, encoding="utf-8")
        browser.open(file)
        return browser

    return open_page


def page_with(plays, bits=12):
    part = play_part(plays, bits)
    return page("Play", part.html, styles=STYLE, script=part.script)


def lamp_room(house=None):
    written = load_strategy(LAMP_ROOM)
    return prove(written.strategy(1), written.claim, house or written.house)


@pytest.mark.parametrize("bits", [8, 18])
@pytest.mark.parametrize("case", CASES, ids=IDS)
def test_the_script_answers_everywhere_as_the_play_and_the_house_rules_do(opened, case, bits):
    play = played(*case)
    game, graph = play.game, play.graph
    page_in = opened(page_with([play], bits))
    data = playable(smallest_table([play], bits))
    answer = dict(zip(play.codes.tolist(), play.moves.tolist(), strict=True))
    answers = page_in.ask(EVERY_ANSWER)
    inputs = page_in.ask(EVERY_INPUT.replace("TYPED", json.dumps(TYPED)))
    for at, position in enumerate(data["positions"]):
        code = int(graph.codes[at])
        if position[0] == MACHINE_MOVES:
            assert answers[at] == answer[int(game.fair_codes(np.array([code], dtype=np.uint64))[0])]
        if position[0] == VISITOR_MOVES:
            expected = [classify(game, game.shape, code, game.seat, typed.encode()) for typed in TYPED]
            assert inputs[at] == [[LEGAL if move is not None else found, move] for found, move in expected]
    assert page_in.problems == []


def test_a_whole_game_is_played_by_keyboard_alone(opened):
    browser = opened(page_of(gathered(lamp_room(), Path(LAMP_ROOM).read_text("utf-8"))))
    for _ in range(5):
        browser.press(TAB)
        if browser.ask("document.activeElement.id") == "typed":
            break
    assert browser.ask("document.activeElement.id") == "typed"
    assert browser.ask("getComputedStyle(document.activeElement).outlineStyle") == "solid"
    said = []
    for typed in ("5", "5", "", "x", "77", "123456789", "3", "4", "8", "9"):
        browser.type(typed)
        said.append(browser.text("said").split("\n"))
    assert said == [
        ["I PLAY 1", "YOUR MOVE"],
        ["TAKEN. AGAIN", "YOUR MOVE"],
        ["AGAIN", "YOUR MOVE"],
        ["AGAIN", "YOUR MOVE"],
        ["NO SUCH CELL. AGAIN", "YOUR MOVE"],
        ["AGAIN", "YOUR MOVE"],
        ["I PLAY 7", "YOUR MOVE"],
        ["I PLAY 6", "YOUR MOVE"],
        ["I PLAY 2", "YOUR MOVE"],
        ["A DRAW"],
    ]
    assert browser.text("line").startswith("you 5; machine 1; you 3; machine 7;")
    assert browser.ask("document.querySelector('#as-table caption').textContent") == "The board. A DRAW."
    assert browser.text("enter") == "Next game"
    browser.type("anything")
    assert browser.text("said").split("\n") == ["GAME OVER", "YOUR MOVE"]
    assert browser.text("line") == "none yet."
    browser.type("1")
    browser.press(TAB)
    browser.press(TAB)
    browser.press(SPACE)  # the button for a new game
    assert browser.text("line") == "none yet."
    assert (browser.problems, len(browser.asked_for)) == ([], 1)


def test_the_board_and_its_table_show_who_stands_where(opened):
    browser = opened(page_with(fixed_plays(lamp_room())))
    browser.ask("document.getElementById('typed').focus()")
    browser.type("5")
    cells = browser.ask(
        "[...document.querySelectorAll('#as-table [data-cell]')].map((cell) => cell.textContent)"
    )
    assert cells[:5] == ["1: machine", "2: free", "3: free", "4: free", "5: you"]
    shown = browser.ask(
        "[...document.querySelectorAll('#board [data-cell]')].map((cell) => [...cell.children]"
        ".filter((part) => part.style.display !== 'none' && part.classList.length)"
        ".map((part) => part.classList.value).join('+'))"
    )
    assert shown[:5] == ["second+ring", "name", "name", "name", "first+ring"]


def test_a_lost_turn_gives_the_machine_another_move(opened):
    browser = opened(page_with([played("two-by-two", 0, "lost-turn", "plain")]))
    browser.ask("document.getElementById('typed').focus()")
    assert browser.text("said").split("\n") == ["I PLAY A1", "YOUR MOVE"]
    browser.type("a1")
    assert browser.text("line").startswith(
        "machine a1; you 'a1', taken by the machine (turn lost); machine b1"
    )


def test_where_moves_score_whoever_is_ahead_has_won(opened):
    play = played("boxes-three-by-one", 1, "usual", "plain")
    browser = opened(page_with([play]))
    browser.ask("document.getElementById('typed').focus()")
    for name in play.game.fair.move_names:  # those that are taken by then are answered, and cost nothing
        if browser.text("enter") == "Enter":
            browser.type(name)
    line = browser.text("line")
    owners = {"you": -1, "machine": 1}
    drawn, ahead = set(), 0
    for ply in line.partition(": ")[0].split("; ")[:10]:
        who, _, name = ply.partition(" ")
        full = sum(box <= drawn for box in BOXES)
        drawn.add(name)
        ahead += owners[who] * (sum(box <= drawn for box in BOXES) - full)
    assert len(drawn) == 10
    assert ahead != 0
    result = "I WIN" if ahead > 0 else "YOU WIN"
    assert browser.text("said").split("\n")[-1] == result
    assert f"{'the machine is' if ahead > 0 else 'you are'} {abs(ahead)} ahead: {result}." in line


def test_by_key_every_key_is_an_input_at_once(opened):
    house = load_house_rules("usual", load_game("noughts-and-crosses"))
    by_key = house._replace(form=house.form._replace(kind="key", longest=1))
    browser = opened(page_with(fixed_plays(lamp_room(by_key))))
    browser.ask("document.getElementById('typed').focus()")
    browser.press({"key": "5", "text": "5"})
    assert browser.text("said").split("\n") == ["I PLAY 1", "YOUR MOVE"]


def test_a_store_of_zeros_has_no_answer(opened):
    browser = opened(page_with(fixed_plays(lamp_room())))
    browser.ask("words.fill(0n); document.getElementById('typed').focus()")
    browser.type("5")
    assert browser.text("said") == "THE STORE HOLDS NO MOVE FOR THIS BOARD."


def test_on_paper_the_page_is_whole_but_for_the_game(opened):
    browser = opened(page_of(gathered(lamp_room(), "complete a line\n")))
    shown = "getComputedStyle(document.{}).display"
    assert browser.ask(shown.format("getElementById('play')")) == "block"
    assert browser.ask(shown.format("querySelector('.paper')")) == "none"
    browser.send("Emulation.setEmulatedMedia", media="print")
    assert browser.ask(shown.format("getElementById('play')")) == "none"
    assert browser.ask(shown.format("querySelector('.paper')")) == "block"
    browser.send("Emulation.setEmulatedMedia", media="")
    paper = browser.printed()
    assert paper.startswith(b"%PDF")
    assert int(re.search(rb"/Count (\d+)", paper)[1]) >= 3
    assert b"/MediaBox [0 0 594" in paper or b"/MediaBox [0 0 595" in paper  # A4
