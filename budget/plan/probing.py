"""How slow a program is: seen in a few games on one machine, which take far less time than all states.

The first reply takes a search longest; and where printing outweighs thinking, the visitor waits longest where most is
printed.  So a game is tried to its end, and those that lead to the longest answers.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from heapq import nlargest
from typing import NamedTuple

from budget.card import ORDER_SHEET
from budget.closing import LONGEST_REPLY, Patience
from budget.conversation import Conversation, State
from budget.machine.hurried import Hurried
from budget.machine.program import Program
from budget.machine.simulator import LIMIT, WAITING
from budget.programs import AnyMachine, machine_for
from budget.taken import Tally

AT_A_TIME = 10_000
"""Instructions that are obeyed before the time is looked at again."""
LONGEST = 8
"""Games that are tried because of how much is printed at their end."""
MOST_STATES = 600
"""States of a conversation among which the longest answers are looked for."""

Typed = tuple[int, ...]
Game = tuple[Typed, ...]
"""What a visitor types from the start on, input by input."""


def games_to_try(talk: Conversation) -> list[Game]:
    """The game in which the visitor always makes the first legal move, and the shortest to the longest answers."""
    start, _ = talk.begin()
    ways: dict[State, Game] = {start: ()}
    answers: dict[tuple[int, ...], Game] = {}
    waiting = [start]
    for state in waiting:
        for typed in talk.inputs(state):
            after, said = talk.enter(state, typed)
            answers.setdefault(said, (*ways[state], typed))
            if after not in ways and len(ways) < MOST_STATES:
                ways[after] = (*ways[state], typed)
                waiting.append(after)
    longest = nlargest(LONGEST, answers, key=len)
    return [_first_game(talk, start), *(answers[said] for said in longest)]


def _first_game(talk: Conversation, state: State) -> Game:
    """The first legal move again and again, until a game is over or a position comes again."""
    game: list[Typed] = []
    seen: set[State] = set()
    while state not in seen:
        seen.add(state)
        typed = next((typed for typed in talk.inputs(state) if talk.moves_on(state, typed)), None)
        if typed is None:
            break
        game.append(typed)
        state, _ = talk.enter(state, typed)
    return tuple(game)


class Pace(NamedTuple):
    """The slowest replies: the most instructions, and the most seconds with all that is printed."""

    instructions: int
    seconds: Fraction

    def is_beyond(self, patience: Patience) -> bool:
        """Whether some reply takes longer than `patience` has it."""
        most, seconds = patience
        return self.instructions >= most or (seconds is not None and self.seconds >= seconds)


def slowest_in(program: Program, talk: Conversation, games: Sequence[Game], patience: Patience) -> Pace:
    """The slowest replies in these games, told as soon as one takes longer than `patience` has it.

    It is beyond `patience` only where what `budget.closing` finds is, too: by then it has taken as many instructions,
    or as many seconds with all that is to be printed.
    """
    slowest = Pace(0, Fraction(0))
    for game in games:
        for pace in _paces_in(program, talk, game, patience):
            instructions = max(slowest.instructions, pace.instructions)
            slowest = Pace(instructions, max(slowest.seconds, pace.seconds))
        if slowest.is_beyond(patience):
            break
    return slowest


def _paces_in(program: Program, talk: Conversation, game: Game, patience: Patience) -> Iterator[Pace]:
    """What each reply of a game takes, up to the first that takes too long."""
    state, _ = talk.begin()
    machine = _quick_machine(program)
    if machine.run(LONGEST_REPLY) != WAITING:
        return
    for typed in game:
        after, said = talk.enter(state, typed)
        pace = _pace_of_reply(machine, state, typed, len(said), patience)
        yield pace
        if pace.is_beyond(patience):
            return
        state = after


def _quick_machine(program: Program) -> AnyMachine:
    return machine_for(program) if program.card.programs == ORDER_SHEET else Hurried.loaded(program)


def _pace_of_reply(machine: AnyMachine, state: State, typed: Typed, said: int, patience: Patience) -> Pace:
    """What one reply takes, with so many characters; if it is not too long, the machine waits for the next input."""
    tally, begun, cycles = Tally(machine.card), machine.instructions, machine.clock.cycles
    machine.feed(typed)
    while True:
        status = machine.run(AT_A_TIME)
        took = (machine.instructions - begun, machine.clock.cycles - cycles, said)
        pace = Pace(took[0], tally.reply(took, state, typed).seconds)
        if status != LIMIT or pace.is_beyond(patience):
            return pace
