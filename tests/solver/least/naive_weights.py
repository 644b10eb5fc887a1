"""Weights tried out one by one, or many at once, against the naive model."""

from itertools import product

import numpy as np

from tests import naive, naive_sheet

HEADING = "take the heaviest cell"


def rule(words, weights):
    """The rule as the naive model takes it: what weighs nothing is left out."""
    rows = tuple(f"{weight} for {what}" for what, weight in zip(words, weights, strict=True) if weight)
    return (HEADING, rows) if rows else "take any free cell"


def holds(housed, claim, words, weights, before=()):
    """Whether weights keep a claim, by going through every line of play; `before` are rules that answer first."""
    strategy = naive_sheet.Strategy(housed.game, housed.seat, [*before, rule(words, weights)])
    return naive_sheet.Checked(housed, strategy).verdict(claim) == "proved"


def measure(weights):
    """What makes weights small: the largest, the sum, and one by one 0 before 1 before -1 before 2 and so on."""
    return max(map(abs, weights), default=0), sum(map(abs, weights)), [2 * abs(w) - (w > 0) for w in weights]


def all_up_to(most, count):
    """All weights of which none is greater than `most`."""
    return product(range(-most, most + 1), repeat=count)


def keeping(housed, claim, words, vectors, before=()):
    """Those of some weights (v, terms) that keep a claim, found by playing with all of them at once.

    Position after position, in the order of play and one of each that are alike, those that take a bad cell are out.
    `before` are rules that answer first, and look at nothing that boards that are alike do not share.
    """
    vectors = np.array(list(vectors) if not isinstance(vectors, np.ndarray) else vectors, dtype=np.float32)
    alive = np.ones(len(vectors), dtype=bool)
    who = {housed.start: alive.copy()}
    while who:
        state = min(who, key=lambda each: (_marks(each), each.turn == housed.seat))
        here = np.flatnonzero(who.pop(state) & alive)
        if not len(here) or housed.result(state) is not None:
            continue
        after = housed.next(state)
        goes = dict.fromkeys(after, here)
        if state.turn == housed.seat:
            answered = naive_sheet.Strategy(housed.game, housed.seat, before).answer(state.board)[1]
            weighed = {} if answered else _heaviest(housed, state, words, vectors, here)
            goes = weighed or dict.fromkeys(answered, here)
            for move, those in goes.items():
                if not housed.keeps(claim, state, after[move]):
                    alive[those] = False
        for move, those in goes.items():
            child = after[move]._replace(board=housed.game.least_image(after[move].board)[0])
            who.setdefault(child, np.zeros(len(vectors), dtype=bool))[those] = True
    return vectors[alive].astype(int)


def _marks(state):
    return len(state.board) - state.board.count(naive.FREE)


def _heaviest(housed, state, words, vectors, here):
    """For each cell those of the weights for which it is among the heaviest."""
    see = naive_sheet.seen(housed.game, state.board, housed.seat)
    cells = list(housed.game.open_cells(state.board).items())
    counts = [[naive_sheet._weight(see, f"1 for {what}", cell) for what in words] for _, cell in cells]
    heft = vectors[here] @ np.array(counts, dtype=np.float32).T
    top = heft.max(axis=1)
    return {move: here[heft[:, place] == top] for place, (move, _) in enumerate(cells)}
