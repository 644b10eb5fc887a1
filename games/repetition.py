"""A limit of repetitions over any game: the game is a draw when a position comes for the n-th time.

The position in which play begins has come once; n is at least 2.  A position is what it is everywhere: the board, whose
turn it is, and what house rules have counted.  How often each has come is *no* part of it, and need not be, for the
limit changes no value, no distance and no verdict on a claim.  Call G the game in which play without end is a draw, and
G_n the same game with the limit; "won" and "lost" mean for one player, in G, with best play of both.

1.  Every position has the same value and distance in G_n as in G, with counting begun there.  Whoever can win in d
    plies in G can do so by moves that bring the end nearer ply by ply, whatever the other does.  Then no two positions
    of the line are equally far from the end, none comes twice, and G_n has nothing to say.  Nor can a win come sooner
    in G_n: its lines are lines of G, some cut short by a draw, and a draw serves whoever holds out.  Whoever need not
    lose in G can for ever move to positions that are not lost; in G_n, too, whatever has come before, until
    the line ends in G or as a draw by repetition.

2.  A strategy that holds a claim in G holds it in G_n, whatever has come before.  *never-loses*: every line of G_n is
    one of G.  *best-value*, *quickest*: a strategy that gives nothing away never leaves won positions, and among them
    it never comes back to one, since otherwise the visitor could lead it round for ever; so it wins as it does in G,
    and a position that is not lost it holds as in 1.

3.  A strategy that fails in G fails in G_n.  A line to a loss can be cut so that nothing comes twice.  After a
    move that lets a win go, the other player holds the draw as in 1; after one that lets a win wait, it comes no
    sooner than in G; going round for ever in won positions ends as a draw.  After a move from a drawn to a lost
    position the other player wins as in 1, without coming back: with counting begun at the drawn position no position
    of the rest has come before, for those are lost and it is not.

Counting is begun at the position whose value a claim speaks of.  With n of 3 or more, or in a seat that is not lost
from the start, 3. holds with the count of the whole line as well, along a line to the failure on which nothing comes
twice: after it each position comes at most once more; and where the seat is not lost, nothing lost has come before.
Only in a lost seat with n = 2 can it be that a visitor who has let the machine off once cannot win again without coming
back: what the strategy gives away there, the rule gives back.
"""

from typing import Any, cast

from games.game import Game
from games.housed import HousedGame
from games.limited import ENDLESS

FEWEST, MOST = 2, 1000
"""How often a position may have to come for a draw."""


class RepeatedGame:
    """A game that is a draw when a position comes for the n-th time; obeys the interface of a game itself.

    All its functions are those of the game without the limit (`endless`): see above why.
    """

    def __init__(self, game: Game, comings: int) -> None:
        """`comings`: the n of the n-th time, at least 2."""
        self.endless = game
        self.comings = comings

    def __getattr__(self, name: str) -> Any:
        """Whatever else a game gives: the same as without the limit."""
        if name == "endless":  # asked for while a copy is made, before it has anything
            raise AttributeError(name)
        return getattr(self.endless, name)

    @property
    def rules(self) -> tuple[str, ...]:
        """The rules in words; the limit is the last."""
        rules = (rule for rule in self.endless.rules if rule != ENDLESS)
        return (*rules, f"When a position comes for the {ordinal(self.comings)} time, the game is a draw.")


def repeated(game: Game, comings: int) -> Game:
    """The game with a limit of repetitions."""
    return cast(Game, RepeatedGame(game, comings))


def repetition_limit(game: Game) -> int | None:
    """How often a position of a game, with or without house rules, has to come for a draw; None for no such limit."""
    fair = game.fair if isinstance(game, HousedGame) else game
    return fair.comings if isinstance(fair, RepeatedGame) else None


def without_repetition_limit(game: Game) -> Game:
    """A fair game as it is without such a limit."""
    return game.endless if isinstance(game, RepeatedGame) else game


def ordinal(number: int) -> str:
    """``2nd``, ``3rd``, ``11th``."""
    endings = {1: "st", 2: "nd", 3: "rd"}
    return f"{number}{'th' if number // 10 % 10 == 1 else endings.get(number % 10, 'th')}"
