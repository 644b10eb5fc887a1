"""Every encoding answers as the play does, and no wrong bit gets past the check."""

import random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from budget import lines
from budget.boards import numbered_answers
from budget.encodings import encodings, verify
from budget.encodings.hashed import hash_in
from budget.packed import LARGEST_TABLE, NotApplicable
from games.codes import FIRST, FIRST_WINS, SECOND, SECOND_WINS, TURN, UNFINISHED, MoveList, turn_of
from games.house import load_house_rules
from games.housed import HousedGame
from games.load import load_game, parse_game
from solver.fixed import PLAIN, FixedPlay
from tests.budget.packed_plays import (
    CERTAIN,
    EVERY,
    HOUSES,
    READINGS,
    SEARCHED,
    SEATS,
    STORING,
    decoded,
    obvious_answers,
    packed_by,
    packed_if_any,
    plays,
)
from tests.budget.plays import FEWER, any_move, housed, legal, never_losing, play_of


def test_every_file_is_an_encoding():
    assert {
        "dense",
        "diagram",
        "sorted-keys-halved",
        "hashed",
        "pictures",
        "reply-tree",
        "sorted-keys",
    } <= set(EVERY)
    assert all(name == encodings()[name].NAME for name in EVERY)


@pytest.mark.parametrize("name", EVERY)
@FEWER
@given(plays(), st.integers(4, 40))
def test_encoding_answers_as_the_play_does(name, play, word_bits):
    try:
        table = encodings()[name].lay_out(play)
    except NotApplicable:
        assert name in SEARCHED
        return
    some = random.Random(1).sample(range(len(play.codes)), min(20, len(play.codes)))
    for place, layout in enumerate(table.layouts):
        packed = table.pack_as(place, word_bits)
        verify(play, packed)
        assert decoded(play, packed, play.codes[some]) == play.moves[some].tolist()
        assert decoded(play, packed, play.codes[[some[0]]]) == [play.moves[some[0]]]
        assert len(packed.words) == layout.shape.words(word_bits)
        assert layout.shape.bits <= len(packed.words) * word_bits
    assert table.pack(word_bits).words == table.pack_as(table.shape.shortest(word_bits), word_bits).words


@pytest.mark.parametrize("seat", SEATS)
@pytest.mark.parametrize("reading", READINGS)
@pytest.mark.parametrize("name", STORING)
def test_good_play_on_every_board(name, reading, seat):
    game = housed(seat=seat)
    play = play_of(game, reading, never_losing(game))
    packed = packed_by(name, play, 12)
    assert decoded(play, packed, play.codes) == play.moves.tolist()
    assert decoded(play, packed, play.codes[::-1]) == play.moves[::-1].tolist()


# --- no wrong bit gets past -----------------------------------------------------------------------


def flipped(packed, word, bit):
    words = list(packed.words)
    words[word] ^= 1 << bit
    return packed._replace(words=tuple(words))


def live_bits(play, packed):
    """Bits whose flip must be found, as pairs of word and bit: those of numbers that some board asks for."""
    if packed.encoding == "reply-tree":
        for at in range(packed.columns[0][1]):
            yield at // packed.word_bits, packed.word_bits - 1 - at % packed.word_bits
        return
    columns = {0: range(packed.columns[0][1])}
    if packed.encoding == "dense":
        least = packed.constants["least"]
        columns = {0: [board - least for board in obvious_answers(play, by_place=False)]}
    if packed.encoding in ("sorted-keys", "sorted-keys-halved") and len(packed.columns) > 1:
        columns[1] = range(packed.columns[1][1])
    if packed.encoding == "hashed":
        columns = {1: slots_met(play, packed)}
    begin = 0
    for column in range(len(packed.columns)):
        run = packed.run(column)
        for place in columns.get(column, ()):
            yield from ((begin + word, bit) for word, bit in bits_of_number(run, place))
        begin += run.words


def bits_of_number(run, place):
    for bit in range(run.bits):
        if run.bits > run.word_bits:
            yield bit // run.word_bits * run.total + place, bit % run.word_bits
        else:
            yield place % run.words, place // run.words * run.bits + bit


def slots_met(play, packed):
    """The slots of a hash to which the boards of a play lead."""
    boards = np.array(list(obvious_answers(play, by_place=False)), dtype=np.uint64)
    digits = np.stack(
        [boards // np.uint64(3**cell) % np.uint64(3) for cell in range(9 if boards.max() > 80 else 4)], 1
    )
    rows, columns = hash_in(packed).of(digits)
    return set((packed.read(0, rows) + columns.astype(np.uint64)).tolist())


FLIPPED = [name for name in EVERY if name not in ("diagram", "pictures", "weights")]
"""A wrong way in a diagram can lead to the right move, and a picture that asks for something else may do as well."""


@pytest.mark.parametrize("word_bits", [4, 12, 18, 31])
@pytest.mark.parametrize("reading", READINGS)
@pytest.mark.parametrize("name", FLIPPED)
def test_every_flipped_bit_of_an_answer_is_found(name, reading, word_bits):
    play = play_of(housed("two-by-two", "lost-turn", SECOND), reading, any_move(3))
    packed = packed_if_any(name, play, word_bits)
    if packed is None:
        return
    verify(play, packed)
    bits = list(live_bits(play, packed))
    assert len(set(bits)) == len(bits) > 0
    for word, bit in bits:
        with pytest.raises(RuntimeError, match=name):
            verify(play, flipped(packed, word, bit))


@pytest.mark.parametrize("seat", SEATS)
@pytest.mark.parametrize("reading", READINGS)
@pytest.mark.parametrize("name", FLIPPED)
def test_flipped_bits_of_a_larger_table_are_found(name, reading, seat):
    play = play_of(housed(seat=seat), reading, any_move(5))
    packed = packed_by(name, play, 18)
    bits = list(live_bits(play, packed))
    for word, bit in random.Random(1).sample(bits, min(len(bits), 60)):
        with pytest.raises(RuntimeError, match=name):
            verify(play, flipped(packed, word, bit))


@pytest.mark.parametrize("name", STORING)
@given(st.data())
def test_any_words_at_all_are_read_or_refused(name, data):
    """Whatever stands in the store, a decoder ends and answers, or says that it cannot."""
    play = play_of(housed("two-by-two", "lost-turn", SECOND), PLAIN, any_move(3))
    packed = packed_by(name, play, 5)
    words = data.draw(st.lists(st.integers(0, 31), max_size=len(packed.words) + 3))
    wrong = packed._replace(words=tuple(words))
    try:
        verify(play, wrong)
    except RuntimeError:
        assert wrong.words != packed.words


@pytest.mark.parametrize("name", EVERY)
def test_word_that_is_too_long_is_found(name):
    play = play_of(housed("two-by-two"), PLAIN, any_move(3))
    packed = packed_by(name, play, 5)
    with pytest.raises(RuntimeError, match="does not fit in 5 bits"):
        verify(play, flipped(packed, 0, 5))


@pytest.mark.parametrize("name", STORING)
def test_answer_of_another_play_is_found(name):
    game = housed()
    one_play, other = (play_of(game, PLAIN, any_move(seed)) for seed in (1, 2))
    packed = packed_by(name, one_play, 18)
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
        packed_by("dense", play, 4)
    verify(play, packed_by("sorted-keys", play, 4))
    verify(play, packed_by("reply-tree", play, 4))


def test_lines_without_end_are_no_tree():
    """The machine's first move leads back to the start: a play that goes round for ever."""
    game = housed("two-by-two")
    play = play_of(game, PLAIN, any_move(1))
    graph = play.graph
    graph.child[0] = graph.start
    with pytest.raises(NotApplicable, match="lines that go round are not written down"):
        packed_by("reply-tree", play, 18)


def test_tree_of_too_many_positions_is_not_built(monkeypatch):
    play = play_of(housed(), PLAIN, any_move(1))
    monkeypatch.setattr(lines, "MOST_POSITIONS", 50)
    with pytest.raises(NotApplicable, match="more than 50 positions"):
        packed_by("reply-tree", play, 18)


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


@pytest.mark.parametrize("name", CERTAIN)
@pytest.mark.parametrize("seat", SEATS)
@pytest.mark.parametrize("house", HOUSES)
def test_a_game_without_cells_is_stored_by_its_own_code(house, seat, name):
    fair = Pebbles()
    game = HousedGame(fair, load_house_rules(house, fair), seat)
    play = play_of(game, PLAIN, any_move(2))
    verify(play, packed_by(name, play, 8))


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
            packed_by(name, play, 8)
    verify(play, packed_by("reply-tree", play, 8))


def test_machine_that_never_moves_has_nothing_to_store():
    """The visitor's first mark fills a line and loses."""
    fair = parse_game(
        'kind = "game"\nfamily = "marks"\ncolumns = 2\nrows = 1\nlines = [["a1", "b1"]]\n', "two.toml"
    )
    game = HousedGame(fair, load_house_rules("usual", fair), SECOND)
    play = play_of(game, PLAIN, any_move(1))
    nothing = FixedPlay(game, PLAIN, play.graph, play.codes[:0], play.moves[:0])
    with pytest.raises(NotApplicable, match="never has to move"):
        packed_by("dense", nothing, 8)


class Remembering(HalfSeen):
    """A board of which nothing is seen, and a code that says more than its cells do."""

    @property
    def bits(self):
        return self._whole.bits + 1

    def holdings(self, codes):
        return codes * np.uint64(0), codes * np.uint64(0)


@pytest.mark.parametrize("name", ["dense", "sorted-keys"])
@pytest.mark.parametrize("reading", READINGS)
def test_boards_that_cells_do_not_tell_apart_are_stored_by_their_code(reading, name):
    """A bit in the head says so; where cells are enough for a play, they are taken, since they are narrower."""
    whole = load_game("two-by-two")
    fair = Remembering(whole)
    game = HousedGame(fair, load_house_rules("lost-turn", fair), FIRST)
    play = play_of(game, reading, any_move(2))
    verify(play, packed_by(name, play, 8))
    assert numbered_answers(play).numbering == 1
    fair.holdings = whole.holdings
    assert numbered_answers(play).numbering == 0
    verify(play, packed_by(name, play, 8))


@pytest.mark.parametrize("name", EVERY)
@pytest.mark.parametrize("reading", READINGS)
def test_mu_torere_has_a_table(name, reading):
    """Its code says how many men each side has still to move out of the way: more than the cells."""
    game = housed("small-mu-torere", "usual", SECOND)
    play = play_of(game, reading, never_losing(game))
    if name != "reply-tree":
        packed = packed_if_any(name, play, 12)
        assert packed is not None or name in SEARCHED
        if packed is not None:
            verify(play, packed)


@pytest.mark.parametrize("name", EVERY)
def test_what_house_rules_count_is_no_part_of_a_stored_board(name):
    """The machine's move hangs on the board alone, so warnings make no table larger."""
    games = [housed("two-by-two", house, FIRST) for house in ("usual", "three-warnings")]
    usual, counted = (play_of(game, PLAIN, never_losing(game)) for game in games)
    assert len(counted.graph) > len(usual.graph)
    assert np.array_equal(usual.codes, counted.codes)
    assert packed_by(name, usual, 12).words == packed_by(name, counted, 12).words
    verify(counted, packed_by(name, counted, 12))


def test_a_table_that_needs_no_bits_for_its_moves():
    """Always the least legal move: then the keys stand alone, and a dense table is its head."""
    game = housed("two-by-two")
    play = play_of(game, PLAIN, lambda game, code: legal(game, code)[0][0])
    for name in ("dense", "sorted-keys"):
        verify(play, packed_by(name, play, 8))
    by_place = encodings()["dense"].lay_out(play).pack(12)
    assert by_place.words == ()
    assert by_place.constants["by place"]
    [[_, total]] = encodings()["sorted-keys"].lay_out(play).shape.layouts[-1].columns
    assert total == len(play.codes)


class FarUp:
    """A game whose codes stand 54 bits further up."""

    def __init__(self, low):
        self._low = low
        self.bits, self.start = low.bits + 54, low.start << 54

    def __getattr__(self, name):
        return getattr(self._low, name)

    def down(self, codes):
        return (codes & ~TURN) >> np.uint64(54) | codes & TURN

    def moves(self, codes):
        found = self._low.moves(self.down(codes))
        return found._replace(child=(found.child & ~TURN) << np.uint64(54) | found.child & TURN)

    def mover(self, codes):
        return self._low.mover(self.down(codes))

    def ending(self, codes):
        return self._low.ending(self.down(codes))

    def turned(self, symmetry, codes):
        assert symmetry == 0
        return codes

    def why_not(self, codes, moves):
        return self._low.why_not(self.down(codes), moves)


@pytest.mark.parametrize("word_bits", [4, 12, 40])
def test_keys_too_wide_to_stand_beside_moves(word_bits):
    fair = FarUp(load_game("nim-3-4-5"))
    game = HousedGame(fair, load_house_rules("usual", fair), FIRST)
    play = play_of(game, PLAIN, any_move(3))
    verify(play, packed_by("sorted-keys", play, word_bits))
    notes = [layout.note for layout in encodings()["sorted-keys"].lay_out(play).layouts]
    assert notes
    assert all(note.startswith("keys of 62 bits") and note.endswith("behind all keys") for note in notes)
    with pytest.raises(NotApplicable, match="words of 40 bits, more than"):
        encodings()["dense"].lay_out(play)
