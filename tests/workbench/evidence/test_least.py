"""Evidence of least strategies: the proof of the bound is checked again, and what was changed is refused."""

import json
import random
import tempfile
import tomllib
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from games.codes import PLAYERS
from games.game import least_images
from games.house import load_house_rules, parse_house_rules
from games.load import load_game, parse_game
from solver.least.answers import least_answers
from solver.least.choices import Hopeless
from solver.least.written import Heading, table_text
from solver.load import load_strategy
from solver.proof import Proof, prove
from solver.strategy import Strategy
from tests.workbench.evidence.alone import check
from tests.workbench.evidence.corrupting import attack, verdict_on
from tests.workbench.evidence.test_corrupted import Told
from tests.workbench.evidence.test_corrupted import is_right as is_right_proof
from tests.workbench.evidence.writing import sealed
from workbench.evidence import checker
from workbench.evidence.checker.fewest import UNPROVED, Fewest
from workbench.evidence.checker.house_rules import Housed
from workbench.evidence.checker.turnings import Alike
from workbench.evidence.least import evidence_of_least, evidence_of_unproved

CASES = [
    ("noughts-and-crosses", "second", "never-loses", "usual", "alike", 71),
    ("hexapawn", "second", "never-loses", "three-warnings", "alike", 10),
]
LARGER = [
    ("noughts-and-crosses", "first", "never-loses", "usual", "alike", 22),
    ("noughts-and-crosses", "first", "quickest", "lost-turn", "alike", 37),
    ("noughts-and-crosses", "second", "quickest", "usual", "fixed", 258),
    ("mu-torere", "first", "quickest", "usual", "alike", 44),
    ("falling-three-4x3", "first", "never-loses", "usual", "alike", None),
]
SMALL = [
    ("two-by-two", "first", "never-loses", "usual", "fixed"),
    ("two-by-two", "first", "quickest", "lost-turn", "alike"),
    ("hexapawn", "second", "best-value", "usual", "alike"),
]


@cache
def least_evidence(name, seat, claim, house_name, board, seconds=1000.0):
    """The evidence, as bytes, of the least table, and how many answers that has."""
    game = load_game(name)
    house, number = load_house_rules(house_name, game), PLAYERS.index(seat)
    found = least_answers(game, number, claim, house, turned=board == "alike")
    heading = Heading(name, number, claim, house_name)
    table = table_text(heading, found.rows(), game.move_names, "the least", turned=board == "alike")
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "least.csv"
        file.write_text(table, "utf-8")
        written = load_strategy(file)
        proof = prove(written.strategy(number), claim, house)
        text = evidence_of_least(proof, written, found.answers, alike=board == "alike", seconds=seconds)
    return text.encode(), found.answers


def said(evidence, by=check):
    status, told = by(evidence)
    return status, told[2]


def ids(cases):
    return [" ".join(map(str, case[:5])) for case in cases]


def proves(case, by=check):
    evidence, answers = least_evidence(*case[:5])
    assert answers == (case[5] or answers)
    status, told = said(evidence, by)
    assert status == 0
    assert told.startswith(f"PROVED LEAST: {answers} answers are stored")


@pytest.mark.parametrize("case", CASES, ids=ids(CASES))
def test_the_bound_is_proved_in_rows_that_the_checker_makes(case):
    proves(case)


@pytest.mark.long
@pytest.mark.parametrize("case", LARGER, ids=ids(LARGER))
def test_larger_bounds(case):
    proves(case, checker.check)  # once: the joined file would take as long again


def test_what_time_leaves_open_is_told():
    evidence, answers = least_evidence(*CASES[0][:5], seconds=0.0)
    *records, _ = [json.loads(line) for line in evidence.splitlines()]
    bound = records[0]["least"]["bound"]
    assert bound < answers
    status, told = said(evidence)
    assert (status, told.partition(" answers")[0]) == (0, f"BETWEEN {bound} AND 71")
    records[0]["least"]["bound"] = answers
    with pytest.raises(checker.Wrong, match="do not show that 71 are needed"):
        checker.check(sealed(records))


@pytest.mark.parametrize("reason", list(UNPROVED))
def test_where_there_is_no_proof_of_a_bound_that_is_said(reason, tmp_path):
    (tmp_path / "some.rules").write_text("game: two-by-two\nseat: first\n\nlook ahead 9 plies\n", "utf-8")
    written = load_strategy(tmp_path / "some.rules")
    proof = prove(written.strategy(0), "never-loses", written.house)
    status, told = said(evidence_of_unproved(proof, written, reason).encode())
    assert (status, told) == (3, f"BOUND NOT CHECKED: {UNPROVED[reason]}.")


# By counting ----------------------------------------------------------------------------------------------


def fewest_by_trying(fewest):
    """How few boards a strategy stores, by trying every pick on every board that comes (nothing is counted here)."""
    good = cache(fewest.good_picks)

    def stored(picked, waiting):
        waiting = sorted(set(waiting) - set(picked))
        if not waiting:
            return len(picked)
        state = waiting[0]
        return min(
            stored({**picked, state: pick}, waiting + sorted(after)) for pick, after in good(state).items()
        )

    return stored({}, fewest.roots)


@pytest.mark.parametrize("case", SMALL, ids=ids(SMALL))
def test_weights_chosen_at_random_never_show_too_much(case):
    """Every row holds for every strategy: whatever the weights, what they show is no more than the fewest that do."""
    evidence, answers = least_evidence(*case)
    header = json.loads(evidence.splitlines()[0])
    texts = [tomllib.loads(header[key]["text"]) for key in ("game", "house_rules")]
    game = Housed(*texts, PLAYERS.index(case[1]))
    turned = Alike(game, header["least"]["turnings"])
    alike = turned if case[4] == "alike" else Alike(game, header["least"]["turnings"][:1])
    fewest = Fewest(game, game.seat, case[2], alike, turned)
    assert fewest_by_trying(fewest) == answers
    pick, names = random.Random(1), sorted(fewest.named)
    for _ in range(200):
        rows = [["brings", pick.choice(names), pick.choice(names), pick.choice([1, 2, 3])] for _ in range(8)]
        rows += [[kind, pick.choice(names), "", pick.choice([1, 2, 3])] for kind in ("pick", "stored") * 4]
        assert fewest.least([], rows, 3) <= 3 * answers


# What was changed -----------------------------------------------------------------------------------------


def is_right(records):
    """Whether the strategy holds, stores as many answers as is told, and none stores fewer than the bound."""
    header, middle = records[0], [record for record in records[1:] if "case" not in record]
    least = header["least"]
    if not is_right_proof([header, *middle]):
        return False
    game = parse_game(header["game"]["text"], "some.toml")
    house = parse_house_rules(header["house_rules"]["text"], "some.toml", game)
    seat, turnings = PLAYERS.index(header["seat"]), {tuple(turning) for turning in least["turnings"]}
    turned = least["alike"] and len(turnings) > 1
    assert not turned or len(turnings) == game.symmetries  # groups between are not tried in these small games
    answers = {record["position"]: record["answers"] for record in middle}
    game.text_of = lambda code: game.texts(np.array([code], dtype=np.uint64), seat)[0]
    walk = Proof(
        Strategy("told", "told", game, seat, [Told(answers, game.move_names)]), header["claim"], house
    ).walk
    boards = walk.game.fair_codes(walk.graph.codes[walk.machine])
    stored = np.unique(least_images(game, boards)[0] if turned else boards)
    try:
        bound = least_answers(game, seat, header["claim"], house, turned=turned).bound
    except Hopeless:
        return False
    return len(stored) == least["answers"] and least["bound"] <= bound


@pytest.mark.parametrize("case", SMALL[:2], ids=ids(SMALL[:2]))
def test_what_was_changed_is_refused_unless_it_is_still_right(case):
    counts = attack(least_evidence(*case)[0], is_right, range(40), ids([case])[0])
    assert counts["refused"] > 15


@pytest.mark.long
@pytest.mark.parametrize("case", SMALL, ids=ids(SMALL))
def test_thousands_of_changes(case):
    counts = attack(least_evidence(*case)[0], is_right, range(40, 540), ids([case])[0])
    assert sum(counts.values()) > 400


def test_a_case_that_is_missing_or_there_twice():
    evidence, _ = least_evidence(*CASES[0][:5])
    *records, _ = [json.loads(line) for line in evidence.splitlines()]
    cases = [place for place, record in enumerate(records) if "case" in record]
    assert len(cases) > 1
    assert verdict_on(sealed([*records, records[cases[0]]])) == 1
    assert verdict_on(sealed(records[: cases[0]] + records[cases[0] + 1 :])) == 1
