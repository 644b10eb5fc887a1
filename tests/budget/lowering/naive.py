"""The slow, plain way to find a move, for tests only: a list of all boards with their moves, searched from the first.

Any small game can be lowered with it at once.  A board is its digits, put together into as few words as hold them.
"""

from math import prod

from budget.boards import numberings
from budget.closing import close
from budget.conversation import Conversation
from budget.lowering.choices import Choices
from budget.lowering.lower import _Plan, endings_of, every_ending
from budget.lowering.text import NotLowered


class Naive:
    """A list of boards: for each some words of digits, and the move."""

    def __init__(self, setting, ground):
        self.text = setting.text
        self.groups = in_words(ground.digits(), setting.text.word_bits)
        self.rows = list(dict.fromkeys(rows_of(setting, self.groups)))
        if len({row[:-1] for row in self.rows}) < len(self.rows):
            raise NotLowered("the digits do not tell the boards apart")

    def answer(self, found):
        text = self.text
        for number, group in enumerate(self.groups):
            self.put_together(group)
            text.op("store", text.variable(f"seen{number}"))
        most = min(1 << text.word_bits - 1, len(self.rows))
        for begin in range(0, len(self.rows), most):
            self.search(self.rows[begin : begin + most], begin, found)
        text.op("halt")  # so that a board which is not in the list cannot go unnoticed

    def search(self, rows, begin, found):
        """Compare the board with some of the list."""
        text, count = self.text, len(rows)
        row, again, other = text.variable("row"), text.fresh("row"), text.fresh("other_row")
        text.number(-count)
        text.ops(f"store {row}", f"{again}:")
        for number in range(len(self.groups)):
            column = text.table(f"boards{number}_{begin}", [each[number] for each in rows])
            text.ops(f"by {row}", f"load {column}+{count}", f"subtract seen{number}", f"ifnonzero {other}")
        moves = text.table(f"answers_{begin}", [each[-1] for each in rows])
        text.ops(f"by {row}", f"load {moves}+{count}", "store move", f"jump {found}")
        text.ops(f"{other}:", f"count {row}", f"ifnonzero {again}")

    def put_together(self, group):
        """A becomes the number that some digits make, the lowest digit first."""
        text, sum_ = self.text, self.text.variable("sum")
        text.op("load", group[-1].word)
        for digit in reversed(group[:-1]):
            if digit.base & digit.base - 1 == 0:
                text.op("left", digit.base.bit_length() - 1)
            else:
                text.op("store", sum_)
                for _ in range(digit.base - 1):
                    text.op("add", sum_)
            text.op("add", digit.word)


def in_words(digits, word_bits):
    """Digits in groups, each of which a word holds."""
    groups, span = [[]], 1
    for digit in digits:
        if span * digit.base > 1 << word_bits:
            groups.append([])
            span = 1
        groups[-1].append(digit)
        span *= digit.base
    return groups


def rows_of(setting, groups):
    """For each board of a play the words of its digits, and its move less the count of moves."""
    play = setting.play
    numbers = numberings(play.game)[0](play.codes)
    rows = []
    for number, move in zip(numbers.tolist(), play.moves.tolist(), strict=True):
        row, rest = [], number
        for group in groups:
            span = prod(digit.base for digit in group)
            row.append(rest % span)
            rest //= span
        assert rest == 0, "the board's number is larger than its digits can make"
        rows.append((*row, move - setting.moves))
    return rows


def lowered(play, card, answerer=Naive, *, picked=None, keep_verdicts=False):
    """The program that answers by the list, every part in its first way unless another was picked."""
    happens = every_ending() if keep_verdicts else endings_of(play)
    return _Plan(play, card, answerer, happens).lowered(Choices(picked))


def closed(play, card, fill=0, thorough=None, **how):
    """The program, held against what it should say; how that went."""
    if thorough is None:  # else codes that print nothing take most of the time
        thorough = card.characters.bits < 8
    talk = Conversation(play, card, thorough=thorough)
    return close(lowered(play, card, **how).program, talk, fill=fill)
