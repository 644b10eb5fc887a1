"""Every encoding answers as the play does, is packed the obvious way, and no wrong bit gets past the check."""

import random
from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from budget.card import parse_machine
from budget.encodings import encodings, reply_tree, verify
from budget.packed import LARGEST_TABLE, NotApplicable
from games.board import Board
from games.codes import FIRST, FIRST_WINS, SECOND, SECOND_WINS, TURN, UNFINISHED, MoveList, turn_of
from games.house import load_house_rules
from games.housed import HousedGame
from games.limited import limited
from games.load import load_game, parse_game
from solver.fixed import PLAIN, TURNED, FixedPlay
from tests.budget.plays import FEWER, any_move, housed, legal, never_losing, one, play_of

CARD = """\
kind = "machine"
from = "common practice"
word-bits = {word}
store-words = 1000

[characters]
code = "ita2"
"""
HOUSES = ("usual", "lost-turn", "three-warnings")
EVERY = sorted(encodings())
SEATS = (FIRST, SECOND)
READINGS = (PLAIN, TURNED)


def machine(word_bits):
    return parse_machine(CARD.format(word=word_bits), "ours.toml")


def test_there_are_three_encodings():
    assert EVERY == ["dense", "reply-tree", "sorted-keys"]


@st.composite
def plays(draw, games=("noughts-and-crosses", "two-by-two", "misere-noughts-and-crosses")):
    game = housed(draw(st.sampled_from(games)), draw(st.sampled_from(HOUSES)), draw(st.sampled_from(SEATS)))
    return play_of(game, draw(st.sampled_from(READINGS)), any_move(draw(st.integers(0, 2**32))))


def decoded(play, packed, codes):
    """What the words say of some boards, by the words, the rules and nothing else."""
    decode = encodings()[packed.encoding].decode
    return decode(packed.words, packed.word_bits, packed.reading, play.game, codes).tolist()


@pytest.mark.parametrize("name", EVERY)
@FEWER
@given(plays(), st.integers(4, 40))
def test_encoding_answers_as_the_play_does(name, play, word_bits):
    packed = encodings()[name].pack(play, machine(word_bits))
    verify(play, packed)
    some = random.Random(1).sample(range(len(play.codes)), min(20, len(play.codes)))
    assert decoded(play, packed, play.codes[some]) == play.moves[some].tolist()
    alone = some[0]
    assert decoded(play, packed, play.codes[[alone]]) == [play.moves[alone]]
    assert packed.bits <= len(packed.words) * word_bits


@pytest.mark.parametrize("seat", SEATS)
@pytest.mark.parametrize("reading", READINGS)
@pytest.mark.parametrize("name", EVERY)
def test_good_play_on_every_board(name, reading, seat):
    game = housed(seat=seat)
    play = play_of(game, reading, never_losing(game))
    packed = encodings()[name].pack(play, machine(12))
    assert decoded(play, packed, play.codes) == play.moves.tolist()
    assert decoded(play, packed, play.codes[::-1]) == play.moves[::-1].tolist()


# --- the slow obvious way to pack each ------------------------------------------------------------


def obvious_board(game, code):
    """The digits of a board in base 3, cell 0 the lowest: 0 free, 1 the machine's, 2 the visitor's."""
    first, second = (int(held[0]) for held in game.fair.holdings(one(code)))
    mine, visitors = (first, second) if game.seat == FIRST else (second, first)
    return sum((mine >> c & 1) * 3**c + (visitors >> c & 1) * 2 * 3**c for c in range(game.fair.board.size))


def obvious_answers(play):
    """Board number to move, for every board or for the least images alone."""
    answers = {}
    for code, move in zip(play.codes, play.moves, strict=True):
        if play.reading == TURNED:
            images = [play.game.fair.turned(s, np.array([code])) for s in range(play.game.symmetries)]
            by = min(range(play.game.symmetries), key=lambda s, images=images: (int(images[s][0]), s))
            code, move = images[by][0], play.game.fair.turned_move(by, np.array([move]))[0]  # noqa: PLW2901
        assert answers.setdefault(obvious_board(play.game, int(code)), int(move)) == move
    return answers


def cut(digits, size):
    return [digits[at : at + size] for at in range(0, len(digits), size)]


def obvious_words(values, bits, word_bits):
    """Fields of some bits as words: digits low end first, whole fields in a word or whole words in a field."""
    fields = [f"{value:0{bits}b}"[::-1] for value in values]
    if bits > word_bits:
        words = [word for field in fields for word in cut(field, word_bits)]
    else:
        words = ["".join(group) for group in cut(fields, word_bits // bits)]
    return tuple(int(word[::-1], 2) for word in words)


@FEWER
@given(plays(), st.integers(4, 40))
def test_dense_is_packed_the_obvious_way(play, word_bits):
    answers = obvious_answers(play)
    cells, moves = play.game.fair.board.size, play.game.fair_moves
    least, greatest = min(answers), max(answers)
    number = len(f"{3**cells - 1:b}")
    table = [answers.get(board, 0) for board in range(least, greatest + 1)]
    packed = encodings()["dense"].pack(play, machine(word_bits))
    assert packed.words == (
        *obvious_words([least], number, word_bits),
        *obvious_words(table, len(f"{moves - 1:b}"), word_bits),
    )
    assert packed.answers == len(answers)


@FEWER
@given(plays(), st.integers(4, 40))
def test_sorted_keys_are_packed_the_obvious_way(play, word_bits):
    answers = obvious_answers(play)
    boards = sorted(answers)
    key_bits = (boards[-1] - boards[0]).bit_length()
    number, move = len(f"{3**play.game.fair.board.size - 1:b}"), len(f"{play.game.fair_moves - 1:b}")
    keys, moves = [board - boards[0] for board in boards], [answers[board] for board in boards]
    head = (
        *obvious_words([len(boards)], number, word_bits),
        *obvious_words([boards[0]], number, word_bits),
        *obvious_words([key_bits], len(f"{number:b}"), word_bits),
    )
    beside = obvious_words(
        [key + (answer << key_bits) for key, answer in zip(keys, moves, strict=True)],
        key_bits + move,
        word_bits,
    )
    apart = (
        *(obvious_words(keys, key_bits, word_bits) if key_bits else ()),
        *obvious_words(moves, move, word_bits),
    )
    packed = encodings()["sorted-keys"].pack(play, machine(word_bits))
    assert packed.words == head + min(beside, apart, key=len)


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
            return (f"{place:0{width}b}"[::-1] if width else "") + ("" if after is None else digits(after))
        return "".join(
            digits(after) for _, after in sorted(led_to.get(board, {}).items()) if after is not None
        )

    return digits(game.fair.start)


@FEWER
@given(plays(), st.integers(4, 40))
def test_plain_reply_tree_is_packed_the_obvious_way(play, word_bits):
    if play.reading == PLAIN:
        digits = obvious_tree(play)
        packed = encodings()["reply-tree"].pack(play, machine(word_bits))
        assert packed.words == tuple(int(word[::-1], 2) for word in cut(digits, word_bits))
        assert packed.bits == len(digits)


@pytest.mark.parametrize("house", HOUSES)
@pytest.mark.parametrize("seat", SEATS)
@pytest.mark.parametrize("reading", READINGS)
@pytest.mark.parametrize("name", ["two-by-two", "pong-hau-ki"])
def test_reply_tree_of_a_game_that_counts_plies(name, reading, seat, house):
    """Wrong input that is forgiven makes another ply of the same board, so it has a branch of its own."""
    fair = limited(load_game(name), 7)
    game = HousedGame(fair, load_house_rules(house, fair), seat)
    play = play_of(game, reading, any_move(4))
    packed = encodings()["reply-tree"].pack(play, machine(12))
    verify(play, packed)
    if reading == PLAIN:
        digits = tree_of_all_positions(play)
        assert packed.words == tuple(int(word[::-1], 2) for word in cut(digits, 12))


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
        return (f"{answer:0{width}b}"[::-1] if width else "") + digits(after[0])

    return digits(graph.start)


def answer_by_tree(play, packed, line):
    """The machine's answer after a line of fair moves, found as its program would find it: skip, skip, read."""
    game, at = play.game, 0
    digits = "".join(f"{word:0{packed.word_bits}b}"[::-1] for word in packed.words)

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
        place = int(digits[skipped : skipped + width][::-1] or "0", 2)
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
    return moves[int(digits[at : at + width][::-1] or "0", 2)]


@cache
def some_tree(seat):
    play = play_of(housed(seat=seat), PLAIN, any_move(7))
    return play, encodings()["reply-tree"].pack(play, machine(11))


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


# --- no wrong bit gets past -----------------------------------------------------------------------


def flipped(packed, word, bit):
    words = list(packed.words)
    words[word] ^= 1 << bit
    return packed._replace(words=tuple(words))


def live_bits(play, packed):
    """The bits whose flip must be found, as pairs of word and bit: those of fields that some board asks for."""
    word_bits = packed.word_bits
    answers = obvious_answers(play)
    if packed.encoding == "dense":
        width = (play.game.fair_moves - 1).bit_length()
        head = -(-len(f"{3**play.game.fair.board.size - 1:b}") // word_bits)
        per_word = word_bits // width
        for board in answers:
            word, place = divmod(board - min(answers), per_word)
            yield from ((head + word, place * width + bit) for bit in range(width))
    if packed.encoding == "reply-tree":
        yield from (divmod(at, word_bits) for at in range(packed.bits))
    if packed.encoding == "sorted-keys":
        number = len(f"{3**play.game.fair.board.size - 1:b}")
        widths = [number, number, len(f"{number:b}")]
        head = sum(-(-width // word_bits) for width in widths)
        key, move = (max(answers) - min(answers)).bit_length(), (play.game.fair_moves - 1).bit_length()
        count = len(answers)
        runs = (
            [(key + move, count)]
            if packed.notes[0].endswith("each move beside its key")
            else [(key, count), (move, count)]
        )
        for width, fields in runs:
            yield from field_bits(head, width, fields, word_bits)
            head += (
                -(-fields // (word_bits // width)) if width <= word_bits else fields * -(-width // word_bits)
            )


def field_bits(first, width, fields, word_bits):
    for field in range(fields):
        for bit in range(width):
            if width > word_bits:
                word, inside = divmod(bit, word_bits)
                yield first + field * -(-width // word_bits) + word, inside
            else:
                word, place = divmod(field, word_bits // width)
                yield first + word, place * width + bit


@pytest.mark.parametrize("word_bits", [4, 12, 18, 31])
@pytest.mark.parametrize("reading", READINGS)
@pytest.mark.parametrize("name", EVERY)
def test_every_flipped_bit_of_an_answer_is_found(name, reading, word_bits):
    play = play_of(housed("two-by-two", "lost-turn", SECOND), reading, any_move(3))
    packed = encodings()[name].pack(play, machine(word_bits))
    verify(play, packed)
    bits = list(live_bits(play, packed))
    assert len(set(bits)) == len(bits) > 0
    for word, bit in bits:
        with pytest.raises(RuntimeError, match=name):
            verify(play, flipped(packed, word, bit))


@pytest.mark.parametrize("seat", SEATS)
@pytest.mark.parametrize("reading", READINGS)
@pytest.mark.parametrize("name", EVERY)
def test_flipped_bits_of_a_larger_table_are_found(name, reading, seat):
    play = play_of(housed(seat=seat), reading, any_move(5))
    packed = encodings()[name].pack(play, machine(18))
    for word, bit in random.Random(1).sample(list(live_bits(play, packed)), 60):
        with pytest.raises(RuntimeError, match=name):
            verify(play, flipped(packed, word, bit))


@pytest.mark.parametrize("name", EVERY)
@given(st.data())
def test_any_words_at_all_are_read_or_refused(name, data):
    """Whatever stands in the store, a decoder ends and answers, or says that it cannot."""
    play = play_of(housed("two-by-two", "lost-turn", SECOND), PLAIN, any_move(3))
    packed = encodings()[name].pack(play, machine(5))
    words = data.draw(st.lists(st.integers(0, 31), max_size=len(packed.words) + 3))
    wrong = packed._replace(words=tuple(words))
    try:
        verify(play, wrong)
    except RuntimeError:
        assert wrong.words != packed.words


@pytest.mark.parametrize("name", EVERY)
def test_word_that_is_too_long_is_found(name):
    play = play_of(housed("two-by-two"), PLAIN, any_move(3))
    packed = encodings()[name].pack(play, machine(5))
    with pytest.raises(RuntimeError, match="does not fit in 5 bits"):
        verify(play, flipped(packed, 0, 5))


@pytest.mark.parametrize("name", EVERY)
def test_answer_of_another_play_is_found(name):
    game = housed()
    one_play, other = (play_of(game, PLAIN, any_move(seed)) for seed in (1, 2))
    packed = encodings()[name].pack(one_play, machine(18))
    with pytest.raises(RuntimeError, match=r"differs on|cannot be read back"):
        verify(other, packed)


# --- what cannot be packed ------------------------------------------------------------------------


def wide_game():
    """Two in a row on 7 x 2: soon over, and too wide for a dense table."""
    fair = parse_game(
        'kind = "game"\nfamily = "marks"\ncolumns = 7\nrows = 2\nin-a-row = 2\n', "seven-by-two.toml"
    )
    return HousedGame(fair, load_house_rules("usual", fair), FIRST)


def test_table_that_no_store_holds_is_not_built():
    game = wide_game()
    play = play_of(game, PLAIN, any_move(1))
    with pytest.raises(NotApplicable, match=f"more than the {LARGEST_TABLE:,} of the largest store"):
        encodings()["dense"].pack(play, machine(4))
    verify(play, encodings()["sorted-keys"].pack(play, machine(4)))
    verify(play, encodings()["reply-tree"].pack(play, machine(4)))


def test_lines_without_end_are_no_tree():
    """The machine's first move leads back to the start: a play that goes round for ever."""
    game = housed("two-by-two")
    play = play_of(game, PLAIN, any_move(1))
    graph = play.graph
    graph.child[0] = graph.start
    with pytest.raises(NotApplicable, match="play can go on for ever"):
        encodings()["reply-tree"].pack(play, machine(18))


def test_tree_of_too_many_positions_is_not_built(monkeypatch):
    play = play_of(housed(), PLAIN, any_move(1))
    monkeypatch.setattr(reply_tree, "MOST_POSITIONS", 50)
    with pytest.raises(NotApplicable, match="more than 50 positions"):
        reply_tree.pack(play, machine(18))


class Pebbles:
    """A family without cells that are held: take one or two pebbles of seven; whoever takes the last wins."""

    name = title = "pebbles"
    size, origin, rules = "7 pebbles", "Traditional.", ("Take one or two.",)
    bits, start, other_start, symmetries, can_repeat = 3, 7, None, 1, False
    move_names = ("1", "2")
    refusals = ("too-many",)

    def moves(self, codes):
        left = codes & np.uint64(7)
        parent = np.concatenate([np.nonzero(left >= 1)[0], np.nonzero(left >= 2)[0]])
        move = np.concatenate([np.zeros((left >= 1).sum()), np.ones((left >= 2).sum())]).astype(np.uint16)
        return MoveList(parent, move, (codes[parent] - move.astype(np.uint64) - np.uint64(1)) ^ TURN)

    def mover(self, codes):
        return turn_of(codes)

    def ending(self, codes):
        winner = np.where(turn_of(codes) == FIRST, SECOND_WINS, FIRST_WINS)
        return np.where(codes & np.uint64(7) == 0, winner, UNFINISHED).astype(np.uint8)

    def turned(self, symmetry, codes):
        return codes

    def turned_move(self, symmetry, moves):
        return moves

    def why_not(self, codes, moves):
        return (codes & np.uint64(7) < moves + 1).astype(np.uint8)


@pytest.mark.parametrize("seat", SEATS)
@pytest.mark.parametrize("house", HOUSES)
def test_game_without_cells_is_stored_along_its_lines_only(seat, house):
    fair = Pebbles()
    game = HousedGame(fair, load_house_rules(house, fair), seat)
    play = play_of(game, PLAIN, any_move(2))
    verify(play, encodings()["reply-tree"].pack(play, machine(8)))
    for name in ("dense", "sorted-keys"):
        with pytest.raises(NotApplicable, match="no board of cells"):
            encodings()[name].pack(play, machine(8))


class HalfSeen:
    """A board of which only the upper row is seen, so that who holds which cell does not tell positions apart."""

    def __init__(self, whole):
        self._whole = whole

    def __getattr__(self, name):
        return getattr(self._whole, name)

    def holdings(self, codes):
        return tuple(held & np.uint64(0b0011) for held in self._whole.holdings(codes))


def test_boards_that_look_alike_are_not_stored_by_their_cells():
    fair = HalfSeen(load_game("two-by-two"))
    game = HousedGame(fair, load_house_rules("lost-turn", fair), FIRST)
    play = play_of(game, PLAIN, any_move(2))
    for name in ("dense", "sorted-keys"):
        with pytest.raises(NotApplicable, match="does not tell the boards"):
            encodings()[name].pack(play, machine(8))
    verify(play, encodings()["reply-tree"].pack(play, machine(8)))


def test_machine_that_never_moves_has_nothing_to_store():
    """The visitor's first mark fills a line and loses."""
    fair = parse_game(
        'kind = "game"\nfamily = "marks"\ncolumns = 2\nrows = 1\nlines = [["a1", "b1"]]\n', "two.toml"
    )
    game = HousedGame(fair, load_house_rules("usual", fair), SECOND)
    play = play_of(game, PLAIN, any_move(1))
    nothing = FixedPlay(game, PLAIN, play.graph, play.codes[:0], play.moves[:0])
    with pytest.raises(NotApplicable, match="never has to move"):
        encodings()["dense"].pack(nothing, machine(8))


def test_board_with_too_many_cells_has_no_number():
    """No family has so many cells yet, so a board of noughts and crosses says that it has."""
    game = housed()
    play = play_of(game, PLAIN, any_move(1))
    wide = HalfSeen(game.fair)
    wide.board = Board(11, 3)
    play.game = HousedGame(wide, game.house, FIRST)
    with pytest.raises(
        NotApplicable, match="a board of 33 cells makes numbers that are too wide; expected at most 32"
    ):
        encodings()["sorted-keys"].pack(play, machine(18))
