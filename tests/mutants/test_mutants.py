"""What `make mutants` is made of, as far as it goes without mutmut; and its page is what it has kept."""

import pytest

from tests.mutants import kept
from tests.mutants.changes import Change, is_other_python, spot_at, spots_of
from tests.mutants.kept import BEGIN, END, PAGE, STORED, Found, Survivor
from tests.mutants.reaching import Reach
from tests.mutants.rooms import HOLDERS, ROOT, CannotTry, modules, part_of

TEXT = """\
WIDE = 3

class Board:
    size = (
        4,
        5,
    )

    @property
    def area(self):
        if self.size:
            return (
                4 * 5
            )
        else:
            return 0
"""


def test_a_line_belongs_to_the_innermost_statement_without_what_is_nested_in_it():
    spots = spots_of(TEXT)
    assert [
        (spot.first, spot.last, spot.within) for spot in (spot_at(spots, line) for line in (1, 5, 11, 13, 16))
    ] == [
        (1, 1, ""),
        (4, 7, "Board"),
        (11, 11, "Board.area"),
        (12, 14, "Board.area"),
        (16, 16, "Board.area"),
    ]


def test_what_cannot_be_compiled_or_only_asserts_less_is_no_mutant():
    text = "pairs = list(zip(a, b, strict=True))\n"
    for changed in (text, text.replace("True", "None"), text.replace("strict=True", ""), "return 1\n"):
        assert not is_other_python(changed, text)
    assert is_other_python(text.replace("b,", "a,"), text)


def test_tests_that_reach_a_line_are_asked_quickest_first_and_all_where_it_runs_on_loading():
    reach = Reach(
        {"slow": 2.0, "quick": 0.1, "other": 0.5, "far": 0.2},
        {"games/a.py": {1: {""}, 12: {"slow"}, 13: {"quick", "slow"}, 16: {"other"}, 11: {"", "slow"}}},
    )
    spots = spots_of(TEXT)
    asked = {line: reach.of_spot("games/a.py", spot_at(spots, line)) for line in (1, 11, 13, 16)}
    assert asked == {
        1: ["quick", "far", "other", "slow"],
        11: ["slow", "quick", "far", "other"],
        13: ["quick", "slow"],
        16: ["other"],
    }
    assert reach.of_module("games/b.py") == []


def test_modules_are_named_by_the_beginning_of_their_path():
    assert modules(["games/marks/ma"]) == ["games/marks/marks.py"]
    assert {part_of(module) for module in modules()} == set(HOLDERS)
    for named in ("games/nothing", "workbench/main"):
        with pytest.raises(CannotTry, match=named):
            modules([named])


def test_the_tests_of_every_part_are_there():
    assert [place for places in HOLDERS.values() for place in places if not list(ROOT.glob(place))] == []


def test_reasons_stay_when_lines_move_and_results_only_while_the_text_is_the_same():
    change = Change(3, 20, "area", "a < b", "a <= b", "")
    before = Found(
        kept.digest("old"), 1, tried=1, survived=[Survivor(0, 9, "area", "a < b", "a <= b", "never equal")]
    )
    assert kept.taken_up(before, "old", [change]) is before
    assert kept.taken_up(before, "new", [change]) == Found(kept.digest("new"), 1)
    assert kept.survivor(change, kept.reasons_of(before)).reason == "never equal"
    assert kept.survivor(change, kept.reasons_of(None)).reason == ""


def test_the_table_counts_and_rounds_down():
    survived = [Survivor(0, 9, "area", "a < b", "a <= b", "never equal"), Survivor(5, 1, "", "`x`", "")]
    rows = kept.tables({"games/a.py": Found("", 3000, tried=2000, survived=survived)}).splitlines()
    assert "| `games/a.py` | 3,000 | 2,000 | 1,998 | 99.9 % | 2 | 1 |" in rows
    assert "* line 9, `area`: `a < b` becomes `a <= b`: never equal" in rows
    assert "* line 1: `` `x` `` becomes nothing: *no reason yet*" in rows


def test_the_page_is_what_is_kept():
    found = kept.stored()
    assert STORED.exists()
    assert f"{BEGIN}\n{kept.tables(found)}{END}" in PAGE.read_text(encoding="utf-8"), (
        "python -m tests.mutants --page"
    )
    for each in found.values():
        assert len(each.survived) <= each.tried <= each.mutants
        assert len({survivor.number for survivor in each.survived}) == len(each.survived)
