"""What encodings say besides their words: names, sentences, the workspace of a program, and why they have no table."""

import re
from functools import cache

import numpy as np
import pytest

from budget.encodings import Encoding, diagram, encodings, hashed, pictures, verify, weights
from budget.lowering.text import NotLowered
from budget.packed import NO_MOVE, NotApplicable, Workspace
from games.codes import FIRST, SECOND
from games.house import load_house_rules
from games.housed import HousedGame
from games.limited import limited
from games.load import load_game, parse_game
from solver.fixed import PLAIN, TURNED, FixedPlay
from solver.graph import explore
from tests.budget.packed_plays import EVERY, READINGS, decoded, obvious_answers, obvious_board, packed_by
from tests.budget.plays import any_move, housed, legal, play_of

TITLES = {
    "dense": "dense table indexed by the board",
    "diagram": "decision diagram of single digits",
    "hashed": "hash without keys, slots shared",
    "pictures": "ordered pictures, the first that fits",
    "reply-tree": "reply tree along the lines of play",
    "sorted-keys": "sorted keys, each with its move",
    "sorted-keys-halved": "sorted keys, searched by halving",
    "weights": "score weights of cells and lines",
}
"""As tables of sizes print them."""


@cache
def small(reading=PLAIN, seat=FIRST):
    return play_of(housed("two-by-two", seat=seat), reading, any_move(3))


def always_the_first(game, code):
    return legal(game, code)[0][0]


def refusal_of(name, play):
    with pytest.raises(NotApplicable) as refused:
        encodings()[name].lay_out(play)
    return str(refused.value)


def test_names_and_titles():
    assert {name: each.TITLE for name, each in encodings().items()} == TITLES
    assert list(encodings()) == sorted(TITLES)


def test_an_encoding_gives_what_is_asked_of_one():
    asked = {"NAME", "TITLE", *(name for name in vars(Encoding) if not name.startswith("_"))}
    assert asked == {"NAME", "TITLE", "lay_out", "decode", "decoder"}
    for module in encodings().values():
        assert asked <= vars(module).keys()
        assert set(getattr(module, "__all__", asked)) == asked


@pytest.mark.parametrize("reading", READINGS)
@pytest.mark.parametrize("name", EVERY)
def test_workspace_is_what_the_encoding_says_of_it(name, reading):
    """Counted off each docstring; a board of 4 cells has a number below 3 ** 4, of 7 bits; to turn takes 3 words."""
    numbers, words = {
        "dense": ((7,), 1),  # the field's place in its word
        "sorted-keys": ((7,), 1),  # the word that is looked at
        "sorted-keys-halved": ((7,), 3),  # and how long what is left is, and half of that
        "diagram": ((), 1),
        "hashed": ((), 3),  # two hashes and the row
        "pictures": ((), 2),  # the number that stands there, the value that is asked for
        "reply-tree": ((), 4),  # the bit, and the longest line of two-by-two: three plies
        "weights": ((), 6),  # cell and score, the best ones, the line and what it comes to
    }[name]
    turning = {PLAIN: 0, TURNED: 4 if name == "reply-tree" else 3}[reading]
    play = play_of(housed("two-by-two"), reading, always_the_first if name == "weights" else any_move(3))
    table = encodings()[name].lay_out(play)
    assert table.workspace == Workspace(numbers, 1, words + turning)
    assert {column.values.dtype for layout in table.layouts for column in layout.columns} == {
        np.dtype(np.uint64)
    }
    assert (table.encoding, table.reading, table.answers) == (
        name,
        reading,
        len(obvious_answers(play, False)),
    )


def notes_of(name, play):
    return [layout.note for layout in encodings()[name].lay_out(play).layouts]


SAID = ("moves by number", "moves by place")
"""Of `small` the moves take fewer bits by place."""


def test_notes_of_tables_that_hold_boards():
    boards = obvious_answers(small(), by_place=False)
    span, bits = max(boards) - min(boards) + 1, max(boards).bit_length()
    assert notes_of("dense", small()) == [f"{len(boards)} of {span} fields are used, {said}" for said in SAID]
    for name in ("sorted-keys", "sorted-keys-halved"):
        assert notes_of(name, small()) == [
            f"keys of {bits} bits, {said} {where}"
            for said in SAID
            for where in ("beside their keys", "behind all keys")
        ]


def test_notes_of_tables_that_were_searched_for():
    """Each against its own numbers."""
    for layout, said in zip(diagram.lay_out(small()).layouts, SAID, strict=True):
        nodes = len(nodes_met(layout, small()))
        assert layout.note == f"{nodes:,} nodes, {said}"
    for layout, said in zip(hashed.lay_out(small()).layouts, SAID, strict=True):
        shifts, slots = layout.columns
        assert layout.note == f"one hash of 3 bits, {len(slots.values)} slots, {said}"
        assert len(shifts.values) == 1 << layout.constants["row bits"]
    [layout] = pictures.lay_out(small(seat=SECOND)).layouts
    asked = sum(
        int(number) < 4 << 2 for number in layout.columns[0].values
    )  # four digits, values of two bits
    assert layout.note == f"{len(layout.columns[0].values) - asked} pictures, {asked} digits asked for"
    assert layout.constants["value bits"] == 2


def nodes_met(layout, play):
    """The places of all nodes, whichever way boards go on."""
    numbers, leaf = layout.columns[0].values.tolist(), layout.constants["leaf"]
    met = set()
    for board in obvious_answers(play, by_place=False):
        node = layout.constants["root"]
        while node < leaf:
            met.add(node)
            node = numbers[node + 1 + board // 3 ** numbers[node] % 3]
    return met


def test_two_hashes_are_said_to_be_two(monkeypatch):
    """They are tried where one would have more bits than a word: here of two bits."""
    monkeypatch.setattr(hashed, "LENGTHS", (2,))
    table = hashed.lay_out.__wrapped__(small())
    assert {layout.constants["hashes"] for layout in table.layouts} == {2}
    for place, layout in enumerate(table.layouts):
        assert layout.note.startswith("two hashes of 2 bits, ")
        for part in ("shift", "sign"):
            assert sum(name.startswith(f"{part} ") for name in layout.constants) == 2
        verify(small(), table.pack_as(place, 12))


def test_a_reply_tree_says_how_many_answers_are_forced():
    play = play_of(housed("two-by-two", seat=SECOND), PLAIN, any_move(3))
    assert notes_of("reply-tree", play)[0] == "4 answers along the lines, 0 of them forced"
    play = play_of(housed("nim-1-2-3"), PLAIN, any_move(1))
    note = notes_of("reply-tree", play)[0]
    answers, forced = map(
        int, re.fullmatch(r"(\d+) answers along the lines, (\d+) of them forced", note).groups()
    )
    assert (answers, forced) == forced_along(play, play.graph.start)


def forced_along(play, place):
    """The answers along all lines from a position, and those to which there is no other."""
    graph = play.graph
    edges = list(graph.edges_of(place))
    after = [forced_along(play, int(graph.child[edge])) for edge in edges if graph.child[edge] != place]
    answers, forced = (sum(each) for each in zip(*after, strict=True)) if after else (0, 0)
    if edges and graph.mover[place] == play.game.seat:
        answers += 1
        forced += len(legal(play.game, int(graph.codes[place]))[0]) == 1
    return answers, forced


# --- what has no table --------------------------------------------------------------------------------

LIMITS = [
    (diagram, "no diagram is looked for where there are more than {} boards"),
    (hashed, "no hash is looked for where there are more than {} boards"),
    (pictures, "no pictures are looked for where there are more than {} boards"),
    (weights, "no weights are looked for unless there are 1 to {} boards"),
]


def test_how_many_boards_are_looked_at():
    """Of more boards a search would take minutes."""
    assert [module.MOST_BOARDS for module, _ in LIMITS] == [600, 1_000, 500, 2_000]


@pytest.mark.parametrize(("module", "reason"), LIMITS)
def test_more_boards_than_are_looked_at(module, reason, monkeypatch):
    play = play_of(housed("two-by-two"), PLAIN, always_the_first)
    lay_out = getattr(module.lay_out, "__wrapped__", module.lay_out)
    if module is not diagram:  # the least move is the same everywhere, so there is nothing to test
        monkeypatch.setattr(module, "MOST_BOARDS", len(play.codes))
        lay_out(play)
    monkeypatch.setattr(module, "MOST_BOARDS", len(play.codes) - 1)
    with pytest.raises(NotApplicable) as refused:
        lay_out(play)
    assert str(refused.value) == reason.format(len(play.codes) - 1)


def test_reasons():
    """Whole sentences, as they stand in tables of sizes."""
    same = play_of(housed("two-by-two"), PLAIN, always_the_first)
    one_board = FixedPlay(same.game, PLAIN, same.graph, same.codes[:1], same.moves[:1])
    assert (
        refusal_of("diagram", one_board) == "the move is the same on all boards, so there is nothing to test"
    )
    assert refusal_of("weights", small(seat=SECOND)) == "no weights give these moves"
    assert refusal_of("reply-tree", one_board) == "rules answer some boards, and lines run through all"
    piled = play_of(housed("falling-three-4x3"), PLAIN, always_the_first)
    assert refusal_of("weights", piled) == "scores need a game of marks and lines in which moves are cells"


def test_lines_of_two_lengths_have_no_weights():
    """A content of a line has a place by how long lines are."""
    text = (
        'kind = "game"\nfamily = "marks"\ncolumns = 3\nrows = 1\nlines = [["a1", "b1"], ["a1", "b1", "c1"]]\n'
    )
    fair = parse_game(text, "uneven.toml")
    play = play_of(HousedGame(fair, load_house_rules("usual", fair), FIRST), PLAIN, any_move(1))
    assert refusal_of("weights", play) == "scores need a game of marks and lines in which moves are cells"


def test_a_tree_has_bits_alone_where_plies_are_counted():
    """Forgiven input is a branch of its own there, which no count of branches knows."""
    fair = limited(load_game("two-by-two"), 3)
    game = HousedGame(fair, load_house_rules("three-warnings", fair), SECOND)
    [only] = encodings()["reply-tree"].lay_out(play_of(game, PLAIN, any_move(4))).layouts
    assert only.constants["counted"] == 0
    assert len(encodings()["reply-tree"].lay_out(small()).layouts) == 4


def test_bits_of_least_images_are_in_no_program():
    packed = encodings()["reply-tree"].lay_out(small(TURNED)).pack_as(0, 12)
    with pytest.raises(NotLowered) as refused:
        encodings()["reply-tree"].decoder(None, None, packed)
    assert str(refused.value) == "lines through least images are not played through in programs"


def test_no_hash_keeps_boards_apart(monkeypatch):
    monkeypatch.setattr(hashed, "overlaid", lambda *_: [])
    with pytest.raises(NotApplicable) as refused:
        hashed.lay_out.__wrapped__(small())
    assert str(refused.value) == "no hash that was tried keeps boards with different answers apart"


# --- boards that are not in the table -----------------------------------------------------------------


def every_board(play):
    """All boards of the game with the machine to move, and those of them that the play does not store."""
    game = play.game.fair
    graph = explore(game)
    machines = graph.codes[(graph.mover == play.game.seat) & (graph.ending == 0)]
    return machines, np.setdiff1d(machines, play.codes)


@pytest.mark.parametrize("name", ["sorted-keys", "sorted-keys-halved"])
def test_a_board_without_a_key_has_no_move(name):
    play = small()
    packed = packed_by(name, play, 12)
    boards, others = every_board(play)
    assert len(others)
    assert decoded(play, packed, others) == [NO_MOVE] * len(others)
    answers = dict(zip(play.codes.tolist(), play.moves.tolist(), strict=True))
    assert decoded(play, packed, boards) == [answers.get(board, NO_MOVE) for board in boards.tolist()]


def test_a_dense_table_ends_at_its_first_and_last_board():
    """Every position is asked for, whoever is to move; of the play only boards with two free cells are stored."""
    whole = small()
    game = whole.game.fair
    two_free = [len(legal(whole.game, int(code))[0]) == 2 for code in whole.codes]
    play = FixedPlay(whole.game, PLAIN, whole.graph, whole.codes[two_free], whole.moves[two_free])
    answers, packed = obvious_answers(play, by_place=False), packed_by("dense", play, 12)
    codes = explore(game).codes
    found = {
        obvious_board(play.game, int(code)): move
        for code, move in zip(codes, decoded(play, packed, codes), strict=True)
    }
    assert answers == {number: found[number] for number in answers}
    for outside in (0, min(answers) - 1, max(answers) + 1):
        assert found.get(outside, NO_MOVE) == NO_MOVE
    assert max(answers) + 1 in found
    assert 0 in found


def test_a_free_cell_is_taken_on_any_board_by_weights():
    play = play_of(housed("two-by-two"), PLAIN, always_the_first)
    packed, (boards, _) = packed_by("weights", play, 12), every_board(play)
    for board, move in zip(boards.tolist(), decoded(play, packed, boards), strict=True):
        assert move in legal(play.game, board)[0]


@pytest.mark.parametrize("kinds", [1, 2])
def test_what_is_taken_from_lines_is_made_up_for_in_their_cells(kinds):
    """Then no cell weighs more or less than before on any board."""
    play = play_of(housed(), PLAIN, any_move(3))
    scores = weights._Scores(play.game.fair, play.codes, play.game.seat, kinds)
    rises = scores.rises()
    assert len(rises) == kinds
    assert rises.any(axis=1).all()
    assert not (scores.vector @ rises.T)[scores._free == 1].any()


def test_keys_that_do_not_increase_are_refused():
    play = small()
    packed = encodings()["sorted-keys"].lay_out(play).pack_as(0, 8)
    for words in (packed.words[::-1], (packed.words[0], *packed.words[:-1])):
        with pytest.raises(RuntimeError) as found:
            verify(play, packed._replace(words=words))
        assert (
            str(found.value) == "encoding sorted-keys (plain) cannot be read back: the keys do not increase"
        )


# --- the check ----------------------------------------------------------------------------------------


def test_what_the_check_says():
    play = small()
    packed = encodings()["sorted-keys"].lay_out(play).pack_as(0, 8)
    verify(play, packed)
    board, move = int(play.codes[0]), int(play.moves[0])
    bits = packed.constants["key bits"]
    wrong = packed._replace(words=(packed.words[0] ^ 1 << bits, *packed.words[1:]))
    for words, said in (
        (
            wrong.words,
            f"gives move {move ^ 1} instead of {move} on board {board:#x}, and differs on 1 of 4 boards",
        ),
        ((1 << 8, *packed.words[1:]), "made a word that does not fit in 8 bits"),
        ((-1, *packed.words[1:]), "made a word that does not fit in 8 bits"),
        (packed.words[:-1], "cannot be read back: the words end before the table does"),
    ):
        with pytest.raises(RuntimeError) as found:
            verify(play, packed._replace(words=words))
        assert str(found.value) == f"encoding sorted-keys (plain) {said}"


def test_the_largest_word_fits():
    play = play_of(housed("two-by-two"), PLAIN, always_the_first)
    packed = packed_by("sorted-keys", play, 6)
    verify(play, packed)
    with pytest.raises(RuntimeError, match="does not fit in 2 bits"):
        verify(play, packed._replace(word_bits=2, words=(4,)))


def test_a_board_on_which_a_play_moves_in_two_ways_cannot_pass():
    """Its graph is made to do so: no table of one move for a board is right then."""
    play = play_of(housed("two-by-two"), PLAIN, any_move(3))
    packed = packed_by("sorted-keys", play, 8)
    verify(play, packed)
    machine = np.flatnonzero(play.graph.mover[play.graph.parent] == play.game.seat)
    play.graph.move[machine[0]] ^= 1
    with pytest.raises(RuntimeError, match="differs on"):
        verify(play, packed)
