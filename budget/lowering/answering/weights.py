"""*Take the heaviest cell*: each free cell weighs what its place and the lines through it weigh.

What a line holds is one number, by which its weight is looked up (`weight_tables`).  Where weights tell by themselves
how the game ends, nothing else of the board has to be looked at.
"""

from collections.abc import Mapping, Sequence

from budget.lowering.answering import Answering, Endings
from budget.lowering.answering.asked import Asked
from budget.lowering.answering.weight_tables import Held, Laid, shortest
from budget.lowering.answering.weights_anew import Anew, found_anew
from budget.lowering.answering.weights_listed import found_listed
from budget.lowering.answering.weights_seen import Seen, scale_of
from budget.lowering.ground import DRAWN, LOST, MACHINE, VISITOR, WON, Ground, Setting
from budget.lowering.grounds.sums import SumsGround
from budget.lowering.saying import OUTCOMES, held_label
from budget.lowering.text import NotLowered, WrongWay
from budget.lowering.units import message_unit
from solver.meanings import Heaviest, Weight

BY_BOARD, BY_WEIGHTS = "told by the board", "told by weights"
"""How endings are told."""
COUNTED, SEARCHED, SHIFTED = "as lines count", "searched for", "searched for, a shift apart"
ANEW, FURTHER = "found anew, told by a bit", "found anew, with further lines"
"""What marks count for, and how the kinds of lines lie in the table; the last two: other weights for the same moves."""
AS_SAID = "as said"
"""What cells weigh is what the rule says."""
BY_WEIGHT, BY_CELL, BY_SIGN = "by its weight", "by its cell", "by its weight, which is the sign for it"
"""How it is told that no cell was weighed."""
AS_IT_IS, ONE_MORE = "as it is", "one more"
"""What is kept of the greatest weight.  With one more a cell as heavy is told from a heavier one by its sign."""


def answering(asked: Asked, setting: Setting, ground: Ground) -> Answering | None:
    """The way for this rule."""
    if not isinstance(asked.meaning, Heaviest):
        return None
    if not isinstance(ground, SumsGround):
        raise WrongWay("cells are not weighed on a board that is kept in this way")
    return Weighing(setting, ground, asked, asked.meaning.weights)


class Weighing:
    """The first of the heaviest cells, or the last of them where that makes no difference."""

    def __init__(self, setting: Setting, ground: SumsGround, asked: Asked, weights: Sequence[Weight]) -> None:
        self._setting, self._text, self._ground = setting, setting.text, ground
        self._seen = Seen(setting, asked, weights)
        self._scale = scale_of(self._seen.game, weights)
        self._anew = self._found_anew() if asked.always and ground.step() == 1 else None
        if self._anew is not None:
            self._seen.weigh_anew(self._anew)
            self._scale = self._scale._replace(cells=(0,) * len(self._scale.cells))
        self._takes_last = not self._seen.ties_matter()
        self._winning = 0
        self._told = self._known_endings() if asked.always else frozenset()
        self._check_range()
        if self._anew is None:
            self._kind_of = self._kinds_of_lines()
            self._laid = self._lay_out()
        else:
            self._take_anew(self._anew)
        self._count_marks()

    def _found_anew(self) -> Anew | None:
        """Other weights, if they are wanted and there are such."""
        way = self._setting.choices.pick("numbers", (AS_SAID, ANEW, FURTHER))
        if way == AS_SAID:
            return None
        boards = self._seen.boards(are_wins_told=(MACHINE, WON) in self._setting.happens)
        if way == ANEW:
            found = found_anew(boards)
        else:
            listed = found_listed(boards)
            found = listed and Anew(listed.laid, further=listed.further)
        if found is None:
            raise WrongWay("no other weights were found for the same moves")
        return found

    def _take_anew(self, anew: Anew) -> None:
        """Weigh by other weights; only where nobody else asks what marks count for."""
        if not self._setting.happens <= self._told:
            raise WrongWay("other weights do not tell how the game ends")
        self._way, self._laid = (ANEW if anew.second else FURTHER), anew.laid
        self._kind_of = [int(line in anew.second) for line in range(len(self._seen.game.lines))]
        self._ground.list_further(anew.further)

    def _check_range(self) -> None:
        """Raise NotLowered where sums and differences of weights may be too great for a word."""
        least, most = self._seen.range
        self._least = least
        table = self._anew.laid.table if self._anew else ()
        bound = max(abs(weight) for kind in self._scale.lines for weight in [*kind.values(), *table, 0])
        count = len(self._scale.lines) + (len(self._anew.further) if self._anew else 0)
        widest = bound * count + max(map(abs, self._scale.cells))
        self._text.needs(least - 1 - most, most - least + 1, "what cells may weigh")
        self._text.needs(-widest, widest, "what cells may weigh")

    # -- the table ----------------------------------------------------------------------------

    def _kinds_of_lines(self) -> list[int]:
        """For each line the number of its kind: lines that weigh the same whatever they hold are of one."""
        kinds = list(dict.fromkeys(tuple(sorted(line.items())) for line in self._scale.lines))
        return [kinds.index(tuple(sorted(line.items()))) for line in self._scale.lines]

    def _lay_out(self) -> Laid:
        """The table, in one of the ways to make it."""
        kinds: list[dict[Held, int]] = [{} for _ in set(self._kind_of)]
        for line, kind, weights in zip(self._seen.game.lines, self._kind_of, self._scale.lines, strict=True):
            for held in self._seen.contents(line):
                kinds[kind][held] = weights.get(held, 0)
        ways = [COUNTED]
        if self._setting.happens <= self._told:  # then nobody else asks what the marks count for
            ways += [SEARCHED, SHIFTED] if len(kinds) == 2 else [SEARCHED]
        self._way = self._setting.choices.pick("weights", ways)
        counts = [(self._ground.counts[MACHINE], self._ground.counts[VISITOR])]
        laid = shortest(kinds, counts if self._way == COUNTED else None, by_shift=self._way == SHIFTED)
        if laid is None:
            raise NotLowered("lines that weigh differently cannot be told apart by what their marks come to")
        return laid

    def _count_marks(self) -> None:
        """Let marks count for what the table asks, and the marker for more than any line without it."""
        laid = self._laid
        most = self._ground.long * max(laid.machine, laid.visitor, 0) + max(laid.begins)
        if (
            self._way == ANEW
        ):  # a line's number without its lower bits, all ones above them, takes the marker away
            power = max(len(self._kind_of) - 1, most - laid.begins[0]).bit_length()
            most = laid.begins[0] + (1 << power) - 1
        self._ground.count_marks(laid.machine, laid.visitor, most + 1)

    # -- endings ------------------------------------------------------------------------------

    def _known_endings(self) -> Endings:
        """The endings that weights tell: no cell was weighed on a full board, and cells that win weigh more."""
        happens = self._setting.happens
        if self._setting.choices.pick("endings", (BY_BOARD, BY_WEIGHTS)) == BY_BOARD:
            return frozenset()
        told: set[tuple[str, str]] = set()
        if not {who for who, how in happens if how == DRAWN} - {VISITOR}:
            told |= {(VISITOR, DRAWN)} & happens
        wins, others = self._seen.by_result()
        by_machine = {(MACHINE, how) for how in (WON, LOST)} & happens
        if by_machine == {(MACHINE, WON)} and wins and min(wins) > max(others, default=min(wins) - 1):
            told |= by_machine
            self._winning = self._between(max(others, default=min(wins) - 1), min(wins))
        return frozenset(told)

    def _between(self, below: int, most: int) -> int:
        """A number above one and not above another: one that the program has as a constant anyway, if it can be."""
        usual = (self._ground.cells, len(self._ground.lines))
        return next((number for number in usual if below < number <= most), most)

    def told(self) -> Endings:
        """As in `Telling`."""
        return self._told

    def tell(self, labels: Mapping[str, str], otherwise: str) -> None:
        """As in `Telling`."""
        if WON in labels:
            self._text.op("load", "best_weight")
            self._text.plus(-self._winning - self._more())
            self._text.ops(f"ifminus {otherwise}", f"jump {labels[WON]}")

    # -- weighing -----------------------------------------------------------------------------

    def answer(self, found: str) -> None:
        """Weigh each free cell."""
        text, ground = self._text, self._ground
        again, other = text.fresh("weigh"), text.fresh("weigh_next")
        best, weight = text.variable("best_weight"), text.variable("weight")
        text.remark("take the heaviest cell")
        is_full_told = (VISITOR, DRAWN) in self._told
        ways = (BY_WEIGHT, BY_CELL, BY_SIGN) if self._drawn_sign() is not None else (BY_WEIGHT, BY_CELL)
        full = self._setting.choices.pick("full board", ways) if is_full_told else ""
        begin = self._begin(full)
        text.number(begin)
        text.op("store", best)
        if full == BY_CELL:
            text.number(0)
            text.op("store", text.variable("heaviest"))
        text.number(-ground.cells)
        text.ops("store move", f"{again}:")
        ground.unless_can(other)
        self._weigh_place()
        text.op("store", weight)
        ground.block()
        self._weigh_lines()
        ground.undo(MACHINE)
        self._compare(other)
        text.ops(f"{'count' if self._more() else 'load'} {weight}", f"store {best}", "load move")
        text.op("store", text.variable("heaviest"))
        text.ops(f"{other}:", "count move", f"ifnonzero {again}")
        if is_full_told and full != BY_CELL:
            text.op("load", best)
            if begin < 0 <= self._seen.least_chosen + self._more():
                text.op("ifminus", held_label(DRAWN) if full == BY_SIGN else DRAWN)
            else:
                text.jump_if(begin, DRAWN)
        text.op("load", "heaviest")
        if full == BY_CELL:
            text.op("ifzero", DRAWN)
        text.op("store", "move")

    def _drawn_sign(self) -> int | None:
        """What may stand for the greatest weight at first, less than any: a number that prints as a draw's one sign."""
        house, code = self._setting.play.game.house, self._text.card.characters.code
        name = OUTCOMES[DRAWN]
        unit = message_unit(house, code, name, house.all_messages()[name])
        if len(unit) != 1 or self._seen.least_chosen + self._more() < 0:
            return None
        below, signs = min(self._least, 0) - 1, 1 << self._text.card.characters.bits
        number = below - (below - unit[0]) % signs
        half = 1 << self._text.word_bits - 1
        return number if number >= -half and self._seen.range[1] - number < half else None

    def _begin(self, full: str) -> int:
        """Less than any cell weighs, or as much as the least where the last of the heaviest is taken.

        The same number as the first cell's, if it will do, need not be fetched twice.
        """
        sign = self._drawn_sign()
        if full == BY_SIGN and sign is not None:
            return sign
        is_enough = self._more() or (self._takes_last and (VISITOR, DRAWN) not in self._told)
        least = self._least if is_enough else self._least - 1
        first = -self._ground.cells
        return first if first <= least else least

    def _more(self) -> int:
        """What the word `best_weight` holds above the greatest weight."""
        if self._takes_last:
            return 0
        return int(self._setting.choices.pick("greatest", (AS_IT_IS, ONE_MORE)) == ONE_MORE)

    def _compare(self, other: str) -> None:
        """Go on at a label unless the cell is heavier than those before, or as heavy where the last is taken."""
        text = self._text
        if self._takes_last or self._more():
            text.ops("load weight", "subtract best_weight", f"ifminus {other}")
            return
        heavier = text.fresh("heavier")
        text.ops("load best_weight", "subtract weight", f"ifminus {heavier}", f"jump {other}", f"{heavier}:")

    def _weigh_place(self) -> None:
        """A becomes what the cell weighs by its place."""
        text, cells = self._text, self._scale.cells
        if len(set(cells)) == 1:
            text.number(cells[0])
            return
        table = text.table(text.fresh("places"), cells, "what cells weigh by their place")
        text.ops("by move", f"load {table}+{len(cells)}")

    def _weigh_lines(self) -> None:
        """Add to the word `weight` what the lines through the cell with the marker weigh."""
        text, ground = self._text, self._ground
        if self._way in (SHIFTED, ANEW):
            ground.put_in_order(self._order_of_lines())
        table = text.table(text.fresh("weights"), self._laid.table)
        each, other = text.fresh("through"), text.fresh("through_next")
        ground.begin_lines()
        text.label(each)
        self._load_begin()
        ground.sum_line()
        text.ops(f"ifminus {other}", f"look {table}", "add weight", "store weight", f"{other}:")
        ground.next_line(each)

    def _order_of_lines(self) -> list[int]:
        """Those of the first kind first; where a bit of their numbers tells, those of the second where it is 1."""
        kinds = [[line for line, each in enumerate(self._kind_of) if each == kind] for kind in (0, 1)]
        if self._anew is None:
            return [*kinds[0], *kinds[1]]
        count, bit = len(self._kind_of), self._anew.apart
        return [kinds[bool(number & bit)].pop(0) for number in range(-count, 0)]

    def _load_begin(self) -> None:
        """What a line's sum begins with: below 0 unless it goes through the cell, else a place in the table."""
        text, ground = self._text, self._ground
        begins = [begin - ground.marker for begin in self._laid.begins]
        if len(begins) == 1:
            text.number(begins[0])
        elif self._way == ANEW:
            text.op("load", "line")
            text.op("and", f"={begins[1]}")
        elif self._way == SHIFTED:
            self._reckon_begin(begins)
        else:
            each = [begins[kind] for kind in self._kind_of]
            ground.look_by_line("starts", each, "for each line where its weights begin")

    def _reckon_begin(self, begins: Sequence[int]) -> None:
        """The same for two kinds a power of two apart: a number's top bit is shifted to where it counts so much."""
        text, apart = self._text, begins[0] - begins[1]
        text.op("load", "line")
        text.plus(self._ground.step() * self._kind_of.count(1))  # below 0 for lines of the first kind
        text.op("right", text.word_bits - 1)
        if apart > 1:
            text.op("left", apart.bit_length() - 1)
        text.plus(begins[1])
