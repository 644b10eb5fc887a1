"""Points: a rubric read, and the sum that it makes."""

from fractions import Fraction

import pytest

from games.problems import BadInput
from workbench.grading.mistakes import NAMES, Mistake
from workbench.grading.rubric import CREDITS, SHARES, in_tenths, parse_rubric, points, read_rubric

HEAD = 'kind = "rubric"\n'


def problems(text):
    with pytest.raises(BadInput) as caught:
        parse_rubric(HEAD + text, "r.toml")
    return [str(problem) for problem in caught.value.problems]


def test_the_usual_rubric_names_every_share_and_every_credit():
    text, file = read_rubric(None)
    rubric = parse_rubric(text, file)
    assert (rubric.points, rubric.only_decisions) == (20, True)
    for name in (*SHARES, *CREDITS):
        assert f"\n{name} = " in text
    assert set(rubric.off) == set(NAMES)


def test_what_is_left_out_has_a_plain_meaning():
    rubric = parse_rubric(HEAD, "r.toml")
    assert rubric.share == {"claim": 1, "positions": 1, "wrong-input": 0, "fits": 0}
    assert dict(zip(CREDITS, rubric.credit, strict=True))["keeps"] == 100


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("points = 0\n", "r.toml:2: 'points' should be a whole number from 1 to 1000, not 0"),
        ('count = "all"\n', 'r.toml:2: \'count\' should be "decisions" or "positions", not "all"'),
        ("[share]\nclaim = 0\n", "r.toml:2: every share is 0; expected at least one that weighs something"),
        ("[credit]\nkeeps = 101\n", "r.toml:3: 'keeps' should be a whole number from 0 to 100, not 101"),
        ("[off]\nthreat-not-blockt = 1\n", "did you mean 'threat-not-blocked'?"),
        ("[sharing]\nclaim = 1\n", "r.toml:2: 'sharing' is not known here"),
    ],
)
def test_what_is_wrong_with_a_rubric(text, said):
    [problem] = problems(text)
    assert said in problem


def mistake(kind):
    return Mistake(kind, "", 3, 0, 0, None, -1, ())


def test_points_are_shared_by_weight_among_what_could_be_judged():
    rubric = parse_rubric(
        HEAD + "points = 30\n[share]\nclaim = 1\npositions = 1\nwrong-input = 1\n", "r.toml"
    )
    half, all_ = Fraction(1, 2), Fraction(1)
    sheet = points(rubric, {"claim": all_, "wrong-input": None, "fits": None}, half, all_, [])
    assert sheet == (Fraction(45, 2), 30, 30)
    program = points(rubric, {"claim": Fraction(0), "wrong-input": half, "fits": None}, all_, None, [])
    assert program == (15, None, 30)


def test_points_are_taken_off_once_for_a_kind_and_never_below_nothing():
    rubric = parse_rubric(HEAD + "points = 10\n[off]\nno-answer = 3\nwin-not-taken = 4\n", "r.toml")
    parts = {"claim": Fraction(0), "wrong-input": None, "fits": None}
    made = [mistake("no-answer"), mistake("wins-late")]
    assert points(rubric, parts, Fraction(1), Fraction(0), made)[:2] == (2, 0)
    assert points(rubric, parts, Fraction(1), None, [*made, mistake("win-not-taken")]).met == 0


@pytest.mark.parametrize(
    ("number", "text"),
    [
        (Fraction(0), "0"),
        (Fraction(1, 3), "0.3"),
        (Fraction(1, 4), "0.3"),
        (Fraction(199, 20), "10"),
        (Fraction(7), "7"),
    ],
)
def test_tenths(number, text):
    assert in_tenths(number) == text
