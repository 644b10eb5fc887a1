"""Whether a program is slow: seen in a few games on one machine, which take far less time than all states.

The first reply takes a search longest; and where printing outweighs thinking, the visitor waits longest where most is
printed.  So a game is tried to its end, and those that lead to the longest answers.
"""

from collections.abc import Sequence
from heapq import nlargest

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


def is_slow(program: Program, talk: Conversation, games: Sequence[Game], patience: Patience) -> bool:
    """Whether some reply in these games takes longer than `patience` has it.

    It says so only where `budget.closing` would, too: by then it has taken as many instructions, or as many seconds
    with all that is to be printed.
    """
    return any(_is_slow_in(program, talk, game, patience) for game in games)


def _is_slow_in(program: Program, talk: Conversation, game: Game, patience: Patience) -> bool:
    state, _ = talk.begin()
    machine = _quick_machine(program)
    if machine.run(LONGEST_REPLY) != WAITING:
        return False
    for typed in game:
        after, said = talk.enter(state, typed)
        if _is_slow_reply(machine, state, typed, len(said), patience):
            return True
        state = after
    return False


def _quick_machine(program: Program) -> AnyMachine:
    return machine_for(program) if program.card.programs == ORDER_SHEET else Hurried.loaded(program)


def _is_slow_reply(machine: AnyMachine, state: State, typed: Typed, said: int, patience: Patience) -> bool:
    """Whether one reply, with so many characters, is slow; if not, the machine waits for the next input."""
    tally, begun, cycles = Tally(machine.card), machine.instructions, machine.clock.cycles
    machine.feed(typed)
    while True:
        status = machine.run(AT_A_TIME)
        took = (machine.instructions - begun, machine.clock.cycles - cycles, said)
        seconds = tally.reply(took, state, typed).seconds
        if took[0] >= patience.instructions or (patience.seconds is not None and seconds >= patience.seconds):
            return True
        if status != LIMIT:
            return False
