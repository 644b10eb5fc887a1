"""What comes of what when men advance: the laws of a game of the family *advance*, as data and in words."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from games.advance.ways import KINDS, ONTO_FREE, ONTO_OTHER, Side, Way, goes_aside
from games.codes import DRAW, UNFINISHED, win_of
from games.limited import ENDLESS
from games.problems import listed

OFF, PASS = "off", "pass"
"""How people type that a man leaves the board (``a1-off``), and that they have to pass."""
WINS, LOSES, DRAWS, LEAVES, PASSES, NOTHING = "wins", "loses", "draws", "leaves", "passes", "nothing"
AT_FAR_EDGE = (WINS, LOSES, LEAVES, NOTHING)
"""What comes of a man on the far edge: its side wins or loses, it may leave the board, or it just stands there."""
WITHOUT_MEN = (WINS, LOSES, DRAWS, NOTHING)
WHEN_BLOCKED = (LOSES, WINS, DRAWS, PASSES)


class Laws(NamedTuple):
    """What comes of what, in the words of the lists above; and whether whoever can capture must."""

    far_edge: str
    no_men: str
    blocked: str
    must_capture: bool


def result(law: str, player: int) -> int:
    """The result that a law gives where it is about a player: UNFINISHED if it ends nothing."""
    if law in (DRAWS, PASSES):  # passing ends the game only where neither player can move
        return DRAW
    return {WINS: win_of(player), LOSES: win_of(1 - player)}.get(law, UNFINISHED)


_KIND_WORDS = {"forward": "forward", "sideways": "sideways", "diagonal": "diagonally forward"}
_NO_MEN_WORDS = {WINS: "wins", LOSES: "loses", DRAWS: "makes the game a draw"}
_BLOCKED_WORDS = {
    WINS: "Whoever is to move and cannot wins.",
    LOSES: "Whoever is to move and cannot loses.",
    DRAWS: "When whoever is to move cannot, the game is a draw.",
    PASSES: f"Whoever is to move and cannot has to {PASS}; when nobody can move, the game is a draw.",
}


def in_words(sides: Sequence[Side], laws: Laws, moves: Sequence[str]) -> Iterator[str]:
    """The rules of a game in words, a sentence each; `moves` gives examples of how moves are typed."""
    first, second = sides
    ways = [way for side in sides for way in side.ways]
    steps, captures = (_kinds_in_words(ways, onto) for onto in (ONTO_FREE, ONTO_OTHER))
    yield "The two players take turns; the first player begins."
    yield f"The first player's men go {first.heading}, the second player's go {second.heading}: that is forward."
    if steps:
        yield f"A man steps one cell {steps} onto a free cell."
    if captures:
        yield f"A man captures one cell {captures}: it takes the place of the other player's man there."
    if laws.must_capture:
        yield "Whoever can capture must."
    yield f"A move is typed as the cells from which and to which the man goes, such as {moves[0]}."
    if laws.far_edge == LEAVES:
        leaving = next(move for move in moves if move.endswith(f"-{OFF}"))
        yield f"A man on the far edge may leave the board over it; that is a move too, such as {leaving}."
    if laws.far_edge in (WINS, LOSES):
        yield f"Whoever brings a man to the far edge {laws.far_edge}."
    if laws.no_men != NOTHING and (captures or laws.far_edge == LEAVES):
        yield f"Whoever has no man left on the board {_NO_MEN_WORDS[laws.no_men]}."
    yield _BLOCKED_WORDS[laws.blocked]
    if goes_aside(sides):
        yield ENDLESS


def _kinds_in_words(ways: Sequence[Way], onto: str) -> str:
    found = {way.kind for way in ways if way.onto == onto}
    return listed([_KIND_WORDS[kind] for kind in KINDS if kind in found])
