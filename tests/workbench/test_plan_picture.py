"""The picture of a plan: numbers stand apart however near points lie, and axes hold every value."""

import math
import re
import xml.etree.ElementTree as ET
from types import SimpleNamespace

import pytest

from workbench.plan_picture import NEAR, Axis, plan_picture


def way(number, words, wait):
    row = SimpleNamespace(form="as-written", reading="plain")
    return SimpleNamespace(candidate=SimpleNamespace(name=f"way {number}"), row=row, words=words, wait=wait)


@pytest.mark.parametrize("apart", [1, 7, 60])
def test_numbers_stand_apart_from_points_and_from_one_another(apart):
    ways = [way(number, 250 + apart * number, 9 - 0.01 * apart * number) for number in range(12)]
    drawing = ET.fromstring(plan_picture(ways, "many", 4096, 5.0, "s"))
    circles = [each for each in drawing.iter() if each.tag.endswith("circle")]
    places = [(float(each.get("cx")), float(each.get("cy")), each.get("r")) for each in circles]
    assert sum(size == "3" for *_, size in places) == len(ways)
    for at, (x, y, size) in enumerate(places):
        for other_x, other_y, other_size in places[:at]:
            if "8" in (size, other_size):
                assert math.hypot(x - other_x, y - other_y) >= NEAR - 0.2
    texts = ["".join(each.itertext()) for each in drawing.iter() if each.tag.endswith("text")]
    assert [text for text in texts if re.match(r"\d+: way", text)] == [
        f"{number}: way {number - 1} (plain): {each.words:,} words, {each.wait:.5g} s"
        for number, each in enumerate(ways, 1)
    ]


@pytest.mark.parametrize("values", [[3.0], [258, 273, 4096], [0.004, 70000], [1.0, 2.0], [5, 5], [1e-9]])
def test_axis_has_marks_around_all_values(values):
    axis = Axis(values, 0, 100)
    marks = axis.marks()
    assert len(marks) >= 2
    assert [axis.at(marks[0]), axis.at(marks[-1])] == [0, pytest.approx(100)]
    assert all(-0.1 <= axis.at(value) <= 100.1 for value in values)
    assert [axis.at(value) for value in sorted(values)] == sorted(axis.at(value) for value in values)
