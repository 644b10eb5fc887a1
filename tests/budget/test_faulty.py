"""What comes of slips, against playing every line on the one-step simulator."""

import random
from itertools import product

import pytest

from budget import faulty
from budget.card import load_machine
from budget.closing import close
from budget.conversation import Conversation
from budget.faulty import DIFFERS, KINDS, LOSES, SAME, STOPS, STRAYS, fate_of
from budget.lowering.answering.sheet import by_rules
from budget.lowering.checksum import AT_START
from budget.lowering.lower import lower
from budget.machine.channel import keyed, printed
from budget.machine.simulator import LIMIT, WAITING, Machine
from solver.fixed import PLAIN, fix
from solver.load import load_strategy
from solver.proof import PROVED, prove

GAME = """kind = "game"
family = "marks"
title = "Three in a row on 3 x 2"
from = "A board for tests: nobody need lose, and a careless machine does."
columns = 3
rows = 2
in-a-row = 3
"""
SHEET = """game: small.toml
seat: second
choice: plain
complete a line
block a line
take any free cell
"""
LINES = ("a1", "b1", "c1"), ("a2", "b2", "c2")
LONGEST = 100_000


@pytest.fixture(scope="module")
def sound(tmp_path_factory, request):
    """The program, its conversation, and what was found when it was held against that."""
    folder = tmp_path_factory.mktemp("faulty")
    (folder / "small.toml").write_text(GAME)
    (folder / "small.rules").write_text(SHEET.replace("small.toml", (folder / "small.toml").as_posix()))
    written = load_strategy(folder / "small.rules")
    proof = prove(written.strategy(1), written.claim, written.house)
    assert proof.verdict == PROVED
    play, card = fix(proof, PLAIN), load_machine("twelve-bit")
    talk = Conversation(play, card, thorough=False)
    made = {check: lower(play, card, by_rules, check=check).program for check in ("none", AT_START)}
    return made, talk, close(made["none"], talk)


def slipped(program, address, bit):
    return program._replace(image={**program.image, address: program.image[address] ^ 1 << bit})


def played(program, texts, longest=LONGEST):
    """What is printed after the start and after each input, until the machine stops; and how it stands.

    longest: instructions that an answer may take.
    """
    machine, said = Machine.loaded(program), []
    for text in (None, *texts):
        if text is not None:
            machine.feed(keyed(program.card, f"{text}\n"))
        machine.passed.clear()
        status = machine.run(longest)
        said.append(printed(program.card, machine.passed))
        if status != WAITING:
            return said, status
    return said, status


def every_line(depth=3):
    """Lines of inputs: moves, and what is none."""
    texts = ("A1", "B1", "C1", "A2", "B2", "C2", "?", "A3", "")
    return product(texts, repeat=depth)


def visitor_has_won(line):
    """Whether the visitor has a line of cells, if the machine's moves are what it printed."""
    held = {typed.lower() for typed, _ in line}
    return any(set(cells) <= held for cells in LINES)


def as_typed(fate):
    return [entry.typed for entry in fate.line[1:]]


def test_slips_are_told_as_the_machine_plays(sound):
    """Some wrong bits: what is told of each is seen again on the machine, be it harm or none."""
    programs, talk, closed = sound
    program, rng, seen = programs["none"], random.Random(6), set()
    limit = faulty.SLACK * closed.worst.instructions + faulty.MARGIN
    for _ in range(30):
        address, bit = rng.choice(sorted(program.image)), rng.randrange(12)
        wrong = slipped(program, address, bit)
        fate = fate_of(wrong, talk, closed)
        assert fate.is_whole
        seen.add(fate.kind)
        if fate.kind == SAME:
            assert fate.line == ()
            for texts in random.Random(address * 12 + bit).sample(list(every_line()), 6):
                assert played(wrong, texts) == played(program, texts)
            continue
        said, status = played(wrong, as_typed(fate), limit)
        told = [entry.printed for entry in fate.line]
        assert said[:-1] == told[:-1]
        assert said[-1] == told[-1] or (status == LIMIT and said[-1].startswith(told[-1][:-3]))
        right, _ = played(program, as_typed(fate))
        assert (said, status) != (right, WAITING)
        if fate.kind == STOPS:
            assert status != WAITING
            assert (fate.why == f"there is no answer within {limit:,} instructions") == (status == LIMIT)
        if fate.kind == LOSES:
            assert visitor_has_won(fate.line[1:])
        if fate.kind in (DIFFERS, STRAYS):
            assert status == WAITING
    assert len(seen) > 3
    assert seen <= set(KINDS)


def test_a_sound_program_plays_the_same(sound):
    programs, talk, closed = sound
    for program in programs.values():
        fate = fate_of(program, talk, closed)
        assert fate.kind == SAME
        assert fate.is_whole
        assert fate.states == closed.states


def test_what_is_only_slow_is_not_said_to_run_for_ever(sound, monkeypatch):
    """As long as nobody waits for it, a sound program is like one that a slip has made slow."""
    programs, talk, closed = sound
    monkeypatch.setattr(faulty, "MARGIN", 0)
    hurried = closed.worst._replace(instructions=closed.worst.instructions // faulty.SLACK // faulty.SLACK)
    fate = fate_of(programs["none"], talk, closed._replace(worst=hurried, start=hurried))
    limit = faulty.SLACK * hurried.instructions
    assert (fate.kind, fate.why) == (STOPS, f"there is no answer within {limit:,} instructions")
    assert played(programs["none"], as_typed(fate), limit)[1] == LIMIT
    assert played(programs["none"], as_typed(fate))[1] == WAITING


def test_a_check_sum_shows_every_slip_beside_it(sound):
    """What would lose a game stops before the first move."""
    programs, talk, closed = sound
    program = programs[AT_START]
    messages = program.labels["messages"]
    for address in range(messages, max(program.image), 6):
        fate = fate_of(slipped(program, address, address % 12), talk, closed)
        assert (fate.kind, fate.why) == (STOPS, "it is halted")
        assert [entry.printed for entry in fate.line] == ["E"]
