"""The morning run: every game of it replayed move by move, and nothing left untried."""

from itertools import pairwise

import pytest

from budget.building import Wish, make
from budget.card import load_machine
from budget.covering import covering
from budget.lowering.checksum import AT_START
from budget.machine.channel import keyed, printed
from budget.machine.simulator import Machine
from budget.selftest import ANSWER, ENDING, RULE, WRONG, Wrong, items_of, self_test
from games.codes import FIRST, SECOND, UNFINISHED
from games.game import least_images
from solver.fixed import PLAIN, TURNED, fix
from solver.load import load_strategy
from solver.proof import prove
from tests.budget.plays import any_move, housed, never_losing, one, play_of

SHEET = """game: two-by-two
seat: second
choice: plain
complete a line
take any free cell
"""


def never_lost(reading, *of):
    game = housed(*of)
    return play_of(game, reading, never_losing(game))


PLAYS = {
    "turned": lambda: never_lost(TURNED, "noughts-and-crosses", "usual", SECOND),
    "plain": lambda: play_of(housed("hexapawn", seat=SECOND), PLAIN, any_move(3)),
    "lost turn": lambda: play_of(housed("two-by-two", "lost-turn"), PLAIN, any_move(1)),
    "loops": lambda: play_of(housed("pong-hau-ki", "usual", FIRST), PLAIN, any_move(2)),
    "three warnings": lambda: play_of(housed("nim-1-2-3", "three-warnings", SECOND), PLAIN, any_move(4)),
}


def slowly_stored(play):
    """The boards whose moves a table of this play has, by going through its positions one by one."""
    graph, boards = play.graph, set()
    for code, mover, ending in zip(graph.codes.tolist(), graph.mover, graph.ending, strict=True):
        if mover == play.game.seat and ending == UNFINISHED:
            board = int(play.game.fair_codes(one(code))[0])
            boards.add(
                board if play.reading == PLAIN else int(least_images(play.game.fair, one(board))[0][0])
            )
    return boards


@pytest.mark.parametrize("name", PLAYS)
def test_the_games_try_every_answer_and_every_ending(name):
    play = PLAYS[name]()
    graph, items = play.graph, items_of(play, is_table=True)
    games = covering(graph, play.game.seat, items)
    tried = [set().union(*(items[place] for place in game)) for game in games]
    every = set().union(*tried)
    assert {board for kind, _, board in every if kind == ANSWER} == slowly_stored(play)
    ends = {int(ending) for ending in graph.ending if ending != UNFINISHED}
    assert {ending for kind, ending, _ in every if kind == ENDING} == ends
    assert {move for kind, move, _ in every if kind == WRONG} == wrong_plies(play)
    for number in range(len(games)):
        assert set().union(*tried[:number], *tried[number + 1 :]) < every  # none of them is idle


def wrong_plies(play):
    """What wrong input can bring about in this play, by the numbers of such moves."""
    return {int(move) for move in play.graph.move if move >= play.game.fair_moves}


@pytest.mark.parametrize("name", PLAYS)
def test_the_games_are_lines_of_play(name):
    """Each goes from the start along moves of the play to an end; where there is none, to the visitor's turn."""
    play = PLAYS[name]()
    graph = play.graph
    moves = set(zip(graph.parent.tolist(), graph.child.tolist(), strict=True))
    for game in covering(graph, play.game.seat, items_of(play, is_table=True)):
        assert game[0] == graph.start
        assert all(step in moves for step in pairwise(game))
        last = game[-1]
        if graph.ending[last] == UNFINISHED:
            assert graph.mover[last] != play.game.seat
            assert not any(graph.ending[place] != UNFINISHED for place in reached_from(graph, last))


def reached_from(graph, place):
    reached, waiting = {place}, [place]
    while waiting:
        at = waiting.pop()
        for edge in graph.edges_of(at):
            child = int(graph.child[edge])
            if child not in reached:
                reached.add(child)
                waiting.append(child)
    return reached


@pytest.fixture(scope="module")
def product(tmp_path_factory):
    file = tmp_path_factory.mktemp("selftest") / "two.rules"
    file.write_text(SHEET)
    written = load_strategy(file)
    play = fix(prove(written.strategy(1), written.claim, written.house), PLAIN)
    return make([play], load_machine("delay-line"), Wish(check=AT_START))


def test_typed_on_the_machine_it_prints_what_the_card_says(product):
    run = self_test(product, "two")
    program = product.lowered.program
    machine = Machine.loaded(program)
    machine.run()
    assert printed(program.card, machine.passed) == run.begins
    typed = ""
    for entry in (entry for game in run.games for entry in game):
        machine.passed.clear()
        before, typed = typed, f"{typed}{entry.typed}\n"  # the keyboard stays in the case in which it is
        machine.feed(keyed(program.card, typed)[len(keyed(program.card, before)) :])
        machine.run()
        assert printed(program.card, machine.passed) == entry.printed
    assert run.restarts == ()
    # On this board the visitor has won before the machine can complete a line.
    assert run.tried == {RULE: 1, ANSWER: 0, ENDING: 1, WRONG: 3}
    assert run.inputs == sum(len(game) for game in run.games)
    assert run.as_json()["inputs"] == run.inputs


def test_a_machine_with_a_fault_is_not_given_a_card(product):
    program = product.lowered.program
    messages = program.labels["messages"]
    wrong = program._replace(image={**program.image, messages: program.image[messages] ^ 1})
    spoilt = product._replace(lowered=product.lowered._replace(program=wrong))
    with pytest.raises(Wrong):
        self_test(spoilt, "two")


def test_what_the_program_is_said_to_take(product):
    assert product.verdict_words is not None
    assert product.verdict_words >= 0
    assert product.check is not None
    assert product.check.instructions > 5 * len(product.lowered.program.image)
    assert (
        product.check.thinking == product.check.instructions * product.lowered.program.card.program.pace.cycle
    )
    assert product.check_sign == "E"
