"""Evidence that was changed is refused, unless an independent count finds that what it says is still right.

The independent count plays by the real games and the real prover.  Each changed file is checked twice: as it is, when
its seal gives it away, and sealed anew, when only what it says can.
"""

import hashlib
import json
import tomllib
from itertools import pairwise

import numpy as np
import pytest

from games.codes import PLAYERS, UNFINISHED, win_of
from games.house import parse_house_rules
from games.housed import HousedGame
from games.load import catalogue_names, parse_game
from games.problems import BadInput
from solver.claims import worth
from solver.engines import solve_game
from solver.proof import PROVED, Proof
from solver.strategy import Allowed, Strategy
from tests.workbench.evidence.corrupting import OTHER_GAMES, attack, verdict_on
from tests.workbench.evidence.writing import sealed, written_evidence

AHEAD = "game: {}\nseat: {}\n\nlook ahead {} plies\n"
FILES = {
    "proof": (AHEAD.format("two-by-two", "first", 9), {}),
    "best-value": (AHEAD.format("hexapawn", "second", 9), {"claim": "best-value"}),
    "quickest": (AHEAD.format("hexapawn", "second", 9), {"claim": "quickest"}),
    "loops": (AHEAD.format("pong-hau-ki", "first", 3), {}),
    "lost turns": (AHEAD.format("two-by-two", "first", 9), {"house_rules": "lost-turn"}),
    "refutation": (AHEAD.format("hexapawn", "second", 1), {"claim": "best-value"}),
    "loss": (AHEAD.format("small-mu-torere", "second", 1), {}),
    "no answer": ("game: two-by-two\nseat: first\n\ntake a1\n", {}),
}


class Told:
    """A rule that answers as the evidence says."""

    text, line, stores_answers, meaning = "told", 1, False, None

    def __init__(self, answers, names):
        self.answers, self.names = answers, names

    def allowed(self, view):
        pairs = [
            (place, self.names.index(name) if name in self.names else len(self.names))
            for place, code in enumerate(view.codes.tolist())
            for name in dict.fromkeys(self.answers.get(view.game.text_of(code), []))
        ]
        place, move = zip(*sorted(pairs), strict=True) if pairs else ((), ())
        return Allowed(np.array(place, dtype=np.intp), np.array(move, dtype=np.uint16))


def is_right(records):
    """Whether what these records say is right, told by the real games and the real prover."""
    header, *middle = records
    try:
        game = parse_game(header["game"]["text"], "some.toml")
        house = parse_house_rules(header["house_rules"]["text"], "some.toml", game)
    except (BadInput, KeyError, TypeError, tomllib.TOMLDecodeError):
        return False
    seat = PLAYERS.index(header["seat"])
    housed = HousedGame(game, house, seat)
    if header["verdict"] == PROVED:
        return is_proof(game, house, header, middle)
    return breaks(housed, header, middle)


def is_proof(game, house, header, middle):
    positions = [record["position"] for record in middle]
    if len(set(positions)) != len(positions):
        return False
    answers = {record["position"]: record["answers"] for record in middle}
    seat = PLAYERS.index(header["seat"])
    game.text_of = lambda code: game.texts(np.array([code], dtype=np.uint64), seat)[0]
    if any(name not in game.move_names for names in answers.values() for name in names):
        return False
    strategy = Strategy("told", "told", game, seat, [Told(answers, game.move_names)])
    proof = Proof(strategy, header["claim"], house)
    walk = proof.walk
    met = {walk.game.text(int(code)) for code in walk.graph.codes[walk.machine]}
    if proof.verdict != PROVED or met != set(positions):
        return False
    return header["claim"] == "never-loses" or ranks_fall(
        proof, {r["position"]: r.get("rank", 0) for r in middle}
    )


def ranks_fall(proof, ranks):
    """Whether in won positions every rank is above those of the machine's next positions."""
    graph, walk = proof.walk.graph, proof.walk
    won = proof.truth.worth == 2
    rank = [
        ranks[walk.game.text(int(graph.codes[place]))] if walk.machine[place] else 0
        for place in range(len(graph))
    ]
    for place in np.flatnonzero(walk.machine & won).tolist():
        waiting = [int(graph.child[edge]) for edge in graph.edges_of(place)]
        if rank[place] <= 0 and any(graph.ending[child] == UNFINISHED for child in waiting):
            return False
        while waiting:
            at = waiting.pop()
            if walk.machine[at]:
                if rank[at] >= rank[place]:
                    return False
            else:
                waiting += [int(graph.child[edge]) for edge in graph.edges_of(at)]
    return True


def breaks(housed, header, middle):
    """Whether a line can be played as it is told, and shows what the header says."""
    codes = [housed.start]
    for number, record in enumerate(middle, 1):
        code = np.array([codes[-1]], dtype=np.uint64)
        if housed.ending(code)[0] != UNFINISHED:
            return False
        moves = housed.moves(code)
        after = {housed.move_names[m]: int(c) for m, c in zip(moves.move, moves.child, strict=True)}
        by = "machine" if housed.mover(code)[0] == housed.seat else "visitor"
        if (record["ply"], record["by"]) != (number, by) or record["move"] not in after:
            return False
        codes.append(after[record["move"]])
        if housed.text(codes[-1]) != record["position"]:
            return False
    last = np.array(codes[-1:], dtype=np.uint64)
    ending = int(housed.ending(last)[0])
    if header["verdict"] in ("no-answer", "illegal-answer"):
        legal = [housed.move_names[move] for move in housed.moves(last).move] if ending == UNFINISHED else []
        asked = ending == UNFINISHED and housed.mover(last)[0] == housed.seat
        named = header.get("answer")
        return asked and (header["verdict"] == "no-answer" or (named is not None and named not in legal))
    if header["claim"] == "never-loses":
        return ending == win_of(housed.visitor)
    return gives_away(housed, header, codes)


def gives_away(housed, header, codes):
    values = solve_game(housed).look_up(np.array(codes, dtype=np.uint64))
    worths, distances = worth(values.value, housed.seat).tolist(), values.distance.tolist()
    decision, loop = header.get("decision"), header.get("loop_from")
    if loop is not None and not decision:
        return 0 <= loop < len(codes) - 1 and codes[loop] == codes[-1] and min(worths[loop:]) == 2
    if not decision or not 1 <= decision < len(codes):
        return False
    before = np.array([codes[decision - 1]], dtype=np.uint64)
    (was, now), (far, near) = (each[decision - 1 : decision + 1] for each in (worths, distances))
    late = header["claim"] == "quickest" and was == now == 2 and near != far - 1
    return housed.mover(before)[0] == housed.seat and (now < was or late)


def attacked(name, folder, seeds):
    text, ways = FILES[name]
    sheet = folder / "some.rules"
    sheet.write_text(text, "utf-8")
    return attack(written_evidence(str(sheet), **ways)[0], is_right, seeds, name)


@pytest.mark.parametrize("name", list(FILES))
def test_what_was_changed_is_refused_unless_it_is_still_right(name, tmp_path):
    counts = attacked(name, tmp_path, range(40))
    assert counts["refused"] > 15


@pytest.mark.long
@pytest.mark.parametrize("name", list(FILES))
def test_thousands_of_changes(name, tmp_path):
    counts = attacked(name, tmp_path, range(40, 640))
    assert sum(counts.values()) > 500


DEEP = "kind = " + "[" * 20_000
WIDE = 'when = ["empty"]\nsay = "NO"\nforgive = 255\n'
ENDLESS = {
    "nested": ("game", "columns = 2", DEEP, 1),
    "a large board": ("game", "columns = 2", "columns = 20_000_000_000", 1),
    "a long line": ("game", "in-a-row = 2", "in-a-row = 20_000_000_000", 0),
    "a long input": ("house_rules", "[[rule]]", "longest = 2_000_000_000\n[[rule]]", 3),
    "much forgiven": (
        "house_rules",
        "[[rule]]",
        f"[[rule]]\n{WIDE}[[rule]]\n{WIDE}[[rule]]\n{WIDE}[[rule]]",
        3,
    ),
}


@pytest.mark.parametrize("name", list(ENDLESS))
def test_what_would_take_for_ever_is_not_begun(name, tmp_path):
    part, old, new, status = ENDLESS[name]
    sheet = tmp_path / "some.rules"
    sheet.write_text(AHEAD.format("two-by-two", "first", 9), "utf-8")
    *records, _ = [
        json.loads(line) for line in written_evidence(str(sheet), claim="best-value")[0].splitlines()
    ]
    text = records[0][part]["text"].replace(old, new, 1)
    records[0][part].update(text=text, sha256=hashlib.sha256(text.encode()).hexdigest())
    assert new in text
    assert verdict_on(sealed(records)) == status


def test_every_line_cut_off_anywhere(tmp_path):
    sheet = tmp_path / "some.rules"
    sheet.write_text(FILES["refutation"][0], "utf-8")
    evidence, _ = written_evidence(str(sheet), claim="best-value")
    for length in range(0, len(evidence) - 1, 3):
        assert verdict_on(evidence[:length]) in (1, 2)
    for at in range(0, len(evidence) - 1, 7):
        assert verdict_on(evidence[:at] + bytes([evidence[at] ^ 1]) + evidence[at + 1 :]) in (1, 2)


def test_pairs_of_lines_that_change_places(tmp_path):
    sheet = tmp_path / "some.rules"
    sheet.write_text(FILES["best-value"][0], "utf-8")
    evidence, _ = written_evidence(str(sheet), claim="best-value")
    *records, _ = [json.loads(line) for line in evidence.splitlines()]
    for a, b in pairwise(range(1, len(records))):
        swapped = [*records]
        swapped[a], swapped[b] = records[b], records[a]
        assert verdict_on(sealed(swapped)) == 0  # in what order answers stand says nothing
    assert all(name in catalogue_names() for name in OTHER_GAMES)
