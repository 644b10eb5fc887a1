"""Every door: whatever comes in is taken, or refused in plain lines; `make fuzz` looks for longer."""

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.attacks.door import knock
from tests.attacks.doors import DOORS
from tests.attacks.spoiling import ODD, spoilt

CORPUS = Path(__file__).parent / "corpus"
"""What `make fuzz` has found worth keeping, a folder for each door; a file called `found-...` was a fault once."""
FEW = settings(max_examples=max(6, settings().max_examples // 4), suppress_health_check=list(HealthCheck))


@pytest.mark.parametrize("name", DOORS)
def test_good_files_are_taken(name, tmp_path):
    door = DOORS[name]
    assert all(knock(door, raw, tmp_path) for raw in door.samples())


@pytest.mark.parametrize("name", DOORS)
def test_spoilt_files_are_taken_or_refused(name, tmp_path):
    door = DOORS[name]

    @FEW
    @given(spoilt(door.samples()) | st.sampled_from(ODD))
    def any_spoilt(raw):
        knock(door, raw, tmp_path)

    any_spoilt()


@pytest.mark.parametrize("name", DOORS)
def test_what_the_long_search_has_kept(name, tmp_path):
    for file in sorted((CORPUS / name).glob("*")):
        knock(DOORS[name], file.read_bytes(), tmp_path)


def test_the_corpus_is_of_doors_that_there_are_and_small():
    assert {folder.name for folder in CORPUS.iterdir()} <= set(DOORS)
    assert sum(file.stat().st_size for file in CORPUS.glob("*/*")) < 300_000
