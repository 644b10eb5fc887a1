"""Words that take new values from game to game, without end as it seems: a count of games, or of won ones.

With such a word no two games begin alike, and nobody gets through all states of the program.
"""

from collections.abc import Callable, Iterator

import numpy as np

from budget.closing import LONGEST_REPLY, Told
from budget.conversation import Conversation
from budget.drilling.lines import Lines
from budget.drilling.stores import mixed
from budget.machine.program import Program
from budget.machine.simulator import WAITING

GAMES = 64
FEW = 16
"""A word that takes more values than this in so many games that are the same is taken to grow."""
MOST_LINES = 200
"""Lines of play that are repeated; each shows what counts its kind of ending."""
ENOUGH = 2_000
"""A program that can wait in fewer states is closed, whatever grows in it."""


class Grows(Exception):
    """There is no end of states; `words` are the addresses of those that grow."""

    def __init__(self, words: tuple[int, ...]) -> None:
        super().__init__(f"words {words} take new values in every game")
        self.words = words


def growing(program: Program, lines: Lines, talk: Conversation) -> tuple[int, ...]:
    """The addresses of words that grow when one line of play is played again and again, for each of its endings.

    Only words are named that are loaded or carry something into the next game.
    """
    endings = lines.endings()[:MOST_LINES]
    games = [_inputs(lines, number, talk) for number in endings]
    fleet = mixed(program)
    fleet.run((), LONGEST_REPLY)
    machines = fleet.chosen([0] * len(games))
    held = []
    for _ in range(GAMES):
        machines.run([next(typed) for typed in games], LONGEST_REPLY)
        if set(machines.statuses()) != {WAITING}:
            break  # closing it will say what is wrong
        held.append(machines.rows.words(machines.rows.noted).copy())
    if not held:
        return ()
    values = np.sort(np.stack(held), axis=0)  # (games, lines, words)
    different = 1 + (values[1:] != values[:-1]).sum(axis=0)
    loaded = np.isin(machines.rows.noted, list(program.image))
    grows = (different > FEW).any(axis=0) & (loaded | machines.rows.read_first.any(axis=1))
    return tuple(machines.rows.noted[grows].tolist())


def _inputs(lines: Lines, ending: int, talk: Conversation) -> Iterator[tuple[int, ...]]:
    """All that is typed in a game with some ending and to begin the next, for game after game."""
    way = [lines.steps[number].text for number in lines.way_to(ending)]
    after = lines.steps[ending]
    if after.after.over:
        way += [step.text for step in lines.steps if step.wait == after.leads][:1]
    state = lines.waits[0]
    while True:
        typed: list[int] = []
        for text in way:
            keys = talk.keys(state, text)
            state, _ = talk.enter(state, keys)
            typed += keys
        yield tuple(typed)


def stopping(told: Told, grows: Callable[[], tuple[int, ...]]) -> Told:
    """Hears how many states have been found, and raises Grows where there are many, and words that grow."""
    looked = False

    def hear(states: int) -> None:
        nonlocal looked
        told(states)
        if states > ENOUGH and not looked:
            looked = True
            if words := grows():
                raise Grows(words)

    return hear
