"""A game at the stand against the session of `play`, which knows nothing of proofs; and what binds a log."""

import random

import pytest

from games.codes import UNFINISHED
from games.inputs import AFTER_END
from tests.workbench.stand.stands import CHARGED, FIRST, GOOD, SHORT, WEAK, proof_of
from workbench.play import Session
from workbench.stand.course import DRAWN, MACHINE, NO_ANSWER, VISITOR, Course, bond

PONDS = """
kind = "game"
family = "steps"
columns = 3
rows = 3
holes = ["2", "4", "6", "8"]
cells = ["1", "2", "3", "4", "5"]
steps = [["1", "4", "5", "2"], ["1", "3", "2"], ["4", "3", "5"]]
start = ["F.F", "._.", "S.S"]
repetition-limit = 3
"""
SETS = {
    "good": (GOOD, None),
    "weak": (WEAK, None),
    "short": (SHORT, None),
    "first": (FIRST, None),
    "charged": (WEAK, CHARGED),
    "keys": (WEAK, 'kind = "house-rules"\ninput = "key"\n[[rule]]\nwhen = ["any"]\nsay = "?"\n'),
}
NO_SUCH_ANSWER = "THE STRATEGY HAS NO ANSWER HERE. YOU HAVE FOUND A HOLE."


@pytest.mark.parametrize("name", list(SETS))
def test_the_course_says_and_does_what_play_does(name, tmp_path):
    proof = proof_of(tmp_path, *SETS[name])
    session = Session(proof.walk.strategy, proof.house)
    course = Course(proof)
    generator = random.Random(name)
    texts = [move.encode() for move in course.game.fair.move_names] + [b"0", b"?", b"", b"1" * 9, b"\xff"]
    if proof.house.form.kind == "key":
        texts = [text for text in texts if len(text) == 1]
    results = set()
    for _ in range(8):
        due, step = session.begin(), course.begin()
        while True:
            assert list(step.said) == [
                "THE MACHINE" + line[12:] if line == NO_SUCH_ANSWER else line for line in due
            ]
            assert course.code == session.code
            assert course.plies == len(session.moves)
            assert bool(step.result) == (session.is_over or session.is_stuck)
            if step.result:
                results.add(step.result)
                break
            text = generator.choice(texts)
            due, step = session.enter(text), course.enter(text)
        if session.is_over:
            late = course.enter(b"1")
            assert (late.input_class, late.effect, late.answers) == (AFTER_END, "nothing", ())
            assert list(late.said) == session.enter(b"1")
    assert results <= {MACHINE, VISITOR, DRAWN, NO_ANSWER}
    assert (NO_ANSWER in results) == (name == "short")
    assert name != "weak" or VISITOR in results


def boxes_ahead(line):
    """Two by two boxes on paper: by how many the player who begins is ahead after a line of moves."""
    sides = {
        (x, y): {f"{a}{y}-{b}{y}", f"{a}{y + 1}-{b}{y + 1}", f"{a}{y}-{a}{y + 1}", f"{b}{y}-{b}{y + 1}"}
        for x, (a, b) in enumerate(("ab", "bc"))
        for y in (1, 2)
    }
    drawn, ahead, mover = set(), 0, 1
    for move in line:
        made = sum(move in box and box <= drawn | {move} for box in sides.values())
        drawn.add(move)
        ahead += mover * made
        mover = mover if made else -mover
    return ahead


def test_where_moves_score_who_is_ahead_has_won(tmp_path):
    course = Course(proof_of(tmp_path, "game: boxes-two-by-two\nseat: second\nlook ahead 2 plies\n"))
    generator = random.Random(4)
    seen = set()
    for _ in range(8):
        step = course.begin()
        line = list(step.answers)
        while not step.result:
            free = [name for name in course.game.fair.move_names if name not in line]
            line.append(generator.choice(free))
            step = course.enter(line[-1].encode())
            line.extend(step.answers)
        assert len(line) == 12
        ahead = boxes_ahead(line)
        assert step.result == (VISITOR if ahead > 0 else MACHINE if ahead < 0 else DRAWN)
        leader = "Nobody is" if not ahead else "You are" if ahead > 0 else "The machine is"
        assert course.points() == f"{leader} {abs(ahead)} ahead.".replace(" 0", "")
        seen.add(step.result)
    assert len(seen) > 1


def test_a_position_that_comes_too_often_is_a_draw(tmp_path):
    """Both sides go to and fro; `play` keeps the count of its own."""
    (tmp_path / "ponds.toml").write_text(PONDS, encoding="utf-8")
    proof = proof_of(tmp_path, "seat: second\nlook ahead 1 plies\n", game=str(tmp_path / "ponds.toml"))
    course, session = Course(proof), Session(proof.walk.strategy, proof.house)
    generator = random.Random(7)
    results = set()
    for _ in range(2):
        step, due = course.begin(), session.begin()
        while not step.result:
            assert list(step.said) == due
            text = generator.choice(course.game.fair.move_names).encode()
            step, due = course.enter(text), session.enter(text)
        assert (list(step.said), session.is_over) == (due, True)
        results.add(step.result)
    assert DRAWN in results


def test_a_log_is_bound_to_the_play_and_not_to_the_file(tmp_path):
    same = bond(proof_of(tmp_path))
    remarked = "# by the third group\n" + GOOD + "take a corner\n"  # the last rule is never used
    assert bond(proof_of(tmp_path, remarked)) == same
    other = bond(proof_of(tmp_path, WEAK))
    assert {key for key in same if other[key] != same[key]} == {"play_digest"}
    housed = bond(proof_of(tmp_path, house=CHARGED))
    assert {key for key in same if housed[key] != same[key]} == {
        "house_rules",
        "house_rules_digest",
        "play_digest",
    }
    board = bond(proof_of(tmp_path, FIRST))
    assert board["game_digest"] != same["game_digest"]


def test_what_can_be_typed_first(tmp_path):
    assert Course(proof_of(tmp_path)).example() == "1"
    course = Course(proof_of(tmp_path, FIRST))
    assert course.enter(course.example().encode()).effect == "move"
    assert course.game.ending(course.proof.walk.graph.codes[:1])[0] in (UNFINISHED, 1, 2, 3)
