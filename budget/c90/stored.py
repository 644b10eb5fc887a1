"""Tables in a C program: the number of the board, and what it finds in a dense table or among sorted keys."""

from budget.boards import numbered_answers, numberings
from budget.c90 import turning
from budget.c90.answering import Answering
from budget.c90.board import Board
from budget.c90.setting import Setting
from budget.lowering.text import NotLowered
from budget.packed import NotApplicable
from games.marks.marks import Marks
from solver.fixed import PLAIN, FixedPlay

MOST_BYTES = 60_000
"""Of a table: what an address of sixteen bits reaches, with room for the rest."""


class _Numbered(Answering):
    """What both tables have in common."""

    def __init__(self, setting: Setting, board: Board, play: FixedPlay) -> None:
        self.setting = setting
        self.text = setting.text
        bits = board.number_bits
        if bits > 32:
            raise NotLowered("the number of a board is longer than C90 counts")
        self.images = turning.images_of(play, setting.game) if play.reading != PLAIN else None
        if self.images is not None:
            self.numbers, self.moves = self.images.numbers, self.images.moves
            turning.write_turn(setting, self.images)
        else:
            self.numbers, self.moves = _as_they_stand(play)
        self.kind = "unsigned" if bits <= 16 else "unsigned long"
        self.key_bytes = (self.numbers[-1].bit_length() + 7) // 8
        board.write_number(self.kind)

    def set_up(self) -> None:
        """The first step is next."""
        if self.images is not None:
            self.text.put("at_turn = 0;")

    def find_number(self) -> str:
        """The name of a variable that now has the number to look for."""
        key = self.text.local("key_number", "the board as a number", self.kind)
        if self.images is not None:
            turning.find_least(self.setting, self.images, key, self.kind)
        else:
            self.text.put(f"{key} = number();")
        return key

    def found(self, key: str) -> None:
        """Go on with the move that is stored for this number."""
        if self.images is not None:
            turning.turn_back(self.setting, key)
        self.text.put("goto found;")


def _as_they_stand(play: FixedPlay) -> tuple[list[int], list[int]]:
    """The numbers of a play's boards, increasing, and the moves on them."""
    try:
        answers = numbered_answers(play)
    except NotApplicable as refusal:
        raise NotLowered(str(refusal)) from None
    has_cells = type(play.game.fair) is Marks
    if numberings(play.game)[answers.numbering].by_cells != has_cells:
        raise NotLowered("programs in C number boards by their cells only")
    return answers.numbers.tolist(), answers.moves.tolist()


class Dense(_Numbered):
    """A field of four bits, or a byte, for each number from the least board's to the greatest's."""

    def __init__(self, setting: Setting, board: Board, play: FixedPlay) -> None:
        super().__init__(setting, board, play)
        self._least = self.numbers[0]
        self._span = self.numbers[-1] - self._least + 1
        self._halves = max(self.moves) < 16
        if self._span // (1 + self._halves) > MOST_BYTES:
            raise NotLowered(f"a table of {self._span:,} fields is longer than an address of 16 bits reaches")

    def answer(self) -> None:
        """Look at the board's field."""
        fields = [0] * (self._span + self._span % 2)
        for number, move in zip(self.numbers, self.moves, strict=True):
            fields[number - self._least] = move
        key = self.find_number()
        field = self.text.local("field", "the number of a field", self.kind)
        self.text.put(f"{field} = ({self.kind})({key} - {self._least});")
        if not self._halves:
            self.text.table("dense", fields, "the moves")
            self.text.put(f"move = FETCH(dense + {field});")
            self.found(key)
            return
        pairs = [low | high << 4 for low, high in zip(fields[::2], fields[1::2], strict=True)]
        self.text.table("dense", pairs, "the moves, two in a byte, the lower half first")
        self.text.put(
            f"move = FETCH(dense + {field} / 2);\nmove = (byte)({field} % 2 ? move >> 4 : move & 15);"
        )
        self.found(key)


class SortedKeys(_Numbered):
    """The numbers of the boards, byte by byte in columns, and the moves in a column of their own."""

    def __init__(self, setting: Setting, board: Board, play: FixedPlay) -> None:
        super().__init__(setting, board, play)
        if len(self.moves) > MOST_BYTES // (self.key_bytes + 1):
            raise NotLowered("the keys are more than an address of 16 bits reaches")

    def answer(self) -> None:
        """Go through the keys until the board's is found: it is there."""
        text, count = self.text, len(self.moves)
        key = self.find_number()
        place = text.local("place", "among the keys", "byte" if count < 256 else "unsigned")
        columns = []
        for number in range(self.key_bytes):
            values = [each >> 8 * number & 255 for each in self.numbers]
            columns.append(text.table(f"keys{number}", values, f"byte {number} of each board's number"))
        text.table("moves", self.moves, "on these boards")
        tests = " || ".join(
            f"FETCH({column} + {place}) != (byte)({key} >> {8 * number})"
            if number
            else f"FETCH({column} + {place}) != (byte){key}"
            for number, column in enumerate(columns)
        )
        text.put(f"{place} = 0;\nwhile ({tests})\n    ++{place};\nmove = FETCH(moves + {place});")
        self.found(key)
