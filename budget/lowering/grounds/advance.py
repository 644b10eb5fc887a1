"""Men that advance: a word for each cell, one more that stands for what is off the board, and tables of all moves.

A cell holds 0 where it is free, 1 for a man of the machine's and 2 for one of the visitor's.
"""

from collections import defaultdict
from collections.abc import Mapping
from typing import NoReturn, cast

from budget.lowering.ground import DRAWN, LOST_TURN, MACHINE, VISITOR, Digit, Ground, Setting, by_last_mover
from budget.lowering.pairs import GOALS, STARTS, Pairs, jump_if_among, pairs_named
from budget.lowering.text import NotLowered
from games.advance.advance import Advance
from games.advance.laws import DRAWS, LEAVES, LOSES, NOTHING, OFF, PASS, PASSES, WINS
from games.advance.ways import OFF_BOARD, ONTO_FREE, ONTO_OTHER, cells_of
from games.inputs import BY_MACHINE, BY_VISITOR

OWN, THEIRS = 1, 2
SIDE = {MACHINE: OWN, VISITOR: THEIRS}
STEPS, CAPTURES = 1, 2
"""What a side can do by a move, as bits."""


def ground(setting: Setting) -> Ground | None:
    """The ground of a game of men that advance."""
    return AdvanceGround(setting) if isinstance(setting.game, Advance) else None


class AdvanceGround:
    """A board of men that advance."""

    def __init__(self, setting: Setting) -> None:
        self.text = setting.text
        self._game = cast(Advance, setting.game)
        self._laws = self._game.laws
        self._seat = {MACHINE: setting.seat, VISITOR: 1 - setting.seat}
        self._cells = self._game.board.size
        self._passes = self._laws.blocked == PASSES
        names = (*self._game.board.names, OFF)
        self._list = pairs_named(self._game.move_names[: setting.moves], names, PASS)
        self._pairs = Pairs(self.text, setting.choices, self._cells, self._list, placed=False)
        self.text.variable("board", self._cells + 1, "the cells, and off the board, where nothing stays")
        self._counts_men = self._laws.no_men != NOTHING and not self._is_blocked_too()

    def _is_blocked_too(self) -> bool:
        """Whether whoever has no man left loses as well because nobody of theirs can move."""
        return self._laws.no_men == self._laws.blocked == LOSES and self._laws.far_edge != LEAVES

    def _table(self, who: str) -> str:
        """What a side can do by each move."""
        ways = self._game.sides[self._seat[who]].ways
        can = dict.fromkeys(self._list, 0)
        for way in ways:
            for cell in cells_of(way.cells):
                goal = self._cells if way.onto == OFF_BOARD else cell + way.shift
                can[cell, goal] |= CAPTURES if way.onto == ONTO_OTHER else STEPS
        assert {way.onto for way in ways} <= {ONTO_FREE, ONTO_OTHER, OFF_BOARD}
        return self.text.table(
            f"{who}_can", can.values(), f"what the {who} can do by them: 1 step, 2 capture"
        )

    def set_up(self) -> None:
        """The men as they stand at the start."""
        text, count = self.text, self._cells
        held = [cells_of(self._game.sides[self._seat[who]].men) for who in (MACHINE, VISITOR)]
        first = [
            next((mark for mark, cells in enumerate(held, 1) if cell in cells), 0) for cell in range(count)
        ]
        table, again = text.table("first_board", first, "the board at the start"), text.fresh("put")
        text.number(-count)
        text.ops(
            "store move", f"{again}:", "by move", f"load {table}+{count}", "by move", f"store board+{count}"
        )
        text.ops("count move", f"ifnonzero {again}", f"store board+{count}")
        if self._counts_men:
            for who, cells in zip((MACHINE, VISITOR), held, strict=True):
                text.number(-len(cells))
                text.op("store", text.variable(f"{who}_men", remark="negative"))

    # -- moves --------------------------------------------------------------------------------

    def judge(self, refused: Mapping[str, str]) -> None:
        """In the family's order of reasons."""
        text, legal = self.text, self.text.fresh("legal")
        self._pairs.find()
        if self._passes:
            by_man = text.fresh("by_man")
            text.ops("load source", f"ifnonzero {by_man}")
            self._if_any(VISITOR, STEPS | CAPTURES, refused["may-not-pass"])
            text.ops(f"jump {legal}", f"{by_man}:")
            can = text.fresh("can_go")
            self._if_any(VISITOR, STEPS | CAPTURES, can)
            text.ops(f"jump {refused['must-pass']}", f"{can}:")
        self._judge_man(VISITOR, refused, legal)
        text.label(legal)

    def _judge_man(self, who: str, refused: Mapping[str, str], legal: str) -> None:
        """A man's move from `source` to `goal`, with its number in `move`: go on at a label, or fall through."""
        text, count, can = self.text, self._cells, self._table(who)
        own, other = (BY_MACHINE, BY_VISITOR) if who == MACHINE else (BY_VISITOR, BY_MACHINE)
        taken = text.fresh("taken")
        text.ops("load source", f"look board+{count}")
        text.plus(-SIDE[who])
        text.ops(f"ifnonzero {refused['not-your-piece']}", "load move", f"ifzero {refused['no-such-step']}")
        text.ops("load goal", f"look board+{count}", f"ifnonzero {taken}")
        text.ops("by move", f"load {can}+{self._pairs.count}", f"and ={STEPS}")
        text.op("ifzero", refused["no-such-step"])
        if self._laws.must_capture:
            self._if_any(who, CAPTURES, refused["must-capture"])
        text.ops(f"jump {legal}", f"{taken}:", "by move", f"load {can}+{self._pairs.count}")
        text.op("ifzero", refused["no-such-step"])
        text.ops("load goal", f"look board+{count}")
        text.jump_if(SIDE[who], refused[own])
        text.ops("by move", f"load {can}+{self._pairs.count}", f"and ={CAPTURES}", f"ifzero {refused[other]}")

    def _if_any(self, who: str, what: int, label: str) -> None:
        """Go on at a label if some man of theirs can go, or capture."""
        name = "any" if what != CAPTURES else "capture"
        self.text.routine(f"{who}_{name}", lambda: self._write_any(who, what))
        self.text.op("ifnonzero", label)

    def _write_any(self, who: str, what: int) -> None:
        """A subroutine: A is not 0 if some move that does this can be made."""
        text = self.text
        self._pairs.each(lambda way: self._can(who, way, what))
        text.op("back")

    def _can(self, who: str, way: str, what: int) -> None:
        """A is not 0 if a side can make a move, by its number in a word, that does this."""
        text, count, pairs = self.text, self._cells, self._pairs
        no, free, test = text.fresh("cannot"), text.fresh("onto_free"), text.fresh("onto")
        pairs.load(STARTS, way)
        text.op("look", f"board+{count}")
        text.plus(-SIDE[who])
        text.op("ifnonzero", no)
        pairs.load(GOALS, way)
        text.ops(f"look board+{count}", f"ifzero {free}")
        text.plus(-SIDE[who])
        text.op("ifzero", no)
        text.number(CAPTURES)
        text.ops(f"jump {test}", f"{free}:")
        text.number(what & STEPS)
        done = text.fresh("tested")
        text.ops(f"{test}:", f"by {way}", f"and {self._table(who)}+{pairs.count}", f"jump {done}", f"{no}:")
        text.number(0)
        text.label(done)

    def unless_can(self, label: str, who: str = MACHINE) -> None:
        """The same reasons, for either player."""
        text, legal = self.text, self.text.fresh("legal")
        self._pairs.split()
        if self._passes:
            by_man = text.fresh("by_man")
            text.ops("load source", f"ifnonzero {by_man}")
            self._if_any(who, STEPS | CAPTURES, label)
            text.ops(f"jump {legal}", f"{by_man}:")
        self._judge_man(who, defaultdict(lambda: label), legal)
        text.label(legal)

    def play(self, who: str) -> None:
        """The man goes; whom it captures is gone, and so is a man that leaves."""
        text, count = self.text, self._cells
        other = VISITOR if who == MACHINE else MACHINE
        self._pairs.split()
        if self._passes:
            passed = text.fresh("passed")
            text.ops("load source", f"ifzero {passed}")
        if self._counts_men:
            onto_free = text.fresh("onto_free")
            text.ops("load goal", f"look board+{count}", f"ifzero {onto_free}", f"count {other}_men")
            text.label(onto_free)
        text.number(0)
        text.ops("by source", f"store board+{count}")
        text.number(SIDE[who])
        text.ops("by goal", f"store board+{count}")
        if self._laws.far_edge == LEAVES:
            self._leave(who)
        if self._passes:
            text.label(passed)

    def _leave(self, who: str) -> None:
        text, stays = self.text, self.text.fresh("stays")
        text.ops("load goal", f"ifnonzero {stays}", f"store board+{self._cells}")
        if self._counts_men:
            text.op("count", f"{who}_men")
        text.label(stays)

    def kept(self) -> NoReturn:
        """Moves cannot be taken back yet: raises NotLowered."""
        raise NotLowered("moves of men that advance cannot be taken back in a program yet")

    def undo(self, who: str) -> NoReturn:
        """The same."""
        self.kept()

    # -- endings ------------------------------------------------------------------------------

    def ends(self, who: str, labels: Mapping[str, str]) -> None:
        """A man on the far edge, then no man left, then somebody blocked."""
        other = VISITOR if who == MACHINE else MACHINE
        if self._laws.far_edge in (WINS, LOSES):
            over = by_last_mover(who, wins=self._laws.far_edge == WINS)
            if over in labels:
                self._if_far(who, labels[over])
        if self._counts_men:
            for whose in (who, other):
                over = self._result(self._laws.no_men, whose)
                if over in labels:
                    self.text.ops(f"load {whose}_men", f"ifzero {labels[over]}")
        self._if_blocked(other, labels)

    def _result(self, law: str, whose: str) -> str:
        """How the game ends by a law about a player; nothing where it does not."""
        if law in (DRAWS, PASSES):
            return DRAWN
        return by_last_mover(whose, wins=law == WINS) if law in (WINS, LOSES) else ""

    def _if_far(self, who: str, label: str) -> None:
        """Go on at a label if `goal` is on their far edge."""
        far = cells_of(self._game.sides[self._seat[who]].far)
        jump_if_among(self.text, "goal", self._cells, far, label)

    def _if_blocked(self, whose: str, labels: Mapping[str, str]) -> None:
        over, text = self._result(self._laws.blocked, whose), self.text
        if over not in labels:
            return
        on = text.fresh("goes_on")
        self._if_any(whose, STEPS | CAPTURES, on)
        if self._passes:
            self._if_any(VISITOR if whose == MACHINE else MACHINE, STEPS | CAPTURES, on)
        text.ops(f"jump {labels[over]}", f"{on}:")

    def after_wrong(self, what: str, labels: Mapping[str, str]) -> None:
        """Whoever is to move instead may be blocked."""
        if what == LOST_TURN:
            self._if_blocked(MACHINE, labels)

    def digits(self) -> tuple[Digit, ...]:
        """The cells."""
        return tuple(Digit(f"board+{cell}", 3) for cell in range(self._cells))
