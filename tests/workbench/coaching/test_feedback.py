"""Feedback on a whole attempt: its length, what it says, and what it keeps for the teacher."""

import json

import pytest

from games.problems import BadInput
from solver.load import load_strategy
from solver.proof import PROVED, prove
from solver.record import plies
from tests.workbench.running import wordtight
from workbench.coaching.danger import in_common
from workbench.coaching.feedback import feedback_on
from workbench.coaching.hole import boards_played_well
from workbench.coaching.hunting import BANK
from workbench.coaching.paragraphs import (
    FEWEST_WORDS,
    MOST_WORDS,
    Paragraph,
    count_words,
    fitted,
    line_in_words,
)
from workbench.coaching.tell_feedback import teachers_answer

NAMES = sorted(path.stem for path in BANK.glob("*.rules"))
OTHERS = {
    "holds": "game: two-by-two\nseat: first\ntake any free cell\n",
    "lost": "game: two-by-two\nseat: second\ntake any free cell\n",
    "silent": "game: noughts-and-crosses\nseat: second\ntake the centre\n",
    "silent from the start": "game: two-by-two\nseat: first\npicture\n    M _\n    ! V\n",
    "illegal": 'game: two-by-two\nseat: first\nuse table "wrong.csv"\n',
    "late": "game: noughts-and-crosses\nseat: first\nclaim: quickest\ntake any free cell\n",
    "value": "game: noughts-and-crosses\nseat: first\nclaim: best-value\nblock a line\ntake any free cell\n",
    "round": "game: three-mens-morris\nseat: first\nclaim: best-value\nlook ahead 1 ply\n",
    "points": "game: boxes-two-by-two\nseat: first\nlook ahead 1 ply\n",
    "heavy": "game: noughts-and-crosses\nseat: second\ntake the heaviest cell\n    3 for a corner\n"
    "    2 for the centre\n    9 for a line with 2 of mine\n    8 for a line with 2 of the visitor's\n",
    "charged": "game: misere-noughts-and-crosses\nseat: second\nhouse-rules: lost-turn\ntake any free cell\n",
}
WRONG = (
    "game: two-by-two\nseat: first\nturning: plain\nposition,move\n__/__,a1\nMV/__,a1\nM_/V_,a1\nM_/_V,a1\n"
)


@pytest.fixture
def a_proof(tmp_path):
    (tmp_path / "wrong.csv").write_text(WRONG, encoding="utf-8")

    def proof_of(name):
        path = BANK / f"{name}.rules"
        if name in OTHERS:
            path = tmp_path / "other.rules"
            path.write_text(OTHERS[name], encoding="utf-8")
        written = load_strategy(path)
        return prove(written.strategy(written.seats[0]), written.claim, written.house)

    return proof_of


@pytest.mark.parametrize("name", [*NAMES, *OTHERS])
def test_feedback_has_80_to_160_plain_words(name, a_proof):
    proof = a_proof(name)
    feedback = feedback_on(proof)
    assert FEWEST_WORDS <= feedback.words <= MOST_WORDS
    assert sum(text.count("The idea: ") for text in feedback.paragraphs) == 1
    assert all(text.isascii() and "  " not in text for text in (*feedback.paragraphs, *feedback.hints))
    decision = proof.decision()
    assert len(feedback.hints) == (0 if decision is None else 3)
    assert all(feedback.hints)
    if decision is not None:
        check_that_only_the_teacher_hears_good_moves(proof, feedback, decision, name)


def check_that_only_the_teacher_hears_good_moves(proof, feedback, decision, name):
    """Numbers aside, which may count moves: names of moves stand in the losing line alone."""
    names = [proof.walk.game.move_names[move] for move in decision.better]
    idea = next(text for text in feedback.paragraphs if "The idea: " in text)
    words = set(f"{idea} {feedback.hints[2]}".replace(",", " ").replace(".", " ").split())
    assert not {each for each in names if not each.isdigit() and len(each) > 1} & words
    told = teachers_answer(proof, name).partition("Good there: ")[2].split("\n")[0]
    assert all(each in told for each in names)


def test_what_is_needed_is_said_and_the_rest_while_there_is_room():
    assert fitted([Paragraph(["one two three."], ["word " * 200, "more."])]) == ("one two three. more.",)
    enough = " ".join(["word"] * 120)
    assert fitted([Paragraph([enough], ["more."]), Paragraph([], ["more."])]) == (enough,)
    assert count_words("a b  c") == 3


def test_of_a_long_line_the_end_is_told(a_proof):
    proof = a_proof("long-count")
    line = plies(proof, proof.failure.line)
    assert line_in_words(line).startswith("... visitor")
    assert len(line_in_words(line).split(", ")) == 9


def test_boards_played_well_are_those_where_nothing_is_given_away(a_proof):
    assert boards_played_well(a_proof("holds")) == a_proof("holds").positions
    assert boards_played_well(a_proof("points")) is None
    proof = a_proof("loose-board")
    walk, losing = proof.walk, 0
    for place in walk.machine.nonzero()[0].tolist():
        children = [int(walk.graph.child[edge]) for edge in walk.graph.edges_of(place)]
        losing += min(proof.truth.worth[children]) < min(proof.truth.worth[place], 1)
    assert boards_played_well(proof) == proof.positions - losing


def test_what_good_moves_have_in_common_holds_for_all_of_them_and_not_for_every_move(a_proof):
    proof = a_proof("loose-board")
    assert in_common(proof, proof.decision()) == "they lie on the rim and are no corners"
    proof = a_proof("night-watch")
    assert in_common(proof, proof.decision()) == "it lies in the middle"
    proof = a_proof("two-steps")
    assert in_common(proof, proof.decision()) == ""


# The command -------------------------------------------------------------------------------------------------


@pytest.fixture
def sheet(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "my.rules").write_text((BANK / "loose-board.rules").read_text("utf-8"), encoding="utf-8")
    return "my.rules"


def test_the_answer_is_written_apart(sheet, tmp_path):
    ran = wordtight("explain", sheet, "--answers", "teacher.txt")
    assert ran.status == 0
    assert "Good there" not in ran.out
    assert "Good there: 2, 4, 6 or 8." in (tmp_path / "teacher.txt").read_text(encoding="utf-8")
    again = wordtight("explain", sheet, "--answers", "teacher.txt")
    assert (again.status, again.out) == (2, "")
    assert wordtight("explain", sheet, "--answers", "teacher.txt", "--force").status == 0


def test_hints_come_one_after_the_other(sheet):
    for hints in (1, 2, 3):
        assert wordtight("explain", sheet, "--hints", hints).out.count("Hint ") == hints
    assert wordtight("explain", sheet, "--hints").out.count("Hint ") == 3
    record = json.loads(wordtight("explain", sheet, "--hints", "2", "--json").out)
    assert len(record["hints"]) == 2
    assert "paragraphs" not in record


def test_feedback_for_machines(sheet):
    record = json.loads(wordtight("explain", sheet, "--json").out)
    assert record["verdict"] != PROVED
    assert record["position"] == "V__/_M_/__V"
    assert record["words"] == sum(len(text.split()) for text in record["paragraphs"])


def test_a_sheet_for_both_seats_is_asked_which(sheet, tmp_path):
    (tmp_path / "both.rules").write_text(OTHERS["holds"].replace("first", "both"), encoding="utf-8")
    assert "expected --seat first or --seat second" in wordtight("explain", "both.rules").err
    assert wordtight("explain", "both.rules", "--seat", "second").status == 0
    with pytest.raises(BadInput):
        load_strategy("both.rules", seat="third")
