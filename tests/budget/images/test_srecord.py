"""Our records as an independent reader takes them: srec_cat, of Debian's package srecord."""

import shutil
import subprocess

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from budget.images.image import image_in
from games.problems import BadInput
from tests.budget.images.made import CARDS, FORMATS, RECORDS, cards_with_images, held, images, read, write

THEIRS = {"intel-hex": "-intel", "s-records": "-motorola"}
FEW = 15

pytestmark = pytest.mark.skipif(
    not shutil.which("srec_cat"), reason="srec_cat is missing: apt-get install srecord"
)


def converted(raw, given_in, wanted, *options):
    """What srec_cat makes of a file; None if it refuses it."""
    command = ["srec_cat", "-", THEIRS[given_in], *options, "-o", "-", THEIRS[wanted]]
    ran = subprocess.run(command, input=raw, capture_output=True, check=False)
    return ran.stdout if ran.returncode == 0 else None


@pytest.mark.parametrize("wanted", RECORDS)
@pytest.mark.parametrize("given_in", RECORDS)
@settings(max_examples=FEW)
@given(cards_with_images())
def test_converted_by_the_other_and_read_again(given_in, wanted, made):
    card, image = made
    if not image.words:
        return
    theirs = converted(write(given_in, image, card), given_in, wanted)
    assert theirs is not None
    assert held(read(wanted, theirs, card)) == held(image)
    back = converted(theirs, wanted, given_in)
    assert held(read(given_in, back, card)) == held(image)


@pytest.mark.parametrize("name", RECORDS)
@settings(max_examples=FEW)
@given(cards_with_images(), st.integers(9, 40))
def test_records_of_other_lengths(name, made, length):
    card, image = made
    if image.words:
        theirs = converted(write(name, image, card), name, name, f"-line-length={2 * length + 20}")
        theirs = theirs or converted(write(name, image, card), name, name)
        assert held(read(name, theirs, card)) == held(image)


@pytest.mark.parametrize("name", RECORDS)
@settings(max_examples=2 * FEW)
@given(st.data())
def test_both_refuse_a_corrupted_record(name, data):
    """One digit changed, other than in the type of an S-record, which its check byte does not guard."""
    card = data.draw(st.sampled_from(CARDS))
    image = data.draw(images(card))
    if not image.words:
        return
    text = write(name, image, card).decode()
    digits = [at for at, sign in enumerate(text) if sign in "0123456789ABCDEF" and text[at - 1] != "S"]
    at = data.draw(st.sampled_from(digits))
    other = data.draw(st.sampled_from(sorted(set("0123456789ABCDEF") - {text[at]})))
    wrong = (text[:at] + other + text[at + 1 :]).encode()
    with pytest.raises(BadInput):
        image_in(FORMATS[name].read(wrong, card, "f"), card)
    assert converted(wrong, name, name) is None
