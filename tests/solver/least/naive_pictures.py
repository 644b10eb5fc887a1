"""Lists of pictures tried out one after the other against the naive model: every picture, in every order."""

from itertools import product

from tests import naive, naive_sheet


def drawings(game):
    """Every picture that can be drawn."""
    for target in game.cells:
        for signs in product("MV_-", repeat=len(game.cells) - 1):
            yield "".join([*signs[:target], "!", *signs[target:]])


def answers(housed, drawing, *, turned, states, choice):
    """For each state the moves that a picture allows there; `choice` says how several are settled."""
    rule = ("picture" if turned else "picture fixed", tuple(housed.game.written(drawing)))
    picture = naive_sheet.Strategy(housed.game, housed.seat, [rule], choice)
    return tuple(tuple(picture.answer(state.board)[1]) for state in states)


def machine_states(housed):
    """Every unfinished state with the machine to move, whatever both sides do."""
    every = naive.every_state(housed, housed.next)
    return [state for state in every if housed.result(state) is None and state.turn == housed.seat]


def different(housed, **seen):
    """The pictures that differ in what they allow in some state, as what they allow in each; seen as for `answers`."""
    found = {answers(housed, drawing, **seen) for drawing in drawings(housed.game)}
    return sorted(moves for moves in found if any(moves))


def shortest(housed, claim, *, turned, most, before=(), choice="open"):
    """How many pictures the shortest list has that keeps the claim; None if more than `most` are needed.

    Every list is tried, save those that begin with one that plays badly: what comes behind does not change that.
    `before` are rules that answer first; `choice` settles theirs and those of the pictures.
    """
    states = machine_states(housed)
    pictures = different(housed, turned=turned, states=states, choice=choice)
    first = naive_sheet.Strategy(housed.game, housed.seat, list(before), choice)
    place = {state: number for number, state in enumerate(states)}

    def verdict(list_):
        """None if the list plays badly, else whether it always has an answer."""
        always = True

        def follow(state):
            nonlocal always
            moves = housed.next(state)
            if state.turn != housed.seat:
                return moves
            ruled = first.answer(state.board)[1]
            options = [ruled, *(picture[place[state]] for picture in list_)]
            allowed = next((moves for moves in options if moves), ())
            if any(not housed.keeps(claim, state, moves[move]) for move in allowed):
                raise PlaysBadly
            always = always and bool(allowed)
            return {move: moves[move] for move in allowed}

        try:
            naive.every_state(housed, follow)
        except PlaysBadly:
            return None
        return always

    lists = [()]
    for length in range(most + 1):
        verdicts = [(list_, verdict(list_)) for list_ in lists]
        if any(holds for _, holds in verdicts):
            return length
        lists = [(*list_, picture) for list_, holds in verdicts if holds is not None for picture in pictures]
    return None


class PlaysBadly(Exception):
    """A list allows a move that gives the claim away."""
