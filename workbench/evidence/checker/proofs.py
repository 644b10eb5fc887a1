"""Proofs and refutations: every line of play is gone through again, or the line that refutes is played again."""

from .house_rules import housed, knows_rules
from .listed import Listed
from .shapes import FILE
from .terms import DRAW, SEATS, Moves, Numbered, Record, State, Wrong
from .values import keeps, worked_out, worth

PROOF = {
    "verdict": ("proved", "refuted", "no-answer", "illegal-answer"),
    "strategy": FILE,
    "decision?": (int, None),
    "loop_from?": (int, None),
    "answer?": str,
}
PROOF_LINES = {
    "listed": {"listed": str, "turn": SEATS, "moves?": dict, "ending?": (*SEATS, DRAW)},
    "position": {"position": str, "answers": [str], "rank?": int},
    "ply": {"ply": int, "by": ("machine", "visitor"), "move": str, "position": str},
}
"""What the header holds besides what every header does, and the lines, each kind known by its first key."""


class Check:
    """A strategy's answers in every position, or the line of play that refutes it."""

    def __init__(self, header: Record, records: Numbered) -> None:
        self.header = header
        self.seat = SEATS.index(header["seat"])
        self.claim = header["claim"]
        listed = [(number, record) for number, record in records if "listed" in record]
        if listed and knows_rules(header):
            raise Wrong(f"line {listed[0][0]}: moves are listed of a game that needs no list")
        self.game = housed(header) if knows_rules(header) else Listed(listed)
        self.answers = [(number, record) for number, record in records if "answers" in record]
        self.line = [(number, record) for number, record in records if "ply" in record]
        self.known: dict[str, Record] = {}
        """What the machine answers in a position, by its text."""
        self.met: dict[State, Moves] = {}
        """Every position that the answers and the visitor's moves lead to, with the moves from it."""

    def run(self) -> str:
        """What is shown, in words; raises Wrong where it is not."""
        if self.header["verdict"] == "proved":
            if self.line:
                raise Wrong(f"line {self.line[0][0]}: a proof has no line of play")
            return self.proof()
        if self.answers:
            raise Wrong(f"line {self.answers[0][0]}: only a proof lists answers")
        return self.refutation()

    # -- a proof ------------------------------------------------------------------------------------------

    def proof(self) -> str:
        for number, record in self.answers:
            if record["position"] in self.known:
                raise Wrong(f"line {number}: the position {record['position']} has an answer already")
            self.known[record["position"]] = record
        self.go_through()
        positions = {self.game.text(state) for state in self.met if self.is_asked(state)}
        unmet = [number for number, record in self.answers if record["position"] not in positions]
        if unmet:
            raise Wrong(f"line {unmet[0]}: this position never comes to the machine")
        if self.claim != "never-loses":
            self.gives_nothing_away()
        return f"PROVED. {len(positions):,} positions come to the machine; every line of play was gone through again."

    def is_asked(self, state: State) -> bool:
        return self.game.ending(state) is None and self.game.mover(state) == self.seat

    def go_through(self) -> None:
        """Every line of play."""
        waiting = [self.game.start]
        while waiting:
            state = waiting.pop()
            if state in self.met:
                continue
            ending = self.game.ending(state)
            if ending == SEATS[1 - self.seat] and self.claim == "never-loses":
                raise Wrong(f"the visitor can win: {self.game.text(state)}")
            self.met[state] = {} if ending else self.open_moves(state)
            waiting += self.met[state].values()

    def open_moves(self, state: State) -> Moves:
        """The visitor's moves, or those that the strategy answers."""
        moves = self.game.moves(state)
        if self.game.mover(state) != self.seat:
            return moves
        text = self.game.text(state)
        answers = self.known.get(text, {}).get("answers")
        if not answers:
            raise Wrong(f"there is no answer to {text}")
        for name in answers:
            if name not in moves or name.startswith("("):
                raise Wrong(f"the answer {name} to {text} is no legal move")
        return {name: moves[name] for name in answers}

    def gives_nothing_away(self) -> None:
        value = worked_out(self.game)
        for state, moves in self.met.items():
            if not moves or self.game.mover(state) != self.seat:
                continue
            text, here = self.game.text(state), worth(value, state, self.seat)
            for name, after in moves.items():
                if not keeps(value, self.claim, self.seat, state, after):
                    raise Wrong(
                        f"the answer {name} to {text} gives something away, or wins later than it could"
                    )
                if here == 2:
                    self.comes_nearer(after, self.known[text].get("rank", 0))

    def comes_nearer(self, after: State, rank: int) -> None:
        """Whatever comes after a won position has a lesser rank, so play cannot go round: the win comes."""
        seen, waiting = set(), [after]
        while waiting:
            state = waiting.pop()
            if state in seen or self.game.ending(state):
                continue
            seen.add(state)
            text = self.game.text(state)
            if self.game.mover(state) == self.seat:
                if self.known[text].get("rank", 0) >= rank:
                    raise Wrong(f"the rank of {text} does not fall: {rank} before it")
            elif rank <= 0:
                raise Wrong(f"a won position before {text} has no rank above 0")
            else:
                waiting += self.met[state].values()

    # -- a refutation -------------------------------------------------------------------------------------

    def refutation(self) -> str:
        states = [self.game.start]
        for place, (number, record) in enumerate(self.line):
            states.append(self.next_state(states[-1], place, number, record))
        verdict, last = self.header["verdict"], states[-1]
        if verdict == "refuted":
            self.breaks_claim(states)
            return f"REFUTED. The line of {len(self.line)} plies was played again and breaks the claim."
        if not self.is_asked(last):
            raise Wrong("the line does not end where the machine has to answer")
        tried = self.header.get("answer")
        if verdict == "illegal-answer" and (tried is None or tried in self.game.moves(last)):
            raise Wrong(f"the answer {tried} to {self.game.text(last)} is legal")
        what = "no answer" if verdict == "no-answer" else f"the illegal answer {tried}"
        return f"REFUTED. The line of {len(self.line)} plies was played again; it ends where there is {what}."

    def next_state(self, state: State, place: int, number: int, record: Record) -> State:
        if self.game.ending(state):
            raise Wrong(f"line {number}: the game is over before this ply")
        by = "machine" if self.game.mover(state) == self.seat else "visitor"
        moves = self.game.moves(state)
        if record["ply"] != place + 1 or record["by"] != by:
            raise Wrong(f"line {number}: expected ply {place + 1}, by the {by}")
        if record["move"] not in moves or (by == "machine" and record["move"].startswith("(")):
            raise Wrong(f"line {number}: {record['move']} cannot be played in {self.game.text(state)}")
        if record["position"] != self.game.text(moves[record["move"]]):
            raise Wrong(f"line {number}: the position after {record['move']} is another one")
        return moves[record["move"]]

    def breaks_claim(self, states: list[State]) -> None:
        if self.claim == "never-loses":
            if self.game.ending(states[-1]) != SEATS[1 - self.seat]:
                raise Wrong("the line does not end in a win of the visitor's")
            return
        value, loop = worked_out(self.game), self.header.get("loop_from")
        values = [worth(value, state, self.seat) for state in states]
        if loop is not None and not self.header.get("decision"):
            goes_round = 0 <= loop < len(states) - 1 and states[loop] == states[-1]
            if not goes_round or min(values[loop:]) < 2 or any(map(self.game.ending, states[loop:])):
                raise Wrong("the line does not go round through won positions")
            return
        ply = self.header.get("decision") or 0
        if not 1 <= ply < len(states) or self.game.mover(states[ply - 1]) != self.seat:
            raise Wrong("no ply of the machine's is named as the decision that breaks the claim")
        before, after = states[ply - 1 : ply + 1]
        if keeps(value, self.claim, self.seat, before, after):
            raise Wrong(f"ply {ply} gives nothing away")


def check_proof(header: Record, records: Numbered) -> tuple[int, list[str]]:
    """A strategy's proof, or the line that refutes it."""
    return 0, [Check(header, records).run()]
