"""Evidence of a plan: every trade-off's strategy is proved again, and what was changed is refused."""

import json
from functools import cache
from itertools import pairwise
from types import SimpleNamespace

import pytest

from budget.card import card_text, load_machine
from budget.machine.assembler import assemble
from budget.plan.asked import Asked
from games.codes import PLAYERS
from games.house import load_house_rules
from games.load import load_game
from solver.proof import prove
from tests.workbench.evidence.alone import check
from tests.workbench.evidence.corrupting import attack, verdict_on
from tests.workbench.evidence.test_corrupted import is_right as is_right_proof
from tests.workbench.evidence.writing import sealed
from workbench.evidence import checker
from workbench.evidence.planned import evidence_of_plan

CARD = "twelve-bit"


@cache
def plan_evidence(game_name="two-by-two", seat="first", claim="never-loses"):
    """The evidence of two ways, as bytes; their programs are any, for nobody looks at what they do."""
    game = load_game(game_name)
    house = load_house_rules("usual", game)
    asked, card = Asked(game_name, game, PLAYERS.index(seat), claim, "usual", house), load_machine(CARD)
    ways = []
    for number, rule in enumerate(("look ahead 9 plies", "look ahead 8 plies"), 1):
        sheet = asked.sheet(rule)
        way = SimpleNamespace(
            candidate=SimpleNamespace(name=f"way {number}", sheet=sheet),
            form=SimpleNamespace(play=SimpleNamespace(proof=prove(asked.strategy(rule), claim, house))),
            row=SimpleNamespace(form="as-written", reading="plain"),
            words=100 * number,
            lowered=SimpleNamespace(program=assemble(f"start: set {number}\nhalt\n", card)),
        )
        ways.append((way, sheet))
    return evidence_of_plan(asked, card, card_text(CARD), ways).encode(), ways


def is_right(records):
    """Whether there are as many ways as are told, and what follows each of them is a proof."""
    header, *middle = records
    begins = [place for place, record in enumerate(middle) if "way" in record] + [len(middle)]
    if begins[0] or len(begins) - 1 != header["ways"] or not header["ways"]:
        return False
    parts = [middle[begin + 1 : end] for begin, end in pairwise(begins)]
    return all(is_right_proof([{**header, "verdict": "proved"}, *part]) for part in parts)


def test_every_way_is_proved_and_what_is_not_checked_is_said():
    evidence, ways = plan_evidence()
    status, told = check(evidence)
    assert status == 3
    assert told[0] == "two-by-two, machine moves first, claim never-loses."
    assert [line.partition(": ")[0] for line in told[1:3]] == [
        "way 1 (as-written, plain)",
        "way 2 (as-written, plain)",
    ]
    assert all(": PROVED. " in line for line in told[1:3])
    assert told[3].startswith("WORDS NOT CHECKED: ")
    for _, sheet in ways:
        assert check(evidence, sheet.encode())[0] == 3
    with pytest.raises(checker.Wrong, match="another strategy"):
        checker.check(evidence, b"take any free cell")


def test_image_and_card_are_bound():
    evidence, _ = plan_evidence()
    header, *middle = [json.loads(line) for line in evidence.splitlines()]
    assert header["card"]["name"] == CARD
    images = {record["image"] for record in middle if "way" in record}
    assert len(images) == 2
    assert {len(digest) for digest in (*images, header["card"]["sha256"])} == {64}


def test_what_was_changed_is_refused_unless_it_is_still_right():
    counts = attack(plan_evidence()[0], is_right, range(60), "plan", good=3)
    assert counts["refused"] > 20


@pytest.mark.long
def test_thousands_of_changes():
    evidence, _ = plan_evidence("hexapawn", "second", "best-value")
    assert sum(attack(evidence, is_right, range(60, 1060), "plan", good=3).values()) > 900


def test_ways_that_are_missing_or_without_a_proof():
    *records, _ = [json.loads(line) for line in plan_evidence()[0].splitlines()]
    begins = [place for place, record in enumerate(records) if "way" in record]
    assert verdict_on(sealed([records[0], *records[begins[1] :]])) == 1
    assert verdict_on(sealed([*records[: begins[0] + 1], *records[begins[1] :]])) == 1
    records[0]["ways"] = 0
    assert verdict_on(sealed(records[:1])) == 1
