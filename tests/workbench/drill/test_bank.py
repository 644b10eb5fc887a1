"""Every seeded fault is found by the battery that should find it, and right programs pass clean."""

import importlib.util
import shutil

import pytest

from tests.workbench.drill.bank import PROGRAMS, causes, drilled, open_folder, placed
from tests.workbench.drill.seeds import HOUSES, SECOND, SEEDS
from tests.workbench.processes import posix_only
from workbench.drill.faults import IN_WORDS, NO_ANSWER, NO_VERDICT, WRONG_INPUT, WRONG_MESSAGE

pytestmark = posix_only
EVERYDAY = ["plays-twice", "zero-is-nine", "shaken-by-a-letter", "gives-up-at-seven", "dies-on-a-question"]
"""Seeds that are drilled at every run of the suite; all of them in the long run."""


@pytest.fixture(scope="module")
def folder():
    with open_folder() as made:
        yield made


def program(name, folder):
    tool = {"oxo.c": "gcc", "oxo.pl": "perl"}.get(name)
    if tool is not None and shutil.which(tool) is None:
        pytest.skip(f"{tool} is not there")
    return placed(name, folder)


def seat_of(name):
    return "second" if name in SECOND else "first"


def hold(seed, folder):
    command = [program(seed.program, folder), seed.fault]
    found = drilled(
        command,
        seat=seat_of(seed.program),
        claim=seed.claim,
        house=HOUSES[seed.program],
        wrong=seed.wrong,
        patience=2000 if seed.cause in (NO_ANSWER, NO_VERDICT) else 20_000,
        enough=lambda ledger: any(fault.cause == seed.cause for fault in ledger.in_battery(seed.battery)),
    )
    assert found.verdict == "fault-found"
    assert (seed.battery, seed.cause) in causes(found)


@pytest.mark.parametrize(
    "seed", [seed for seed in SEEDS if seed.fault in EVERYDAY], ids=lambda seed: seed.fault
)
def test_some_seeds_are_found_every_day(seed, folder):
    hold(seed, folder)


@pytest.mark.long
@pytest.mark.parametrize("seed", SEEDS, ids=lambda seed: f"{seed.program}-{seed.fault}")
def test_every_seed_is_found_by_its_battery(seed, folder):
    hold(seed, folder)


@pytest.mark.long
@pytest.mark.parametrize(("name", "wrong"), [("oxo.py", 1), ("oxo.c", 1), ("oxo.pl", 1), ("answers.py", 0)])
def test_right_programs_pass_clean(name, wrong, folder):
    found = drilled([program(name, folder)], seat=seat_of(name), house=HOUSES[name], wrong=wrong)
    assert found.faults == ()
    assert found.verdict == "no-fault-found"


def test_the_bank_is_large_and_mixed():
    assert len(SEEDS) >= 30
    assert {seed.program for seed in SEEDS} == set(HOUSES)
    assert {seed.cause for seed in SEEDS} == {*IN_WORDS}  # every cause that a report tells


@pytest.mark.parametrize("talk", [None, "pawns.toml"])
def test_men_that_step_and_a_program_in_words_of_its_own(talk, folder):
    command = [placed("pawns.py", folder)]
    ways = {"game": "hexapawn", "seat": "second", "conversation": talk and str(PROGRAMS / talk)}
    assert drilled(command, **ways).verdict == "no-fault-found"
    [late] = drilled(command, claim="quickest", **ways).faults
    assert (late.cause, [step.entry.shown for step in late.line[1:]]) == ("claim-fails", ["7-4", "8-5"])
    if talk is not None:
        assert drilled(command, wrong=1, **ways).verdict == "no-fault-found"


@pytest.mark.long
@pytest.mark.skipif(shutil.which("bwbasic") is None, reason="there is no BASIC here")
def test_a_program_in_basic_and_what_its_interpreter_makes_of_a_long_line(folder):
    command = ["bwbasic", placed("oxo.bas", folder)]
    assert drilled(command).verdict == "no-fault-found"
    [fault] = drilled(command, wrong=1, enough=lambda ledger: ledger.in_battery(WRONG_INPUT)).faults
    assert (fault.battery, fault.cause) == (WRONG_INPUT, WRONG_MESSAGE)
    assert (
        len(fault.line[-1].entry.typed) > 255
    )  # it reads no more at once, and takes the rest for another input


# The quiet faults, played through without the drill -------------------------------------------------------------


def lines_of(program, fault, *, with_sense, board=" " * 9, left=()):
    """How many lines there are and how many the machine loses; with_sense: the visitor takes a win, stops a win."""
    wins, stops = program.completing(board, program.YOU), program.completing(board, program.ME)
    choices = (wins or stops or program.free(board)) if with_sense else program.free(board)
    total = lost = 0
    for cell in choices:
        now = program.after(board, cell, program.YOU)
        if program.has_won(now, program.YOU) or not program.free(now):
            total, lost = total + 1, lost + program.has_won(now, program.YOU)
            continue
        now = program.after(now, program.my_move(now, left, fault), program.ME)
        if program.has_won(now, program.ME):
            total += 1
            continue
        more, worse = lines_of(
            program, fault, with_sense=with_sense, board=now, left=program.completing(now, program.ME)
        )
        total, lost = total + more, lost + worse
    return total, lost


@pytest.mark.parametrize(
    ("fault", "any_visitor", "with_sense"),
    [("", 0, 0), ("loose-board", 2, 2), ("trusts-the-visitor", 211, 0)],
)
def test_how_quiet_the_quiet_faults_are(fault, any_visitor, with_sense):
    spec = importlib.util.spec_from_file_location("answers", PROGRAMS / "answers.py")
    program = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(program)
    total, lost = lines_of(program, fault, with_sense=False)
    assert (total > 400, lost) == (True, any_visitor)
    assert lines_of(program, fault, with_sense=True)[1] == with_sense
