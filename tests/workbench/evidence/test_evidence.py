"""Evidence that proofs write holds for the checker, whatever the verdict, claim, family and house rules."""

import json
from pathlib import Path

import pytest

from games.problems import BadInput
from solver.load import load_strategy
from solver.proof import prove
from tests.workbench.evidence.alone import check
from tests.workbench.evidence.writing import sealed, written_evidence
from workbench.evidence import checker
from workbench.evidence.checker import values
from workbench.evidence.writing import evidence_of

EXAMPLES = Path(__file__).parents[3] / "examples"
AHEAD = "game: {game}\nseat: {seat}\n\nlook ahead {plies} plies\n"


@pytest.fixture
def sheet(tmp_path):
    def write(text, name="some.rules"):
        path = tmp_path / name
        path.write_text(text, "utf-8")
        return str(path)

    return write


CASES = [
    ("lamp-room.rules", {}, "proved"),
    ("lamp-room.rules", {"claim": "best-value"}, None),
    ("lamp-room.rules", {"claim": "quickest"}, None),
    ("lamp-room.rules", {"house_rules": "lost-turn"}, None),
    ("ferry.rules", {}, "refuted"),
    ("tide-table.csv", {}, None),
    (AHEAD.format(game="mu-torere", seat="second", plies=7), {}, "proved"),
    (AHEAD.format(game="mu-torere", seat="second", plies=5), {}, "refuted"),
    (AHEAD.format(game="hexapawn", seat="second", plies=9), {"claim": "quickest"}, "proved"),
    (AHEAD.format(game="hexapawn", seat="second", plies=9), {"house_rules": "three-warnings"}, "proved"),
    (AHEAD.format(game="tapatan", seat="first", plies=9), {"claim": "best-value"}, "proved"),
    (AHEAD.format(game="tapatan", seat="first", plies=2), {"claim": "best-value"}, "refuted"),
    (AHEAD.format(game="nim-1-2-3", seat="second", plies=9), {"claim": "quickest"}, "proved"),
    (AHEAD.format(game="nim-1-2-3", seat="second", plies=2), {"house_rules": "lost-turn"}, None),
    ("game: two-by-two\nseat: first\n\ntake a1\n", {}, "no-answer"),
    ("game: hexapawn\nseat: second\n\nposition,move\nMMM/V__/_VV,1-5\n", {}, None),
]


@pytest.mark.parametrize(("text", "ways", "verdict"), CASES, ids=range(len(CASES)))
def test_what_a_proof_writes_holds(text, ways, verdict, sheet):
    name = (
        str(EXAMPLES / text) if "\n" not in text else sheet(text, "some.csv" if "," in text else "some.rules")
    )
    evidence, proof = written_evidence(name, **ways)
    status, told = check(evidence, Path(name).read_bytes())
    assert (status, told[1].split(".")[0]) == (0, "PROVED" if proof.verdict == "proved" else "REFUTED")
    assert proof.verdict == (verdict or proof.verdict)
    with pytest.raises(checker.Wrong, match="another strategy"):
        checker.check(evidence, b"another")


def test_a_game_in_python_is_listed(sheet, tmp_path):
    game = sheet((EXAMPLES.parent / "workbench/templates/python-game.txt").read_text("utf-8"), "own.py")
    name = sheet("seat: second\n\nlook ahead 9 plies\n")
    evidence, proof = written_evidence(name, game=game, claim="best-value")
    status, told = check(evidence)
    assert (status, proof.verdict) == (0, "proved")
    assert told[-1] == "Taken on trust: the moves of this game, which the evidence lists."


def test_a_game_for_a_score_is_refused(sheet):
    name = sheet("game: boxes-three-by-one\nseat: second\n\nlook ahead 9 plies\n")
    written = load_strategy(name)
    with pytest.raises(BadInput, match="played for a score"):
        evidence_of(prove(written.strategy(1), "best-value", written.house), written)


def test_values_of_a_large_game_are_left_out(monkeypatch):
    evidence, _ = written_evidence(str(EXAMPLES / "lamp-room.rules"), claim="best-value")
    monkeypatch.setattr(values, "MOST_POSITIONS", 100)
    assert checker.check(evidence) == (3, [
        "lamp-room.rules: noughts-and-crosses, machine moves second, claim best-value.",
        "NOT CHECKED TO THE END: the values of more than 100 positions were not worked out.",
        "Taken on trust: that the strategy plays so. (--strategy FILE holds its file against the digest.)",
    ])  # fmt: skip


def test_a_seal_is_no_proof():
    """Whoever changes a file can seal it anew: then what it says must still be right."""
    evidence, _ = written_evidence(str(EXAMPLES / "ferry.rules"))
    records = [json.loads(line) for line in evidence.splitlines()]
    records[0]["verdict"] = "proved"
    with pytest.raises(checker.Wrong, match="a proof has no line of play"):
        checker.check(sealed(records[:-1]))
