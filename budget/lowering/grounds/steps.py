"""Men that are placed on points and go along steps: a word for each point, and tables of all steps.

A point holds 0 where it is free, 1 for a man of the machine's and 2 for one of the visitor's.  Men still in hand are
counted in a word for each side, below 0; so are the first moves in which some points are guarded.
"""

from collections import defaultdict
from collections.abc import Mapping
from typing import cast

from budget.lowering.ground import DRAWN, LOST_TURN, MACHINE, VISITOR, Digit, Ground, Setting, by_last_mover
from budget.lowering.lined import write_lined
from budget.lowering.pairs import GOALS, STARTS, Pair, Pairs, jump_if_among, pairs_named
from budget.lowering.text import NotLowered
from games.inputs import BY_MACHINE, BY_VISITOR
from games.steps.moves import PASS
from games.steps.rules import DRAWS, EACH_FIRST_MAN, PASSES, WINS
from games.steps.steps import Steps

SIDE = {MACHINE: 1, VISITOR: 2}
OTHER = {MACHINE: VISITOR, VISITOR: MACHINE}


def ground(setting: Setting) -> Ground | None:
    """The ground of a game of men on points."""
    return StepsGround(setting) if isinstance(setting.game, Steps) else None


class StepsGround:
    """A board of men on points."""

    def __init__(self, setting: Setting) -> None:
        self.text = setting.text
        game = cast(Steps, setting.game)
        self._rules = game.setting
        if game.marks_lines:
            raise NotLowered("lines that count only at some times cannot be told in a program yet")
        self._seat = {MACHINE: setting.seat, VISITOR: 1 - setting.seat}
        self._points = game.board.size
        self._passes = self._rules.blocked == PASSES
        self._places = any(self._rules.in_hand)
        self._pairs = Pairs(
            self.text, setting.choices, self._points, _steps_of(game, setting.moves), placed=self._places
        )
        self.text.variable("board", self._points)

    def set_up(self) -> None:
        """The men as they stand at the start, and those in hand."""
        text, count = self.text, self._points
        standing = [self._rules.standing[self._seat[who]] for who in (MACHINE, VISITOR)]
        again = text.fresh("put")
        text.number(-count)
        text.ops("store move", f"{again}:")
        if any(standing):
            first = [
                next((mark for mark, held in enumerate(standing, 1) if point in held), 0)
                for point in range(count)
            ]
            text.ops("by move", f"load {text.table('first_board', first, 'the board at the start')}+{count}")
        else:
            text.number(0)
        text.ops("by move", f"store board+{count}", "count move", f"ifnonzero {again}")
        for who in (MACHINE, VISITOR):
            if self._places:
                self._set_counter(who, "hand", self._rules.in_hand[self._seat[who]])
            if self._rules.guarded_moves:
                self._set_counter(who, "early", self._rules.guarded_moves)

    def _set_counter(self, who: str, name: str, count: int) -> None:
        text = self.text
        text.needs(-count, 0, f"a count of {count}")
        text.number(-count)
        text.op("store", text.variable(f"{who}_{name}", remark="negative"))

    # -- moves --------------------------------------------------------------------------------

    def judge(self, refused: Mapping[str, str]) -> None:
        """In the family's order of reasons."""
        self._pairs.find()
        self._judge(VISITOR, refused)

    def unless_can(self, label: str, who: str = MACHINE) -> None:
        """The same for either player."""
        self._pairs.split()
        self._judge(who, defaultdict(lambda: label))

    def _judge(self, who: str, refused: Mapping[str, str]) -> None:
        text, legal = self.text, self.text.fresh("legal")
        if self._passes:
            self._judge_passing(who, refused, legal)
        placed, ends = text.fresh("placed"), text.fresh("onto")
        if self._places:
            text.ops("load source", "subtract goal", f"ifzero {placed}")
            text.ops(f"load {who}_hand", f"ifnonzero {refused['place-first']}")
        text.ops("load source", f"look board+{self._points}")
        text.plus(-SIDE[who])
        text.op("ifnonzero", refused["not-your-piece"])
        if "no-such-step" in refused or isinstance(refused, defaultdict):
            text.ops("load move", f"ifzero {refused['no-such-step']}")
        if self._rules.guarded:
            self._judge_entry(who, refused["no-entry"])
        if self._places:
            text.ops(
                f"jump {ends}", f"{placed}:", f"load {who}_hand", f"ifzero {refused['nothing-to-place']}"
            )
            if self._rules.barred:
                self._judge_barred(who, refused["barred"])
            text.label(ends)
        text.ops("load goal", f"look board+{self._points}", f"ifzero {legal}")
        if refused[BY_MACHINE] != refused[BY_VISITOR]:
            text.jump_if(SIDE[MACHINE], refused[BY_MACHINE])
        text.ops(f"jump {refused[BY_VISITOR]}", f"{legal}:")

    def _judge_passing(self, who: str, refused: Mapping[str, str], legal: str) -> None:
        text, can, goes = self.text, self.text.fresh("can_go"), self.text.fresh("by_man")
        text.ops("load source", f"ifnonzero {goes}")
        self._unless_blocked(who, refused["may-not-pass"])
        text.ops(f"jump {legal}", f"{goes}:")
        self._unless_blocked(who, can)
        text.ops(f"jump {refused['must-pass']}", f"{can}:")

    def _judge_barred(self, who: str, label: str) -> None:
        """Leave with the side's first man, or the first of all, on a barred point."""
        text, rules = self.text, self._rules
        ok = text.fresh("not_barred")
        whose = (who,) if rules.barred_to == EACH_FIRST_MAN else (who, OTHER[who])
        if any(rules.standing[self._seat[each]] for each in whose):
            return
        for each in whose:
            text.op("load", f"{each}_hand")
            text.plus(rules.in_hand[self._seat[each]])
            text.op("ifnonzero", ok)
        jump_if_among(text, "goal", self._points, rules.barred, label)
        text.label(ok)

    def _judge_entry(self, who: str, label: str) -> None:
        """Leave if the move enters a guarded point and may not."""
        text, ok, guarded = self.text, self.text.fresh("may_enter"), self.text.fresh("guarded")
        jump_if_among(text, "goal", self._points, self._rules.guarded, guarded)
        text.ops(f"jump {ok}", f"{guarded}:")
        if self._rules.guarded_moves:
            text.ops(f"load {who}_early", f"ifzero {ok}")
        text.op("load", "source")
        self._beside(who)
        text.ops(f"ifzero {label}", f"{ok}:")

    def _beside(self, who: str) -> None:
        """A is not 0 if the point in A is joined to one where a man of the other side stands."""
        self.text.routine(f"{who}_beside", lambda: self._write_beside(who))

    def _write_beside(self, who: str) -> None:
        text, pairs, point, joined = (
            self.text,
            self._pairs,
            self.text.variable("point"),
            self.text.variable("joined"),
        )
        again, other, out = text.fresh("joined"), text.fresh("joined_not"), text.fresh("joined_out")
        text.op("store", point)
        text.number(-pairs.count)
        text.ops(f"store {joined}", f"{again}:")
        pairs.load(STARTS, joined)
        text.ops(f"subtract {point}", f"ifnonzero {other}")
        pairs.load(GOALS, joined)
        text.op("look", f"board+{self._points}")
        text.plus(-SIDE[OTHER[who]])
        text.ops(f"ifzero {out}", f"{other}:", f"count {joined}", f"ifnonzero {again}", f"{out}:")
        text.ops(f"load {joined}", "back")

    def play(self, who: str) -> None:
        """The man is placed, or goes."""
        text, count = self.text, self._points
        self._pairs.split()
        passed = text.fresh("passed")
        if self._passes:
            text.ops("load source", f"ifzero {passed}")
        text.number(0)
        text.ops("by source", f"store board+{count}")
        text.number(SIDE[who])
        text.ops("by goal", f"store board+{count}")
        self._pass_on(who, "hand", is_kept=self._places)
        if self._passes:
            text.label(passed)
        self._pass_on(who, "early", is_kept=bool(self._rules.guarded_moves))

    def _pass_on(self, who: str, name: str, *, is_kept: bool) -> None:
        """Count a man in hand, or an early move, as long as there is one."""
        if is_kept:
            done = self.text.fresh("counted")
            self.text.ops(f"load {who}_{name}", f"ifzero {done}", f"count {who}_{name}", f"{done}:")

    def kept(self) -> tuple[str, ...]:
        """Men in hand, and early moves."""
        names = ("hand",) * self._places + ("early",) * bool(self._rules.guarded_moves)
        return tuple(f"{who}_{name}" for who in (MACHINE, VISITOR) for name in names)

    def undo(self, who: str) -> None:
        """The man back where it came from, or in hand."""
        text, passed = self.text, self.text.fresh("passed")
        self._pairs.split()
        if self._passes:
            text.ops("load source", f"ifzero {passed}")
        text.number(SIDE[who])
        text.ops("by source", f"store board+{self._points}")
        text.number(0)
        text.ops("by goal", f"store board+{self._points}")
        if self._passes:
            text.label(passed)

    # -- endings ------------------------------------------------------------------------------

    def ends(self, who: str, labels: Mapping[str, str]) -> None:
        """A line wins; then somebody may be blocked."""
        over = by_last_mover(who, wins=True)
        if self._rules.lines and over in labels:
            self.text.routine("lined", lambda: write_lined(self.text, self._rules.lines))
            self.text.op("ifnonzero", labels[over])
        self._if_blocked(OTHER[who], labels)

    def after_wrong(self, what: str, labels: Mapping[str, str]) -> None:
        """Whoever is to move instead may be blocked."""
        if what == LOST_TURN:
            self._if_blocked(MACHINE, labels)

    def _if_blocked(self, whose: str, labels: Mapping[str, str]) -> None:
        law, on = self._rules.blocked, self.text.fresh("goes_on")
        over = DRAWN if law in (DRAWS, PASSES) else by_last_mover(whose, wins=law == WINS)
        if over in labels:
            self._unless_blocked(whose, on)
            if self._passes:
                self._unless_blocked(OTHER[whose], on)
            self.text.ops(f"jump {labels[over]}", f"{on}:")

    def _unless_blocked(self, who: str, label: str) -> None:
        """Go on at a label if some man of theirs can be placed or can go."""
        self.text.routine(f"{who}_any", lambda: self._write_any(who))
        self.text.op("ifnonzero", label)

    def _write_any(self, who: str) -> None:
        """A subroutine: A is not 0 if there is a move."""
        text, steps = self.text, self.text.fresh("steps")
        if self._places:
            text.ops(f"load {who}_hand", f"ifzero {steps}")
            self._write_any_placed(who)
            text.label(steps)
        self._pairs.each(lambda way: self._can(who, way))
        text.op("back")

    def _write_any_placed(self, who: str) -> None:
        """A is not 0 if some free point is not barred; with `back` behind."""
        text, count, again, other = (
            self.text,
            self._points,
            self.text.fresh("point"),
            self.text.fresh("point_not"),
        )
        text.number(-count)
        text.ops("store goal", f"{again}:", "load goal", f"look board+{count}", f"ifnonzero {other}")
        if self._rules.barred:
            self._judge_barred(who, other)
        text.ops("load goal", "back", f"{other}:", "count goal", f"ifnonzero {again}", "back")

    def _can(self, who: str, way: str) -> None:
        """A is not 0 if a side can make a step, by its number in a word."""
        text, count, pairs = self.text, self._points, self._pairs
        no, done, free = text.fresh("cannot"), text.fresh("tested"), text.fresh("can")
        pairs.load(STARTS, way)
        text.op("look", f"board+{count}")
        text.plus(-SIDE[who])
        text.op("ifnonzero", no)
        pairs.load(GOALS, way)
        text.ops(f"look board+{count}", f"ifnonzero {no}")
        if self._rules.guarded:
            guarded = text.fresh("guarded")
            pairs.load(GOALS, way)
            text.op("store", text.variable("entered"))
            jump_if_among(text, "entered", count, self._rules.guarded, guarded)
            text.ops(f"jump {free}", f"{guarded}:")
            if self._rules.guarded_moves:
                text.ops(f"load {who}_early", f"ifzero {free}")
            pairs.load(STARTS, way)
            self._beside(who)
            text.ops(f"jump {done}", f"{free}:")
        text.number(1)
        text.ops(f"jump {done}", f"{no}:")
        text.number(0)
        text.label(done)

    def digits(self) -> tuple[Digit, ...]:
        """The points."""
        return tuple(Digit(f"board+{point}", 3) for point in range(self._points))


def _steps_of(game: Steps, moves: int) -> list[Pair]:
    """From where to where the steps of a game lead, by number."""
    points = game.board.names
    steps = [name for name in game.move_names[:moves] if name not in points]
    return pairs_named(steps, (*points, ""), PASS)
