"""A machine of an order sheet followed through every key in every state, without states that only look different.

Words that are always written before they are read, from one key to the next, cannot matter.  Which those are is found
out by watching: if a run reads a word that was thought not to matter, everything is followed anew.
"""

from budget.machine.simulator import WAITING
from budget.programs import machine_for


class Watched(list):
    """A store that remembers which words were read before anything was written there."""

    def __init__(self, words):
        super().__init__(words)
        self.forget()

    def forget(self):
        self.read, self.wrote = set(), set()

    def __getitem__(self, address):
        if address not in self.wrote:
            self.read.add(address)
        return super().__getitem__(address)

    def __setitem__(self, address, word):
        self.wrote.add(address)
        super().__setitem__(address, word)


def followed(program, keys, begin, judged, fill=0):
    """All pairs of a state and what `judged` makes of the game in it, and the most instructions of a reply.

    `judged(game, key, sent)` gives the game after a key and what was said, and fails if that is wrong.
    """
    matters = set()
    while True:
        machine = machine_for(program, fill=fill)
        machine.store = Watched(machine.store)
        assert machine.run() == WAITING
        found = _follow(machine, keys, begin, judged, matters)
        if found is not None:
            return found


def _follow(machine, keys, game, judged, matters):
    """The same for one guess of the words that matter; None, and a better guess, if it was wrong."""
    first = machine.snapshot()
    seen, waiting, most = {(_short(first, matters), game)}, [(first, game)], 0
    while waiting:
        snapshot, game = waiting.pop()
        for key in keys:
            machine.restore(snapshot)
            machine.store.forget()
            machine.passed.clear()
            before = machine.instructions
            machine.feed([key])
            assert machine.run(100_000) == WAITING, machine.fault
            most = max(most, machine.instructions - before)
            missed = machine.store.read & machine.written - matters
            if missed:
                matters |= missed
                return None
            after = machine.snapshot()
            onward = judged(game, key, tuple(machine.passed))
            if (_short(after, matters), onward) not in seen:
                seen.add((_short(after, matters), onward))
                waiting.append((after, onward))
    return seen, most


def _short(snapshot, matters):
    return snapshot._replace(store=tuple(each for each in snapshot.store if each[0] in matters))
