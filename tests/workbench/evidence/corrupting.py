"""Evidence changed at random: each changed file is checked as it is, when its seal gives it away, and sealed anew."""

import hashlib
import json
import random

from games.load import game_text
from tests.workbench.evidence.writing import sealed
from workbench.evidence import checker
from workbench.evidence.checker.terms import CLAIMS, SEATS

OTHER_GAMES = ["two-by-two", "hexapawn", "pong-hau-ki", "small-mu-torere", "hexapawn-three-by-four"]


def damaged(records, pick):
    """The records with one thing changed."""
    records = json.loads(json.dumps(records))
    at = pick.randrange(1, len(records)) if len(records) > 1 else 0
    what = pick.choice(["drop", "double", "swap", "field", "field", "field", "header", "game", "key"])
    if what == "drop" and at:
        del records[at]
    elif what == "double" and at:
        records.insert(pick.randrange(1, len(records) + 1), records[at])
    elif what == "swap" and len(records) > 2:
        a, b = pick.sample(range(1, len(records)), 2)
        records[a], records[b] = records[b], records[a]
    elif what == "game":
        exchange_game(records[0], pick)
    elif what == "key":
        each = records[pick.randrange(len(records))]
        del each[pick.choice(list(each))]
    else:
        each = records[0 if what == "header" else at]
        key = pick.choice(list(each))
        each[key] = other(each[key], pick)
        mend_digests(records[0], pick)
    return records


def exchange_game(header, pick):
    text = game_text(pick.choice(OTHER_GAMES))
    header["game"].update(text=text, sha256=hashlib.sha256(text.encode()).hexdigest())


def mend_digests(header, pick):
    """Most of the time the digest of a text that was changed is made to fit."""
    for key in ("game", "house_rules"):
        part = header.get(key)
        if isinstance(part, dict) and isinstance(part.get("text"), str) and pick.random() < 0.8:
            part["sha256"] = hashlib.sha256(part["text"].encode()).hexdigest()


def other(value, pick):
    """Something like this value that is not the same."""
    if isinstance(value, dict):
        key = pick.choice(list(value))
        return {**value, key: other(value[key], pick)}
    if isinstance(value, list):
        kinds = [value[1:], [*value, *value[:1]], [*value, "1-4"], [other(each, pick) for each in value]]
        return pick.choice(kinds)
    if isinstance(value, bool) or value is None:
        return pick.choice([0, 1, 2, "x"])
    if isinstance(value, int):
        return pick.choice([value + 1, value - 1, -value, 0, None, str(value), value + 0.5])
    words = [
        *CLAIMS,
        *SEATS,
        "proved",
        "refuted",
        "no-answer",
        "illegal-answer",
        "machine",
        "visitor",
    ]
    alike = [word for word in words if word != value] if value in words else []
    at = pick.randrange(len(value) + 1)
    letter = pick.choice("MV_/123456789-abFS \n\u00e9")
    spoilt = [
        value[:at] + letter + value[at:],
        value[:at] + value[at + 1 :],
        value[:at] + letter + value[at + 1 :],
    ]
    return pick.choice(alike or spoilt)


def verdict_on(raw):
    try:
        return checker.check(raw)[0]
    except checker.Wrong:
        return 1
    except checker.Unreadable:
        return 2


def changed_files(evidence, seeds, name):
    """For each seed the records with one thing changed, and the file of them, sealed anew.

    name: of the evidence, for other changes than those of others.
    """
    *records, _ = [json.loads(line) for line in evidence.splitlines()]
    for seed in seeds:
        changed = damaged(records, random.Random(f"{name} {seed}"))
        if changed != records:
            yield seed, changed, sealed(changed)


def attack(evidence, is_right, seeds, name, good=0):
    """How many of the changed files were refused, and how many are still right by the independent count `is_right`.

    evidence: bytes that hold; seeds, name: as in `changed_files`; good: the status of what holds, 3 where part of it
    is never checked.
    """
    assert verdict_on(evidence) == good
    *records, end = [json.loads(line) for line in evidence.splitlines()]
    assert is_right(records)
    counts = {"refused": 0, "still right": 0}
    for seed, changed, raw in changed_files(evidence, seeds, name):
        unsealed = [*raw.splitlines(keepends=True)[:-1], json.dumps(end).encode()]
        assert verdict_on(b"".join(unsealed)) in (1, 2), seed
        status = verdict_on(raw)
        if status == good:
            assert is_right(changed), (seed, changed)
            counts["still right"] += 1
        else:
            assert status in {1, 2, 3}, seed  # 3: nothing is said of what it does not check
            counts["refused"] += 1
    return counts
