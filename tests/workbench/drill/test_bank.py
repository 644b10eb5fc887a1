"""Every seeded fault is found by the battery that should find it, and right programs pass clean."""

import shutil

import pytest

from tests.workbench.drill.bank import PROGRAMS, causes, drilled, open_folder, placed
from tests.workbench.drill.seeds import HOUSES, SEEDS
from tests.workbench.processes import posix_only
from workbench.drill.faults import NO_ANSWER, NO_VERDICT

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


def hold(seed, folder):
    command = [program(seed.program, folder), seed.fault]
    found = drilled(
        command,
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
@pytest.mark.parametrize(("name", "wrong"), [("oxo.py", 1), ("oxo.c", 1), ("oxo.pl", 1)])
def test_right_programs_pass_clean(name, wrong, folder):
    found = drilled([program(name, folder)], house=HOUSES[name], wrong=wrong)
    assert found.faults == ()
    assert found.verdict == "no-fault-found"


def test_the_bank_is_large_and_mixed():
    assert len(SEEDS) >= 30
    assert {seed.program for seed in SEEDS} == set(HOUSES)
    assert len({(seed.battery, seed.cause) for seed in SEEDS}) >= 15


@pytest.mark.parametrize("talk", [None, "pawns.toml"])
def test_men_that_step_and_a_program_in_words_of_its_own(talk, folder):
    command = [placed("pawns.py", folder)]
    ways = {"game": "hexapawn", "seat": "second", "conversation": talk and str(PROGRAMS / talk)}
    assert drilled(command, **ways).verdict == "no-fault-found"
    [late] = drilled(command, claim="quickest", **ways).faults
    assert (late.cause, [step.entry.shown for step in late.line[1:]]) == ("claim-fails", ["7-4", "8-5"])
    if talk is not None:
        assert drilled(command, wrong=1, **ways).verdict == "no-fault-found"
