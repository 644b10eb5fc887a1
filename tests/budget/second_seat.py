"""What a program for the second seat of noughts and crosses may say, told from the rules of the game alone.

The visitor keys digits; the machine answers with a digit and W or D at an end, or with ``?`` for wrong input.
"""

from functools import cache

import numpy as np

from budget.machine.channel import printed
from budget.machine.fleet import Fleet
from budget.machine.simulator import WAITING

LINES = ("123", "456", "789", "147", "258", "369", "159", "357")
NEW_GAME = ("", "")
KEYS = range(64)


def judge_of(card):
    """The judge of what is said in the characters of a machine."""

    @cache
    def judged(game, key, sent):
        """The game after a key, (visitor's cells, machine's); fails if the machine has said what it must not."""
        visitor, machine = game
        sign, said = printed(card, [key]), printed(card, sent)
        free = set("123456789") - set(visitor + machine)
        if sign not in free:
            assert said == "?"
            return game
        visitor += sign
        assert not has_line(visitor), f"the visitor has won: {visitor} against {machine}"
        if free == {sign}:
            assert said == "D"
            return NEW_GAME
        move, letter = said[0], said[1:]
        assert move in free - {sign}
        machine += move
        assert letter == ("W" if has_line(machine) else "")
        return NEW_GAME if letter else (visitor, machine)

    return judged


def every_key(program):
    """How many states a program comes to by every key in every state; fails where it says a wrong thing."""
    judged = judge_of(program.card)
    fleet = Fleet.loaded(program, 1, fill=0o7777)
    fleet.run()
    games, seen = [NEW_GAME], set()
    while len(fleet):
        states = [row.tobytes() for row in fleet.states.codes()]
        new = [number for number, state in enumerate(states) if state not in seen and not seen.add(state)]
        fleet = fleet.chosen(np.repeat(new, len(KEYS)))
        fleet.run(np.tile(KEYS, len(new))[:, None])
        assert set(fleet.statuses()) <= {WAITING}
        pressed = [(games[number], key) for number in new for key in KEYS]
        games = [judged(*each, tuple(sent)) for each, sent in zip(pressed, fleet.sent, strict=True)]
    return len(seen)


def has_line(cells):
    """Whether some line is among these cells."""
    return any(set(line) <= set(cells) for line in LINES)
