"""The parts of a drill by themselves: reading, waiting, the tree of lines, the conversation file and the sandbox."""

import os
import random
import sys
import time
from functools import partial
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from games.house import load_house_rules
from games.housed import HousedGame
from games.inputs import classify
from games.load import load_game
from games.problems import BadInput
from tests.workbench.drill.bank import open_folder, written
from tests.workbench.processes import posix_only
from workbench.drill.ahead import Batch, Known, Planned
from workbench.drill.command import command_for
from workbench.drill.lines import RUNS, Node, finished
from workbench.drill.manner import parse_manner
from workbench.drill.process import ENDED, FLOOD, LATE, WAITS, Running
from workbench.drill.reading import Reader
from workbench.drill.rules import Entry, Rules
from workbench.drill.sandbox import Limits, Sandbox
from workbench.drill.waiting import Waiting

GAME = load_game("noughts-and-crosses")
USUAL = load_house_rules("usual", GAME)
TERSE = USUAL._replace(
    layout="close", messages={**USUAL.messages, "ask": "", "machine-moves": "", "machine-wins": "W"}
)


def manner(more="", house=USUAL, game=GAME):
    return parse_manner(f'kind = "conversation"\n{more}', "talk.toml", house, game)


def read(text, more="", house=USUAL, game=GAME):
    said = Reader(manner(more, house, game), house).read(text)
    return [game.move_names[move] for move in said.moves], list(said.outcomes), list(said.texts)


@pytest.mark.parametrize(
    ("text", "understood"),
    [
        ("I PLAY 5\nYOUR MOVE ", (["5"], [], [])),
        ("i play  5\nyou win", (["5"], ["visitor-wins"], [])),
        ("TAKEN. AGAIN\nYOUR MOVE", ([], [], ["TAKEN. AGAIN"])),
        ("AGAIN", ([], [], ["AGAIN"])),
        ("My move: 5.\nYour move?", (["5"], [], [])),
        ("5", (["5"], [], [])),
        ("1 | 2 | X\n--+---+--\nO | X | 6\nI take cell 7", (["7"], [], [])),
        ("X 2 O\nMy move is 2", (["2"], [], [])),
        ("You played 4, and I play 5", (["5"], [], [])),
        ("I PLAY 10", ([], [], [])),
        ("Nobody won: it is a tie", ([], ["draw"], [])),
        ("You lose!", ([], ["machine-wins"], [])),
        ("YOU LOSE YOUR TURN", ([], [], [])),
        ("I have lost", ([], ["visitor-wins"], [])),
        ("", ([], [], [])),
    ],
)
def test_ordinary_output_is_understood(text, understood):
    assert read(text) == understood


def test_a_conversation_file_says_what_stands_for_what():
    more = 'machine-moves = ["<{move}>"]\ndraw = ["remis"]\n[answers]\noff-board = ["nope"]\n'
    assert read("<3>\nREMIS", more) == (["3"], ["draw"], [])
    assert read("I PLAY 4\nNope", more) == (["4"], [], ["NOPE"])  # one line with one move in it will do
    assert read("a tie", more) == ([], [], [])  # the file says how a draw is told
    names = f"names = {[f'square{number}' for number in range(9)]}"
    assert read("I play square0", names) == (["1"], [], [])


def test_close_printing_has_no_bounds_between_words():
    assert read("TAKEN. AGAIN5W", house=TERSE) == (["5"], ["machine-wins"], ["TAKEN. AGAIN"])


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ("wait = ['x']", "talk.toml:2: 'wait' is not known here"),
        ('waits = [" "]', "talk.toml:2: 'waits' holds an empty text"),
        ('enter = "move"', "talk.toml:2: 'enter' should have {move} once"),
        ('machine-moves = ["I PLAY"]', "talk.toml:2: 'machine-moves' should have {move} once"),
        ('names = ["a", "b"]', "talk.toml:2: 'names' has 2 names; expected 9"),
        (f"names = {['a'] * 9}", "talk.toml:2: 'names' has a name twice"),
        ('line-end = "crlf"', "talk.toml:2: 'line-end' should be"),
        ("[limits]\nmilliseconds = 1", "talk.toml:3: 'milliseconds' should be"),
        ('[answers]\noffboard = ["x"]', "talk.toml:3: 'offboard' is not known here; expected"),
    ],
)
def test_a_faulty_conversation_file_is_told_with_its_line(more, says):
    with pytest.raises(BadInput) as told:
        manner(more)
    assert str(told.value).startswith(says)


def test_every_class_of_wrong_input_has_examples_and_they_are_of_that_class():
    game = HousedGame(GAME, USUAL, 0)
    rules = Rules(game, manner())
    code = rules.spot(rules.spot(GAME.start).moves[4]).moves[0]  # machine 5, visitor 1
    after = rules.spot(code).moves[8]
    kinds = {entry.kind for entry in rules.wrong_entries(after, all_of_them=True)}
    possible = game.possible(np.array([after], dtype=np.uint64))
    assert kinds == {name for name, where in possible.items() if where[0]}
    for entry in rules.wrong_entries(after, all_of_them=True):
        assert classify(game, game.shape, after, 0, entry.typed.rstrip(b"\n"))[0] == entry.kind
    one_each = rules.wrong_entries(after, all_of_them=False)
    assert len(one_each) == len(kinds)


def test_the_tree_is_gone_through_whole_and_each_line_as_often_as_it_should_be():
    """Held against all words over three letters up to a length: a tree of the same shape."""
    entries = [Entry(letter, letter.decode(), "legal", 0) for letter in (b"a", b"b", b"c")]
    depth = 3

    def place(level):
        if level == depth:
            return finished(level)
        return Node(level, 0, (), entries, is_over=False)

    root, lines = place(0), []
    while not root.is_done:
        node, path, word = root, [], b""
        while (choice := node.choose()) is not None:
            path.append(node)
            word += node.entries[choice].typed
            node, _, _ = node.arrive(choice, "same", lambda node=node: place(node.code + 1))
        for each in reversed(path):
            each.settle()
        for each in path:
            each.forget()
        lines.append(word)
    assert sorted(lines) == sorted(RUNS * [bytes(word) for word in every_word(depth)])


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_lines_that_are_taken_back_are_gone_through_all_the_same(seed):
    """As above, but in batches, of which some have to be taken back."""
    entries = [Entry(letter, letter.decode(), "legal", 0) for letter in (b"a", b"b", b"c")]
    depth, rng = 3, random.Random(seed)

    def place(level):
        return finished(level) if level == depth else Node(level, 0, (), entries, is_over=False)

    judged = SimpleNamespace(meaning="same")

    def line(node):
        found = []
        while (choice := node.choose()) is not None:
            kid = node.peek(choice, "same") or place(node.code + 1)
            found.append(Planned(node, choice, Known("", judged), kid))
            node = kid
        return found

    root, lines = place(0), []
    while not root.is_done:
        batch = Batch(100)
        while not root.is_done and len(batch.lines) < 5:
            assert batch.put(line(root))
        if rng.random() < 0.5:
            batch.take_back()
        else:
            batch.keep()
            lines += [b"".join(each.entry.typed for each in one) for one in batch.lines]
    assert sorted(RUNS * lines) == sorted(RUNS * [bytes(word) for word in every_word(depth)])


def test_an_answer_that_was_only_taken_for_granted_is_forgotten_when_it_is_taken_back():
    """So another one in its place is no second answer to the same line; one that was heard stays heard."""
    entries = [Entry(b"a", "a", "legal", 0)]
    for was_heard in (False, True):
        node = Node(0, 0, (), entries, is_over=False)
        if was_heard:
            node.arrive(0, "due", partial(finished, 1))
        batch = Batch(100)
        assert batch.put([Planned(node, 0, Known("", SimpleNamespace(meaning="due")), finished(1))])
        batch.take_back()
        _, is_new, is_other = node.arrive(0, "odd", partial(finished, 1))
        assert (is_new, is_other) == (True, was_heard)


def every_word(length):
    return (
        [b""]
        if not length
        else [word + letter for word in every_word(length - 1) for letter in (b"a", b"b", b"c")]
    )


def test_an_answer_that_does_not_come_again_is_given_up_and_that_is_said():
    entries = [Entry(b"a", "a", "legal", 0)]
    root, gave_up = Node(0, 0, (), entries, is_over=False), False
    first = True
    while not root.is_done:
        choice = root.choose()
        meaning = "odd" if first else "usual"
        first = False
        root.arrive(
            choice,
            meaning,
            lambda meaning=meaning: (
                Node(1, 0, (), entries, is_over=False) if meaning == "odd" else finished(1)
            ),
        )
        gave_up |= root.settle()
    assert gave_up


# The sandbox, with small programs of Python.


def waiting():
    return Waiting(["READY"], ["I WIN"], lambda text: "OVER" in text)


@pytest.fixture
def started():
    """Starts a program of a few lines and gives it back; all are ended at the end."""
    running = []
    with open_folder() as folder, Sandbox(Limits(4000, 16, 512, 64, 32, 16)) as sandbox:

        def start(text, *, terminal=True):
            command = command_for([written(text, folder, f"p{len(running)}.py")], sandbox)
            running.append(Running(sandbox, command, terminal=terminal))
            return running[-1]

        yield start
        for each in running:
            each.end()


@posix_only
@pytest.mark.parametrize("terminal", [True, False])
def test_what_is_keyed_in_is_heard_and_what_is_printed_comes_back(started, terminal):
    program = started(
        "print('READY', flush=True)\nprint('heard', input(), 'READY', flush=True)\ninput()", terminal=terminal
    )
    assert program.hear(waiting())[:2] == ("READY\n", WAITS)
    program.key_in(b"word\n")
    assert program.hear(waiting())[:2] == ("heard word READY\n", WAITS)
    program.key_in(b"\n")
    assert program.hear(waiting()) == ("", ENDED, 0)
    assert program.hear(waiting()) == ("", ENDED, 0)


@posix_only
def test_silence_crash_and_flood_are_told_apart(started):
    assert started("import time; time.sleep(60)").hear(waiting()).how == LATE
    heard = started("print('oh'); raise SystemExit(7)").hear(waiting())
    assert (heard.how, heard.status) == (ENDED, 7)
    heard = started("import os; os.kill(os.getpid(), 11)").hear(waiting())
    assert (heard.how, heard.status) == (ENDED, -11)
    flood = started("while True: print('no ' * 100)").hear(waiting())
    assert flood.how == FLOOD
    assert len(flood.text) == 16 * 1024


@posix_only
@pytest.mark.parametrize(
    "text",
    [
        "held = bytearray(900 << 20)",
        "open('large', 'wb').write(bytes(1 << 20))",
        "held = [open('/dev/null') for _ in range(64)]",
    ],
    ids=["memory", "file", "open-files"],
)
def test_limits_hold(started, text):
    if sys.platform != "linux":
        pytest.skip("these limits are Linux's")
    heard = started(text).hear(waiting())
    assert heard.how == ENDED
    assert heard.status != 0


@posix_only
def test_root_is_never_who_runs_it_and_what_it_starts_is_ended_with_it(started):
    text = (
        "import os, subprocess\nprint(os.geteuid())\n"
        "subprocess.Popen(['sleep', '61.25'])\nprint('READY', flush=True)\ninput()"
    )
    program = started(text)
    user = int(program.hear(waiting()).text.split()[0])
    assert user != 0
    assert user == os.geteuid() or os.geteuid() == 0
    assert sys.platform != "linux" or in_time(lambda: is_running(b"sleep\x0061.25"))
    program.end()
    assert in_time(lambda: not is_running(b"sleep\x0061.25"))


def in_time(holds):
    """Whether something comes to hold, as it does in a moment, or in minutes where the machine has other work."""
    end = time.monotonic() + 300
    while not holds():
        if time.monotonic() > end:
            return False
        time.sleep(0.02)
    return True


def is_running(command):
    """Whether the system shows a process with this command line; one that has ended shows none."""
    for process in Path("/proc").glob("[0-9]*/cmdline"):
        try:
            if process.read_bytes().startswith(command):
                return True
        except OSError:
            continue
    return False


def test_waiting_is_seen_by_marks_and_else_learned_from_silence():
    mark = waiting()
    assert mark.may_settle("anything")  # nothing is known yet
    mark.learn("Hello\nMove 3 of 9? ")
    assert mark.is_known("Hello\nMove 4 of 9? ")
    assert not mark.is_met("Hello\nMove 4 of 9? ")  # its own words, and not those of the house rules
    assert not mark.is_known("Move 4 of 9\n I think")
    assert not mark.is_known("I win")  # it may go on to ask for another game
    mark.learn("So\nI win")
    assert mark.is_known("Well\nI win")
    assert mark.learned == ["MOVE # OF #?"]
    assert mark.may_settle("anything")
    assert mark.is_met("are you ready")
    assert not mark.may_settle("anything")  # its own words have been seen
    assert mark.may_settle("GAME OVER")
    told = Waiting(["GO"], [], lambda text: True, told=True)
    assert not told.may_settle("anything")
    silent = Waiting([], [], lambda text: False)
    silent.learn("5")  # what says nothing when it waits may always go on after a pause
    assert not silent.is_known("5")
    assert silent.may_settle("5")
