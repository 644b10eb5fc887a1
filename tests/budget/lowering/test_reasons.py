"""Why there is no program: whole sentences, as they stand in reports of sizes and plans."""

from types import SimpleNamespace

import numpy as np
import pytest

from budget.card import load_machine
from budget.encodings import encodings
from budget.hashing import Hash
from budget.lines import Course
from budget.lowering import turning_walk
from budget.lowering.answering import ahead, cells, pictures, sheet, shorter, table_lines, weights
from budget.lowering.answering.asked import Asked, Pictures, Stored, asked_in
from budget.lowering.answering.looked_up import answering as looked_up
from budget.lowering.answering.sheet import by_rules
from budget.lowering.answering.table_diagram import Walked
from budget.lowering.answering.table_halved import Halved
from budget.lowering.answering.table_hash import Hashed
from budget.lowering.answering.table_tree import CountedTurned
from budget.lowering.answering.table_weights import Scored
from budget.lowering.answering.table_words import BoardNumber
from budget.lowering.answering.table_words import Stored as Column
from budget.lowering.cell_names import Line
from budget.lowering.checksum import AT_START, guarded
from budget.lowering.choices import Choices
from budget.lowering.ground import Setting, ground_for
from budget.lowering.grounds.bits import BitsGround
from budget.lowering.keyboard import Keyboard
from budget.lowering.lined import write_lined
from budget.lowering.looking import looked_at
from budget.lowering.lower import FarBehind, TooLong, Words, endings_of, lower
from budget.lowering.name_list import NameList
from budget.lowering.naming import NumberNaming, naming_for
from budget.lowering.pair_names import PairNames, Spelling
from budget.lowering.saying import Saying
from budget.lowering.text import NotLowered, Text, WrongWay
from budget.lowering.turning import OnImages, Turning, _cells_of
from budget.lowering.wide import Wide
from games.codes import FIRST, SECOND
from games.house import load_house_rules
from games.housed import HousedGame
from games.load import parse_game
from games.problems import BadInput
from solver import meanings as means
from solver.fixed import PLAIN, TURNED, FixedPlay
from solver.strategy import OPEN, Strategy
from tests.budget.lowering import test_grounds as grounds
from tests.budget.lowering.naive import Naive, lowered
from tests.budget.lowering.test_rules import play_of as by_sheet
from tests.budget.plays import any_move, housed, legal, play_of

CARD, LONG, BYTES = (load_machine(name) for name in ("twelve-bit", "transistor-39", "flash-8k"))
NO_CELL = means.FirstOf((0,))


def setting_of(play, card=CARD, **picked):
    return Setting(Text(card), Choices(picked), play, endings_of(play))


def refusal(call, kind=NotLowered):
    """The sentence, and that it is of this kind and no other."""
    with pytest.raises(NotLowered) as refused:
        call()
    assert refused.type is kind
    return str(refused.value)


@pytest.fixture(scope="module")
def noughts():
    return play_of(housed(), PLAIN, any_move(3))


@pytest.fixture(scope="module")
def small():
    return play_of(housed("two-by-two"), PLAIN, any_move(3))


@pytest.fixture(scope="module")
def nim():
    return play_of(housed("nim-1-2-3"), PLAIN, any_move(3))


def asked_of(play, meaning):
    return Asked(meaning, play.codes, play.moves, np.ones(len(play.codes), dtype=np.bool_))


# --- words too short ----------------------------------------------------------------------------------


def test_what_a_word_holds_to_the_last_number():
    text = Text(load_machine("kit-96"))
    text.needs(-8, 7, "a")
    assert refusal(lambda: text.needs(-9, 7, "so little")) == "a word of 4 bits does not hold so little"
    assert refusal(lambda: text.needs(-8, 8, "so much")) == "a word of 4 bits does not hold so much"


def test_sets_are_as_long_as_a_word(noughts, small):
    assert refusal(lambda: BitsGround(setting_of(noughts, BYTES))) == "a word of 8 bits is no set of 9 cells"
    BitsGround(setting_of(small, load_machine("kit-96")))  # four cells, four bits


def test_tables_want_long_words(noughts):
    setting = setting_of(noughts, BYTES)
    ground = ground_for(setting)
    wide = SimpleNamespace(columns=((9, 4), (1, 4)), constants={"by place": 0})
    assert (
        refusal(lambda: Walked(setting, ground, wide), WrongWay) == "a word does not hold the place of a node"
    )
    for bits, reason in (
        (9, "a word does not hold the hash"),
        (8, "a word does not hold the shift of a row"),
    ):
        hash_ = Hash(((1, 1),), bits, 4, 4)
        assert refusal(lambda hash_=hash_: Hashed(setting, ground, wide, hash_), WrongWay) == reason
    eight = SimpleNamespace(columns=((8, 4), (1, 4)), constants={"by place": 0})
    Walked(setting, ground, eight)
    Hashed(setting, ground, eight, Hash(((1, 1),), 8, 4, 4))


def test_a_move_of_two_words_is_not_fetched(noughts):
    packed = encodings()["sorted-keys"].lay_out(noughts).pack_as(1, 3)
    text = Text(load_machine("kit-96"))
    column = Column(text, "moves", packed, 1)
    assert refusal(lambda: column.fetch(Wide(text, "at", 1))) == "a move takes more than one word"


def test_ends_of_numbers_are_as_long_as_a_word():
    play = play_of(housed("two-by-two"), TURNED, any_move(3))
    packed, setting = encodings()["reply-tree"].lay_out(play).pack_as(1, 8), setting_of(play, BYTES)
    CountedTurned(setting, ground_for(setting), packed._replace(constants={**packed.constants, "label": 8}))
    longer = packed._replace(constants={**packed.constants, "label": 9})
    assert refusal(lambda: CountedTurned(setting, ground_for(setting), longer)) == (
        "a word does not hold the end of a board's number that tells the branches apart"
    )


def test_messages_are_as_many_as_a_word_counts():
    """128 words of 8 bits: 127 codes and the end."""
    Saying(Text(BYTES), Choices()).offset((65,) * 127, "")
    reason = refusal(lambda: Saying(Text(BYTES), Choices()).offset((65,) * 128, ""))
    assert reason == "its messages are too long to be counted in a word"


def test_characters_wider_than_words():
    card = CARD._replace(characters=CARD.characters._replace(words_each=2))
    for part in (lambda: Saying(Text(card), Choices()), lambda: Keyboard(Text(card), ("a",))):
        assert refusal(part) == "characters are wider than words, and that is not written yet"


def test_what_is_too_long_says_how_long():
    assert str(TooLong(Words(1000, 200, 30, 4, 1), 1_024)) == "it takes 1,235 words, and the store has 1,024"


def test_what_is_far_behind_is_not_made_short(small):
    assert (
        refusal(lambda: lower(small, CARD, Naive, most=100), FarBehind) == "it takes far more than 100 words"
    )


# --- boards -------------------------------------------------------------------------------------------


def game_of(text):
    fair = parse_game(f'kind = "game"\n{text}\n', "test.toml")
    return HousedGame(fair, load_house_rules("usual", fair), SECOND)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        pytest.param(
            'family = "fill"\nplay = "boxes"\ncolumns = 1\nrows = 1',
            "programs for games such as test are not written yet",
            id="boxes",
        ),
        pytest.param(
            'family = "steps"\ncolumns = 3\nrows = 1\ncells = ["1", "2", "3"]\nmen = 1\nsteps = [["1", "2", "3"]]\n'
            "repetition-limit = 3",
            "a program would have to keep every position that has come, and that is not written yet",
            id="repetition",
        ),
        pytest.param(
            'family = "marks"\ncolumns = 3\nrows = 1\nlines = [["a1", "b1"], ["a1", "b1", "c1"]]',
            "its lines are not equally long",
            id="uneven",
        ),
    ],
)
def test_boards_that_no_program_has(text, reason):
    play = play_of(game_of(text), PLAIN, lambda game, code: legal(game, code)[0][0])
    assert refusal(lambda: lowered(play, CARD)) == reason


def test_lines_of_two_lengths():
    assert refusal(lambda: write_lined(Text(CARD), [[0, 1], [0, 1, 2]])) == "its lines are not equally long"


@pytest.mark.parametrize(
    ("game", "reason"),
    [
        ("strips", "slides cannot be taken back in a program yet"),
        ("pawns", "moves of men that advance cannot be taken back in a program yet"),
        ("chomp", "what is eaten cannot be given back in a program yet"),
    ],
)
def test_moves_that_cannot_be_taken_back(game, reason):
    ground = ground_for(setting_of(grounds.play(game, FIRST)))
    assert refusal(ground.kept) == reason
    with pytest.raises((NotLowered, AssertionError)):
        ground.undo("machine")


def test_boards_kept_in_other_ways(noughts, nim):
    digits, sets = (setting_of(noughts, board=way) for way in ("digits", "bits"))
    in_digits, in_sets = ground_for(digits), ground_for(sets)
    lines = "rules about lines cannot look at a board that is kept in this way"
    assert refusal(lambda: looked_at(in_digits), WrongWay) == lines
    weighed = "cells are not weighed on a board that is kept in this way"
    heaviest = asked_of(noughts, means.Heaviest((means.CellWeight(1, 1),)))
    for setting, ground in ((digits, in_digits), (sets, in_sets)):
        assert refusal(lambda s=setting, g=ground: weights.answering(heaviest, s, g), WrongWay) == weighed
        assert refusal(lambda s=setting, g=ground: Scored(s, g, None), WrongWay) == weighed
    assert refusal(in_sets.digits, WrongWay) == "the cells of a set are no digits of a number"
    turned = "sets of cells are not turned word by word"
    assert refusal(lambda: _cells_of(sets, in_sets), WrongWay) == turned
    sums = setting_of(noughts, board="sums")
    lowest = "the marks in its cells do not differ in their lowest bit"
    in_sums = ground_for(sums)
    in_sums.marks = {"machine": 1, "visitor": 3}
    assert refusal(lambda: _cells_of(sums, in_sums), WrongWay) == lowest
    row = SimpleNamespace(digits=lambda: (*ground_for(setting_of(nim)).digits()[::-1],))
    assert refusal(lambda: _cells_of(setting_of(nim), row)) == (
        "the words of its board do not lie one after the other"
    )
    seen = OnImages(in_digits)
    assert seen.digits() == in_digits.digits()
    assert refusal(lambda: seen.unless_can("x"), WrongWay) == (
        "whether a move can be made is not asked of a board of which only the digits are turned"
    )


def test_boards_that_are_not_turned_whole():
    play = play_of(housed("falling-three-4x3"), TURNED, lambda game, code: legal(game, code)[0][0])
    setting = setting_of(play)
    marks = ground_for(setting_of(play_of(housed("two-by-two"), PLAIN, any_move(3))))
    assert refusal(lambda: Turning(setting, marks, None)) == "not all words of its board are turned"


# --- turning ------------------------------------------------------------------------------------------


def test_turns_that_lead_nowhere(small, monkeypatch):
    images = turning_walk._Images(small, (3,) * 4)
    monkeypatch.setattr(turning_walk._Images, "path", lambda images, steps: None)
    assert refusal(lambda: turning_walk.walk_of(small, (3,) * 4)) == (
        "no two turns lead through all images of its boards"
    )
    none = np.zeros(4, dtype=np.uint16)
    assert refusal(lambda: images._symmetry(images.boards, none)) == "its symmetries do not make a group"
    uneven = turning_walk._Images(small, (9, 3, 3))
    assert refusal(lambda: uneven.words(1)) == "to turn its board is more than to exchange words"


# --- names --------------------------------------------------------------------------------------------


def test_names_that_cannot_be_typed_or_printed(small):
    text, choices = Text(LONG), Choices()
    keyboard, saying = Keyboard(text, ("a",)), Saying(text, choices)
    no_sign = NameList(text, keyboard, saying, ("a1",), choices)
    assert refusal(lambda: no_sign._spelled("a|")) == "nobody can type '|' on this machine"
    names = NameList(text, keyboard, saying, ("a1", "left"), choices)
    assert refusal(lambda: names.find("unknown", 3)) == "a move's name has 4 characters and a line only 3"
    assert refusal(lambda: Line(text, keyboard, 8).value("|")) == (
        "'|' can be typed in 0 ways on this machine, not in one"
    )
    spelling = Spelling(("aa", "ab"), alone=False, pairs=True, off="", passing="")
    assert refusal(lambda: PairNames(text, saying, spelling, ())) == (
        "the names of its cells are made in a way in which programs cannot read them yet"
    )
    pairs = naming_for(setting_of(grounds.play("pawns", FIRST)), keyboard, saying)
    assert refusal(lambda: pairs.find_sign("rule1")) == (
        "no move has a name of one character, so all inputs go to rule1"
    )


def test_names_in_two_cases_of_a_printer():
    text, choices = Text(load_machine("delay-line")), Choices()
    names = NumberNaming(text, Keyboard(text, ("1", "a")), Saying(text, choices), ("1", "a"), choices)
    assert refusal(names.print_move) == (
        "the names of moves are in several cases, and that is not written yet"
    )


# --- tables -------------------------------------------------------------------------------------------


def test_tables_of_boards_that_cells_do_not_tell_apart(noughts):
    setting = setting_of(noughts)
    assert refusal(lambda: BoardNumber(setting, ground_for(setting), 1)) == (
        "the cells of its boards do not tell them apart"
    )


def test_keys_apart_from_their_moves_have_a_word_each(nim):
    packed = encodings()["sorted-keys"].lay_out(nim).pack_as(1, LONG.word_bits)
    assert len(packed.columns) == 2
    setting = setting_of(nim, LONG)
    sought = encodings()["sorted-keys"].decoder(setting, ground_for(setting), packed)
    assert refusal(lambda: sought.answer("found")) == "the place of a key in its word is not kept"


def test_more_keys_than_a_word_counts(noughts):
    """On words of four bits: 16 keys have the numbers from 0 to 15."""
    card = load_machine("kit-96")
    packed = encodings()["sorted-keys-halved"].lay_out(noughts).pack_as(0, card.word_bits)
    setting = setting_of(noughts, card)
    halved = Halved(setting, ground_for(setting), packed)
    keys = Column(setting.text, "keys", packed, 0)
    assert keys.run.total > 16
    assert refusal(lambda: halved._seek(Wide(setting.text, "number", 9), keys, keys)) == (
        "more keys than a word counts are not halved"
    )


SOUND = Course(1_000, 9, 4, in_turn=True, lost=True, somewhere_lost=False, forgives=False)


@pytest.mark.parametrize(
    ("course", "reason"),
    [
        pytest.param(
            SOUND._replace(answers=1_001),
            "more than 1,000 answers are not passed over: it would take too long",
            id="many",
        ),
        pytest.param(
            SOUND._replace(in_turn=False),
            "lines are played through only where the players move in turn",
            id="not-in-turn",
        ),
        pytest.param(
            SOUND._replace(somewhere_lost=True),
            "lines are played through only where a turn can be lost on every board or on none",
            id="somewhere-lost",
        ),
        pytest.param(
            SOUND._replace(forgives=True),
            "lines are not played through where plies are counted and wrong input forgiven",
            id="forgiven",
        ),
    ],
)
def test_lines_that_are_not_played_through(course, reason):
    table_lines._refuse(SOUND)
    assert refusal(lambda: table_lines._refuse(course)) == reason


def test_answers_that_are_all_forced(small):
    packed = encodings()["reply-tree"].lay_out(small).pack_as(0, 12)._replace(words=())
    setting = setting_of(small)
    through = table_lines.PlayedThrough(setting, ground_for(setting), packed)
    assert refusal(through._read_bit) == "every answer is forced, so there is nothing to read"


# --- rules --------------------------------------------------------------------------------------------


def test_rules_about_cells_where_moves_are_none(nim):
    setting = setting_of(nim)
    ground = ground_for(setting)
    assert refusal(lambda: cells.answering(asked_of(nim, NO_CELL), setting, ground)) == (
        "cells in order are not written yet where a move is no cell"
    )
    assert refusal(lambda: pictures.answering(asked_of(nim, Pictures(())), setting, ground)) == (
        "pictures are not looked for yet where a move is no cell"
    )


def test_pictures_on_another_board(noughts, nim):
    boards = pictures.boards_of(asked_of(noughts, Pictures(())), setting_of(noughts))
    reason = refusal(
        lambda: pictures.picture_list((), boards, setting_of(noughts), ground_for(setting_of(nim))), WrongWay
    )
    assert reason == "pictures are not looked for on a board that is kept in this way"


def test_a_play_that_no_rules_stand_behind(noughts):
    assert refusal(lambda: lower(noughts, CARD, by_rules)) == "nothing is known of rules behind this play"
    assert refusal(lambda: shorter.ways_to_say(noughts)) == "nothing is known of rules behind this play"


def test_rules_without_a_move_somewhere():
    play = by_sheet("block a line\ntake any free cell", 1)
    whole = play.proof.walk.strategy
    first_alone = Strategy("", "", whole.game, whole.seat, whole.rules[:1], OPEN)
    assert refusal(lambda: asked_in(play, first_alone)) == "its rules have no move somewhere"


def test_rules_of_a_new_kind(noughts):
    class Dances:
        """What no sheet says."""

    setting = setting_of(noughts)
    assert refusal(lambda: sheet._answering(asked_of(noughts, Dances()), setting, ground_for(setting))) == (
        "programs for rules such as Dances are not written yet"
    )


def test_looking_ahead_where_moves_score(noughts, monkeypatch):
    monkeypatch.setattr(ahead, "scored", lambda game: game)
    setting = setting_of(noughts)
    look = asked_of(noughts, means.LooksAhead(2))
    assert refusal(lambda: ahead.answering(look, setting, ground_for(setting))) == (
        "looking ahead is not written yet where moves score"
    )


def test_a_table_that_an_encoding_cannot_hold_says_why(small):
    one = FixedPlay(small.game, PLAIN, small.graph, small.codes[:1], small.moves[:1])
    asked, setting = asked_of(one, Stored(one)), setting_of(small, encoding="diagram")
    assert refusal(lambda: looked_up(asked, setting, ground_for(setting))) == (
        "the move is the same on all boards, so there is nothing to test"
    )


# --- machines -----------------------------------------------------------------------------------------


def test_machines_that_are_asked_in_vain(small):
    orders = load_machine("twelve-bit-orders")
    with pytest.raises(BadInput) as refused:
        lower(small, orders, Naive, check=AT_START)
    assert refused.value.problems[0].message == (
        f"programs of '{orders.name}' alter themselves, so that they have no check-sum; expected no option of it"
    )


def test_a_check_sum_that_never_fits():
    """A program that is never as long as it says."""
    lengths = iter(range(2, 1_000))

    def assembled(written):
        image = dict.fromkeys(range(next(lengths)), 0)
        return SimpleNamespace(image=image, card=LONG, labels={"balance": max(image) * 2})

    assert LONG.program.layout.places_a_word == 2
    assert refusal(lambda: guarded(lambda check: check, assembled, between_games=False)) == (
        "its check-sum cannot be made to fit its own length"
    )
