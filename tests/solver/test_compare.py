"""Two strategies side by side: held against the naive model, and on a few cases that can be read."""

from functools import cache
from typing import NamedTuple

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from games.codes import by_parent
from games.house import load_house_rules
from games.load import load_game
from games.problems import BadInput
from solver.compare import Terms, compare, require_alike
from solver.compare_record import comparison_record
from solver.load import load_strategy
from solver.played import NO_ROW, Judged, _worst_first
from solver.proof import prove
from solver.sheet.reader import SheetReader
from solver.strategy import Strategy
from tests import naive, naive_sheet, twins
from tests.twins import FEWER

# Against the naive model ----------------------------------------------------------------------------------


class Entry(NamedTuple):
    """What the naive model finds on one board: the first ply, the moves, and each that is legal with its worth."""

    plies: list
    moves: set
    illegal: set
    silent: list
    judged: list


def image(game, board, move):
    """A move on the board's least image, called by the least name among those that are alike."""
    least, _ = game.least_image(board)
    turns = [turn for turn in game.turns if game.turned(turn, board) == least]
    return min(game.turned_move(turn, move) for turn in turns)


def naive_played(checked):
    """Every board that is met up to symmetry, with what is played there, found position by position."""
    housed, game, found = checked.housed, checked.housed.game, {}
    for state in checked.machine:
        entry = found.setdefault(game.least_image(state.board)[0], Entry([], set(), set(), [], []))
        entry.plies.append(checked.plies[state])
        rule, moves = checked.strategy.answer(state.board)
        entry.silent.append(rule is None)
        for move in moves:
            there = image(game, state.board, move)
            entry.moves.add(there)
            if move not in housed.next(state):
                entry.illegal.add(there)
                continue
            (before, near), (after, far) = (housed.value(s) for s in (state, housed.next(state)[move]))
            later = far + 1 - near if before == after == naive.WIN else 0
            entry.judged.append((before - after, later, -after, -there))
    return found


def naive_side(entry):
    """The same as a row to compare: moves, illegal ones, whether any is silent, the worst with before and after."""
    worst = max(entry.judged, default=None)
    row = (sorted(entry.moves), sorted(entry.illegal), any(entry.silent))
    if worst is None:
        return (*row, None, 0, 0, 0)
    lost, later, after, move = worst
    return (*row, -move, lost - after, -after, later)


def as_row(side):
    return (
        list(side.moves),
        list(side.illegal),
        side.unanswered,
        side.worst,
        side.before,
        side.after,
        side.later,
    )


@FEWER
@given(st.data())
def test_boards_moves_and_what_they_give_away_are_those_of_the_naive_model(data):
    pair = data.draw(twins.games(most_cells=6) | twins.falling_games(most_cells=6))
    house = data.draw(twins.house_rules(pair.game, most_forgiven=1))
    seat = data.draw(st.sampled_from([0, 1]))
    choice = st.sampled_from(["open", "open", "plain", "turned"])
    drawn = [
        twins.strategy_twins(pair, seat, data.draw(twins.sheets(pair.naive)), data.draw(choice))
        for _ in range(2)
    ]
    proofs = [prove(fast, "best-value", house.rules) for fast, _ in drawn]
    found = compare(*proofs)
    housed = naive.Housed(pair.naive, house.naive, seat)
    slow = [naive_played(naive_sheet.Checked(housed, strategy)) for _, strategy in drawn]

    def boards(codes):
        return [twins.state_of(proofs[0].walk.game, code).board for code in codes.tolist()]

    for side, entries in enumerate(slow):
        played = found.played[side]
        assert dict(zip(boards(played.boards), played.ply.tolist(), strict=True)) == {
            board: min(entry.plies) for board, entry in entries.items()
        }
        for code, board in zip(played.boards.tolist(), boards(played.boards), strict=True):
            assert as_row(played.side(code)) == naive_side(entries[board])
        assert set(boards(found.alone[side])) == entries.keys() - slow[1 - side].keys()
        differing = set(naive_differing(*slow))
        given = [board for board, entry in entries.items() if max(entry.judged, default=(0,))[0] > 0]
        assert found.given_away(side) == (
            sum(board in differing for board in given),
            sum(board in slow[1 - side] and board not in differing for board in given),
            sum(board not in slow[1 - side] for board in given),
        )
        worst = [naive_side(entries[board]) for board in given]
        kinds = {(row[4], row[5]) for row in worst}
        assert {kind[:2]: kind[2] for kind in found.kinds(side)} == {
            kind: sum((row[4], row[5]) == kind for row in worst) for kind in kinds
        }
        assert found.wins_later(side) == sum(
            max(entry.judged, default=(0, 0))[0] == 0 and naive_side(entry)[6] > 0
            for entry in entries.values()
        )
    assert set(boards(found.both)) == slow[0].keys() & slow[1].keys()
    assert sorted(boards(found.differing)) == sorted(naive_differing(*slow))
    plies = [found.difference(code).ply for code in found.differing.tolist()]
    assert plies == [min(*slow[0][board].plies, *slow[1][board].plies) for board in boards(found.differing)]
    assert plies == sorted(plies)


def naive_differing(one, other):
    def play(entry):
        return entry.moves, any(entry.silent)

    return [board for board in one if board in other and play(one[board]) != play(other[board])]


# What cannot be otherwise ---------------------------------------------------------------------------------


def strategy_of(game, seat, *lines):
    rules = SheetReader("sheet.rules", list(lines), game).read(0)
    return Strategy("sheet", "sheet.rules", game, seat, rules)


def proof_of(name, seat, *lines, house="usual", claim="best-value"):
    game = load_game(name)
    return prove(strategy_of(game, seat, *lines), claim, load_house_rules(house, game))


FERRY = (
    "complete a line", "block a line", "make a double threat", "take the centre",
    "take the opposite corner", "take a corner", "take an edge",
)  # fmt: skip


def test_a_strategy_differs_from_itself_nowhere():
    proof = proof_of("noughts-and-crosses", 1, *FERRY)
    found = compare(proof, proof)
    assert len(found.differing) == 0
    assert [len(each) for each in found.alone] == [0, 0]
    assert len(found.both) == proof.walk.positions_up_to_symmetry()
    assert found.given_away(0) == found.given_away(1)
    assert found.given_away(0).differ == found.given_away(0).alone == 0


def test_the_other_way_round_says_the_same_of_each():
    a = proof_of("noughts-and-crosses", 1, *FERRY, house="lost-turn")
    b = proof_of("noughts-and-crosses", 1, "take a corner", "take any free cell", house="lost-turn")
    there, back = comparison_record(compare(a, b)), comparison_record(compare(b, a))
    assert (there["a"], there["b"]) == (back["b"], back["a"])
    plies = [each["ply"] for each in there["differences"]]
    assert plies == sorted(plies) != [plies[0]] * len(plies)
    assert there["differences"] == [{**each, "a": each["b"], "b": each["a"]} for each in back["differences"]]
    assert min(there[side]["boards_alone"] for side in "ab") > 0


@pytest.mark.parametrize(
    "name", ["tapatan", "hexapawn", "nim-1-2-3", "falling-three-4x3", "harbour-crossing"]
)
def test_what_a_proof_says_of_giving_away_is_what_is_counted(name):
    best = proof_of(name, 0, "look ahead 1 ply"), proof_of(name, 0, "look ahead 5 plies")
    found = compare(*best)
    for side, proof in enumerate(best):
        if proof.verdict == "proved":
            assert sum(found.given_away(side)) == 0
        elif not proof.failure.is_endless:
            assert sum(found.given_away(side)) > 0


@pytest.mark.parametrize("seat", [0, 1])
def test_points_are_what_a_game_of_boxes_gives_away(seat):
    """The difference to come, found by plain recursion, one position at a time."""
    game = load_game("boxes-three-by-one")
    proofs = [proof_of(game.name, seat, f"look ahead {plies}") for plies in ("1 ply", "7 plies")]
    sign = 1 if seat == 0 else -1
    found = compare(*proofs)

    def one(value, kind=np.uint64):
        return np.array([value], dtype=kind)

    def options(code):
        legal = by_parent(game.moves(one(code)))
        return {
            int(move): (sign * int(game.gains(one(code), one(move, np.uint16))[0]), int(child))
            for move, child in zip(legal.move, legal.child, strict=True)
        }

    @cache
    def to_come(code):
        """For the machine."""
        if game.ending(one(code))[0]:
            return 0
        pick = max if game.mover(one(code))[0] == seat else min
        return pick(gain + to_come(child) for gain, child in options(code).values())

    given = []
    for played in found.played:
        losses = []
        for code in played.boards.tolist():
            side = played.side(code)
            brings = {move: gain + to_come(child) for move, (gain, child) in options(code).items()}
            assert side.before == to_come(code)
            assert side.after == brings[side.worst] == min(brings[move] for move in side.moves)
            losses.append(side.lost)
        given.append([(points, losses.count(points)) for points in sorted(set(losses) - {0}, reverse=True)])
    assert given[0], "looking one ply ahead is not enough"
    assert [
        [(points, boards) for points, none, boards in found.kinds(side) if none == 0] for side in (0, 1)
    ] == given
    record = comparison_record(found)
    assert [
        [(kind["before"], kind["after"], kind["boards"]) for kind in record[side]["kinds"]] for side in "ab"
    ] == [list(found.kinds(side)) for side in (0, 1)]


ROW = twins.twins_in_a_row(3, 1, 2).game
"""Three cells in a row, two to win: who begins in the middle wins with the next mark, and else should not."""


def row_proof(claim, *lines):
    return prove(strategy_of(ROW, 0, *lines), claim, load_house_rules("usual", ROW))


def test_a_comparison_as_data_word_for_word():
    middle = row_proof("quickest", "take b1", "take any free cell")
    side = row_proof("best-value", "take a1", "", "take b1")
    played = {"illegal": [], "unanswered": False, "before": "win", "later": 0}
    assert comparison_record(compare(middle, side)) == {
        "game": "drawn",
        "seat": "first",
        "house_rules": "usual",
        "a": {
            "file": "sheet.rules",
            "strategy": "sheet",
            "claim": "quickest",
            "verdict": "proved",
            "lost_from_start": False,
            "boards": 2,
            "boards_alone": 1,
            "gives_away": {"differ": 0, "same": 0, "alone": 0},
            "kinds": [],
            "wins_later": 0,
            "answers": 0,
            "answers_fixed_board": 0,
            "rules": [
                {"line": 1, "rule": "take b1", "used": 1},
                {"line": 2, "rule": "take any free cell", "used": 2},
            ],
        },
        "b": {
            "file": "sheet.rules",
            "strategy": "sheet",
            "claim": "best-value",
            "verdict": "refuted",
            "lost_from_start": False,
            "boards": 3,
            "boards_alone": 2,
            "gives_away": {"differ": 1, "same": 0, "alone": 0},
            "kinds": [{"before": "win", "after": "draw", "boards": 1}],
            "wins_later": 0,
            "answers": 1,
            "answers_fixed_board": 1,
            "rules": [
                {"line": 1, "rule": "take a1", "used": 1},
                {"line": 3, "rule": "take b1", "used": 1},
            ],
        },
        "boards_of_both": 1,
        "boards_that_differ": 1,
        "differences": [
            {
                "ply": 1,
                "position": "___",
                "a": {"moves": ["b1"], "worst": "b1", "after": "win", **played},
                "b": {"moves": ["a1"], "worst": "a1", "after": "draw", **played},
            }
        ],
    }


def test_where_there_is_no_answer_the_data_say_so():
    silent, middle = row_proof("quickest", "complete a line"), row_proof("quickest", "take b1")
    found = compare(silent, middle)
    [difference] = comparison_record(found)["differences"]
    assert difference["a"] == {
        "moves": [],
        "illegal": [],
        "unanswered": True,
        "worst": None,
        "before": None,
        "after": None,
        "later": None,
    }
    assert found.difference(int(found.differing[0])).board == ROW.start


def test_want_of_an_answer_is_a_difference():
    found = compare(
        proof_of("noughts-and-crosses", 1, "complete a line"),
        proof_of("noughts-and-crosses", 1, "complete a line", "take the centre", "take any free cell"),
    )
    first = found.difference(int(found.differing[0]))
    assert (first.ply, first.a.moves, first.a.unanswered, first.a.worst) == (1, (), True, None)
    assert first.b.moves == (4,)
    assert (found.played[0].worst == NO_ROW).all()


def test_an_answer_that_is_wanting_on_a_turned_board_is_a_difference_too():
    sheets = ("take 3",), ("take 3", "take 1, 7, 9")
    found = compare(*(proof_of("noughts-and-crosses", 1, *lines) for lines in sheets))
    [board] = [code for code in found.differing.tolist() if found.difference(code).a.moves]
    corner = found.difference(board)
    assert corner.ply == 1
    assert corner.a.moves == corner.b.moves == (2, 8)
    assert (corner.a.unanswered, corner.b.unanswered) == (True, False)


def test_the_worst_gives_most_away_then_delays_most_then_leaves_least():
    rows = {"win to draw": (2, 1, 0), "loss": (0, 0, 0), "late win": (2, 2, 4), "draw to loss": (1, 0, 0)}
    rows |= {"win to loss": (2, 0, 0), "draw": (1, 1, 0)}
    judged = Judged(*(np.array(column) for column in zip(*rows.values(), strict=True)))
    order = _worst_first(judged, (np.zeros(len(rows), dtype=np.intp),))
    assert [list(rows)[row] for row in order] == [
        "win to loss",
        "draw to loss",
        "win to draw",
        "late win",
        "loss",
        "draw",
    ]


def test_moves_that_are_alike_on_a_board_are_no_difference():
    corners = ("take 1", "take 3"), ("take 9, 7", "take 1")
    a, b = (proof_of("noughts-and-crosses", 0, *lines) for lines in corners)
    found = compare(a, b)
    start = found.difference(load_game("noughts-and-crosses").start)
    assert start.a.moves == start.b.moves == (0,)


def test_the_ply_is_the_first_on_which_either_meets_an_image_of_the_board():
    """In a game in which a board can come back, and so on several plies."""
    proofs = [proof_of("tapatan", 0, rule) for rule in ("look ahead 1 ply", "look ahead 5 plies")]
    game, found = load_game("tapatan"), compare(*proofs)
    first = []
    for proof in proofs:
        plies = {}
        for code, ply, machine in zip(
            proof.walk.graph.codes, proof.walk.graph.ply.tolist(), proof.walk.machine, strict=True
        ):
            if machine:
                least = min(int(game.turned(turn, code[None])[0]) for turn in range(game.symmetries))
                plies[least] = min(ply, plies.get(least, ply))
        first.append(plies)
    at = found.differing.tolist()
    assert [found.difference(board).ply for board in at] == [
        min(plies[board] for plies in first) for board in at
    ]
    assert any(first[0][board] != first[1][board] for board in at)


# What cannot be compared ----------------------------------------------------------------------------------


SAME_GAME = "expected two strategies for the same game"


def refused(*proofs):
    """What is said of two strategies that cannot be compared."""
    with pytest.raises(BadInput) as caught:
        compare(*proofs)
    return str(caught.value)


def test_two_games_are_refused():
    a, b = (proof_of(name, 0, "look ahead 1 ply") for name in ("hexapawn", "two-by-two"))
    told = f"sheet.rules: plays two-by-two, and sheet.rules plays hexapawn; {SAME_GAME}"
    assert refused(a, b) == told


def test_two_seats_are_refused():
    a, b = (proof_of("hexapawn", seat, "look ahead 1 ply") for seat in (0, 1))
    told = "sheet.rules: here the machine moves second, and in sheet.rules first; expected the same seat"
    assert refused(a, b) == told


def test_the_terms_of_a_file_are_all_that_it_says(tmp_path):
    sheet = tmp_path / "a.rules"
    sheet.write_text(
        "game: noughts-and-crosses\nseat: both\nhouse-rules: lost-turn\n\ntake any free cell\n",
        encoding="utf-8",
    )
    terms = Terms.of_file(load_strategy(sheet))
    assert (terms.file, terms.game.name, terms.seats) == (str(sheet), "noughts-and-crosses", (0, 1))
    assert terms.house == load_house_rules("lost-turn", terms.game)


def test_a_seat_that_would_do_is_named():
    """Sheets are read for one seat or both; the game and the house rules are the same."""
    game = load_game("two-by-two")
    both, second = (
        Terms(file, game, seats, load_house_rules("usual", game))
        for file, seats in (("a.rules", (0, 1)), ("b.rules", (1,)))
    )
    require_alike(both, both)
    for a, b, said in (
        (both, second, "b.rules: here the machine moves second, and in a.rules first and second"),
        (second, both, "a.rules: here the machine moves first and second, and in b.rules second"),
    ):
        with pytest.raises(BadInput) as caught:
            require_alike(a, b)
        assert str(caught.value) == f"{said}; expected the same seat (--seat second would do)"


def test_house_rules_must_cost_the_same():
    a, b = (proof_of("two-by-two", 0, "take any free cell", house=name) for name in ("usual", "lost-turn"))
    assert refused(a, b) == (
        "sheet.rules: goes by the house rules 'lost-turn', and sheet.rules by 'usual'; "
        "expected the same house rules"
    )


def test_what_house_rules_say_is_their_own_affair():
    """Messages and the name may differ, as long as the costs are the same."""
    pair = twins.twins_in_a_row(2, 2, 2)
    a = twins.house_twins(pair.game, [(["empty"], "turn", 1)]).rules
    b = a._replace(
        name="another", rules=tuple(rule._replace(say="Oh!", say_forgiven="Ah!") for rule in a.rules)
    )
    assert a != b
    both = [prove(strategy_of(pair.game, 0, "take any free cell"), "never-loses", house) for house in (a, b)]
    assert len(compare(*both).differing) == 0


def test_two_games_of_one_name_are_told_apart():
    pairs = [twins.game_twins(2, 2, lines) for lines in ([(0, 1)], [(0, 3)])]
    house = load_house_rules("usual", pairs[0].game)
    a, b = (prove(strategy_of(pair.game, 0, "take any free cell"), "never-loses", house) for pair in pairs)
    told = f"sheet.rules: plays another game than sheet.rules, though both call it drawn; {SAME_GAME}"
    assert refused(a, b) == told
