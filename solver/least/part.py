"""A part of what there is to choose: some states and some picks, numbered anew."""

import numpy as np

from games.codes import Flags, distinct
from solver.graph import reach
from solver.least.choices import Choices


def part(choices: Choices, states: Flags, picks: Flags) -> Choices:
    """Only these states (s,) with their boards, and these picks (p,), each on one of these boards.

    What a pick leads to beyond the states is not asked for.
    """
    boards = distinct(choices.board[states])
    steps = np.flatnonzero(picks[choices.step_pick] & states[choices.step_state])
    links = reach(steps, choices.first)
    of_step = np.repeat(np.arange(len(steps)), np.diff(choices.first)[steps])
    stays = states[choices.follow[links]]
    barred = picks[choices.barred_pick] & states[choices.barred_state]
    state, pick = np.cumsum(states) - 1, np.cumsum(picks) - 1
    return choices._replace(
        boards=choices.boards[boards],
        states=choices.states[states],
        board=np.searchsorted(boards, choices.board[states]),
        pick_board=np.searchsorted(boards, choices.pick_board[picks]),
        pick_move=choices.pick_move[picks],
        step_state=state[choices.step_state[steps]],
        step_pick=pick[choices.step_pick[steps]],
        follow=state[choices.follow[links[stays]]],
        first=np.searchsorted(of_step[stays], np.arange(len(steps) + 1)).astype(np.intp),
        barred_state=state[choices.barred_state[barred]],
        barred_pick=pick[choices.barred_pick[barred]],
        roots=state[choices.roots[states[choices.roots]]],
    )
