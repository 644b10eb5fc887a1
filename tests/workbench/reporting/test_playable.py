"""What a page plays from, read by a slow reader of its own and held against the rules of the game and the play."""

import json
import re

import numpy as np
import pytest

from games.codes import UNFINISHED
from games.game import on_board
from games.house import load_house_rules
from games.inputs import LEGAL, classify
from games.load import load_game
from solver.best import prove_best
from solver.engines import solve_any
from solver.fixed import PLAIN, TURNED, fix
from tests.workbench.reporting.plays import CASES, IDS, played
from workbench.reporting.play import SCRIPT, play_part
from workbench.reporting.playable import MACHINE_MOVES, OVER, NotPlayable, playable, smallest_table

WORDS = [8, 12, 18]
TYPED = ["", "1", "2", "5", "9", "a1", "A1", "a9", "zz", "?", "1-2", "2-5", "b", "123456789", "0"]


def row_of_bits(store, column):
    """A column's numbers, read out of its words as rows of bits, the lowest first."""
    bits, count = store["columns"][column]
    wide, digits = store["word_bits"], store["digits"]
    words = [int(store["words"][at : at + digits], 16) for at in range(0, len(store["words"]), digits)]
    taken = [-(-c // (wide // b)) if b <= wide else c * -(-b // wide) for b, c in store["columns"]]
    mine = words[sum(taken[:column]) :][: taken[column]]
    in_bits = [[word >> bit & 1 for bit in range(wide)] for word in mine]
    if bits > wide:
        rows = [
            [bit for part in range(taken[column] // count) for bit in in_bits[at + part * count]]
            for at in range(count)
        ]
    else:
        slots = [(at % len(mine), at // len(mine) * bits) for at in range(count)]
        rows = [in_bits[word][begin : begin + bits] for word, begin in slots]
    return [sum(bit << place for place, bit in enumerate(row)) for row in rows]


def moves_stored(data):
    """The table as a dictionary from keys to moves."""
    store, keys = data["store"], row_of_bits(data["store"], 0)
    if len(store["columns"]) == 2:
        return dict(zip(keys, row_of_bits(store, 1), strict=True))
    width = store["key_bits"]
    return {key & (1 << width) - 1: key >> width for key in keys}


@pytest.mark.parametrize("bits", WORDS)
@pytest.mark.parametrize("case", CASES, ids=IDS)
def test_the_words_hold_the_play_s_move_for_every_position_of_the_machine_s(case, bits):
    play = played(*case)
    data = playable(smallest_table([play], bits))
    stored = moves_stored(data)
    answer = dict(zip(play.codes.tolist(), play.moves.tolist(), strict=True))
    boards = play.game.fair_codes(play.graph.codes).tolist()
    asked = 0
    for board, position in zip(boards, data["positions"], strict=True):
        if position[0] == MACHINE_MOVES:
            move = stored[int(position[2], 16)]
            turned_back = data["back"][position[3]][move] if data["back"] else move
            assert turned_back == answer[board]
            asked += 1
    assert asked >= len(answer) > 0


@pytest.mark.parametrize("case", CASES, ids=IDS)
def test_every_input_is_answered_as_the_house_rules_say(case):
    play = played(*case)
    game, graph = play.game, play.graph
    data = playable(smallest_table([play], 12))
    for place, position in enumerate(data["positions"]):
        code = int(graph.codes[place])
        if position[0] in (MACHINE_MOVES, OVER):
            assert (int(graph.ending[place]) == UNFINISHED) == (position[0] == MACHINE_MOVES)
            continue
        edges = {move: after for move, after, _ in moves_of(position)}
        for typed in TYPED:
            found, move = classify(game, game.shape, code, game.seat, typed.encode())
            assert read(data, position, typed) == (found, move)
            if found == LEGAL:
                assert edges[move] == child(play, place, move)
                continue
            message, effect = data["answers"][position[3]][data["class_ids"][found]]
            assert message == game.message(code, found)[1]
            assert effect == (-1 if game.answer(code, found) is None else game.answer(code, found))
            if effect >= 0:
                assert edges[effect] == child(play, place, effect)


def read(data, position, typed):
    """The class of an input, and the move: told from the data alone."""
    if len(typed) > data["form"]["longest"]:
        return "too-long", None
    if not typed:
        return "empty", None
    if typed.lower() not in data["names"]:
        shaped = re.fullmatch(data["shape"], typed.lower())
        return ("off-board" if shaped else "not-understood"), None
    move = data["names"].index(typed.lower())
    reason = int(position[2][move])
    if reason:
        return list(data["class_ids"])[data["reasons"][reason - 1]], None
    return LEGAL, move


def moves_of(position):
    """The moves of a position: each its number, where it leads, and what it brings."""
    row = position[-1]
    return list(zip(row[::3], row[1::3], row[2::3], strict=True))


def child(play, place, move):
    [edge] = [edge for edge in play.graph.edges_of(place) if play.graph.move[edge] == move]
    return int(play.graph.child[edge])


@pytest.mark.parametrize("case", CASES, ids=IDS)
def test_boards_are_what_the_game_holds(case):
    play = played(*case)
    data = playable(smallest_table([play], 12))
    board_game = on_board(play.game.fair)
    for code, position in zip(play.graph.codes.tolist(), data["positions"], strict=True):
        shown = data["boards"][position[1]]
        if board_game is None:
            assert shown.split("\n") == play.game.drawing(code, play.game.seat, named=True)
        else:
            held = board_game.holdings(play.game.fair_codes(np.array([code], dtype=np.uint64)))
            assert shown == "".join(
                board_game.board.signs(int(held[play.game.seat][0]), int(held[1 - play.game.seat][0]))
            )


def test_the_smaller_of_two_readings_is_taken():
    plays = [played("hexapawn", 1, "usual", reading) for reading in (PLAIN, TURNED)]
    both = [len(smallest_table([play], 12).packed.words) for play in plays]
    assert len(smallest_table(plays, 12).packed.words) == min(both) < max(both)


@pytest.mark.parametrize("seat", [0, 1])
def test_where_moves_score_every_move_says_what_it_brings_the_machine(seat):
    play = played("boxes-three-by-one", seat, "usual", PLAIN)
    game, graph = play.game, play.graph
    data = playable(smallest_table([play], 12))
    brought = set()
    for place, position in enumerate(data["positions"]):
        if position[0] == OVER:
            continue
        for move, after, gain in moves_of(position):
            before, behind = (boxes_in(game, int(graph.codes[at])) for at in (place, after))
            assert gain == (behind - before) * (1 if graph.mover[place] == seat else -1)
            assert after == child(play, place, move)
            brought.add(gain)
    assert data["scores"]
    assert brought >= {-1, 0, 1}


BOXES = [
    {"a1-b1", "a2-b2", "a1-a2", "b1-b2"},
    {"b1-c1", "b2-c2", "b1-b2", "c1-c2"},
    {"c1-d1", "c2-d2", "c1-c2", "d1-d2"},
]


def boxes_in(game, code):
    """How many boxes of a row of three are full."""
    drawn = {name for line, name in enumerate(game.fair.move_names) if code >> line & 1}
    return sum(box <= drawn for box in BOXES)


def test_too_many_positions_are_refused_and_counted(monkeypatch):
    monkeypatch.setattr("workbench.reporting.playable.MOST_POSITIONS", 5)
    play = played("two-by-two", 0, "lost-turn", PLAIN)
    with pytest.raises(
        NotPlayable, match=rf"{len(play.graph)} positions can come up, and a page holds 5 at most"
    ):
        playable(smallest_table([play], 12))


def test_after_the_end_a_program_s_own_message_is_said_whatever_was_forgiven():
    play = played("nim-1-2-3", 0, "three-warnings", PLAIN)
    house = play.game.house
    data = playable(smallest_table([play], 12))
    assert data["after_end"] == house.all_messages()[house.rules[house.rule_for("after-end")].name]


def test_messages_cannot_end_the_script(monkeypatch):
    game = load_game("two-by-two")
    house = load_house_rules("usual", game)
    sly = house._replace(messages={**house.messages, "ask": "</script><b>MOVE"})
    play = fix(prove_best(solve_any(game), 0, PLAIN, sly), PLAIN)
    script = play_part([play], 12).script
    assert "</script" not in script
    [data] = re.findall(r"^const DATA = (.*);$", script, re.MULTILINE)
    assert json.loads(data)["says"]["ask"] == "</script><b>MOVE"


def test_the_script_refers_to_nothing_outside():
    assert not re.search(r"https?:|fetch|import|XMLHttp|innerHTML|eval", SCRIPT.read_text("utf-8"))
