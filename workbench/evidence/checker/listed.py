"""Games whose rules are not known here: the evidence lists the moves."""

from .terms import SEATS, Moves, Numbered, Record, State, Wrong


class Listed:
    """A game whose moves the evidence lists: they are taken as they stand.  A state: who moves, and the position."""

    def __init__(self, records: Numbered) -> None:
        self.table: dict[State, Record] = {}
        for number, record in records:
            key = (record["listed"], record["turn"])
            if key in self.table:
                raise Wrong(f"line {number}: the position {record['listed']} is listed twice")
            self.table[key] = record
        if not records:
            raise Wrong("no moves are listed, and this program does not know the game")
        self.start = (records[0][1]["listed"], records[0][1]["turn"])

    def entry(self, state: State) -> Record:
        if state not in self.table:
            raise Wrong(f"the moves of {state[0]} ({state[1]} player to move) are not listed")
        return self.table[state]

    def mover(self, state: State) -> int:
        return SEATS.index(state[1])

    def ending(self, state: State) -> str | None:
        return self.entry(state).get("ending")

    def moves(self, state: State) -> Moves:
        return {name: tuple(after) for name, after in self.entry(state).get("moves", {}).items()}

    def text(self, state: State) -> str:
        return str(state[0])
