"""Boards that are alike: those that turnings and mirrors carry into one another."""

from typing import Any

from .terms import State, Wrong

MOST_TURNINGS = 240


class Alike:
    """Boards that are alike: those that one of some turnings carries into one another.

    A turning says for every cell where it goes, by name.
    """

    def __init__(self, game: Any, turnings: list[list[str]]) -> None:
        self.game = game
        self.held: set[State] = set()
        names = game.fair.board.names
        if len(turnings) > MOST_TURNINGS:
            raise Wrong(f"there are more than {MOST_TURNINGS} turnings")
        if any(sorted(turning) != sorted(names) for turning in turnings):
            raise Wrong("a turning does not carry every cell to a cell of its own")
        self.turnings = [[names.index(name) for name in turning] for turning in turnings]
        both = [[one[cell] for cell in other] for one in self.turnings for other in self.turnings]
        if list(range(len(names))) not in self.turnings or any(each not in self.turnings for each in both):
            raise Wrong("two turnings, one after the other, are none of those that are named")
        if set(self.images(game.start)) != {game.start}:
            raise Wrong("a turning changes the board with which the game begins")

    def images(self, state: State) -> list[State]:
        """A position in every turning."""
        (turn, signs, *rest), *counted = state
        found: list[State] = []
        for turning in self.turnings:
            turned = [""] * len(signs)
            for cell, sign in zip(turning, signs, strict=True):
                turned[cell] = sign
            found.append(((turn, "".join(turned), *rest), *counted))
        return found

    def least(self, state: State) -> State:
        """The one that stands for all that are alike."""
        return min(self.images(state))

    def stored(self, state: State, after: State) -> tuple[State, State]:
        """What a table holds for a move: the board and the board after it, turned together."""
        pairs = zip(self.images(state), self.images(after), strict=True)
        return min((before[:2], later[:2]) for before, later in pairs)

    def must_hold(self, state: State) -> None:
        """Raise Wrong unless the game goes on from a position in every turning as from the position itself."""
        if state in self.held:
            return
        ending, images = self.game.ending(state), self.images(state)
        after = [] if ending else [self.images(each) for each in self.game.moves(state).values()]
        for place, image in enumerate(images):
            moves = set() if ending else set(self.game.moves(image).values())
            if self.game.ending(image) != ending or moves != {each[place] for each in after}:
                raise Wrong(f"the game does not look the same from all sides: {self.game.text(state)}")
        self.held.update(images)
