"""A page read as a person reads it: elements and their text, and on a card the men that are drawn."""

import re
from html.parser import HTMLParser
from typing import NamedTuple

VOID = {"meta", "br", "hr", "img"}


class Element:
    def __init__(self, name, attributes):
        self.name, self.attributes, self.inner = name, dict(attributes), []

    @property
    def classes(self):
        return (self.attributes.get("class") or "").split()

    def text(self):
        return "".join(each if isinstance(each, str) else each.text() for each in self.inner)

    def all(self, name="", *, having=""):
        for each in self.inner:
            if isinstance(each, Element):
                if name in ("", each.name) and (not having or having in each.classes):
                    yield each
                yield from each.all(name, having=having)


class _Reader(HTMLParser):
    def __init__(self):
        super().__init__()
        self.open = [Element("", ())]

    def handle_starttag(self, tag, attrs):
        element = Element(tag, attrs)
        self.open[-1].inner.append(element)
        if tag not in VOID:
            self.open.append(element)

    def handle_startendtag(self, tag, attrs):
        self.open[-1].inner.append(Element(tag, attrs))

    def handle_endtag(self, tag):
        assert self.open.pop().name == tag

    def handle_data(self, data):
        self.open[-1].inner.append(data)


def read(html):
    reader = _Reader()
    reader.feed(html)
    [root] = reader.open
    return root


class Drawn(NamedTuple):
    """Cells (column, row) with men, hollow or solid, and those in a ring, as a picture shows them."""

    hollow: frozenset
    solid: frozenset
    ringed: frozenset


def men_drawn(svg, side, rim, *, moved=True):
    """The men of a picture whose squares have this side, behind a rim; `moved`: drawn without it, and then moved."""
    before = 0 if moved else rim

    def cell(x, y):
        return int((float(x) - before) // side), int((float(y) - before) // side)

    held = {"#ffffff": set(), "#1d2730": set()}
    for path in svg.all("path"):
        discs = re.findall(r"M([\d.-]+) ([\d.-]+)a([\d.]+)", path.attributes["d"])
        for x, y, radius in discs:
            held[path.attributes["fill"]].add(cell(float(x) + float(radius), y))
    rings = {cell(each.attributes["cx"], each.attributes["cy"]) for each in svg.all("circle")}
    transforms = [each.attributes["transform"] for each in svg.all("g") if "transform" in each.attributes]
    assert transforms == ([f"translate({rim:.1f} {rim:.1f})"] if moved else [])
    return Drawn(frozenset(held["#ffffff"]), frozenset(held["#1d2730"]), frozenset(rings))
