"""How a C program plays by the rules of a sheet: rule by rule, in order.

Each rule either goes on at the label `found` with the cell in `move`, or falls through.
"""

from collections.abc import Sequence

import numpy as np

from budget.c90.answering import Answering
from budget.c90.line_order import lines_in_order
from budget.c90.marks import MarksBoard
from budget.c90.setting import Setting
from budget.c90.stopping import Stopping, pairs
from budget.c90.stored import SortedKeys
from budget.c90.text import INNER, STATIC
from budget.c90.weighing import weigh
from budget.lowering.answering.asked import Asked, Pictures, Stored
from budget.lowering.answering.pictures import Boards, thinned
from budget.lowering.answering.shorter import ways_to_say
from budget.lowering.ground import MACHINE, WON
from budget.lowering.text import NotLowered
from games.game import with_lines
from solver import meanings as means
from solver.meanings import Picture
from solver.sheet.rules import Marked

FIRST_LINE, LEAST_CELL = "the first line", "the least cell of all"
BY_RULE, BY_LINES = "by the rule", "by lines"
TOGETHER = "by the rule, as one with the next"
"""How it is known that the machine has won: by the rule that fills its lines, or by looking at the lines."""
ONE_BY_ONE, LISTED = "one by one", "listed"
"""Cells, or pictures: each in instructions of its own, or all in a table."""
BY_PLACE, BY_BITS, BY_POINTER = "by its place", "by its place, in bits", "by a pointer, in bits"
"""How the table of pictures is gone through: by number or by address; what misses is told by tests or in bits."""
PICTURED = """
/* The cell to play by the first picture that is found, or CELLS.  In the table each picture is cells with what is to
   stand there, as 16 * cell + mark; last comes the cell to play, which must be free, as 16 * cell + 15. */
static byte pictured(void)
{
%(at)s
    byte mark, misses = 0;
    %(kept)sbyte each;

    for (;;) {
        each = FETCH(%(next)s);
        ++at;
        mark = each & 15;
        each >>= 4;
%(body)s
    }
}
"""
BY_TESTS_BODY = """\
        if (mark != 15) {
            if (board[each] != mark)
                misses = 1;
        } else {
            if (misses == 0 && board[each] == 0)
                return each;
            misses = 0;%(end)s
        }"""
BY_BITS_BODY = """\
        if (mark == 15) {
            misses |= board[each];
            if (misses == 0)
                return each;
            misses = 0;%(end)s
        } else
            misses |= board[each] ^ mark;"""
MOST_IN_HALF = 15
"""Of cells, and of marks but for the last number: a picture has each in half a byte."""


class ByRules(Answering):
    """Writes the rules that were proved, in one of the ways to say them."""

    def __init__(self, setting: Setting, board: MarksBoard) -> None:
        ways = ways_to_say(setting.play)
        self._setting = setting
        self._text = setting.text
        self._board = board
        self._rules = ways[setting.choices.pick("rules", tuple(ways), is_weighty=True)]
        order = lines_in_order(setting, self._rules)
        self._first_will_do = order is not None
        if order is not None:
            board.order_lines(order)

    def answer(self) -> None:
        """The rules in order."""
        rest = self._rules
        first = rest[0].meaning
        wins_told = (
            first == means.FillsALine(means.MINE)
            and (MACHINE, WON) in self._setting.happens
            and not self._setting.game.misere
        )
        ways = (BY_RULE, *((TOGETHER,) if self._fills_twice else ()), BY_LINES)
        way = self._setting.choices.pick("wins", ways) if wins_told else BY_LINES
        if way == TOGETHER:
            self._fill_twice()
            rest = rest[2:]
        elif way == BY_RULE:
            self._board.told_by(f"{self._text.local('wins', 'the move fills a line')} != 0")
            self._text.put("wins = 1;")
            self._write(rest[0])
            self._text.put("wins = 0;")
            rest = rest[1:]
        for rule in rest:
            self._write(rule)
        if isinstance(self._rules[-1].meaning, _MAY_FALL_THROUGH):
            self._text.put("goto game; /* which never comes to pass: on every board some rule has a move */")

    @property
    def _fills_twice(self) -> bool:
        """Whether the rules begin with lines of the machine's and then of the visitor's to fill, and go on."""
        fills = [means.FillsALine(means.MINE), means.FillsALine(means.VISITORS)]
        return len(self._rules) > 2 and [rule.meaning for rule in self._rules[:2]] == fills

    def _fill_twice(self) -> None:
        """These two as one: which of them has found the cell is also whether the machine wins."""
        text, own = self._text, "(LENGTH - 1) * MINE"
        text.local("wanted", "what the marks of a line are to add up to")
        text.put(f"wanted = {own};")
        text.label("fill")
        self._write_filling()
        self._found_by("filling(wanted)", always=False)
        text.put(f"if (wanted == {own}) {{\n    wanted = (LENGTH - 1) * VISITORS;\n    goto fill;\n}}")
        self._board.told_by(f"wanted == {own}")

    def _write(self, rule: Asked) -> None:
        kind = type(rule.meaning)
        if kind not in _CALLED:
            raise NotLowered(f"rules such as {kind.__name__} are not written in C yet")
        self._text.put(f"/* {_CALLED[kind]} */")
        match rule.meaning:
            case means.FillsALine() as meaning:
                self._fill(rule, meaning)
            case means.FirstOf() as meaning:
                self._in_order(rule, meaning)
            case Pictures() as meaning:
                self._pictures(rule, meaning)
            case means.Heaviest() as meaning:
                weigh(meaning, self._setting, self._board)
            case Stored() as meaning:
                SortedKeys(self._setting, self._board, meaning.play).answer()
            case _:
                self._threaten(rule)

    def _threaten(self, rule: Asked) -> None:
        """Rules about double threats, and the corner opposite to the visitor's."""
        match rule.meaning:
            case means.MakesDoubleThreat():
                own = f"{pairs(self._setting, self._board)}(move, (LENGTH - 2) * MINE) >= 2"
                self._text.put(
                    f"for (move = 0; move < CELLS; ++move)\n    if (board[move] == 0 && {own})\n        goto found;"
                )
            case means.StopsDoubleThreat() as meaning:
                self._check_completed_before(rule)
                Stopping(self._setting, self._board).answer(meaning)
            case means.OppositeCorner() as meaning:
                for corner, other in sorted(meaning.pairs):
                    test = f"board[{corner}] == 0 && board[{other}] == VISITORS"
                    self._text.put(f"move = {corner};\nif ({test})\n    goto found;")

    def _check_completed_before(self, rule: Asked) -> None:
        """Safe threats are told from lines that are open: there must be none before, so that rule comes first."""
        before = self._rules[: self._rules.index(rule)]
        if not any(each.meaning == means.FillsALine(means.MINE) for each in before):
            raise NotLowered("stop a double threat is written in C only behind complete a line")

    # -- lines --------------------------------------------------------------------------------

    def _fill(self, rule: Asked, meaning: means.FillsALine) -> None:
        self._write_filling()
        side = "MINE" if meaning.whose == means.MINE else "VISITORS"
        self._found_by(f"filling((LENGTH - 1) * {side})", always=rule.always)

    def _write_filling(self) -> None:
        """The function that finds the cell."""
        ways = (FIRST_LINE, LEAST_CELL) if self._first_will_do else (LEAST_CELL,)
        way = self._setting.choices.pick("lines to fill", ways)
        self._board.fill_function(least=way == LEAST_CELL)

    def _found_by(self, call: str, *, always: bool) -> None:
        """Go on at `found` with the cell that a function finds; where it always finds one, that is not asked."""
        asked = "" if always else "if (move != CELLS)\n    "
        self._text.put(f"move = {call};\n{asked}goto found;")

    # -- cells and pictures -------------------------------------------------------------------

    def _in_order(self, rule: Asked, meaning: means.FirstOf) -> None:
        taken = set(rule.moves[rule.answers].tolist())
        cells = [cell for cell in meaning.cells if cell in taken]
        if len(cells) > 1 and self._setting.choices.pick("cells", (LISTED, ONE_BY_ONE)) == LISTED:
            name = self._text.table(self._text.fresh("cells"), cells, "in this order")
            at = self._text.local("at", "a place in a table")
            end = f"{at} < {len(cells)}" if not rule.always else ""
            self._text.put(
                f"for ({at} = 0; {end}; ++{at}) {{\n    move = FETCH({name} + {at});\n"
                "    if (board[move] == 0)\n        goto found;\n}"
            )
            return
        for place, cell in enumerate(cells):
            is_last = rule.always and place == len(cells) - 1
            test = "" if is_last else f"if (board[{cell}] == 0)\n    "
            self._text.put(f"move = {cell};\n{test}goto found;")

    def _pictures(self, rule: Asked, meaning: Pictures) -> None:
        game = with_lines(self._setting.game)
        assert game is not None
        images = [
            image
            for each in meaning.pictures
            for image in sorted(each.images(game.cell_images), key=lambda image: image.target)
        ]
        kept = thinned(images, self._boards_of(rule))
        way = self._setting.choices.pick("pictures", (LISTED, ONE_BY_ONE))
        fits = self._setting.cells <= MOST_IN_HALF + 1 and self._board.length + 1 < MOST_IN_HALF
        if way == LISTED and fits and not self._text.has_function("pictured"):
            self._listed(kept, always=rule.always)
            return
        for place, image in enumerate(kept):
            target = image.target.bit_length() - 1
            if rule.always and place == len(kept) - 1:
                self._text.put(f"move = {target};\ngoto found;")
                return
            tests = [f"board[{cell}] == {_SIGNS[sign]}" for cell, sign in _signs(image, self._setting.cells)]
            tests.append(f"board[{target}] == 0")
            self._text.put(f"move = {target};\nif ({' && '.join(tests)})\n    goto found;")

    def _boards_of(self, rule: Asked) -> Boards:
        """The boards on which a rule is asked."""
        moves = np.where(rule.answers, rule.moves.astype(np.int64), -1)
        return Boards(Marked.of(self._setting.game, rule.codes, self._setting.play.game.seat), moves)

    def _listed(self, kept: Sequence[Picture], *, always: bool) -> None:
        values = []
        for image in kept:
            signs = (0, 1, self._board.length + 1)
            values += [16 * cell + signs[sign] for cell, sign in _signs(image, self._setting.cells)]
            values.append(16 * (image.target.bit_length() - 1) + 15)
        if len(values) > 255:
            raise NotLowered("there are more pictures than a byte can count")
        self._text.table("pictures", values, "see the function pictured")
        self._text.constant("PICTURES", len(values), "bytes of pictures")
        how = self._setting.choices.pick("the next picture", (BY_PLACE, BY_BITS, BY_POINTER))
        is_static = self._setting.choices.pick("the cell that is pictured", (INNER, STATIC)) == STATIC
        by_pointer = how == BY_POINTER
        last = "pictures + PICTURES" if by_pointer else "PICTURES"
        end = "" if always else f"\n            if (at == {last})\n                return CELLS;"
        body = BY_TESTS_BODY if how == BY_PLACE else BY_BITS_BODY
        parts = {
            "at": "    FIXED_AT at = pictures;" if by_pointer else "    byte at = 0;",
            "kept": "static " if is_static else "",
            "next": "at" if by_pointer else "pictures + at",
            "body": body % {"end": end},
        }
        self._text.function("pictured", PICTURED % parts)
        self._found_by("pictured()", always=always)


_MAY_FALL_THROUGH = (means.MakesDoubleThreat, means.StopsDoubleThreat, means.OppositeCorner, means.Heaviest)
_SIGNS = ("0", "MINE", "VISITORS")


def _signs(image: Picture, cells: int) -> list[tuple[int, int]]:
    """The cells of a picture with the sign of each: 0, 1 or 2 for free, the machine's and the visitor's."""
    sets = (image.free, image.mine, image.visitors)
    return [(cell, sign) for cell in range(cells) for sign, each in enumerate(sets) if each >> cell & 1]


_CALLED = {
    means.FillsALine: "fill a line",
    means.FirstOf: "cells in order",
    Pictures: "pictures in order",
    means.MakesDoubleThreat: "make a double threat",
    means.StopsDoubleThreat: "stop a double threat",
    means.OppositeCorner: "take the opposite corner",
    means.Heaviest: "take the heaviest cell",
    Stored: "a table",
}
