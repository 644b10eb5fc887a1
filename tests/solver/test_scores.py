"""The difference to come in score games, against plain recursion: on dots and boxes and on games drawn at random."""

from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from games.load import load_game, parse_game
from solver.graph import explore
from solver.run import TooMuchMemory
from solver.scores import differences, final_totals, solve_scores, sure_differences
from tests import naive_fill
from tests.solver.toy import Toy

BOXES = 'kind = "game"\nfamily = "fill"\nplay = "boxes"\n'


class ScoreToy(Toy):
    """A drawing in which moves gain something, the same for the same move of a position."""

    can_repeat = False

    def __init__(self, drawing, gains):
        super().__init__(drawing)
        self._gains = gains

    def gains(self, codes, moves):
        places = (codes & np.uint64((1 << 63) - 1)).tolist()
        found = [self._gains[place][move] for place, move in zip(places, moves.tolist(), strict=True)]
        return np.array(found, dtype=np.int8)


@st.composite
def toys(draw):
    """Positions in order, every move leading to a later one; some have no moves at all."""
    size = draw(st.integers(2, 12))
    drawing, gains = [], []
    for place in range(size):
        later = st.integers(place + 1, size - 1) if place < size - 1 else st.nothing()
        children = draw(st.lists(later, min_size=place == 0, max_size=4)) if place < size - 1 else []
        drawing.append((draw(st.integers(0, 1)), children) if children else "draw")
        gains.append(draw(st.lists(st.integers(-127, 127), min_size=len(children), max_size=len(children))))
    return ScoreToy(drawing, gains)


def plain(game, chooser=None):
    """The difference to come in a position of a drawing, by definition."""

    @cache
    def difference(place):
        entry = game.drawing[place]
        if entry == "draw":
            return 0
        player = entry[0] if chooser is None else chooser
        after = [gain + difference(child) for gain, child in zip(game._gains[place], entry[1], strict=True)]
        return (max, min)[player](after)

    return difference


@given(toys())
def test_differences_of_drawings_are_the_plain_ones(game):
    graph = explore(game)
    places = [int(code) & (1 << 63) - 1 for code in graph.codes]
    assert differences(graph).tolist() == list(map(plain(game), places))
    for chooser in (0, 1):
        assert sure_differences(graph, chooser).tolist() == list(map(plain(game, chooser), places))
    assert solve_scores(game).look_up(graph.codes).tolist() == differences(graph).tolist()
    assert solve_scores(game).at_start == plain(game)(0)


@pytest.mark.parametrize(
    ("columns", "rows", "drawn"),
    [(1, 1, ()), (3, 1, ()), (2, 2, ()), (2, 2, ("a1-b1", "c2-c3")), (1, 3, ("a2-b2",))],
)
def test_differences_of_boxes_are_the_naive_ones(columns, rows, drawn):
    listed = ", ".join(f'"{name}"' for name in drawn)
    game = parse_game(f"{BOXES}columns = {columns}\nrows = {rows}\ndrawn = [{listed}]\n", "drawn.toml")
    model = naive_fill.Boxes(columns, rows, drawn)
    fair = naive_fill.LostTurns(model)
    wanted = {(model.text(state), state[1]): fair.difference(state) for state in fair.reached()}
    graph = explore(game)
    keys = list(zip(game.texts(graph.codes, 0), graph.mover.tolist(), strict=True))
    assert dict(zip(keys, differences(graph).tolist(), strict=True)) == wanted
    solved = solve_scores(game)
    assert solved.at_start == wanted[model.text(model.start()), 0]
    assert dict(zip(keys, solved.look_up(graph.codes).tolist(), strict=True)) == wanted


def test_who_chooses_everything_takes_every_box_and_best_play_lies_between():
    graph = explore(load_game("boxes-two-by-two"))
    most, least = sure_differences(graph, 0), sure_differences(graph, 1)
    assert (most[graph.start], least[graph.start]) == (4, -4)
    found = differences(graph)
    assert ((least <= found) & (found <= most)).all()


def test_exchanging_the_players_turns_the_difference_round():
    game = load_game("boxes-two-by-two")
    first, second = solve_scores(game), solve_scores(game, start=game.start | 1 << 63)
    assert first.at_start == -second.at_start != 0


def test_positions_in_which_a_strategy_has_no_move_promise_nothing():
    game = ScoreToy([(0, [1, 2]), "draw", (1, [])], [[1, 3], [], []])
    graph = explore(game)
    assert differences(graph).tolist()[graph.start] == 3


def test_a_score_game_that_is_too_large_is_given_up():
    game = load_game("boxes-two-by-two")
    with pytest.raises(
        TooMuchMemory,
        match=r"^this takes at least 1 MB of memory, for [\d,]+ positions that were met before stopping; no more",
    ):
        solve_scores(game, memory=100_000)


def test_a_position_that_cannot_arise_is_not_found():
    game = load_game("boxes-two-by-two")
    with pytest.raises(KeyError, match=f"^'position {game.start | 1 << 63:#x} cannot arise'$"):
        solve_scores(game).look_up(np.array([game.start, game.start | 1 << 63], dtype=np.uint64))


def test_games_without_scores_or_without_end_have_no_difference():
    with pytest.raises(ValueError, match=r"^hex-three is no game in which moves score$"):
        differences(explore(load_game("hex-three")))
    with pytest.raises(ValueError, match=r"^play can be endless, so there is no difference to come$"):
        differences(explore(ScoreToy([(0, [1]), (1, [0, 2]), "draw"], [[0], [0, 0], []])))
    with pytest.raises(ValueError, match=r"^play can be endless, so there are no totals$"):
        final_totals(explore(ScoreToy([(0, [1]), (1, [0, 2]), "draw"], [[0], [0, 0], []])))
