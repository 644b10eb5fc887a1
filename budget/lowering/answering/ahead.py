"""*Look ahead*: a walk through the next plies, with its stack in the store.

What a line of play promises is 0 where it is drawn or not finished; for a win of the machine's how many plies are left
to be looked at, the winning move among them; for a loss the same below 0.  So a nearer win is more, and a farther loss.
Moves are tried in their order, and only a better one takes the place of the best so far.  In deep walks a player's
moves are left as soon as one is so good that the other would not let it come to this; that changes no move.
"""

from budget.lowering.answering import Answering
from budget.lowering.answering.asked import Asked
from budget.lowering.ground import DRAWN, LOST, MACHINE, VISITOR, WON, Ground, Setting
from budget.lowering.text import NotLowered
from games.game import scored, with_lines
from solver.meanings import LooksAhead

PRUNED = 4
"""Plies from which on a walk leaves out what cannot matter."""


def answering(asked: Asked, setting: Setting, ground: Ground) -> Answering | None:
    """The way for this rule."""
    if not isinstance(asked.meaning, LooksAhead):
        return None
    if scored(setting.game) is not None:
        raise NotLowered("looking ahead is not written yet where moves score")
    game = with_lines(setting.game)
    plies = asked.meaning.plies if game is None else min(asked.meaning.plies, game.board.size)
    return _Ahead(setting, ground, plies)


class _Ahead:
    """The walk; `ply` is the number of plies left to be looked at, below 0."""

    def __init__(self, setting: Setting, ground: Ground, plies: int) -> None:
        self._setting = setting
        self._text = text = setting.text
        self._ground = ground
        self._plies = plies
        self._kept = ground.kept()
        self._prunes = plies >= PRUNED
        has_draws = any(how == DRAWN for _, how in setting.happens)
        self._tells_draws = has_draws or with_lines(setting.game) is None
        text.needs(-plies - 2, plies + 2, f"a count of {plies} plies")
        for name, remark in (("ply", "plies left, negative"), ("promise", "of a line of play")):
            text.variable(name, remark=remark)
        remark = "the best promise at each ply, and one beyond any before them"
        text.variable("best", plies + 1, remark)
        text.variable("tried_at", plies, "the move made at each ply")
        for word in self._kept:
            text.variable(f"{word}_at", plies)

    def answer(self, found: str) -> None:  # the walk ends with a move
        """Walk through all plies."""
        text = self._text
        text.remark("look ahead")
        if self._prunes:
            text.number(self._plies + 2)
            text.op("store", "best")
        text.number(-self._plies)
        text.op("store", "ply")
        self._node(MACHINE)
        if self._plies > 1:
            self._node(VISITOR)
        text.label("ahead_done")
        text.ops("load chosen", "store move", f"jump {found}")

    def _by_ply(self, order: str, word: str) -> None:
        self._text.ops("by ply", f"{order} {word}+{self._plies}")

    def _best(self, order: str, before: int = 0) -> None:
        """Work on the best promise at this ply, or at one before."""
        self._text.ops("by ply", f"{order} best+{self._plies + 1 - before}")

    def _node(self, who: str) -> None:
        """One ply: all moves of a player, the best of which counts."""
        text, ground = self._text, self._ground
        again, other = f"{who}_try", f"{who}_next"
        text.label(f"{who}_ply")
        text.number((self._plies + 1) * (-1 if who == MACHINE else 1))
        self._best("store")
        text.number(-self._setting.moves)
        text.ops("store move", f"{again}:")
        ground.unless_can(other, who)
        self._deeper(who)
        self._ended(who)
        text.label(f"{who}_promised")
        self._take_back(who)
        self._compare(who, other)
        text.ops(f"{other}:", "count move", f"ifnonzero {again}", f"{who}_best:")
        self._give_back(who)

    def _deeper(self, who: str) -> None:
        """Make the move, and go on with the other player's where there are plies left."""
        text, following = self._text, VISITOR if who == MACHINE else MACHINE
        for word in self._kept:
            text.op("load", word)
            self._by_ply("store", f"{word}_at")
        self._ground.play(who)
        labels = {WON: f"{who}_won", LOST: f"{who}_lost"}
        self._ground.ends(who, {**labels, DRAWN: f"{who}_even"} if self._tells_draws else labels)
        text.op("load", "move")
        self._by_ply("store", "tried_at")
        text.op("count", "ply")
        if self._plies > 1:
            text.op("ifnonzero", f"{following}_ply")
        text.number(-1)
        text.op("store", "ply")

    def _ended(self, who: str) -> None:
        """What the line of play promises: nothing, a win or a loss."""
        text, promised = self._text, f"{who}_told"
        text.label(f"{who}_even")
        text.number(0)
        text.ops(f"jump {promised}", f"{who}_won:", "load ply", "negate", f"jump {promised}", f"{who}_lost:")
        text.ops("load ply", f"{promised}:", "store promise")

    def _take_back(self, who: str) -> None:
        self._ground.undo(who)
        for word in self._kept:
            self._by_ply("load", f"{word}_at")
            self._text.op("store", word)

    def _compare(self, who: str, other: str) -> None:
        """Keep the promise if it is better than the best; go on at a label if not."""
        text, better = self._text, f"{who}_better"
        if who == MACHINE:
            self._best("load")
            text.op("subtract", "promise")
        else:
            text.op("load", "promise")
            self._best("subtract")
        text.ops(f"ifminus {better}", f"jump {other}", f"{better}:", "load promise")
        self._best("store")
        if self._prunes:
            self._leave_early(who)
        if who == MACHINE:
            text.op("load", "ply")
            text.plus(self._plies)
            text.ops(f"ifnonzero {other}", "load move")
            text.op("store", text.variable("chosen", remark="the best first move"))

    def _leave_early(self, who: str) -> None:
        """Give back the promise if the player before has something as good already."""
        text = self._text
        if who == MACHINE:
            self._best("load", 1)
            text.op("subtract", "promise")
        else:
            text.op("load", "promise")
            self._best("subtract", 1)
        text.ops(f"ifminus {who}_best", f"ifzero {who}_best")

    def _give_back(self, who: str) -> None:
        """The best of all moves is what the move before promises."""
        text, before = self._text, VISITOR if who == MACHINE else MACHINE
        if who == MACHINE:
            text.op("load", "ply")
            text.plus(self._plies)
            text.op("ifzero", "ahead_done")
        if self._plies == 1:
            return
        self._best("load")
        text.op("store", "promise")
        if not self._tells_draws:
            none = text.fresh("some")
            text.plus((self._plies + 1) * (1 if who == MACHINE else -1))
            text.ops(f"ifnonzero {none}", "store promise", f"{none}:")
        text.op("load", "ply")
        text.plus(-1)
        text.op("store", "ply")
        self._by_ply("load", "tried_at")
        text.ops("store move", f"jump {before}_promised")
