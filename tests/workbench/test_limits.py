"""Limits at the terminal: what they cost, what a refutation says of them, and a game that they end."""

import json

import networkx as nx
import numpy as np
import pytest

from games.codes import FIRST
from games.house import load_house_rules
from games.housed import HousedGame
from games.repetition import repeated
from solver.graph import explore
from solver.load import load_strategy
from solver.proof import prove
from tests.solver.toy import Toy, strategy
from tests.workbench.running import wordtight
from workbench.play import Session
from workbench.tell_proof import tell

HAUKI = """\
kind = "game"
family = "steps"
title = "Pong hau k'i"
columns = 3
rows = 3
holes = ["2", "4", "6", "8"]
cells = ["1", "2", "3", "4", "5"]
steps = [["1", "4", "5", "2"], ["1", "3", "2"], ["4", "3", "5"]]
start = ["F.F", "._.", "S.S"]
"""
STRICT = """\
kind = "house-rules"
[[rule]]
when = ["after-end"]
say = "IT IS OVER"
[[rule]]
when = ["any"]
say = "YOU LOSE"
cost = "game"
"""


@pytest.fixture(autouse=True)
def in_a_folder_of_files(tmp_path, monkeypatch):
    for name, limit in {"endless": "", "twice": "repetition-limit = 2", "thrice": "repetition-limit = 3",
                        "twenty": "ply-limit = 20", "once": "ply-limit = 1"}.items():  # fmt: skip
        (tmp_path / f"{name}.toml").write_text(f"{HAUKI}{limit}\n", encoding="utf-8")
        rules = f"game: {name}.toml\nseat: first\n\nlook ahead 1 ply\n"
        (tmp_path / f"{name}.rules").write_text(rules, encoding="utf-8")
    (tmp_path / "strict.toml").write_text(STRICT, encoding="utf-8")
    monkeypatch.chdir(tmp_path)


def told(*arguments, status=0):
    ran = wordtight(*arguments)
    assert ran.status == status, ran.err
    return " ".join(ran.out.split())


def by_json(*arguments):
    return json.loads(wordtight(*arguments, "--json").out)


# What limits cost -----------------------------------------------------------------------------------------------


def test_solve_says_what_a_limit_of_plies_costs():
    found = by_json("solve", "twenty.toml")
    assert found["limit"] == {
        "kind": "plies", "limit": 20, "bits": 5, "counts": 1,
        "positions": found["positions"], "positions_without": by_json("solve", "endless.toml")["positions"],
    }  # fmt: skip
    assert (
        "The limit of 20 plies: without the count of plies, which takes 5 bits, they would be 56 positions."
        in told("solve", "twenty.toml")
    )
    assert "The limit of 1 ply: without the count of plies, which takes 1 bit" in told("solve", "once.toml")


def test_solve_says_what_a_limit_of_repetitions_costs():
    found, endless = by_json("solve", "thrice.toml"), by_json("solve", "endless.toml")
    limit = found.pop("limit")
    assert endless.pop("limit") is None
    for each in (found, endless):
        del each["measured"], each["game"]
    assert found == endless
    assert limit == {
        "kind": "repetitions", "limit": 3, "bits": 2, "counts": 52, "positions": 56, "positions_without": 56,
    }  # fmt: skip
    out = told("solve", "thrice.toml")
    assert (
        "The draw when a position comes for the 3rd time adds no position; to notice it takes a count of 2 bits "
        "for each of the 52 positions that can come again." in out
    )
    assert "Play can go round until a position comes for the 3rd time, which is a draw." in out
    assert "go on for ever" not in out


def rows(found):
    return {(row["encoding"], row["reading"]): row for row in found["encodings"]}


def test_size_counts_the_words_in_which_comings_are_counted():
    """Two bits for each position on a way round in the play itself, six to a word of twelve bits."""
    endless = by_json("size", "endless.rules", "--machine", "twelve-bit")
    assert endless["limits"] == []
    for name, bits in (("twice", 1), ("thrice", 2)):
        found = by_json("size", f"{name}.rules", "--machine", "twelve-bit")
        assert [limit["reading"] for limit in found["limits"]] == ["plain", "turned"]
        for limit in found["limits"]:
            assert (limit["kind"], limit["bits"]) == ("repetitions", bits)
            assert limit["words"] == -(-limit["counts"] // (12 // bits))
            for (encoding, reading), row in rows(found).items():
                if reading == limit["reading"] and row["workspace_words"] is not None:
                    before = rows(endless)[encoding, reading]
                    assert row["workspace_words"] == before["workspace_words"] + limit["words"]
                    assert row["table_words"] == before["table_words"]
    out = told(
        "size", "thrice.rules", "--machine", "twelve-bit", status=3
    )  # whether a program fits is not known
    assert (
        "The draw when a position comes for the 3rd time (plain): a count of 2 bits for each of the 27 positions that "
        "can come again, 5 words of the workspace. Finding a position's count is left to the program." in out
    )


def test_the_positions_that_can_come_again_are_those_of_the_play():
    """Counted by plain walks over the play, in which the machine has one move everywhere."""
    limit = by_json("size", "thrice.rules", "--machine", "twelve-bit")["limits"][0]
    written = load_strategy("thrice.rules")
    game = HousedGame(written.game, written.house, FIRST)
    rules = written.strategy(FIRST).fixed("plain")

    def successors(codes):
        moves = game.moves(codes)
        answers = rules.answers(game.fair_codes(codes))
        played = dict(zip(answers.place.tolist(), answers.move.tolist(), strict=True))
        keep = np.array(
            [
                int(game.mover(codes[[parent]])[0]) != FIRST or played[parent] == move
                for parent, move in zip(moves.parent.tolist(), moves.move.tolist(), strict=True)
            ]
        )
        return moves._replace(parent=moves.parent[keep], move=moves.move[keep], child=moves.child[keep])

    graph = explore(game, successors)
    plays = nx.DiGraph(zip(graph.parent.tolist(), graph.child.tolist(), strict=True))
    assert limit["positions"] == len(graph)
    assert limit["counts"] == sum(
        len(part) for part in nx.strongly_connected_components(plays) if len(part) > 1
    )


@pytest.mark.long
def test_size_says_what_the_plies_cost():
    found = by_json("size", "twenty.rules", "--machine", "twelve-bit")
    endless = rows(by_json("size", "endless.rules", "--machine", "twelve-bit"))
    for limit in found["limits"]:
        reading = limit["reading"]
        assert limit["positions"] == rows(found)["sorted-keys", reading]["answers"]
        assert limit["positions_without"] == endless["sorted-keys", reading]["answers"]
        assert (limit["kind"], limit["bits"], limit["words"]) == ("plies", 5, 1)
    assert (
        "The limit of 20 plies (plain): 37 boards to store, which would be 16 without their plies. The count of plies "
        "takes 5 bits, 1 word of the workspace." in told("size", "twenty.rules", "--machine", "twelve-bit")
    )


# What is proved -------------------------------------------------------------------------------------------------


class Pictured:
    """A drawn game that can also be shown."""

    def __init__(self, drawing):
        self._toy = Toy(drawing)

    def __getattr__(self, name):
        return getattr(self._toy, name)

    def drawing(self, code, seat, last=None, *, named=False):
        return [f"[{code}]"]


def told_of(drawing, allowed, comings, claim, capsys):
    """What is said of a strategy that moves first."""
    game = repeated(Pictured(drawing), comings)
    tell(prove(strategy(game, FIRST, allowed), claim, load_house_rules("usual", game)), "toy.rules")
    return " ".join(capsys.readouterr().out.split())


ROUND = [(0, [1, 2]), (1, [0]), "first"]
"""The first player could win at once, or go round by way of 1."""


def test_going_round_where_a_win_is_at_hand_ends_as_a_draw(capsys):
    out = told_of(ROUND, {0: {0}}, 3, "best-value", capsys)
    assert "REFUTED. The machine goes round to a draw in 2 plies:" in out
    assert "From ply 1 on, this goes round until a position comes for the 3rd time: a draw." in out
    assert "Play can go round until a position comes for the 3rd time, which is a draw." in out
    assert '"A DRAW"' not in out.partition("Never said")[2], "for it is said then"
    assert '"GAME OVER"' not in out.partition("Never said")[2]
    assert "for ever" not in out


def test_where_nothing_goes_round_the_limit_is_not_spoken_of(capsys):
    out = told_of(ROUND, {0: {1}}, 3, "best-value", capsys)
    assert "PROVED" in out
    assert "Longest line: 1 ply." in out
    assert '"A DRAW" (draw)' in out.partition("Never said")[2]
    assert "time" not in out.partition("Claim")[2].replace("gave the move", "")


def test_a_line_that_the_rule_cuts_short_is_told_as_such(capsys):
    """The seat is lost; the visitor lets the machine off once, and cannot win again without coming back (n = 2)."""
    drawing = [(1, [1, 2]), "second", (0, [0, 3]), "draw"]
    out = told_of(drawing, {2: {0}}, 2, "best-value", capsys)
    assert "THIS SEAT IS LOST FROM THE START" in out
    assert "On this line a position comes for the 2nd time. There the game is a draw" in out
    assert "On this line" not in told_of(drawing, {2: {0}}, 3, "best-value", capsys)


def test_the_record_of_a_proof_has_the_limit():
    assert by_json("prove", "thrice.rules")["repetition_limit"] == 3
    assert by_json("prove", "endless.rules")["repetition_limit"] is None
    assert "Play can go on for ever." in told("prove", "endless.rules")


# Play -----------------------------------------------------------------------------------------------------------


def session(name, house=None):
    written = load_strategy(f"{name}.rules", house_rules=house)
    return Session(written.strategy(FIRST), written.house)


@pytest.mark.parametrize(("name", "comings"), [("twice", 2), ("thrice", 3)])
def test_a_game_ends_when_a_position_comes_for_the_last_time(name, comings):
    playing = session(name)
    said = []
    while not playing.is_over:
        assert len(playing.moves) < 200, "it goes on for ever"
        said = playing.enter(playing.example().encode())
    visits = positions_of(playing)
    assert max(map(visits.count, visits)) == comings
    assert visits.count(visits[-1]) == comings
    assert max(map(visits[:-1].count, visits)) == comings - 1
    assert said[-1] == "A DRAW"


def positions_of(playing):
    """Every position of the game so far, made again from its moves."""
    codes = np.array([playing.game.start], dtype=np.uint64)
    met = codes.tolist()
    for move in playing.moves:
        found = playing.game.moves(codes)
        codes = found.child[found.move == move]
        met += codes.tolist()
    return met


def test_after_a_draw_by_repetition_nothing_is_charged():
    playing = session("twice", "strict.toml")
    while not playing.is_over:
        playing.enter(playing.example().encode())
    moves = list(playing.moves)
    assert playing.enter(b"9") == ["IT IS OVER"]
    assert playing.enter(playing.game.move_names[0].encode()) == ["IT IS OVER"]
    assert playing.moves == moves
    assert playing.begin()[-1:] != ["A DRAW"]
    assert not playing.is_over


def test_without_a_limit_it_goes_on():
    playing = session("endless")
    for _ in range(30):
        playing.enter(playing.example().encode())
    assert not playing.is_over
    assert len(set(positions_of(playing))) < len(playing.moves)
