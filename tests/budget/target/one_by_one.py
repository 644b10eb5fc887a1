"""Machines of an order sheet one after another, the slow obvious way: what `budget.herds.SheetHerd` is held against."""

import numpy as np

from budget.machine.simulator import FAULT
from budget.target.machine import TargetMachine


class WatchedStore(list):
    """A store that notices reading of watched words before they are written."""

    def __init__(self, words):
        super().__init__(words)
        self.fresh, self.leftover = set(), set()

    def __getitem__(self, address):
        if address in self.fresh:
            self.leftover.add(address)
        return super().__getitem__(address)

    def __setitem__(self, address, word):
        self.fresh.discard(address)
        super().__setitem__(address, word)


class OneByOne:
    """One machine that is set to each state in turn; see `budget.herds.Herd`."""

    def __init__(self, machine, snapshots, watched):
        self.machine = machine
        self.snapshots = list(snapshots)
        self.faults = [""] * len(snapshots)
        self.sent = [[] for _ in snapshots]
        self.took = np.zeros((len(snapshots), 2), dtype=np.int64)
        self.watch(watched)

    @classmethod
    def loaded(cls, program, fill, watched):
        machine = TargetMachine(program.card, WatchedStore(program.store(fill)), program.start)
        return cls(machine, [machine.snapshot()], watched)

    def __len__(self):
        return len(self.snapshots)

    def run(self, typed, limit):
        took = []
        for number, snapshot in enumerate(self.snapshots):
            took.append(self.run_one(number, snapshot, typed[number] if len(typed) else (), limit))
        self.took = np.array(took, dtype=np.int64).reshape(-1, 2)

    def run_one(self, number, snapshot, typed, limit):
        machine, store = self.machine, self.machine.store
        if snapshot.status == FAULT:
            self.sent[number] = []
            return 0, 0
        machine.restore(snapshot)
        machine.passed.clear()
        machine.feed(typed)
        store.fresh, store.leftover = set(self.watched), set()
        before = machine.instructions, machine.clock.cycles
        machine.run(limit)
        self.leftover[list(store.leftover)] = True
        store.fresh = set()
        self.sent[number] = list(machine.passed)
        self.snapshots[number], self.faults[number] = machine.snapshot(), machine.fault
        return machine.instructions - before[0], machine.clock.cycles - before[1]

    def chosen(self, numbers):
        herd = OneByOne(self.machine, [self.snapshots[number] for number in numbers], self.flags)
        herd.faults = [self.faults[number] for number in numbers]
        return herd

    def watch(self, words):
        self.flags = words
        self.watched = frozenset(np.flatnonzero(words).tolist())
        self.leftover = np.zeros(len(words), dtype=np.bool_)

    def told(self, matters):
        found = []
        for snapshot in self.snapshots:
            store = [pair for pair in snapshot.store if matters[pair[0]]]
            found.append(repr((snapshot.place, snapshot.registers, snapshot.channels, store)).encode())
        return found

    def stands(self, number):
        status = self.snapshots[number].status
        return status, self.faults[number] if status == FAULT else ""

    def written(self):
        flags = np.zeros(len(self.machine.store), dtype=np.bool_)
        flags[list(self.machine.written)] = True
        return flags
