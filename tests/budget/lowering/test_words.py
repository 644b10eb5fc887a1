"""How many words small programs take, part by part, and that each says what it should in a game or two.

That a program is right in every state is shown elsewhere, and takes long; here there are many, and a change that makes
one of them longer does not go unnoticed.  Where a change makes one shorter, its numbers are written down anew.
"""

import re
from functools import cache
from random import Random

import pytest

from budget.card import load_machine
from budget.conversation import Conversation
from budget.encodings import encodings
from budget.lowering import naming, saying, tidying
from budget.lowering.answering import cells, looked_up, shorter, weights
from budget.lowering.answering.sheet import by_rules
from budget.lowering.answering.table import packed_answerer
from budget.lowering.checksum import AT_START, BETWEEN_GAMES, NO_CHECK
from budget.lowering.choices import Choices
from budget.lowering.grounds import marks, sums
from budget.lowering.lower import _Plan, endings_of, every_ending
from budget.lowering.text import WrongWay
from budget.machine.simulator import WAITING, Machine
from games.codes import FIRST, SECOND
from games.load import load_game
from solver.fixed import PLAIN, TURNED
from tests.budget.lowering import test_grounds as grounds
from tests.budget.lowering import test_rules as rules
from tests.budget.lowering.beside import REMARKS, needed, remark_in  # noqa: F401 - a fixture
from tests.budget.lowering.naive import Naive
from tests.budget.lowering.test_small import FEWEST, WINS_FIRST
from tests.budget.plays import any_move, housed
from tests.budget.plays import play_of as any_play
from tests.sampled import sampled

pytestmark = pytest.mark.usefixtures("needed")

ENOUGH = 1_000
"""Instructions after which nothing more is typed."""
SHEETS = {
    **rules.SHEETS,
    "wins first": WINS_FIRST,
    "fewest": FEWEST,
    "cells": "take the first free of 5, 1, 3, 7, 9, 2, 4, 6, 8",
}


@cache
def played(sheet, seat, reading=PLAIN):
    return rules.play_of(SHEETS[sheet], seat, reading=reading)


@cache
def stored(game, seat, reading, house):
    return any_play(housed(game, house, seat), reading, any_move(3))


def plan_of(play, machine, answerer, *, keep_verdicts=False):
    happens = every_ending() if keep_verdicts else endings_of(play)
    return _Plan(play, load_machine(machine), answerer, happens)


def says_what_it_should(play, program):
    """Whatever is typed, right or wrong, until the machine has worked for long enough."""
    talk, machine, luck = Conversation(play, program.card, thorough=False), Machine.loaded(program), Random(1)
    state, said = talk.begin()
    while True:
        assert machine.run() == WAITING
        assert tuple(machine.passed) == said
        if machine.instructions > ENOUGH:
            return
        typed = luck.choice([each for each in talk.inputs(state) if each])
        machine.passed.clear()
        machine.feed(typed)
        state, said = talk.enter(state, typed)


def told(lowered):
    """The words of a program by what they are for, and how many of its lines have a remark."""
    return (*lowered.words, sum(remark_in(line) != "" for line in lowered.text.splitlines()))


def holds(play, lowered, expected):
    """Words and remarks as they were, names in small letters, and a game as it should go."""
    assert told(lowered) == expected
    assert all(re.fullmatch(r"[a-z][a-z0-9_]*", name) for name in lowered.program.labels)
    assert remarks_of(play, lowered) <= REMARKS | {""}
    says_what_it_should(play, lowered.program)


def remarks_of(play, lowered):
    """What stands beside its lines, without messages and names of moves."""
    said = play.game.house.all_messages()
    known = {*said, *said.values(), *play.game.fair.move_names}
    return {remark for remark in map(remark_in, lowered.text.splitlines()) if remark not in known}


def test_ways_are_picked_by_these_names():
    """A name that nobody offers would be passed over, and the first way taken."""
    assert marks.BOARDS == ("digits", "sums", "bits")
    assert (sums.FROM_TOP, sums.FROM_BELOW, sums.LISTED) == ("packed", "packed from below", "listed")
    assert (naming.TWO_SIGNS, naming.ONE_CARRY, naming.UNCHECKED) == ("two signs", "one carry", "not at all")
    assert (saying.INLINE, saying.PACKED) == ("inline", "packed")
    assert (cells.WALKED, cells.LISTED, cells.ONE_BY_ONE) == ("walked", "listed", "one-by-one")
    said = (shorter.AS_WRITTEN, shorter.IN_ORDER, shorter.DRAWN, shorter.IN_TURNS)
    assert said == ("as written", "in order", "drawn", "table in the first turns")
    assert looked_up.ENCODINGS == ("sorted-keys", "dense", "hashed", "diagram")
    assert (weights.BY_BOARD, weights.BY_WEIGHTS) == ("told by the board", "told by weights")
    assert (weights.AS_IT_IS, weights.ONE_MORE) == ("as it is", "one more")
    numbers = (weights.AS_SAID, weights.ANEW, weights.FURTHER)
    assert numbers == ("as said", "found anew, told by a bit", "found anew, with further lines")
    laid = (weights.COUNTED, weights.SEARCHED, weights.SHIFTED)
    assert laid == ("as lines count", "searched for", "searched for, a shift apart")
    full = (weights.BY_WEIGHT, weights.BY_CELL, weights.BY_SIGN)
    assert full == ("by its weight", "by its cell", "by its weight, which is the sign for it")
    assert tuple(tidying.STARTS) == ("run into", "by itself")
    assert (tidying.PIECES, tidying.WANTED_FIRST) == (("apart", "shared"), ", most wanted first")
    assert (NO_CHECK, AT_START, BETWEEN_GAMES) == ("none", "at-start", "between-games")


# Every ground ---------------------------------------------------------------------------------------------------

GROUND_PICKS = (
    {},
    {"names": "list", "ends": "in one", "spoken": "as messages", "pieces": "shared"},
)


GROUNDS = {
    "heaps": (225, 22, 23, 75, 17, 30),
    "one heap": (96, 23, 1, 14, 16, 20),
    "octal heaps": (490, 48, 0, 24, 17, 22),
    "pins": (425, 98, 2, 46, 28, 43),
    "odd pins": (324, 61, 28, 30, 25, 21),
    "strips": (124, 18, 1, 17, 23, 26),
    "strips to and fro": (813, 22, 0, 18, 19, 23),
    "marks": (255, 98, 1, 21, 23, 28),
    "falling": (175, 32, 11, 35, 29, 21),
    "falling without lines": (118, 32, 1, 28, 28, 33),
    "the same mark": (605, 62, 0, 18, 21, 23),
    "either mark": (203, 60, 2, 26, 29, 32),
    "hex": (301, 32, 22, 61, 40, 25),
    "misere hex": (169, 54, 1, 14, 37, 22),
    "chomp": (563, 26, 0, 18, 22, 21),
    "dominoes": (382, 40, 2, 39, 31, 36),
    "pawns": (408, 78, 28, 30, 22, 22),
    "pawns that must": (163, 153, 3, 15, 29, 28),
    "pawns that pass": (1555, 63, 3, 0, 24, 25),
    "pawns that leave": (599, 58, 4, 16, 28, 31),
    "points": (353, 18, 26, 39, 21, 23),
    "points and lines": (305, 52, 1, 32, 25, 40),
    "points always guarded": (690, 36, 1, 0, 21, 11),
    "marks with a limit": (184, 64, 1, 26, 24, 33),
}
"""Words of the program, of its tables, constants, messages and workspace; and lines with a remark."""


@pytest.mark.parametrize("name", sampled(grounds.GAMES, every=2))
def test_words_of_a_ground(name):
    """Seat, house rules, machine and ways change from one to the next; moves are found by a list of boards."""
    number = list(grounds.GAMES).index(name)
    house = ("told apart", "lost-turn", "three-warnings")[number % 3]
    play = grounds.play(name, (FIRST, SECOND)[number % 2], house)
    machine, picked = grounds.CARDS[number % 4], GROUND_PICKS[number // 2 % 2]
    if machine == "flash-8k":
        picked = {**picked, "messages": "inline", "pieces": "apart"}
    plan = plan_of(play, machine, Naive, keep_verdicts=number % 5 == 0)
    holds(play, plan.lowered(Choices(picked)), GROUNDS[name])


# Rules ----------------------------------------------------------------------------------------------------------

RULES = {
    # what: the sheet, the seat, the machine, the ways that are picked
    "lamp room": ("lamp room", FIRST, "twelve-bit", {"board": "sums", "cells": "listed"}),
    "lamp room in sets": ("lamp room", FIRST, "delay-line", {"board": "bits"}),
    "lamp room on bytes": ("lamp room", FIRST, "home-1k", {"board": "sums", "pieces": "shared"}),
    "opposite": (
        "make, opposite",
        SECOND,
        "twelve-bit",
        {"board": "sums", "corners": "listed", "cells": "walked from 1 by 2", "lines": "listed"},
    ),
    "opposite in sets": ("make, opposite", FIRST, "drum-desk", {"board": "bits", "cells": "listed"}),
    "weighed": ("wins first", SECOND, "twelve-bit", {"board": "sums", "lines": "packed from below"}),
    "weighed from a list": ("fewest", SECOND, "transistor-39", {"board": "sums", "lines": "listed"}),
    "weighed, won by weights": (
        "wins first",
        SECOND,
        "twelve-bit",
        {"board": "sums", "endings": "told by weights", "greatest": "one more"},
    ),
    "weighed by a bit": (
        "wins first",
        SECOND,
        "twelve-bit",
        {"board": "sums", "endings": "told by weights", "numbers": "found anew, told by a bit"},
    ),
    "pictures": ("drawn", FIRST, "twelve-bit", {"board": "sums"}),
    "pictures in sets": ("drawn", FIRST, "twelve-bit", {"board": "bits", "rules": "drawn"}),
    "ahead": ("ahead", SECOND, "twelve-bit", {"board": "digits"}),
    "ahead with sums": ("ahead", SECOND, "home-1k", {"board": "sums", "cells": "listed"}),
    "ahead in sets": ("ahead", SECOND, "twelve-bit", {"board": "bits", "pieces": "apart, most wanted first"}),
    "cells": ("cells", SECOND, "twelve-bit", {"board": "bits", "cells": "one-by-one", "range": "one carry"}),
    "turned": ("make, opposite", SECOND, "twelve-bit", {"board": "sums"}),
    **{
        way: (way, SECOND, "twelve-bit", {"board": board})
        for way, board in zip(
            (way for way in rules.SHEETS if "it" in way or "threat" in way),
            ("sums", "bits") * 4,
            strict=False,
        )
    },
}


BY_RULES = {
    "lamp room": (100, 17, 1, 0, 17, 13),
    "lamp room in sets": (146, 26, 1, 3, 7, 16),
    "lamp room on bytes": (293, 24, 0, 0, 16, 12),
    "opposite": (124, 28, 5, 0, 16, 12),
    "opposite in sets": (175, 35, 1, 4, 11, 20),
    "weighed": (99, 34, 3, 0, 19, 10),
    "weighed from a list": (72, 89, 1, 3, 19, 15),
    "weighed, won by weights": (79, 34, 1, 0, 16, 9),
    "weighed by a bit": (79, 18, 1, 0, 16, 8),
    "pictures": (153, 29, 8, 0, 17, 11),
    "pictures in sets": (83, 60, 2, 0, 7, 10),
    "ahead": (196, 24, 9, 0, 22, 14),
    "ahead with sums": (533, 25, 0, 0, 24, 16),
    "ahead in sets": (183, 8, 5, 0, 13, 17),
    "cells": (90, 8, 1, 0, 4, 9),
    "turned": (256, 28, 17, 0, 23, 15),
    "make, opposite": (148, 8, 3, 0, 17, 12),
    "occupying it": (145, 8, 4, 0, 9, 13),
    "occupying the only one, else any threat": (173, 8, 6, 0, 18, 12),
    "clearing it": (161, 8, 3, 0, 11, 14),
    "a safe threat, else clearing it": (211, 8, 7, 0, 19, 12),
    "a clearing threat, else occupying the only one or any threat": (232, 8, 13, 0, 12, 15),
    "an occupying threat or a safe threat, else occupying it": (203, 8, 7, 0, 19, 12),
}


SLOWLY = ("weighed by a bit", "turned", "occupying it", "clearing it", "a safe threat, else clearing it")
"""What takes long, or is part of another."""


@pytest.mark.parametrize(
    "what", [pytest.param(what, marks=pytest.mark.long if what in SLOWLY else ()) for what in RULES]
)
def test_words_of_rules(what):
    sheet, seat, machine, picked = RULES[what]
    play, choices = played(sheet, seat, TURNED if what == "turned" else PLAIN), Choices(picked)
    holds(play, plan_of(play, machine, by_rules).lowered(choices), BY_RULES[what])
    assert all(way in choices.offered[name] for name, way in picked.items())


FIRST_MOVES = "turning: plain\nposition,move\n" + "".join(
    f"{'/'.join(cells[at : at + 3] for at in (0, 3, 6))},{1 if cells[4] == 'V' else 5}\n"
    for cells in ("_" * place + "V" + "_" * (8 - place) for place in range(9))
)
LOOKED_UP = {
    # what: the table, the rules, the ways that are picked, and the words
    "looked up": (
        rules.TABLE,
        rules.LAMP_ROOM.replace("stop a double threat", 'use table "table.csv"'),
        {"board": "sums", "encoding": "diagram"},
        (134, 32, 5, 0, 17, 10),
    ),
    "looked up in the first turns": (
        FIRST_MOVES,
        'use table "table.csv"\nlook ahead 1 plies',
        {"board": "sums", "encoding": "sorted-keys"},
        (190, 30, 12, 0, 27, 16),
    ),
}


@pytest.mark.parametrize("what", LOOKED_UP)
def test_words_of_rules_with_a_table(what, tmp_path):
    table, sheet, picked, words = LOOKED_UP[what]
    (tmp_path / "table.csv").write_text(table, encoding="utf-8")
    play = rules.play_of(sheet, SECOND, file=str(tmp_path / "sheet.rules"))
    choices = Choices(picked)
    holds(play, plan_of(play, "twelve-bit", by_rules).lowered(choices), words)
    assert choices.weighty == {"board", "rules", "encoding"}  # what changes which other choices there are


@pytest.mark.parametrize(
    ("game", "sheet", "board", "words"),
    [
        ("nim-1-2-3", "look ahead 5 plies", "digits", (260, 15, 11, 0, 30, 15)),
        ("two-by-two", "look ahead 4 plies", "bits", (268, 6, 17, 0, 26, 15)),
    ],
)
def test_words_of_looking_far_ahead(game, sheet, board, words):
    """From four plies on, what cannot matter is left out."""
    play = rules.play_of(sheet, SECOND, load_game(game), kind="line")
    holds(play, plan_of(play, "twelve-bit", by_rules).lowered(Choices({"board": board})), words)


@pytest.mark.parametrize(
    ("sheet", "words"),
    [
        ("complete a line\nblock a line\ntake a corner\ntake any free cell", (163, 22, 5, 0, 20, 8)),
        ("take the first free of b1, c2\nlook ahead 2 plies", (252, 22, 13, 0, 27, 13)),
    ],
    ids=["rules", "cells"],
)
def test_words_of_rules_where_marks_fall(sheet, words):
    play = rules.play_of(sheet, SECOND, grounds.fair("falling"), kind="line")
    holds(play, plan_of(play, "twelve-bit", by_rules).lowered(Choices()), words)


# Tables ---------------------------------------------------------------------------------------------------------

NIM, SMALL = ("nim-1-2-3", FIRST, PLAIN, "usual"), ("two-by-two", SECOND, TURNED, "lost-turn")
TABLES = [
    *((name, NIM, 0, "twelve-bit") for name in encodings() if name != "weights"),
    *((name, SMALL, 0, "transistor-39") for name in ("dense", "diagram", "hashed", "pictures")),
    ("sorted-keys", NIM, 2, "home-1k"),
    ("sorted-keys-halved", SMALL, 1, "home-1k"),
    ("dense", NIM, 1, "home-1k"),
    ("diagram", NIM, 0, "home-1k"),
    ("hashed", NIM, 0, "home-1k"),
    ("reply-tree", NIM, 1, "transistor-39"),
    ("reply-tree", NIM, 2, "home-1k"),
    ("reply-tree", SMALL, 3, "twelve-bit"),
]


BY_TABLES = {
    ("dense", "nim-1-2-3", 0, "twelve-bit"): (231, 23, 17, 42, 17, 21),
    ("diagram", "nim-1-2-3", 0, "twelve-bit"): (232, 18, 20, 42, 17, 20),
    ("hashed", "nim-1-2-3", 0, "twelve-bit"): (247, 18, 20, 42, 17, 20),
    ("pictures", "nim-1-2-3", 0, "twelve-bit"): (239, 18, 20, 42, 18, 20),
    ("reply-tree", "nim-1-2-3", 0, "twelve-bit"): (336, 16, 30, 42, 27, 26),
    ("sorted-keys", "nim-1-2-3", 0, "twelve-bit"): (224, 21, 15, 42, 17, 21),
    ("sorted-keys-halved", "nim-1-2-3", 0, "twelve-bit"): (244, 21, 19, 42, 19, 21),
    ("dense", "two-by-two", 0, "transistor-39"): (192, 31, 3, 14, 25, 25),
    ("diagram", "two-by-two", 0, "transistor-39"): (195, 30, 3, 14, 25, 25),
    ("hashed", "two-by-two", 0, "transistor-39"): (195, 29, 3, 14, 25, 25),
    ("pictures", "two-by-two", 0, "transistor-39"): (199, 29, 3, 14, 25, 25),
    ("sorted-keys", "nim-1-2-3", 2, "home-1k"): (572, 21, 0, 98, 19, 24),
    ("sorted-keys-halved", "two-by-two", 1, "home-1k"): (822, 27, 2, 70, 25, 20),
    ("dense", "nim-1-2-3", 1, "home-1k"): (587, 23, 1, 98, 19, 24),
    ("diagram", "nim-1-2-3", 0, "home-1k"): (537, 19, 1, 98, 18, 22),
    ("hashed", "nim-1-2-3", 0, "home-1k"): (582, 19, 2, 98, 18, 22),
    ("reply-tree", "nim-1-2-3", 1, "transistor-39"): (156, 23, 3, 25, 20, 30),
    ("reply-tree", "nim-1-2-3", 2, "home-1k"): (566, 26, 1, 98, 20, 23),
    ("reply-tree", "two-by-two", 3, "twelve-bit"): (381, 25, 35, 30, 23, 19),
}


@pytest.mark.parametrize(
    ("name", "game", "layout", "machine"),
    sampled(TABLES, every=2),
    ids=[f"{name}-{game[0]}-{layout}-{machine}" for name, game, layout, machine in TABLES],
)
def test_words_of_tables(name, game, layout, machine):
    play = stored(*game)
    packed = encodings()[name].lay_out(play).pack_as(layout, load_machine(machine).word_bits)
    lowered = plan_of(play, machine, packed_answerer(packed)).lowered(Choices())
    holds(play, lowered, BY_TABLES[name, game[0], layout, machine])


@pytest.mark.parametrize("numbers", ["found anew, told by a bit", "found anew, with further lines"])
def test_weights_that_are_found_anew_tell_the_end(numbers, monkeypatch):
    """Other numbers for the same moves know how a game ends; where the board tells that, they are of no use."""
    monkeypatch.setattr(weights, "found_anew", lambda boards: None)
    monkeypatch.setattr(weights, "found_listed", lambda boards: None)
    plan = plan_of(played("wins first", SECOND), "twelve-bit", by_rules)
    with pytest.raises(WrongWay) as refused:
        plan.lowered(Choices({"board": "sums", "numbers": numbers}))
    assert str(refused.value) == "no other weights were found for the same moves"


@pytest.mark.parametrize(
    ("machine", "words"), [("twelve-bit", (141, 22, 10, 0, 19, 13)), ("home-1k", (350, 59, 2, 0, 19, 13))]
)
def test_words_of_score_weights(machine, words):
    """A table that holds no board: diagonal lines weigh apart."""
    play = played("wins first", SECOND)
    packed = encodings()["weights"].lay_out(play).pack(load_machine(machine).word_bits)
    assert packed.constants == {"kinds": 2}
    plan = plan_of(play, machine, packed_answerer(packed))
    holds(play, plan.lowered(Choices({"board": "sums"})), words)


# Check-sums -----------------------------------------------------------------------------------------------------


CHECKED = {
    "at-start": (250, 23, 21, 42, 17, 23),
    "between-games": (616, 30, 2, 98, 19, 25),
}


@pytest.mark.parametrize(("check", "machine"), [(AT_START, "twelve-bit"), (BETWEEN_GAMES, "home-1k")])
def test_words_of_a_check_sum(check, machine):
    play = stored(*NIM)
    packed = encodings()["dense"].lay_out(play).pack_as(0, load_machine(machine).word_bits)
    plan = plan_of(play, machine, packed_answerer(packed))
    lowered = plan.guarded({}, between_games=check == BETWEEN_GAMES)
    holds(play, lowered, CHECKED[check])
