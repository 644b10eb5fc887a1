"""Keys in a program: it goes through them until it has the board's, and there is its move."""

from budget.lowering.answering.table_moves import Moves
from budget.lowering.answering.table_words import BoardNumber, Stored
from budget.lowering.ground import Ground, Setting
from budget.lowering.text import NotLowered
from budget.lowering.wide import Wide
from budget.packed import Packed


class Sought:
    """The key of the board among all keys; every board that is asked for is there."""

    def __init__(self, setting: Setting, ground: Ground, packed: Packed) -> None:
        self._setting = setting
        self._ground = ground
        self._text = setting.text
        self._packed = packed
        self._key_bits = packed.constants["key bits"]
        self._apart = len(packed.columns) > 1
        self._number = BoardNumber(setting, ground, packed.constants["numbering"])

    def answer(self, found: str) -> None:
        """Find the key, then the move beside it or behind all keys."""
        number = self._number.write()
        keys = Stored(self._text, "keys", self._packed, 0)
        moves = Stored(self._text, "moves", self._packed, 1) if self._apart else keys
        self._seek(number, keys, moves)
        Moves(self._setting, self._ground, bool(self._packed.constants["by place"])).settle(found)

    def _seek(self, number: Wide, keys: Stored, moves: Stored) -> None:
        """Let A be what the table says beside the board's number."""
        if keys.has_several:
            self._one_of_several(number, keys)
        else:
            self._one_by_one(number, keys, moves)

    def _one_by_one(self, number: Wide, keys: Stored, moves: Stored) -> None:
        text, total, bits = self._text, keys.run.total, self._text.word_bits
        at = Wide(text, "key_at", total, signed=moves.has_several)
        again, first = text.fresh("key"), text.fresh("first_key")
        at.clear()
        text.ops(f"jump {first}", f"{again}:")
        at.up()
        text.label(first)
        for part in range(self._parts):
            self._load_part(keys, at, part)
            if part < number.count:
                text.op("subtract", number.words[part])
            rest = self._key_bits - part * bits
            if rest < bits and not self._apart:
                text.op("left", bits - rest)
            text.op("ifnonzero", again)
        self._settle(keys, moves, at)

    @property
    def _parts(self) -> int:
        """How many words of a field have something of the key."""
        return -(-self._key_bits // self._text.word_bits)

    def _load_part(self, keys: Stored, at: Wide, part: int) -> None:
        """A becomes one word of the field at `at`, or the field where words hold several."""
        if keys.has_several:
            keys.at(at)
        else:
            keys.part_at(at, part)

    def _settle(self, keys: Stored, moves: Stored, at: Wide) -> None:
        """A becomes what the table says beside the key at `at`."""
        if self._apart:
            moves.at(at)
        else:
            self._beside(keys, at)

    def _beside(self, keys: Stored, at: Wide) -> None:
        """A becomes what stands above the key in the field at `at`."""
        text, bits = self._text, self._text.word_bits
        part, rest = divmod(self._key_bits, bits)
        ends = keys.run.bits - part * bits
        if not ends:
            text.number(0)
            return
        if ends - rest > bits:
            raise NotLowered("a move takes more than one word")
        if ends > bits:
            upper = text.variable("upper")
            keys.part_at(at, part + 1)
            text.op("left", bits - rest)
            text.op("store", upper)
        self._load_part(keys, at, part)
        if rest:
            text.op("right", rest)
        if ends > bits:
            text.op("add", upper)

    def _one_of_several(self, number: Wide, keys: Stored) -> None:
        """Word by word, and field by field in each."""
        if self._apart:
            raise NotLowered("the place of a key in its word is not kept")
        text, run, bits = self._text, keys.run, self._text.word_bits
        at, held, left = text.variable("key_at"), text.variable("held"), text.variable("to_pass")
        row, again, hit = text.fresh("keys_of"), text.fresh("key"), text.fresh("hit")
        text.needs(-run.words - 1, bits, "a place among the words of keys")
        text.number(-run.words - 1)
        text.ops(f"store {at}", f"{row}:", f"count {at}")
        text.ops(f"look {keys.name}+{run.words}", f"store {held}")
        text.number(-run.fields.per_word)
        text.ops(f"store {left}", f"{again}:", f"load {held}", f"subtract {number.words[0]}")
        if bits > self._key_bits:
            text.op("left", bits - self._key_bits)
        text.ops(f"ifzero {hit}", f"load {held}", f"right {run.bits}", f"store {held}")
        text.ops(f"count {left}", f"ifnonzero {again}", f"jump {row}", f"{hit}:", f"load {held}")
        text.op("right", self._key_bits)
        if run.bits > self._key_bits:
            text.op("and", f"={(1 << run.bits - self._key_bits) - 1}")
        else:
            text.number(0)
