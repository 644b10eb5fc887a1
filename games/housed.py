"""A game with its house rules: what wrong input costs is part of the game that is solved and proved.

A lost turn is one more move of the visitor's (one ply); a lost game is an ending; a forgiven input that changes a
counter is a move too (one ply), after which the visitor moves again.  What changes nothing is no move.  All inputs of
a position with the same effect are one move.  The counters of forgiving house rules, and a flag for a game
lost by one, stand in the code above the family's own bits.
"""

import numpy as np

from games.codes import (
    FIRST,
    SECOND,
    TURN,
    TURN_BIT,
    UNFINISHED,
    Bytes,
    Codes,
    Indices,
    MoveIds,
    MoveList,
    distinct,
    win_of,
)
from games.game import Gains, Game, counting_plies, scored
from games.house import HouseRules
from games.inputs import Shape, classes_of, possible_classes, refusal_class
from games.problems import bad

MOST_GAINED = 127
"""What a lost game brings in a score game."""
TURN_LOST, GAME_LOST = "turn lost", "game lost"


class HousedGame:
    """A game under house rules with the machine in one seat; obeys the interface of a game itself.

    Moves below `fair_moves` are the game's own; those above are wrong inputs by their effect.
    """

    def __init__(self, game: Game, house: HouseRules, seat: int) -> None:
        self.fair = game
        self.house = house
        self.seat = seat
        self.visitor = SECOND - seat
        self.shape = Shape(game.move_names, house.form)
        self.name, self.title, self.size, self.origin = game.name, game.title, game.size, game.origin
        self.start, self.other_start = game.start, game.other_start
        self.symmetries, self.refusals = game.symmetries, game.refusals
        self.can_repeat = game.can_repeat  # a lost turn brings a position back only where fair play can
        self.fair_moves = len(game.move_names)
        self._fair_bits = np.uint64((1 << game.bits) - 1) | TURN
        self._rule_of = {name: house.rule_for(name) for name in classes_of(game)}
        self._lay_out_counters()
        effects = [TURN_LOST, GAME_LOST, *(f"forgiven by {rule.name}" for rule in house.rules)]
        scores = scored(game)
        if scores is not None:
            self._fair_gains = scores.gains
            self.gains = self._gains
        self.move_names = (*game.move_names, *(f"({effect})" for effect in effects))

    def _lay_out_counters(self) -> None:
        """Give each forgiving house rule its counter, and lost games their flag, from the family's bits upward."""
        bit = self.fair.bits
        self._counter_at: list[int] = []
        for rule in self.house.rules:
            self._counter_at.append(bit)
            bit += rule.forgive.bit_length()
        self._lost_flag = np.uint64(0)
        if any(rule.cost == "game" for rule in self.house.rules):
            if bit < TURN_BIT:
                self._lost_flag = np.uint64(1 << bit)
            bit += 1
        if bit > TURN_BIT:
            raise bad(
                f"the counters of these house rules and the board of {self.fair.name} do not fit in one code "
                f"({bit} bits; expected at most {TURN_BIT}); forgive less often"
            )
        self.bits = bit

    @property
    def rules(self) -> tuple[str, ...]:
        """The fair game's rules in words."""
        return self.fair.rules

    def fair_codes(self, codes: Codes) -> Codes:
        """The positions without what house rules count: what a strategy sees."""
        return codes & self._fair_bits

    def mover(self, codes: Codes) -> Bytes:
        """Whose turn it is."""
        return self.fair.mover(self.fair_codes(codes))

    def ending(self, codes: Codes) -> Bytes:
        """As in the fair game; a game lost by a house rule is the machine's."""
        ending = self.fair.ending(self.fair_codes(codes))
        ending[codes & self._lost_flag != 0] = win_of(self.seat)
        return ending

    def turned(self, symmetry: int, codes: Codes) -> Codes:
        """The turned positions; counters stay as they are."""
        return self.fair.turned(symmetry, self.fair_codes(codes)) | codes & ~self._fair_bits

    def turned_move(self, symmetry: int, moves: MoveIds) -> MoveIds:
        """The turned moves; a wrong input stays what it is."""
        fair = moves < self.fair_moves
        turned = moves.copy()
        turned[fair] = self.fair.turned_move(symmetry, moves[fair])
        return turned

    def _gains(self, codes: Codes, moves: MoveIds) -> Gains:
        """In a score game: what fair moves bring at once.

        A wrong input brings nothing, unless it loses the game: then more than any game can bring goes to the machine,
        so that nobody who is behind can get away by losing on purpose.
        """
        gains = np.zeros(len(codes), dtype=np.int8)
        gains[moves == self.fair_moves + 1] = MOST_GAINED if self.seat == FIRST else -MOST_GAINED
        fair = moves < self.fair_moves
        gains[fair] = self._fair_gains(self.fair_codes(codes[fair]), moves[fair])
        return gains

    def why_not(self, codes: Codes, moves: MoveIds) -> Bytes:
        """As in the fair game, for moves of the fair game."""
        return self.fair.why_not(self.fair_codes(codes), moves)

    def moves(self, codes: Codes) -> MoveList:
        """The fair moves, and for the visitor the wrong inputs that change something."""
        parent, move, child = self.fair.moves(self.fair_codes(codes))
        child = child | codes[parent] & ~self._fair_bits
        if not self._anything_counts():
            return MoveList(parent, move, child)
        at = np.nonzero(self.mover(codes) == self.visitor)[0]
        wrong = [
            MoveList(at[places], moves, children) for places, moves, children in self._wrong_inputs(codes[at])
        ]
        parent = np.concatenate([parent, *(part.parent for part in wrong)])
        move = np.concatenate([move, *(part.move for part in wrong)])
        child = np.concatenate([child, *(part.child for part in wrong)])
        return MoveList(parent, move, child)

    def _anything_counts(self) -> bool:
        return any(rule.cost != "nothing" or rule.counts for rule in self.house.rules)

    def _wrong_inputs(self, codes: Codes) -> list[tuple[Indices, MoveIds, Codes]]:
        """The wrong inputs of these positions of the visitor's that change something, one part for each effect."""
        effects: dict[int, list[Indices]] = {}
        for name, where in self.possible(codes).items():
            for effect, places in self._effects(codes, name, np.nonzero(where)[0]):
                effects.setdefault(effect, []).append(places)
        parts = []
        for effect, pieces in effects.items():
            places = distinct(np.concatenate(pieces))
            moves = np.full(len(places), self.fair_moves + effect, dtype=np.uint16)
            parts.append((places, moves, self._after(codes[places], effect)))
        return parts

    def _effects(self, codes: Codes, input_class: str, places: Indices) -> list[tuple[int, Indices]]:
        """Which effect an input of this class has in these positions: 0 turn lost, 1 game lost, 2 + rule forgiven."""
        number = self._rule_of[input_class]
        rule = self.house.rules[number]
        forgiven = self.times_forgiven(codes[places], number) < rule.forgive
        parts = [(2 + number, places[forgiven])]
        if rule.cost != "nothing":
            parts.append((0 if rule.cost == "turn" else 1, places[~forgiven]))
        return [(effect, found) for effect, found in parts if len(found)]

    def times_forgiven(self, codes: Codes, rule: int) -> Codes:
        """How often a house rule has forgiven in these positions."""
        width = self.house.rules[rule].forgive.bit_length()
        return codes >> np.uint64(self._counter_at[rule]) & np.uint64((1 << width) - 1)

    def _after(self, codes: Codes, effect: int) -> Codes:
        if effect == 0:
            return self.after_lost_turn(codes)
        codes = self._one_ply_on(codes)
        if effect == 1:
            return codes | self._lost_flag
        return codes + np.uint64(1 << self._counter_at[effect - 2])

    def after_lost_turn(self, codes: Codes) -> Codes:
        """What a lost turn makes of these positions of the visitor's."""
        return self._one_ply_on(codes) ^ TURN

    def _one_ply_on(self, codes: Codes) -> Codes:
        """Where the game counts plies: one more has been made, for wrong input that changes something is a ply."""
        counting = counting_plies(self.fair)
        if counting is None:
            return codes
        return counting.one_ply_on(self.fair_codes(codes)) | codes & ~self._fair_bits

    def texts(self, codes: Codes, seat: int) -> list[str]:
        """Positions for people and files: the board, and behind it how often each forgiving rule has forgiven."""
        boards = self.fair.texts(self.fair_codes(codes), seat)
        counting = [number for number, rule in enumerate(self.house.rules) if rule.counts]
        if not counting:
            return boards
        counted = zip(*(self.times_forgiven(codes, number).tolist() for number in counting), strict=True)
        return [
            f"{board} forgiven {'/'.join(map(str, each))}"
            for board, each in zip(boards, counted, strict=True)
        ]

    def text(self, code: int) -> str:
        """The same for one position, seen from the machine's seat."""
        return self.texts(np.array([code], dtype=np.uint64), self.seat)[0]

    def read(self, text: str, seat: int, mover: int) -> int:
        """The code of a position of the fair game, on which no house rule has counted yet."""
        return self.fair.read(text, seat, mover)

    def drawing(self, code: int, seat: int, last: int | None = None, *, named: bool = False) -> list[str]:
        """As in the fair game; `last` may be a wrong input, which points at nothing."""
        shown = last if last is not None and last < self.fair_moves else None
        return self.fair.drawing(
            int(self.fair_codes(np.array([code], dtype=np.uint64))[0]), seat, shown, named=named
        )

    def possible(self, codes: Codes) -> dict[str, np.ndarray]:
        """For each class of wrong input, in which of these unfinished positions some input falls into it."""
        return possible_classes(self.fair, self.shape, self.fair_codes(codes), self.seat)

    def message(self, code: int, input_class: str) -> tuple[int, str]:
        """Which house rule answers this class here, and what is said: its message, or its milder one."""
        number = self._rule_of[input_class]
        rule = self.house.rules[number]
        mild = self.times_forgiven(np.array([code], dtype=np.uint64), number)[0] < rule.forgive
        return number, rule.say_forgiven if mild else rule.say

    def answer(self, code: int, input_class: str) -> int | None:
        """The move (by number) that a wrong input of this class amounts to here; None where it changes nothing."""
        codes = np.array([code], dtype=np.uint64)
        if self.ending(codes)[0] != UNFINISHED:
            return None
        effects = self._effects(codes, input_class, np.zeros(1, dtype=np.intp))
        return self.fair_moves + effects[0][0] if effects else None

    def example(self, code: int, move: int) -> tuple[str, str]:
        """A class and an input of it that amount to this wrong-input move here: the first class that does."""
        for name, where in self.possible(np.array([code], dtype=np.uint64)).items():
            if where[0] and self.answer(code, name) == move:
                return name, self.input_of(code, name)
        raise ValueError(f"move {move} is no wrong input in position {code}")

    def input_of(self, code: int, input_class: str) -> str:
        """The shortest plain input of a class of wrong input in a position."""
        fixed = {"too-long": "1" * (self.house.form.longest + 1), "empty": "", "not-understood": "?"}
        if input_class in fixed:
            return fixed[input_class]
        if input_class == "off-board":
            return (self.shape.off_board_example() or b"").decode("ascii")
        moves = np.arange(self.fair_moves, dtype=np.uint16)
        reasons = self.fair.why_not(self.fair_codes(np.full(len(moves), code, dtype=np.uint64)), moves)
        for move, reason in zip(moves, reasons, strict=True):
            if reason and refusal_class(self.refusals[reason - 1], self.seat) == input_class:
                return self.move_names[move]
        raise ValueError(f"no input is {input_class} in position {code}")
