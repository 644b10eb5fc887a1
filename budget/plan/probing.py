"""Whether a program's first reply is too slow already: found on one machine, which is soon done.

A search takes longest for its first reply, and to see that takes one machine far less time than many side by side.
"""

from budget.closing import LONGEST_REPLY, Patience
from budget.conversation import Conversation
from budget.machine.program import Program
from budget.machine.simulator import LIMIT, WAITING
from budget.programs import machine_for
from budget.taken import Tally


def is_slow_at_first(program: Program, talk: Conversation, patience: Patience) -> bool:
    """Whether the reply to the visitor's first move takes longer than `patience` has it.

    It says so only where `budget.closing` would, too: the same number of instructions is taken to be too many.
    """
    state, _ = talk.begin()
    typed = next((typed for typed in talk.inputs(state) if talk.moves_on(state, typed)), None)
    machine = machine_for(program)
    if typed is None or machine.run(LONGEST_REPLY) != WAITING:
        return False
    most, seconds = patience
    if seconds is not None:
        _, said = talk.enter(state, typed)
        most = min(most, Tally(program.card).instructions_in(seconds, len(said), LONGEST_REPLY))
    machine.feed(typed)
    return most == 0 or (
        most < LONGEST_REPLY and machine.run(most) == LIMIT
    )  # 0: printing alone takes longer
