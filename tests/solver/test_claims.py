"""Every verdict is the naive checker's, for any sheet, claim, seat and house rules; and every witness holds.

The witness is checked by playing it: the line must be one that the strategy and the visitor can play, it must
break the claim, none may be shorter, and the decision named must be the first that gives the claim away.
"""

from functools import cache
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from games.house import load_house_rules
from solver.header import CLAIMS
from solver.proof import prove
from tests import naive, naive_sheet, twins
from tests.solver.toy import Toy
from tests.solver.toy import strategy as played_by
from tests.twins import FEWER

USUAL = naive.House(
    rules=(
        naive.HouseRule(("taken-by-machine", "taken-by-visitor"), "nothing"),
        naive.HouseRule(("off-board",), "nothing"),
        naive.HouseRule(("after-end",), "nothing"),
        naive.HouseRule(twins.ORDER, "nothing"),
    )
)
"""The usual house rules, read off their file by hand."""


def usual(game):
    return twins.HouseTwins(load_house_rules("usual", game), USUAL)


@cache
def model_of(name, seat):
    """A catalogue game under the usual house rules; the values of its positions are kept between examples."""
    return naive.Housed(twins.catalogue_twins(name).naive, USUAL, seat)


def played(proof, model, checked):
    """The positions along the proof's line; the naive walk must allow each of its moves."""
    states = [model.start]
    for edge in proof.failure.line.edges:
        moves = checked.follow(states[-1])
        states.append(moves[twins.naive_move(proof.walk.game, proof.walk.graph.move[edge])])
    return states


def bad_moves(model, claim, states):
    """The plies of a line on which the machine makes a move after which the claim can no longer hold."""
    return [
        ply
        for ply, (s, t) in enumerate(pairwise(states))
        if s.turn == model.seat and not model.keeps(claim, s, t)
    ]


def is_shortest(checked, targets, plies, line):
    """Whether no line to the targets is shorter, fair lines coming before those with wrong input."""
    fair = checked.plies_to(targets, fair=True)
    is_fair = all(state.turn != after.turn and not after.thrown_out for state, after in line)
    is_fair = is_fair and all(state.board != after.board for state, after in line)
    return (
        plies == fair if fair is not None else not is_fair and plies == checked.plies_to(targets, fair=False)
    )


def steps(states):
    return list(pairwise(states))


def check_refuted(proof, claim, model, checked):
    states = played(proof, model, checked)
    wrong = bad_moves(model, claim, states)
    if claim == "never-loses":
        assert checked.is_loss(states[-1])
        assert is_shortest(
            checked, [s for s in checked.plies if checked.is_loss(s)], len(states) - 1, steps(states)
        )
        if model.value(model.start)[0] == naive.LOSS:
            assert proof.seat_is_lost
        else:
            assert wrong
        assert proof.failure.decision == (wrong[0] if wrong else None)
        return
    ply = proof.failure.decision
    assert ply == wrong[0]
    givers = [
        state
        for state in checked.machine
        if any(not model.keeps(claim, state, child) for child in checked.follow(state).values())
    ]
    assert is_shortest(checked, givers, ply, steps(states[: ply + 1]))
    worth, plies = checked.sure(states[ply + 1])
    if not checked.unanswered and not checked.illegal:  # the visitor's best play behind the decision
        assert model.result(states[-1]) is not None
        assert model.worth(model.result(states[-1])) == worth
        assert plies in (None, len(states) - 2 - ply)


def check_unfinished(proof, checked, model):
    """No answer, or an illegal one: the line leads there by the shortest way."""
    states = played(proof, model, checked)
    places = (
        [state for state, _ in checked.illegal] if proof.verdict == "illegal-answer" else checked.unanswered
    )
    assert states[-1] in places
    assert is_shortest(checked, places, len(states) - 1, steps(states))
    decision = proof.decision()
    assert decision.ply == len(states) - 1
    if proof.verdict == "illegal-answer":
        assert (states[-1], decision.move) in checked.illegal
    else:
        assert decision.move is None
        assert decision.rule is None


def check_decision(proof, claim, model, checked):
    decision = proof.decision()
    if decision is None:
        return
    game, graph = proof.walk.game, proof.walk.graph
    state = twins.state_of(game, int(graph.codes[decision.place]))
    children = sorted(
        ((m, s) for m, s in model.next(state).items() if isinstance(m, int)), key=lambda pair: pair[0]
    )
    assert list(decision.better) == [move for move, child in children if model.keeps(claim, state, child)]
    assert decision.move not in decision.better
    assert decision.rule == checked.strategy.answer(state.board)[0]


def check_counts(proof, checked):
    game, graph, walk = checked.housed.game, proof.walk.graph, proof.walk
    assert graph.codes.tolist() == sorted(twins.code_of(walk.game, state) for state in checked.plies)
    assert proof.positions == len(checked.machine)
    assert walk.positions_up_to_symmetry() == len(
        {(game.least_image(s.board)[0], s[1:]) for s in checked.machine}
    )
    assert proof.longest_line == checked.longest_line()
    assert walk.times_used() == checked.times_used()
    assert walk.unanswered.tolist() == sorted(
        int(graph.places(twins.one(twins.code_of(walk.game, state)))[0]) for state in checked.unanswered
    )
    assert sorted(walk.illegal) == sorted(
        (int(graph.places(twins.one(twins.code_of(walk.game, state)))[0]), cell)
        for state, cell in checked.illegal
    )
    boards = checked.boards_to_store()
    assert walk.answers_fixed_board() == len(boards)
    assert walk.answers() == len({game.least_image(board)[0] for board in boards})


def check_messages(proof, checked):
    said = checked.said()
    names = proof.house.all_messages()
    assert said <= set(names) | {"the usual rule"}
    assert set(proof.never_said) == set(names) - said
    assert list(proof.never_said) == [name for name in names if name not in said]


def check(pair, house, model, sheet, choice):
    """Everything that a proof says, for all claims."""
    strategy, naive_strategy = twins.strategy_twins(pair, model.seat, sheet, choice)
    checked = naive_sheet.Checked(model, naive_strategy)
    for claim in CLAIMS:
        proof = prove(strategy, claim, house)
        assert proof.verdict == checked.verdict(claim), claim
        if proof.verdict == "refuted":
            check_refuted(proof, claim, model, checked)
        elif proof.verdict != "proved":
            check_unfinished(proof, checked, model)
        check_decision(proof, claim, model, checked)
    check_counts(proof, checked)
    check_messages(proof, checked)


CHOICES = st.sampled_from(["open", "open", "plain", "turned"])


@given(st.data())
def test_any_sheet_under_any_house_rules_on_a_small_board(data):
    pair = data.draw(twins.games() | twins.falling_games())
    house = data.draw(twins.house_rules(pair.game))
    model = naive.Housed(pair.naive, house.naive, data.draw(st.integers(0, 1)))
    check(pair, house.rules, model, data.draw(twins.sheets(pair.naive)), data.draw(CHOICES))


@FEWER
@given(st.data())
def test_any_sheet_on_three_by_three(data):
    name = data.draw(st.sampled_from(["noughts-and-crosses", "misere-noughts-and-crosses", "plain-rows"]))
    pair, model = twins.catalogue_twins(name), model_of(name, data.draw(st.integers(0, 1)))
    sheet = data.draw(twins.sheets(pair.naive))
    closing = data.draw(st.sampled_from([[], ["take any free cell"], ["look ahead 2 plies"]]))
    check(pair, load_house_rules("usual", pair.game), model, [*sheet, *closing], data.draw(CHOICES))


def proof_of(sheet, seat, claim="never-loses", house=usual, game="noughts-and-crosses"):
    pair = twins.catalogue_twins(game)
    strategy, naive_strategy = twins.strategy_twins(pair, seat, sheet)
    model = naive.Housed(pair.naive, house(pair.game).naive, seat)
    return prove(strategy, claim, house(pair.game).rules), naive_sheet.Checked(model, naive_strategy)


def test_letting_a_win_go_for_a_draw_is_not_yet_the_losing_decision():
    proof, checked = proof_of(["complete a line", "take any free cell"], 0)
    states = played(proof, checked.housed, checked)
    values = [checked.housed.value(state)[0] for state in states]
    assert values == [1, 1, 2, 1, 1, 0, 0]  # a win let go on the third ply, the game on the fifth
    assert proof.failure.decision == 4


def test_a_seat_lost_from_the_start_is_refuted_with_no_rule_to_blame():
    proof, _ = proof_of(["take any free cell"], 1, game="two-by-two")
    assert proof.verdict == "refuted"
    assert proof.seat_is_lost
    assert not proof.house_gives_game_away
    assert proof.decision() is None


def test_house_rules_can_give_the_visitor_a_game_that_fair_play_would_not():
    """Where the line loses, a visitor who may pass for nothing wins what fair play draws."""
    pair = twins.catalogue_twins("misere-noughts-and-crosses")
    house = twins.house_twins(pair.game, [(["empty"], "turn", 0)])
    strategy, _ = twins.strategy_twins(pair, 1, ["look ahead 9 plies"])
    model = naive.Housed(pair.naive, house.naive, 1)
    proof = prove(strategy, "never-loses", house.rules)
    assert model.value(model.start)[0] == naive.LOSS
    assert proof.verdict == "refuted"
    assert proof.seat_is_lost
    assert proof.house_gives_game_away
    assert max(proof.walk.graph.move[list(proof.failure.line.edges)]) >= proof.walk.game.fair_moves


def test_a_board_that_comes_with_many_counts_needs_one_answer():
    def warned(game):
        return twins.house_twins(game, [(["any"], "game", 3)])

    proof, checked = proof_of(["complete a line", "block a line"], 1, house=warned)
    unwarned, _ = proof_of(["complete a line", "block a line"], 1)
    assert proof.verdict == "no-answer"
    assert proof.positions == 4 * unwarned.positions
    assert proof.walk.answers_fixed_board() == unwarned.walk.answers_fixed_board() == 9
    assert proof.walk.answers() == unwarned.walk.answers() == 3
    check_counts(proof, checked)


@pytest.mark.parametrize("name", ["lost-turn", "three-warnings"])
@pytest.mark.parametrize("seat", [0, 1])
def test_the_sheet_that_comes_along_under_the_house_rules_that_come_along(name, seat):
    """On two by two, where everything can be gone through by the naive model in no time."""
    taken = ("taken-by-machine", "taken-by-visitor", "off-board")
    written = {
        "lost-turn": [(taken, "turn", 0)],
        "three-warnings": [(["after-end"], "nothing", 0), (["any"], "game", 3)],
    }
    pair = twins.twins_in_a_row(3, 2, 2)
    house = twins.house_twins(pair.game, written[name])
    model = naive.Housed(pair.naive, house.naive, seat)
    sheet = ["complete a line", "block a line", "take any free cell"]
    check(pair, house.rules, model, sheet, "open")
    along = prove(
        twins.strategy_twins(pair, seat, sheet)[0], "never-loses", load_house_rules(name, pair.game)
    )
    assert along.positions == len(
        naive_sheet.Checked(model, twins.strategy_twins(pair, seat, sheet)[1]).machine
    )


@pytest.mark.parametrize("seat", [0, 1])
@pytest.mark.parametrize(
    "sheet",
    [
        ["take any free cell"],
        ["complete a line", "take any free cell"],
        ["complete a line", "block a line", "take a corner", "take any free cell"],
        ["take the first free of 5, 1, 9, 3, 7"],
    ],
    ids=", ".join,
)
def test_sheets_as_beginners_write_them(sheet, seat):
    pair = twins.catalogue_twins("noughts-and-crosses")
    check(pair, usual(pair.game).rules, model_of("noughts-and-crosses", seat), sheet, "open")


def turns_lost(game):
    return twins.house_twins(game, [(["empty"], "turn", 0)])


MISERE = "misere-noughts-and-crosses"
LEFT_ALONE = [("picture fixed", (row, "___", "___")) for row in ("!__", "M!_", "MM!")]
"""What the machine does in the top row while the visitor only gives up turns."""


def test_a_fair_losing_line_comes_before_a_shorter_one_with_wrong_input():
    """Who gives up three turns sees the machine fill the top row, where the line loses; fairly it takes longer."""

    proof, checked = proof_of([*LEFT_ALONE, "look ahead 1 ply"], 1, house=turns_lost, game=MISERE)
    losses = [state for state in checked.plies if checked.is_loss(state)]
    assert (checked.plies_to(losses, fair=True), checked.plies_to(losses, fair=False)) == (8, 6)
    assert len(proof.failure.line.edges) == 8
    check_refuted(proof, "never-loses", checked.housed, checked)


def test_a_losing_line_with_wrong_input_is_told_where_only_such_a_line_loses():
    proof, checked = proof_of([*LEFT_ALONE, "look ahead 9 plies"], 1, house=turns_lost, game=MISERE)
    losses = [state for state in checked.plies if checked.is_loss(state)]
    assert checked.plies_to(losses, fair=True) is None
    check_refuted(proof, "never-loses", checked.housed, checked)


# What a line comes to ---------------------------------------------------------------------------------------

TOO_LATE = [(0, [1, 2]), "first", (1, [3]), (0, [4]), "first"]
ROUND = [(0, [1, 2]), (1, [0]), "first"]
NOTHING = [(0, [1, 2]), (1, [3]), "first", "draw"]
LOST = [(0, [1, 2]), "second", "draw"]


@pytest.mark.parametrize(
    ("drawing", "claim", "said"),
    [
        (LOST, "never-loses", "the visitor wins"),
        (LOST, "best-value", "the visitor wins"),
        (NOTHING, "best-value", "the machine only draws"),
        (ROUND, "best-value", "the machine never ends"),
        (TOO_LATE, "quickest", "the machine wins too late"),
    ],
    ids=["lost", "given away", "only drawn", "endless", "late"],
)
def test_what_a_line_comes_to_is_told(drawing, claim, said):
    """The machine takes the first move, or the second where that wins too late."""
    game = Toy(drawing)
    first = {place: {move} for place, move in ((0, int(drawing is TOO_LATE)), (3, 0))}
    proof = prove(played_by(game, 0, first), claim, load_house_rules("usual", game))
    assert proof.verdict == "refuted"
    assert proof.truth.outcome(proof.failure.line) == said


def test_where_positions_may_not_come_back_for_ever_going_round_is_a_draw(monkeypatch):
    game = Toy(ROUND)
    proof = prove(played_by(game, 0, {0: {0}}), "best-value", load_house_rules("usual", game))
    assert proof.failure.is_endless
    monkeypatch.setattr("solver.claims.repetition_limit", lambda game: 3)
    assert proof.truth.outcome(proof.failure.line) == "the machine goes round to a draw"
