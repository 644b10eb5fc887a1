"""Programs that play by the rules of a sheet, held against the sheet in every state that they can get into."""

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from budget.card import load_machine
from budget.closing import Differs, close
from budget.conversation import Conversation
from budget.lowering import lower as lower_module
from budget.lowering.answering import looked_up, sheet
from budget.lowering.answering.asked import asked_in, joined
from budget.lowering.answering.sheet import by_rules
from budget.lowering.choices import Choices
from budget.lowering.grounds import marks
from budget.lowering.lower import lower
from budget.lowering.text import NotLowered, WrongWay
from games.house import load_house_rules
from games.load import load_game
from solver import meanings as means
from solver.fixed import PLAIN, TURNED, FixedPlay, fix
from solver.proof import prove
from solver.sheet.reader import SheetReader
from solver.strategy import Strategy
from tests import twins
from tests.budget.plays import legal
from tests.sampled import sampled

SHORT = """kind = "house-rules"
input = "{kind}"
print = "close"
next-game = "{after}"
[messages]
ask = ""
machine-moves = ""
machine-wins = "W"
visitor-wins = "L"
draw = "D"
[[rule]]
when = ["any"]
say = "?"
"""
LAMP_ROOM = """complete a line
block a line
stop a double threat
take the centre
take a corner
take any free cell"""
WEIGHED = """block a line
take the heaviest cell
  3 for the centre
  2 for 1, 3 or 9
  9 for a line with 2 of mine
  -2 for a straight line with 1 of mine and 1 of the visitor's
  1 for a diagonal line with no marks
  4 for a line like 1, 2 and 3 with 1 of the visitor's"""
DRAWN = """block a line
picture
  V _ -
  _ M !
  - - V
picture fixed
  - - !
  - M _
  V - -
picture
  M - -
  - - -
  - - !
take the first free of 5, 2, 7
picture
  - ! -
  - V -
  - - -
take any free cell"""
WAYS = """stop a double threat by {}
take the first free of 5, 1, 9
take any free cell"""
SHEETS = {
    "lamp room": LAMP_ROOM,
    "make, opposite": "make a double threat\ntake the opposite corner\ntake an edge\ntake any free cell",
    "weighed": WEIGHED,
    "drawn": DRAWN,
    "ahead": "take the centre\nlook ahead 2 plies",
    **{
        way: WAYS.format(way)
        for way in (
            "occupying it",
            "occupying the only one, else any threat",
            "clearing it",
            "a safe threat, else clearing it",
            "a clearing threat, else occupying the only one or any threat",
            "an occupying threat or a safe threat, else occupying it",
        )
    },
}


@cache
def house_of(game, kind="key"):
    """House rules that say as little as can be."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "short.toml"
        after = "at-once" if kind == "key" else "asked-for"  # a game may be over before the visitor has moved
        path.write_text(SHORT.format(kind=kind, after=after), encoding="utf-8")
        return load_house_rules(path, game)


def play_of(text, seat, game=None, reading=PLAIN, kind="key", file="sheet.rules"):
    """The sheet's play, settled."""
    game = game or load_game("noughts-and-crosses")
    rules = SheetReader(file, text.split("\n"), game).read(0)
    strategy = Strategy("sheet", file, game, seat, rules)
    return fix(prove(strategy, "never-loses", house_of(game, kind)), reading)


def closed(play, machine):
    """The program of a play, held against it; its words."""
    card = load_machine(machine)
    lowered = lower(play, card, by_rules)
    close(lowered.program, Conversation(play, card, thorough=False))
    return lowered


@pytest.fixture
def kept(request, monkeypatch):
    """A board kept in one way, and all parts written in their first ways."""
    monkeypatch.setattr(marks, "BOARDS", (request.param,))
    monkeypatch.setattr(lower_module.Search, "least", lambda search: search._tries._build(Choices()))


@pytest.mark.parametrize(
    ("kept", "seat"),
    [("bits", 0), pytest.param("sums", 1, marks=pytest.mark.long)],
    indirect=["kept"],
)
@pytest.mark.parametrize("name", SHEETS)
@pytest.mark.usefixtures("kept")
def test_a_program_plays_as_its_sheet_in_every_state(name, seat, request):
    play = play_of(SHEETS[name], seat)
    if name == "weighed" and request.node.callspec.params["kept"] == "bits":
        with pytest.raises(NotLowered, match="weighed"):
            closed(play, "twelve-bit")
        return
    closed(play, "twelve-bit")


@pytest.mark.parametrize(
    ("name", "seat", "machine"),
    [
        ("lamp room", 0, "twelve-bit"),
        ("lamp room", 1, "home-1k"),
        ("weighed", 1, "transistor-39"),
        ("drawn", 0, "home-1k"),
        ("drawn", 1, "delay-line"),
        ("ahead", 0, "delay-line"),
        ("ahead", 1, "home-1k"),
    ],
)
@pytest.mark.long
def test_on_machines_of_other_kinds_in_the_ways_that_take_the_fewest_words(name, seat, machine):
    closed(play_of(SHEETS[name], seat), machine)


TABLE = """turning: plain
position,move
M__/_V_/__V,3
V__/_M_/__V,2
__V/_M_/V__,2
"""


@pytest.mark.parametrize("encoding", looked_up.ENCODINGS)
def test_a_table_between_rules_is_looked_up(encoding, tmp_path, monkeypatch):
    monkeypatch.setattr(looked_up, "ENCODINGS", (encoding,))
    monkeypatch.setattr(marks, "BOARDS", ("sums",))
    monkeypatch.setattr(lower_module.Search, "least", lambda search: search._tries._build(Choices()))
    (tmp_path / "table.csv").write_text(TABLE, encoding="utf-8")
    text = LAMP_ROOM.replace("stop a double threat", 'use table "table.csv"')
    play = play_of(text, 1, file=str(tmp_path / "sheet.rules"))
    if encoding == "dense":  # all boards that there could be
        with pytest.raises(NotLowered):
            closed(play, "twelve-bit")
    else:
        closed(play, "twelve-bit")


def test_a_table_that_is_looked_up_wrongly_is_found(tmp_path, monkeypatch):
    right = looked_up._answerer

    def mistaken(play, encoding):
        others = set(legal(play.game, int(play.codes[0]))[0]) - {int(play.moves[0])}
        moves = np.array([min(others), *play.moves[1:]], dtype=play.moves.dtype)
        return right(FixedPlay(play.game, play.reading, play.graph, play.codes, moves), encoding)

    monkeypatch.setattr(looked_up, "_answerer", mistaken)
    monkeypatch.setattr(marks, "BOARDS", ("sums",))
    monkeypatch.setattr(lower_module.Search, "least", lambda search: search._tries._build(Choices()))
    (tmp_path / "table.csv").write_text(TABLE, encoding="utf-8")
    text = LAMP_ROOM.replace("stop a double threat", 'use table "table.csv"')
    with pytest.raises(Differs):
        closed(play_of(text, 1, file=str(tmp_path / "sheet.rules")), "twelve-bit")


@pytest.mark.parametrize("name", sampled(["lamp room", "drawn", "ahead"], every=3, first=1))
def test_settled_turned(name):
    closed(play_of(SHEETS[name], 1, reading=TURNED), "twelve-bit")


@pytest.mark.parametrize(
    ("name", "text"),
    sampled(
        [
            ("misere-noughts-and-crosses", "take the centre\nlook ahead 2 plies"),
            (
                "falling-three-4x3",
                "complete a line\nblock a line\ntake the first free of b3, c3, b2\ntake a corner\ntake any free cell",
            ),
            ("falling-three-4x3", "block a line\nlook ahead 2 plies"),
            ("nim-1-2-3", "look ahead 5 plies"),
            ("two-by-two", "complete a line\ntake the opposite corner\ntake any free cell"),
            (
                "four-by-three",
                "complete a line\nblock a line\nmake a double threat\ntake the centre\ntake any free cell",
            ),
        ],
        every=3,
        first=1,
    ),
)
def test_on_boards_of_other_games(name, text):
    game = load_game(name)
    kind = "key" if all(len(each) == 1 for each in game.move_names) else "line"
    closed(play_of(text, 1, game, kind=kind), "delay-line" if kind == "key" else "twelve-bit")


@pytest.mark.parametrize("kept", ["bits", "sums"], indirect=True)
@pytest.mark.usefixtures("kept")
@settings(
    max_examples=max(6, settings().max_examples // 8),
    suppress_health_check=[HealthCheck.function_scoped_fixture],
    deadline=None,
)
@given(st.data())
def test_random_sheets_on_small_boards(data):
    pair = data.draw(twins.games(most_cells=6))
    rules = data.draw(
        twins.sheets(pair.naive).map(lambda rules: [rule for rule in rules if rule[0] != "table"])
    )
    text = "\n".join(line for rule in [*rules, "take any free cell"] for line in twins.sheet_lines(rule))
    assume(len({line.bit_count() for line in pair.game.lines}) == 1)
    play = play_of(text, data.draw(st.integers(0, 1)), pair.game, kind="line")
    try:
        closed(play, "twelve-bit")
    except NotLowered as reason:
        assume(not isinstance(reason, WrongWay))  # weighing asks for sums
        raise


# Mistakes ------------------------------------------------------------------------------------------------


def other_side(meaning):
    return meaning._replace(whose=means.VISITORS if meaning.whose == means.MINE else means.MINE)


def without_last(meaning):
    return meaning._replace(cells=(*meaning.cells[:-2], *reversed(meaning.cells[-2:])))


def other_target(meaning):
    return meaning._replace(picture=meaning.picture._replace(target=1 << 6))


MISTAKES = [
    ("complete a line\ntake any free cell", means.FillsALine, other_side),
    ("block a line\ntake any free cell", means.FillsALine, other_side),
    (
        "make a double threat\ntake any free cell",
        means.MakesDoubleThreat,
        lambda _: means.FillsALine(means.MINE),
    ),
    (WAYS.format("occupying it"), means.StopsDoubleThreat, lambda _: means.MakesDoubleThreat()),
    *(
        (
            WAYS.format(way),
            means.StopsDoubleThreat,
            lambda _, other=other: means.StopsDoubleThreat(((other,),)),
        )
        for way, other in (
            ("occupying it", means.CLEARING),
            ("clearing it", means.OCCUPYING),
            ("any threat", means.SAFE_THREAT),
            ("occupying the only one", means.OCCUPYING),
            ("a clearing threat", means.ANY_THREAT),
            ("an occupying threat", means.OCCUPYING),
        )
    ),
    (
        "take the opposite corner\ntake any free cell",
        means.OppositeCorner,
        lambda each: each._replace(pairs=each.pairs[::-1][:2]),
    ),
    ("take the first free of 9, 1, 5\nlook ahead 1 plies", means.FirstOf, without_last),
    ("picture\n V - -\n - - -\n - - !\ntake any free cell", means.FindsPicture, other_target),
    (
        "take the heaviest cell\n 1 for a line with no marks\n2 for the centre",
        means.Heaviest,
        lambda each: each._replace(weights=each.weights[:1]),
    ),
    ("look ahead 3 plies", means.LooksAhead, lambda _: means.LooksAhead(2)),
]


@pytest.mark.parametrize("kept", ["sums"], indirect=True)
@pytest.mark.usefixtures("kept")
@pytest.mark.parametrize(("text", "kind", "mistake"), MISTAKES)
def test_a_mistake_in_a_rule_is_found(text, kind, mistake, monkeypatch):
    def mistaken(play):
        return [
            each._replace(meaning=mistake(each.meaning)) if isinstance(each.meaning, kind) else each
            for each in asked_in(play, play.proof.walk.strategy)
        ]

    monkeypatch.setattr(sheet, "ways_to_say", lambda play: {"mistaken": joined(mistaken(play))})
    with pytest.raises(Differs):
        closed(play_of(text, 1), "twelve-bit")
