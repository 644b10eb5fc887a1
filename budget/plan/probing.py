"""Whether a program's first reply is too slow already: found on one machine, which is soon done.

A search takes longest for its first reply, and to see that takes one machine far less time than many side by side.
"""

from budget.closing import LONGEST_REPLY, Patience
from budget.conversation import Conversation
from budget.machine.program import Program
from budget.machine.simulator import LIMIT, WAITING
from budget.programs import machine_for
from budget.taken import Tally

AT_A_TIME = 10_000
"""Instructions that are obeyed before the time is looked at again."""


def is_slow_at_first(program: Program, talk: Conversation, patience: Patience) -> bool:
    """Whether the reply to the visitor's first move takes longer than `patience` has it.

    It says so only where `budget.closing` would, too: by then it has taken as many instructions, or as many seconds
    with all that is to be printed.
    """
    state, _ = talk.begin()
    typed = next((typed for typed in talk.inputs(state) if talk.moves_on(state, typed)), None)
    machine = machine_for(program)
    if typed is None or machine.run(LONGEST_REPLY) != WAITING:
        return False
    _, said = talk.enter(state, typed)
    tally, begun, cycles = Tally(program.card), machine.instructions, machine.clock.cycles
    machine.feed(typed)
    while machine.run(AT_A_TIME) == LIMIT:
        took = (machine.instructions - begun, machine.clock.cycles - cycles, len(said))
        seconds = tally.reply(took, state, tuple(typed)).seconds
        if took[0] >= patience.instructions or (patience.seconds is not None and seconds >= patience.seconds):
            return True
    return False
