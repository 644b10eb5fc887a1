"""Each board alone, without the rest of a program: what can be played or is refused, how it ends, what is taken back.

A ground writes its parts one after the other, each behind a label; then the machine is sent to one label after another,
and after each its store and A are held against the rules of the game.
"""

from random import Random
from types import SimpleNamespace

import pytest

from budget.boards import numberings
from budget.card import load_machine
from budget.lowering.choices import Choices
from budget.lowering.ground import DRAWN, LOST, MACHINE, VISITOR, WON, Setting, ground_for
from budget.lowering.lower import every_ending
from budget.lowering.text import PROGRAM, NotLowered, Text, WrongWay, composed
from budget.machine.assembler import assemble
from budget.machine.layout import signed
from budget.machine.simulator import HALTED, RUNNING, Machine
from games.codes import DRAW, UNFINISHED, win_of
from games.housed import HousedGame
from games.inputs import LEGAL, classes_of, classify
from tests.budget.lowering import test_grounds as grounds
from tests.budget.lowering.beside import REMARKS, needed, plainly  # noqa: F401 - a fixture
from tests.budget.plays import legal, one

SIDES = (MACHINE, VISITOR)
GOES_ON = 0
ENDINGS = {WON: 1, LOST: 2, DRAWN: 3}


class Alone:
    """A board in a machine, part by part."""

    def __init__(self, name, seat, board="digits"):
        self.fair = fair = grounds.fair(name)
        self.game = HousedGame(fair, grounds.told_apart(fair), seat)
        card = load_machine("twelve-bit")
        self.text = text = Text(card)
        no_play = SimpleNamespace(game=self.game)
        setting = Setting(text, Choices({"board": board}), no_play, every_ending())
        self.ground, self.moves = ground_for(setting), setting.moves
        try:
            self.digits = self.ground.digits()
        except WrongWay:  # sets of cells
            self.digits = None
        self.classes = list(classes_of(self.fair))
        self.kept = self._written()
        rows = {
            **text.rows,
            PROGRAM: [row for part in (text.rows[PROGRAM], *text.routines.values()) for row in part],
        }
        program = assemble(composed(card, rows).text, card)
        self.labels, self.bits = program.labels, card.word_bits
        self.machine = Machine.loaded(program)

    def _written(self):
        """All parts, each of which leaves a number in A; the words that are kept, None where nothing is taken back."""
        text, ground = self.text, self.ground
        text.variable("move")
        text.label("start")
        ground.set_up()
        text.op("halt")
        text.label("judge")
        ground.judge({name: f"refused{number}" for number, name in enumerate(self.classes)})
        self._leave(-1)
        for number in range(len(self.classes)):
            self._leave(number, f"refused{number}")
        try:
            kept = ground.kept()
        except NotLowered:
            kept = None
        for who in SIDES:
            text.label(f"play_{who}")
            ground.play(who)
            text.op("halt")
            text.label(f"ends_{who}")
            ground.ends(who, {how: f"{how}_{who}" for how in ENDINGS})
            self._leave(GOES_ON)
            for how, number in ENDINGS.items():
                self._leave(number, f"{how}_{who}")
            text.label(f"can_{who}")
            ground.unless_can(f"cannot_{who}", who)
            self._leave(1)
            self._leave(0, f"cannot_{who}")
            if kept is not None:
                text.label(f"undo_{who}")
                ground.undo(who)
                text.op("halt")
        return kept

    def _leave(self, number, label=None):
        if label:
            self.text.label(label)
        self.text.number(number)
        self.text.op("halt")

    def does(self, part, move=None):
        """A after a part, signed; what may not change `move` leaves it as it was."""
        machine, mask = self.machine, (1 << self.bits) - 1
        if move is not None:
            machine.store[self.labels["move"]] = move - self.moves & mask
        machine.place, machine.status = self.labels[part], RUNNING
        assert machine.run(100_000) == HALTED
        if part.startswith(("can", "play", "undo")):
            assert machine.store[self.labels["move"]] == move - self.moves & mask
        return signed(machine.a, self.bits)

    def words(self, names):
        """What stands in some words, each written as a label or as one with a number behind it."""
        places = [name.partition("+") for name in names]
        return [self.machine.store[self.labels[label] + int(more or 0)] for label, _, more in places]

    def number(self):
        """The number of the board."""
        number, weight = 0, 1
        for digit, value in zip(self.digits, self.words([each.word for each in self.digits]), strict=True):
            number, weight = number + weight * value, weight * digit.base
        return number


def walk(board, luck):
    """One game from the start, with every move tried in every position on the way."""
    fair, seat = board.fair, board.game.seat
    board.does("start")
    code = fair.start
    while fair.ending(one(code))[0] == UNFINISHED:
        who = MACHINE if fair.mover(one(code))[0] == seat else VISITOR
        moves, children = legal(board.game, code)
        shows_board(board, code, who)
        for move in range(board.moves):
            assert board.does(f"can_{who}", move) == (move in moves)
            if who == VISITOR:
                judged = board.does("judge", move)
                assert class_of(board, code, move) == (LEGAL if judged < 0 else board.classes[judged])
        if board.kept is not None:
            for move, child in zip(moves, children, strict=True):
                makes_and_takes_back(board, who, move, child)
                shows_board(board, code, who)
        number = luck.randrange(len(moves))
        makes(board, who, moves[number], children[number])
        code = children[number]


def class_of(board, code, move):
    name = board.fair.move_names[move].encode()
    return classify(board.fair, board.game.shape, code, board.game.seat, name)[0]


def shows_board(board, code, who):
    """When the machine is to move, its digits are those of the board's number."""
    if who == MACHINE and board.digits is not None:
        assert board.number() == int(numberings(board.game)[0](one(code))[0])


def makes(board, who, move, child):
    """A move, and how it ends the game."""
    board.does(f"can_{who}", move)  # sets of cells are played on where was looked last
    board.does(f"play_{who}", move)
    seat = board.game.seat
    names = {UNFINISHED: GOES_ON, win_of(seat): 1, win_of(1 - seat): 2, DRAW: 3}
    assert board.does(f"ends_{who}", move) == names[int(board.fair.ending(one(child))[0])]


def makes_and_takes_back(board, who, move, child):
    before = board.words(board.kept)
    makes(board, who, move, child)
    for name, value in zip(board.kept, before, strict=True):
        board.machine.store[board.labels[name]] = value
    board.does(f"undo_{who}", move)


BOARDS = [*((name, "digits") for name in grounds.GAMES), ("marks", "sums"), ("marks", "bits")]
EACH = [(name, kept, (number + other) % 2) for other in (0, 1) for number, (name, kept) in enumerate(BOARDS)]


@pytest.mark.parametrize(
    ("name", "kept", "seat"),
    [
        pytest.param(*each, marks=pytest.mark.long if number >= len(BOARDS) else ())
        for number, each in enumerate(EACH)
    ],
)
@pytest.mark.usefixtures("needed")
def test_a_board_plays_as_its_game(name, kept, seat):
    board = Alone(name, seat, kept)
    walk(board, Random(1))
    parts = (*board.text.rows.values(), *board.text.routines.values())
    assert {plainly(row.remark) for rows in parts for row in rows} <= REMARKS | {""}
