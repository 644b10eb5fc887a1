"""Tables in programs: any encoding, whose decoder is a way to find moves."""

from collections.abc import Callable

from budget.encodings import encodings
from budget.lowering.answering import Answering
from budget.lowering.ground import Ground, Setting
from budget.lowering.text import NotLowered
from budget.lowering.turning import seen_turned, turning
from budget.packed import NotApplicable, Packed
from solver.fixed import TURNED, FixedPlay

Answerer = Callable[[Setting, Ground], Answering]
"""Gives the way in which a program finds its moves."""


def table_answerer(play: FixedPlay, encoding: str) -> Answerer:
    """How a program finds the moves that a play stores, in an encoding by name.

    Raises NotApplicable where the encoding cannot hold the play.  Of several layouts the program's choices take one.
    """
    table = encodings()[encoding].lay_out(play)
    notes = tuple(layout.note for layout in table.layouts)

    def answerer(setting: Setting, ground: Ground) -> Answering:
        place = notes.index(setting.choices.pick(encoding, notes))
        try:
            packed = table.pack_as(place, setting.text.word_bits)
        except NotApplicable as refusal:
            raise NotLowered(str(refusal)) from refusal
        return packed_answerer(packed)(setting, ground)

    return answerer


def packed_answerer(packed: Packed) -> Answerer:
    """How a program finds its moves in just these words."""

    def answerer(setting: Setting, ground: Ground) -> Answering:
        module = encodings()[packed.encoding]
        if packed.reading != TURNED:
            return module.decoder(setting, ground, packed)
        seen = seen_turned(setting, ground)
        return turning(setting, ground, module.decoder(setting, seen, packed))

    return answerer
