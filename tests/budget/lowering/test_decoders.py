"""Every encoding in programs: they answer as the play does in every state, and no wrong word gets past that."""

import random
from functools import cache

import numpy as np
import pytest

from budget.boards import numberings, stored_answers
from budget.card import load_machine
from budget.closing import Differs, Patience, TooSlow, close
from budget.conversation import Conversation
from budget.encodings import encodings, verify
from budget.lowering import turning
from budget.lowering.answering import table_lines
from budget.lowering.answering.table import packed_answerer, table_answerer
from budget.lowering.lower import lower, search_for
from budget.lowering.text import NotLowered
from budget.lowering.turning_walk import exchanged
from games.codes import FIRST, SECOND, UNFINISHED
from games.game import least_images
from games.house import load_house_rules, parse_house_rules
from games.housed import HousedGame
from games.load import load_game
from solver.best import prove_best
from solver.fixed import PLAIN, TURNED, fix
from solver.proof import prove
from solver.sheet.reader import SheetReader
from solver.solve import solve
from solver.strategy import Strategy
from tests.budget.lowering.test_small import WINS_FIRST
from tests.budget.plays import any_move, never_losing, play_of
from tests.budget.test_closing import HOUSE
from tests.sampled import sampled


@cache
def played(game, seat, reading, house="by-key"):
    fair = load_game(game)
    rules = (
        parse_house_rules(HOUSE, "by-key.toml", fair) if house == "by-key" else load_house_rules(house, fair)
    )
    housed = HousedGame(fair, rules, seat)
    return play_of(housed, reading, never_losing(housed) if house in ("by-key", "usual") else any_move(3))


def closed(play, encoding, machine):
    """The program of a play with its table, once it has been held against the play in every state."""
    card = load_machine(machine)
    lowered = lower(play, card, table_answerer(play, encoding))
    assert close(lowered.program, Conversation(play, card)).states > 1
    return lowered


TABLES = ("diagram", "hashed", "pictures", "reply-tree", "sorted-keys", "sorted-keys-halved")
CASES = [
    *((name, FIRST, PLAIN, "home-1k") for name in TABLES),
    *((name, FIRST, PLAIN, "transistor-39") for name in ("dense", *TABLES)),
    *((name, SECOND, TURNED, "twelve-bit") for name in TABLES),
    ("dense", FIRST, PLAIN, "flash-8k"),
    ("dense", SECOND, TURNED, "transistor-39"),
    ("reply-tree", SECOND, PLAIN, "twelve-bit"),
    ("hashed", FIRST, TURNED, "flash-8k"),
    ("sorted-keys", SECOND, PLAIN, "flash-8k"),
    ("sorted-keys-halved", SECOND, PLAIN, "twelve-bit"),
]


def later_unless_quick(case):
    """The second seat meets more positions, and words of 8 bits take more orders."""
    _, seat, _, machine = case
    is_quick = seat == FIRST and machine == "transistor-39"
    return pytest.param(*case, marks=() if is_quick else pytest.mark.long)


@pytest.mark.parametrize(("name", "seat", "reading", "machine"), [later_unless_quick(case) for case in CASES])
def test_noughts_and_crosses_by_a_table(name, seat, reading, machine):
    lowered = closed(played("noughts-and-crosses", seat, reading), name, machine)
    assert lowered.words.table > 0


@pytest.mark.parametrize("name", sampled(TABLES, every=3))
def test_a_lost_turn_is_followed(name):
    """After a lost turn too the machine answers the board as it stands; a reply tree has a branch for it."""
    closed(played("two-by-two", SECOND, PLAIN, "lost-turn"), name, "twelve-bit")


FAMILIES = [
    ("nim-1-2-3", FIRST, ("home-1k", "transistor-39", "twelve-bit")),
    ("hexapawn", SECOND, ("flash-8k", "transistor-39", "twelve-bit")),
    ("falling-three-4x3", FIRST, ("flash-8k", "transistor-39", "twelve-bit")),
]


OTHERS = [
    (game, seat, machines[number % len(machines)], name)
    for game, seat, machines in FAMILIES
    for number, name in enumerate(["dense", *TABLES])
    if name != "dense" or game == "nim-1-2-3"  # the others do not fit everywhere
]


@pytest.mark.parametrize(("game", "seat", "machine", "name"), sampled(OTHERS, every=4))
def test_tables_of_other_families(game, seat, machine, name):
    """Digits of any base, on a machine that changes with the encoding."""
    closed(played(game, seat, PLAIN if name == "pictures" else TURNED, "usual"), name, machine)


def test_lines_through_least_images_are_not_played_through():
    play = played("noughts-and-crosses", FIRST, TURNED)
    with pytest.raises(NotLowered, match="played through"):
        lower(play, load_machine("twelve-bit"), packed_answerer(of_bits(play, 12)))


@pytest.mark.parametrize(
    ("game", "seat", "house", "machine", "layout"),
    [
        pytest.param("two-by-two", SECOND, "lost-turn", "twelve-bit", 1, marks=pytest.mark.long),
        ("two-by-two", SECOND, "usual", "transistor-39", 2),
        ("nim-1-2-3", FIRST, "usual", "home-1k", 3),
        pytest.param("noughts-and-crosses", FIRST, "by-key", "twelve-bit", 3, marks=pytest.mark.long),
    ],
)
def test_a_turned_reply_tree_is_followed_by_the_ends_of_numbers(game, seat, house, machine, layout):
    """Labels in one number with the rest, beside the answers, or in a table of their own."""
    play, card = played(game, seat, TURNED, house), load_machine(machine)
    packed = encodings()["reply-tree"].lay_out(play).pack_as(layout, card.word_bits)
    verify(play, packed)
    lowered = search_for(play, card, packed_answerer(packed)).roughly()
    assert close(lowered.program, Conversation(play, card)).states > 1


def test_no_fewer_bits_of_a_number_tell_branches_apart():
    """Every board that follows an answer, gone through by hand: the ends differ, and one bit less would not do."""
    play = played("noughts-and-crosses", FIRST, TURNED)
    bits = encodings()["reply-tree"].lay_out(play).layouts[1].constants["label"]
    numbering = numberings(play.game)[0]
    fair, answers = play.game.fair, dict(zip(*(each.tolist() for each in stored_answers(play)), strict=True))

    def alike(bits, board):
        """Whether two images that come after the machine's move on a board have the same end."""
        images = least_images(fair, fair.moves(after_answer(fair, board, answers)).child)[0]
        images = np.unique(images[fair.ending(images) == UNFINISHED])
        return len({number % 2**bits for number in numbering(images).tolist()}) < len(images)

    reached = [board for board in answers if fair.ending(after_answer(fair, board, answers)) == UNFINISHED]
    assert not any(alike(bits, board) for board in reached)
    assert any(alike(bits - 1, board) for board in reached)


def after_answer(fair, board, answers):
    moves = fair.moves(np.array([board], dtype=np.uint64))
    return moves.child[moves.move == answers[board]]


LINES = [
    ("noughts-and-crosses", FIRST, "by-key", "transistor-39"),
    ("two-by-two", SECOND, "lost-turn", "twelve-bit"),
    ("nim-1-2-3", FIRST, "usual", "flash-8k"),
    pytest.param("falling-three-4x3", FIRST, "usual", "home-1k", marks=pytest.mark.long),
    pytest.param("hex-three", FIRST, "usual", "twelve-bit", marks=pytest.mark.long),
]


def of_bits(play, word_bits):
    """A reply tree of bits, also where another layout takes fewer words."""
    return encodings()["reply-tree"].lay_out(play).pack_as(0, word_bits)


@pytest.mark.parametrize(("game", "seat", "house", "machine"), LINES)
def test_branches_are_passed_over_by_playing_them_through(game, seat, house, machine):
    """Also a branch of a lost turn; the answers of all lines are read bit by bit."""
    play, card = played(game, seat, PLAIN, house), load_machine(machine)
    lowered = lower(play, card, packed_answerer(of_bits(play, card.word_bits)))
    assert close(lowered.program, Conversation(play, card)).states > 1


@pytest.mark.long
def test_noughts_and_crosses_by_a_reply_tree_takes_less_than_three_hundred_words():
    """By hand such a program takes about 320 words (common practice)."""
    fair = load_game("noughts-and-crosses")
    best = prove_best(solve(fair).solved, SECOND, PLAIN, parse_house_rules(HOUSE, "by-key.toml", fair))
    assert closed(fix(best, PLAIN), "reply-tree", "twelve-bit").words.total < 300


def test_too_many_answers_are_not_passed_over(monkeypatch):
    play = played("two-by-two", SECOND, PLAIN, "usual")
    monkeypatch.setattr(table_lines, "MOST_ANSWERS", 3)
    with pytest.raises(NotLowered, match="more than 3 answers are not passed over"):
        lower(play, load_machine("twelve-bit"), packed_answerer(of_bits(play, 12)))


LAYOUTS = [(machine, layout) for machine in ("home-1k", "transistor-39", "twelve-bit") for layout in range(4)]


@pytest.mark.long
@pytest.mark.parametrize(("machine", "layout"), LAYOUTS)
def test_keys_are_halved_however_they_lie(machine, layout):
    """Several to a word, one, or in several words; beside their moves or before them; moves by number or by place."""
    play, card = played("two-by-two", SECOND, PLAIN, "lost-turn"), load_machine(machine)
    table = encodings()["sorted-keys-halved"].lay_out(play)
    packed = table.pack_as(layout % len(table.layouts), card.word_bits)
    assert close(lower(play, card, packed_answerer(packed)).program, Conversation(play, card)).states > 1


@pytest.mark.long
def test_many_keys_are_found_in_fewer_instructions_by_halving():
    """And in more words."""
    play, card = played("falling-three-4x3", SECOND, PLAIN, "usual"), load_machine("transistor-39")
    found = [lower(play, card, table_answerer(play, name)) for name in ("sorted-keys", "sorted-keys-halved")]
    worst = [close(each.program, Conversation(play, card)).worst.instructions for each in found]
    assert worst[1] < worst[0]
    assert found[0].words.total < found[1].words.total


def test_the_smallest_layout_is_taken():
    play, card = played("noughts-and-crosses", FIRST, PLAIN), load_machine("twelve-bit")
    table = encodings()["hashed"].lay_out(play)
    words = []
    for place in range(len(table.layouts)):
        try:
            words.append(lower(play, card, packed_answerer(table.pack_as(place, 12))).words.total)
        except NotLowered:
            continue
    assert lower(play, card, table_answerer(play, "hashed")).words.total == min(words)


# --- no wrong word gets past ----------------------------------------------------------------------


def spoilt(play, packed, seed):
    """The same words with one bit of one that matters the other way; it matters if Python's reading differs."""
    some = random.Random(seed)
    while True:
        words = list(packed.words)
        words[some.randrange(len(words))] ^= 1 << some.randrange(packed.word_bits)
        wrong = packed._replace(words=tuple(words))
        try:
            verify(play, wrong)
        except RuntimeError as difference:
            if "differs on" in str(difference) and "65535" not in str(difference):
                return wrong


SPOILT = [(name, seed) for name in ("diagram", "hashed", "pictures", "sorted-keys") for seed in (1, 2)]


@pytest.mark.parametrize(
    ("name", "seed"),
    [
        *SPOILT,
        pytest.param("dense", 1, marks=pytest.mark.long),
        pytest.param("sorted-keys-halved", 1, marks=pytest.mark.long),
        pytest.param("weights", 1, marks=pytest.mark.long),
    ],
)
def test_a_wrong_bit_is_found_in_the_program(name, seed):
    """A board is answered by another move than it should be, and `close` says so."""
    card = load_machine("transistor-39" if name == "dense" else "twelve-bit")
    play = weighed() if name == "weights" else played("noughts-and-crosses", FIRST, PLAIN)
    table = encodings()[name].lay_out(play)
    place = max(range(len(table.layouts)), key=lambda place: "by place" in table.layouts[place].note)
    packed = table.pack_as(place, card.word_bits)
    program = lower(play, card, packed_answerer(spoilt(play, packed, seed))).program
    with pytest.raises(Differs):
        close(program, Conversation(play, card))


def weighed():
    """A play that has weights: by them it was made."""
    game = load_game("noughts-and-crosses")
    rules = SheetReader("", WINS_FIRST.split("\n"), game).read(0)
    house = parse_house_rules(HOUSE, "by-key.toml", game)
    return fix(prove(Strategy("", "", game, SECOND, rules), "never-loses", house), PLAIN)


@pytest.mark.long
def test_a_turn_that_exchanges_too_little_is_found(monkeypatch):
    play, card = played("noughts-and-crosses", SECOND, TURNED), load_machine("twelve-bit")
    monkeypatch.setattr(turning, "exchanged", lambda step, total: [*exchanged(step, total)[1:], (0, 0)])
    lowered = search_for(play, card, table_answerer(play, "hashed")).roughly()
    with pytest.raises((Differs, TooSlow)):
        close(lowered.program, Conversation(play, card), patience=Patience(100_000, None))


def test_a_wrong_bit_is_found_in_a_row_of_bits():
    play, card = played("two-by-two", SECOND, PLAIN, "usual"), load_machine("transistor-39")
    wrong = spoilt(play, of_bits(play, card.word_bits), 1)
    with pytest.raises(Differs):
        close(lower(play, card, packed_answerer(wrong)).program, Conversation(play, card))


def test_a_wrong_bit_is_found_in_a_turned_tree():
    """The lowest bit of the first answer, the lowest of its table."""
    play, card = played("two-by-two", SECOND, TURNED, "usual"), load_machine("transistor-39")
    packed = encodings()["reply-tree"].lay_out(play).pack_as(3, card.word_bits)
    words = list(packed.words)
    words[len(packed.words_of(0))] ^= 1
    lowered = search_for(play, card, packed_answerer(packed._replace(words=tuple(words)))).roughly()
    with pytest.raises((Differs, TooSlow)):
        close(lowered.program, Conversation(play, card), patience=Patience(20_000, None))


def test_two_answers_that_have_changed_places_are_found_in_a_tree():
    play, card = played("noughts-and-crosses", FIRST, PLAIN), load_machine("twelve-bit")
    packed = encodings()["reply-tree"].lay_out(play).pack_as(1, 12)
    label, bits = packed.constants["label"], packed.constants["move"]
    answers = [word >> label & (1 << bits) - 1 for word in packed.words]
    first, second = 1, next(place for place in range(2, len(answers)) if answers[place] != answers[1])
    words = list(packed.words)
    for place, answer in ((first, answers[second]), (second, answers[first])):
        words[place] += (answer - answers[place]) << label
    program = lower(play, card, packed_answerer(packed._replace(words=tuple(words)))).program
    with pytest.raises(Differs):
        close(program, Conversation(play, card))
