"""A page stands alone: one file, well formed, that loads nothing."""

import re
from html.parser import HTMLParser

import pytest

from workbench.pictures.page import STYLE, page
from workbench.pictures.positions import INK, PAPER, QUIET


class Tags(HTMLParser):
    """Every element of a page, and those that are open."""

    def __init__(self):
        super().__init__()
        self.seen, self.open = [], []

    def handle_starttag(self, tag, attrs):
        self.seen.append((tag, dict(attrs)))
        if tag != "meta":
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag


def read(text):
    tags = Tags()
    tags.feed(text)
    tags.close()
    assert not tags.open
    return tags.seen


def test_a_page_is_one_file_that_refers_to_nothing():
    text = page("A & B", "<h1>Hello</h1>", styles=".x { color: black }", script="const a = 1 < 2;")
    seen = read(text)
    assert text.startswith("<!DOCTYPE html>")
    assert "<title>A &amp; B</title>" in text
    assert "const a = 1 < 2;" in text
    assert not [tag for tag, attributes in seen if {"src", "href"} & set(attributes)]
    assert not re.search(r"https?:|url\(|@import", text)


def test_a_browser_is_told_to_load_nothing():
    [policy] = [attributes for tag, attributes in read(page("A", "")) if "http-equiv" in attributes]
    assert policy["content"].startswith("default-src 'none'")


def test_without_a_script_there_is_no_script_element():
    assert "script" not in [tag for tag, _ in read(page("A", "<p>a</p>"))]


@pytest.mark.parametrize(
    "given", [{"styles": "a</style>"}, {"script": "'</script>'"}], ids=["styles", "script"]
)
def test_nothing_may_end_its_own_element(given):
    with pytest.raises(ValueError, match="must not contain"):
        page("A", "", **given)


def luminance(colour):
    """Relative luminance as W3C's Web Content Accessibility Guidelines 2.2 define it."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("ink", [INK, QUIET])
def test_what_is_written_is_legible_in_grey(ink):
    """Success criterion 1.4.6 of the same guidelines asks for 7 to 1."""
    assert (luminance(PAPER) + 0.05) / (luminance(ink) + 0.05) >= 7
    assert f"color: {INK}" in STYLE
