"""Every encoding is packed the slow, obvious way once more, and the words are the same."""

from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from budget.encodings import encodings, verify
from budget.packing import Run
from games.codes import UNFINISHED
from games.house import load_house_rules
from games.housed import HousedGame
from games.limited import limited
from games.load import load_game
from solver.fixed import PLAIN
from tests.budget.packed_plays import (
    HOUSES,
    KINDS,
    READINGS,
    SEATS,
    obvious_answers,
    packed_by,
    plays,
)
from tests.budget.plays import FEWER, any_move, housed, legal, one, play_of


def cut(digits, size):
    return [digits[at : at + size] for at in range(0, len(digits), size)]


def obvious_words(values, bits, word_bits):
    """Numbers of some bits as words: as many to a word as fit, the next number in the next word; or in parts."""
    if not bits:
        return ()
    if bits > word_bits:
        parts = [
            [value >> low & (1 << word_bits) - 1 for value in values] for low in range(0, bits, word_bits)
        ]
        return tuple(word for part in parts for word in part)
    words = [""] * -(-len(values) // (word_bits // bits))
    for place, value in enumerate(values):
        words[place % len(words)] = f"{value:0{bits}b}" + words[place % len(words)]
    return tuple(int(word, 2) for word in words)


@given(st.integers(0, 30), st.integers(4, 40), st.lists(st.integers(0, 2**30), max_size=60))
def test_a_run_is_packed_the_obvious_way(bits, word_bits, numbers):
    values = [number % (1 << bits) for number in numbers]
    run = Run(bits, word_bits, len(values))
    packed = run.pack(np.array(values, dtype=np.uint64))
    assert tuple(packed.tolist()) == obvious_words(values, bits, word_bits)
    assert run.words == len(packed)
    assert run.read(packed, np.arange(len(values))).tolist() == values
    with pytest.raises(IndexError):
        run.read(packed, np.array([len(values)]))


def ways_to_say(play):
    """Moves by number, and by place where that takes fewer bits: answers and bits."""
    said = [obvious_answers(play, by_place) for by_place in (False, True)]
    bits = [max(answers.values()).bit_length() for answers in said]
    return list(zip(said, bits, strict=True))[: 2 if bits[1] < bits[0] else 1]


@FEWER
@given(plays(KINDS), st.integers(4, 40))
def test_dense_is_packed_the_obvious_way(play, word_bits):
    table = encodings()["dense"].lay_out(play)
    tried = []
    for place, (answers, bits) in enumerate(ways_to_say(play)):
        fields = [answers.get(board, 0) for board in range(min(answers), max(answers) + 1)]
        packed = table.pack_as(place, word_bits)
        assert packed.words == obvious_words(fields, bits, word_bits)
        assert packed.constants == {"numbering": 0, "least": min(answers), "by place": place}
        tried.append(packed.words)
    assert len(table.layouts) == len(tried)
    assert table.answers == len(answers)
    assert table.pack(word_bits).words == min(tried, key=len)


@FEWER
@given(plays(KINDS), st.integers(4, 40))
def test_sorted_keys_are_packed_the_obvious_way(play, word_bits):
    table = encodings()["sorted-keys"].lay_out(play)
    tried = []
    for by_place, (answers, bits) in enumerate(ways_to_say(play)):
        boards = sorted(answers)
        key_bits, moves = boards[-1].bit_length(), [answers[board] for board in boards]
        pairs = [key + (move << key_bits) for key, move in zip(boards, moves, strict=True)]
        tried.append((obvious_words(pairs, key_bits + bits, word_bits), by_place))
        if bits:
            apart = (*obvious_words(boards, key_bits, word_bits), *obvious_words(moves, bits, word_bits))
            tried.append((apart, by_place))
    assert [table.pack_as(place, word_bits).words for place in range(len(table.layouts))] == [
        words for words, _ in tried
    ]
    for place, (_, by_place) in enumerate(tried):
        known = table.layouts[place].constants
        assert known == {"numbering": 0, "key bits": boards[-1].bit_length(), "by place": by_place}


@FEWER
@given(plays(KINDS), st.integers(4, 40))
def test_keys_that_are_halved_are_the_sorted_keys(play, word_bits):
    halved, one_by_one = (packed_by(name, play, word_bits) for name in ("sorted-keys-halved", "sorted-keys"))
    assert halved == one_by_one._replace(encoding="sorted-keys-halved")


def obvious_tree(play):
    """The answers along the lines as digits, by recursion over the play's own graph, counters and all forgotten."""
    graph, game = play.graph, play.game
    answers = dict(zip(play.codes.tolist(), play.moves.tolist(), strict=True))
    led_to = {}  # board: {move: board}, of all positions that differ only in what house rules count
    for place in range(len(graph)):
        here = int(game.fair_codes(graph.codes[[place]])[0])
        for edge in graph.edges_of(place):
            there = int(game.fair_codes(graph.codes[[graph.child[edge]]])[0])
            lost = graph.ending[graph.child[edge]] != UNFINISHED
            if there != here:  # forgiven input changes nothing on the board, nor does a game lost by it
                led_to.setdefault(here, {})[int(graph.move[edge])] = None if lost else there

    def digits(board):
        if board in answers:
            moves, _ = legal(game, board)
            width = (len(moves) - 1).bit_length()
            place = moves.index(answers[board])
            after = led_to[board][answers[board]]
            return (f"{place:0{width}b}" if width else "") + ("" if after is None else digits(after))
        return "".join(
            digits(after) for _, after in sorted(led_to.get(board, {}).items()) if after is not None
        )

    return digits(game.fair.start)


@FEWER
@given(plays(), st.integers(4, 40))
def test_plain_reply_tree_is_packed_the_obvious_way(play, word_bits):
    if play.reading == PLAIN:
        digits = obvious_tree(play)
        packed = packed_by("reply-tree", play, word_bits)
        assert packed.words == tuple(int(word.ljust(word_bits, "0"), 2) for word in cut(digits, word_bits))
        assert encodings()["reply-tree"].lay_out(play).shape.layouts[0].bits == len(digits)


@pytest.mark.parametrize("house", HOUSES)
@pytest.mark.parametrize("seat", SEATS)
@pytest.mark.parametrize("reading", READINGS)
@pytest.mark.parametrize("name", ["two-by-two", "pong-hau-ki"])
def test_reply_tree_of_a_game_that_counts_plies(name, reading, seat, house):
    """Wrong input that is forgiven makes another ply of the same board, so it has a branch of its own."""
    fair = limited(load_game(name), 7)
    game = HousedGame(fair, load_house_rules(house, fair), seat)
    play = play_of(game, reading, any_move(4))
    packed = packed_by("reply-tree", play, 12)
    verify(play, packed)
    if reading == PLAIN:
        digits = tree_of_all_positions(play)
        assert packed.words == tuple(int(word.ljust(12, "0"), 2) for word in cut(digits, 12))


def tree_of_all_positions(play):
    """The answers along the lines as digits, counters and all, by recursion over the play's graph."""
    graph, game = play.graph, play.game

    def digits(place):
        after = [int(graph.child[edge]) for edge in graph.edges_of(place)]
        if graph.mover[place] != game.seat:
            return "".join(digits(child) for child in dict.fromkeys(after))
        if not after:
            return ""
        moves, _ = legal(game, int(game.fair_codes(graph.codes[[place]])[0]))
        width = (len(moves) - 1).bit_length()
        answer = moves.index(int(graph.move[graph.edges_of(place)[0]]))
        return (f"{answer:0{width}b}" if width else "") + digits(after[0])

    return digits(graph.start)


def answer_by_tree(play, packed, line):
    """The machine's answer after a line of fair moves, found as its program would find it: skip, skip, read."""
    game, at = play.game, 0
    digits = "".join(f"{word:0{packed.word_bits}b}" for word in packed.words)

    def play_through(code, skipped):
        """Read all that follows a position, and give the place in the stream after it."""
        if game.fair.ending(one(code))[0] != UNFINISHED:
            return skipped
        moves, children = legal(game, code)
        if game.fair.mover(one(code))[0] != game.seat:
            for child in children:
                skipped = play_through(child, skipped)
            return skipped
        width = (len(moves) - 1).bit_length()
        place = int(digits[skipped : skipped + width] or "0", 2)
        return play_through(children[place], skipped + width)

    code = game.fair.start
    for move in line:
        moves, children = legal(game, code)
        place = moves.index(move)
        if game.fair.mover(one(code))[0] == game.seat:
            at += (len(moves) - 1).bit_length()
        else:
            for child in children[:place]:
                at = play_through(child, at)
        code = children[place]
    moves, _ = legal(game, code)
    width = (len(moves) - 1).bit_length()
    return moves[int(digits[at : at + width] or "0", 2)]


@cache
def some_tree(seat):
    play = play_of(housed(seat=seat), PLAIN, any_move(7))
    return play, packed_by("reply-tree", play, 11)


@pytest.mark.parametrize("seat", SEATS)
@FEWER
@given(st.data())
def test_reply_tree_can_be_read_by_passing_over_branches(seat, data):
    play, packed = some_tree(seat)
    graph, place, line = play.graph, play.graph.start, []
    while graph.ending[place] == UNFINISHED:
        edge = data.draw(st.sampled_from(list(graph.edges_of(place))))
        if graph.mover[place] == seat:
            assert answer_by_tree(play, packed, line) == graph.move[edge]
        line.append(int(graph.move[edge]))
        place = graph.child[edge]
