"""Encodings: ways to lay out the answers of a fixed strategy in the words of a machine.

Each says in its docstring what it is, how many bits it takes, and where it comes from.

Each is one module here: a new encoding is a new file with a NAME, a TITLE, `lay_out`, `decode` and `decoder`.
`lay_out` sees the play, and no machine; `decode` sees the packed words, and besides them only what the program would
know too: the game, the house rules, whether boards were stored as they are or turned, and the constants of the table,
which a program has in its instructions.  `decoder` writes the part of a program that reads the same words.
"""

from functools import cache
from importlib import import_module
from pkgutil import iter_modules
from typing import Protocol, cast

import numpy as np

from budget.lowering.answering import Answering
from budget.lowering.ground import Ground, Setting
from budget.packed import Packed, Table
from budget.packing import Unreadable
from games.codes import Codes, MoveIds
from games.housed import HousedGame
from solver.fixed import FixedPlay


class Encoding(Protocol):
    """What each module here gives."""

    NAME: str
    TITLE: str

    def lay_out(self, play: FixedPlay) -> Table:
        """The play's answers as columns of numbers.  Raises NotApplicable, with the reason, where it cannot be."""
        ...

    def decode(self, packed: Packed, game: HousedGame, codes: Codes) -> MoveIds:
        """The move on each of these boards (machine to move), read from the words; NO_MOVE where there is none.

        May raise Unreadable instead, where the words are none that come from `lay_out`.
        """
        ...

    def decoder(self, setting: Setting, ground: Ground, packed: Packed) -> Answering:
        """How a program finds its move in the words.  Raises NotLowered where it is not written, with the reason."""
        ...


@cache
def encodings() -> dict[str, Encoding]:
    """Every encoding by name."""
    modules = (import_module(f"{__name__}.{found.name}") for found in iter_modules(__path__))
    by_name = {module.NAME: cast(Encoding, module) for module in modules}
    return dict(sorted(by_name.items()))


def verify(play: FixedPlay, packed: Packed) -> None:
    """Decode the words in every position that the play can meet, and compare.

    Raises RuntimeError on any difference: that is a fault of an encoding of ours, and no verdict on the strategy.
    """
    codes, moves = _met(play)
    what = f"encoding {packed.encoding} ({packed.reading})"
    if any(not 0 <= word < 1 << packed.word_bits for word in packed.words):
        raise RuntimeError(f"{what} made a word that does not fit in {packed.word_bits} bits")
    try:
        found = encodings()[packed.encoding].decode(packed, play.game, codes)
    except Unreadable as problem:
        raise RuntimeError(f"{what} cannot be read back: {problem}") from problem
    wrong = np.nonzero(found != moves)[0]
    if len(wrong):
        at = int(wrong[0])
        raise RuntimeError(
            f"{what} gives move {int(found[at])} instead of {int(moves[at])} "
            f"on board {int(codes[at]):#x}, and differs on {len(wrong)} of {len(codes)} boards"
        )


def _met(play: FixedPlay) -> tuple[Codes, MoveIds]:
    """Every stored board on which the machine moves somewhere in the play, with the move: taken from the play's graph.

    A board stands here twice if the play were to move differently on it, so that no table can pass.
    """
    graph = play.graph
    machine = graph.mover[graph.parent] == play.game.seat
    codes = play.game.fair_codes(graph.codes[graph.parent[machine]])
    stored = np.isin(codes, play.codes)
    pairs = np.unique(np.stack([codes, graph.move[machine].astype(np.uint64)])[:, stored], axis=1)
    return pairs[0], pairs[1].astype(np.uint16)
